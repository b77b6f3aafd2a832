"""Finding a job, or 404."""

from django.shortcuts import get_object_or_404

from shop.jobs.models import JobCard


def job_or_404(pk: int) -> JobCard:
    return get_object_or_404(JobCard.objects.with_people(), pk=pk)
