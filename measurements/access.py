"""Finding what a page is about; each answers 404 when it is not there."""

from django.shortcuts import get_object_or_404

from measurements.logs.models import LogFile
from measurements.proving.models import ProvingRun
from measurements.readings.models import Point, Reading
from shop.jobs.models import JobCard


def point_or_404(job: JobCard, point_id) -> Point:
    return get_object_or_404(Point.objects.of(job).with_readings(), pk=point_id)


def reading_or_404(pk) -> Reading:
    return get_object_or_404(Reading.objects.select_related("point__job__vehicle", "point__run__plan"), pk=pk)


def run_or_404(pk: int) -> ProvingRun:
    return get_object_or_404(ProvingRun.objects.with_people().select_related("job__vehicle__customer"), pk=pk)


def log_or_404(pk: int) -> LogFile:
    return get_object_or_404(LogFile.objects.select_related("job__vehicle__customer", "run__plan", "by"), pk=pk)
