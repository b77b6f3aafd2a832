"""Addresses of what is measured, proved, handed over and reviewed."""

from django.urls import path, re_path

from measurements.bench.curves import views as curves_views
from measurements.bench.dyno import views as dyno
from measurements.bench.smoke import views as smoke
from measurements.guided import views as guided
from measurements.intake import views as tokens
from measurements.intake.api import moved, open_urls
from measurements.logs import match_views as log_match
from measurements.logs import views as logs
from measurements.papers import before_after_views as papers_before_after_views
from measurements.papers import views as hand_over
from measurements.phone import kept_views as phone_kept
from measurements.phone import views as phone
from measurements.proving import move_views as moves
from measurements.proving import views as proving
from measurements.readings import instrument_views as instruments
from measurements.readings import views as readings
from measurements.review import views as review
from measurements.verdict import views as rules

app_name = "measurements"
urlpatterns = [
    path("api/v1/", open_urls()),
    re_path(r"^api/(?!v\d)(?P<rest>.*)$", moved),
    path("jobs/<int:pk>/phone/", phone.phone, name="phone"),
    path("jobs/<int:pk>/sheets/<slug:slug>/", guided.guided_sheet, name="guided_sheet"),
    path("jobs/<int:pk>/sheets/<slug:slug>/photo/", guided.guided_photo, name="guided_photo"),
    path("jobs/<int:pk>/survey-sheet/", guided.survey_sheet, name="survey_sheet"),
    path("plans/<int:plan_pk>/bench-readings/", guided.bench_of_plan, name="bench_of_plan"),
    path("jobs/outbox/", phone_kept.outbox, name="outbox"),
    re_path(r"^jobs/phone-(?P<version>[0-9a-f]{12})\.(?P<kind>js|css)$", phone_kept.bundle, name="phone_bundle"),
    path("jobs/worker.js", phone_kept.worker, name="worker"),
    path("jobs/leave.js", phone_kept.leave_script, name="leave_script"),
    path("jobs/<int:pk>/proving/start/", phone.start, name="start_run"),
    path("readings/<uuid:pk>/correct/", phone.correct, name="correct"),
    path("jobs/<int:pk>/readings/", readings.readings, name="readings"),
    path("jobs/<int:pk>/readings/panel/", readings.readings_panel, name="readings_panel"),
    path("jobs/<int:pk>/next/", moves.next_page, name="next"),
    path("jobs/<int:pk>/next/panel/", moves.next_panel, name="next_panel"),
    path("jobs/<int:pk>/move/", moves.move, name="move"),
    path("jobs/<int:pk>/logs/", logs.logs, name="logs"),
    path("jobs/<int:pk>/logs/panel/", logs.logs_panel, name="logs_panel"),
    path("logs/<int:pk>/", logs.log, name="log"),
    path("logs/<int:pk>/match/", log_match.log_match, name="log_match"),
    path("logs/<int:pk>/recordings/", logs.log_recordings, name="log_recordings"),
    path("logs/<int:pk>/csv/", logs.log_csv, name="log_csv"),
    path("logs/<int:pk>/parquet/", logs.log_parquet, name="log_parquet"),
    path("logs/<int:pk>/file/", logs.log_file, name="log_file"),
    path("logs/<int:pk>/instruments/", logs.log_instruments, name="log_instruments"),
    path("logs/<int:pk>/alike/", logs.log_alike, name="log_alike"),
    path("logs/<int:pk>/undo/", logs.log_undo, name="log_undo"),
    path("jobs/<int:pk>/proving/", proving.proving, name="proving"),
    path("proving/<int:pk>/decide/", proving.decide_run, name="decide"),
    path("jobs/<int:pk>/before-after/", papers_before_after_views.before_after, name="before_after"),
    path("jobs/<int:pk>/curves/new/", curves_views.curve, name="add_curve"),
    path("jobs/<int:pk>/hand-over/", hand_over.hand_over, name="hand_over"),
    path("jobs/<int:pk>/hand-over/sheet/", hand_over.sheet, name="hand_over_sheet"),
    path("jobs/<int:pk>/hand-over/sheet.pdf", hand_over.pdf, name="hand_over_pdf"),
    path("jobs/<int:pk>/smoke-test/", smoke.smoke_test, name="smoke_test"),
    path("smoke-tests/<uuid:pk>/", smoke.smoke_snaps, name="smoke_snaps"),
    path("smoke-snaps/<uuid:pk>/correct/", smoke.smoke_correct, name="smoke_correct"),
    path("jobs/<int:pk>/dyno/", dyno.dyno, name="dyno"),
    path("jobs/<int:pk>/dyno/<slug:kind>/", dyno.dyno_new, name="dyno_new"),
    path("jobs/<int:pk>/dyno/work-out/<slug:what>/", dyno.dyno_work, name="dyno_work"),
    path("dyno/<uuid:pk>/", dyno.dyno_test, name="dyno_test"),
    path("smoke-limits/", smoke.smoke_limits, name="smoke_limits"),
    path("smoke-limits/new/", smoke.smoke_limit, name="smoke_limit_new"),
    path("smoke-limits/examples/", smoke.smoke_examples, name="smoke_examples"),
    path("smoke-limits/<int:pk>/", smoke.smoke_limit, name="smoke_limit"),
    path("rules/", rules.rules, name="rules"),
    path("boxes/", tokens.tokens, name="tokens"),
    path("boxes/<int:pk>/revoke/", tokens.token_revoke, name="token_revoke"),
    path("instruments/", instruments.instruments, name="instruments"),
    path("instruments/new/", instruments.instrument, name="instrument_new"),
    path("instruments/<int:pk>/", instruments.instrument, name="instrument"),
    path("review/", review.review, name="review"),
    path("review/pairings.csv", review.review_csv, name="review_csv"),
    path("review/pairing/<int:turbo>/<int:plunger_tenths>/<slug:cooler>/", review.pairing, name="review_pairing"),
]
