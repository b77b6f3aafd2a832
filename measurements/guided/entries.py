"""What stands on the guided sheets of a job."""

from measurements.guided.models import SheetEntry, SheetPhoto
from shop.jobs.models import JobCard, JobPhoto
from shop.survey.models import EngineFact

USUAL_CYLINDERS = 4


def standing_entries(job: JobCard, sheet: str) -> dict[tuple[str, int], SheetEntry]:
    """The newest entry of each item and place; none where the newest took it back."""
    newest = {(e.item, e.place): e for e in SheetEntry.objects.of(job, sheet).oldest_first()}
    return {key: entry for key, entry in newest.items() if not entry.is_taken_back}


def cylinder_count(job: JobCard) -> int:
    fact = EngineFact.objects.filter(vehicle=job.vehicle_id, name="cylinder_count").newest_first().first()
    return int(fact.low) if fact and fact.low else USUAL_CYLINDERS


def photos_of(job: JobCard, sheet: str) -> list[JobPhoto]:
    return [row.photo for row in SheetPhoto.objects.select_related("photo").filter(photo__job=job, sheet=sheet)]
