"""The JSON interface: for the phone's outbox and for a box in the workshop that sends by itself.

Every item carries the sender's id. Sent again with the same content it is answered as before and stored once; with
another content it is refused. One answer an item, in the order of the items.
"""

from functools import wraps
from typing import Literal

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponsePermanentRedirect
from django.middleware.csrf import get_token
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from ninja import File, Form, NinjaAPI, Path, Query, UploadedFile
from ninja.decorators import decorate_view
from ninja.errors import HttpError, ValidationError

from measurements.guided.actions import record_sheet_photo
from measurements.intake.auth import BoxKey, LoggedIn
from measurements.intake.schemas import Answer, Answers, Batch, JobRow, Me, PhotoIn, Pk, SheetOut, Trouble
from measurements.intake.store import refused, store_all
from measurements.intake.times import when_taken
from measurements.phone.data import sheet_data
from measurements.phone.sheet import reading_sheet_of, usual_phase
from measurements.readings.actions import Conflict, ReadingRefused
from shop.jobs.forms import PhotoForm
from shop.jobs.models import JobCard

MOST_BYTES = 512 * 1024


def capped(view):
    """Answers 413 before anything of a batch that is too large is read."""

    @wraps(view)
    def checked(request, *args, **kwargs):
        size = int(request.META.get("CONTENT_LENGTH") or 0)
        if size > MOST_BYTES:
            told = f"The batch is {size // 1024} kB. Allowed: up to {MOST_BYTES // 1024} kB; send it in parts."
            return api.create_response(request, {"detail": told}, status=413)
        return view(request, *args, **kwargs)

    return checked


api = NinjaAPI(
    title="Second Wind: intake of readings",
    version="1",
    description=__doc__,
    auth=[BoxKey(), LoggedIn()],
    docs_url=None,  # the usual viewer loads from elsewhere, which the content security policy forbids
    urls_namespace="intake",
)
TROUBLE = dict.fromkeys((400, 401, 403, 404, 422), Trouble)


@api.exception_handler(ValidationError)
def say_what_is_wrong(request, error):
    told = "; ".join(f"{'.'.join(str(part) for part in e['loc'][1:])}: {e['msg']}" for e in error.errors[:10])
    return api.create_response(request, {"detail": told}, status=422)


@api.get("/me", response={200: Me, **TROUBLE}, summary="Who is logged in, with a fresh CSRF token")
def me(request):
    return {"user": request.user.pk, "csrf_token": get_token(request)}


@api.get("/jobs", response={200: list[JobRow], **TROUBLE}, summary="Open jobs, without their customers")
def jobs(request):
    rows = JobCard.objects.with_people().open()
    return [{"id": j.pk, "number": j.number, "stage": j.stage, "vehicle": j.vehicle.make_and_model} for j in rows[:500]]


@api.get(
    "/jobs/{job}/sheet",
    response={200: SheetOut, **TROUBLE},
    summary="Steps, limits, expected bands and cautions of a job",
)
def job_sheet(request, job: Path[Pk], phase: Query[Literal["", "before", "after"]] = ""):
    found = JobCard.objects.with_people().filter(pk=job).first()
    if found is None:
        raise HttpError(404, f"There is no job {job} here.")
    return sheet_data(reading_sheet_of(found, phase or usual_phase(found)), request.user)


@api.post(
    "/entries",
    response={200: Answers, 413: Trouble, **TROUBLE},
    summary="Send readings, findings, signatures and starts; one answer an item",
)
@decorate_view(capped)
def entries(request, batch: Batch):
    return {"answers": store_all(batch.items, request.user, getattr(request, "box", None), batch.sent_at)}


@api.post("/photos", response={200: Answer, **TROUBLE}, summary="Send one photo of a guided sheet")
def photos(request, about: Form[PhotoIn], image: File[UploadedFile]):
    form = PhotoForm({"caption": ""}, {"image": image})
    job = JobCard.objects.filter(pk=about.job).first()
    if job is None:
        return refused(about.id, 404, {"job": f"There is no job {about.job} here."})
    if not form.is_valid():
        return refused(about.id, 422, {name: " ".join(texts) for name, texts in form.errors.items()})
    return _stored_photo(job, about, form.cleaned_data["image"], request.user)


def _stored_photo(job, about: PhotoIn, image, person) -> Answer:
    try:
        taken = when_taken(about.made_at, about.sent_at, timezone.now())
        photo = record_sheet_photo(job, about.sheet, image, person, about.id, about.made_at, taken)
    except Conflict as error:
        return refused(about.id, 409, error.errors)
    except ReadingRefused as error:
        return refused(about.id, 422, error.errors)
    return Answer(id=str(about.id), state="stored", received_at=photo.at)


@csrf_exempt
@login_not_required
def moved(request, rest):
    """Addresses of before there were versions: a phone that kept an old sheet, or a box, still holds them.

    308 keeps verb and body, so nothing that waits is lost; log-in and token are asked where it leads.
    """
    query = f"?{request.META['QUERY_STRING']}" if request.META.get("QUERY_STRING") else ""
    return HttpResponsePermanentRedirect(f"/api/v1/{rest}{query}", preserve_request=True)


def open_urls():
    """The interface has its own log-in check, which answers 401 instead of leading to a page; its description has not."""
    patterns, app_name, namespace = api.urls
    for pattern in patterns:
        if pattern.name != "openapi-json":
            pattern.callback.login_required = False
    return patterns, app_name, namespace
