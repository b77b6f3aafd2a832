"""Addresses of what is measured, proved, handed over and reviewed."""

from django.urls import path

from measurements.intake.api import open_urls
from measurements.views import curves, dyno, guided, hand_over, instruments, logs, moves, phone, phone_kept, proving, readings, review, smoke, tokens

app_name = "measurements"
urlpatterns = [
    path("api/", open_urls()),
    path("jobs/<int:pk>/phone/", phone.phone, name="phone"),
    path("jobs/<int:pk>/sheets/<slug:slug>/", guided.guided_sheet, name="guided_sheet"),
    path("jobs/<int:pk>/sheets/<slug:slug>/photo/", guided.guided_photo, name="guided_photo"),
    path("jobs/outbox/", phone_kept.outbox, name="outbox"),
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
    path("logs/<int:pk>/match/", logs.log_match, name="log_match"),
    path("logs/<int:pk>/file/", logs.log_file, name="log_file"),
    path("logs/<int:pk>/undo/", logs.log_undo, name="log_undo"),
    path("jobs/<int:pk>/proving/", proving.proving, name="proving"),
    path("proving/<int:pk>/decide/", proving.decide_run, name="decide"),
    path("jobs/<int:pk>/before-after/", curves.before_after, name="before_after"),
    path("jobs/<int:pk>/curves/new/", curves.curve, name="add_curve"),
    path("jobs/<int:pk>/hand-over/", hand_over.hand_over, name="hand_over"),
    path("jobs/<int:pk>/hand-over/sheet/", hand_over.sheet, name="hand_over_sheet"),
    path("jobs/<int:pk>/hand-over/sheet.pdf", hand_over.pdf, name="hand_over_pdf"),
    path("jobs/<int:pk>/smoke-test/", smoke.smoke_test, name="smoke_test"),
    path("smoke-tests/<uuid:pk>/", smoke.smoke_snaps, name="smoke_snaps"),
    path("smoke-snaps/<uuid:pk>/correct/", smoke.smoke_correct, name="smoke_correct"),
    path("jobs/<int:pk>/dyno/", dyno.dyno, name="dyno"),
    path("jobs/<int:pk>/dyno/<slug:kind>/", dyno.dyno_new, name="dyno_new"),
    path("dyno/<uuid:pk>/", dyno.dyno_test, name="dyno_test"),
    path("smoke-limits/", smoke.smoke_limits, name="smoke_limits"),
    path("smoke-limits/new/", smoke.smoke_limit, name="smoke_limit_new"),
    path("smoke-limits/examples/", smoke.smoke_examples, name="smoke_examples"),
    path("smoke-limits/<int:pk>/", smoke.smoke_limit, name="smoke_limit"),
    path("boxes/", tokens.tokens, name="tokens"),
    path("boxes/<int:pk>/revoke/", tokens.token_revoke, name="token_revoke"),
    path("instruments/", instruments.instruments, name="instruments"),
    path("instruments/new/", instruments.instrument, name="instrument_new"),
    path("instruments/<int:pk>/", instruments.instrument, name="instrument"),
    path("review/", review.review, name="review"),
    path("review/pairings.csv", review.review_csv, name="review_csv"),
    path(
        "review/pairing/<int:turbo>/<int:plunger_tenths>/<slug:cooler>/", review.pairing, name="review_pairing"
    ),
]
