"""What was found on the guided survey, in the words of the shop's survey sheet, so that nobody types it again."""

from urllib.parse import urlencode

from django.urls import reverse

from measurements.guided.entries import standing_entries
from shop.jobs.models import JobCard

KPA_PER_BAR = 100.0  # exact
SAME = {
    "blow_by_l_min": "blow_by_l_min",
    "oil_pressure_idle_kpa": "oil_pressure_idle_kpa",
    "oil_pressure_rated_kpa": "oil_pressure_rated_kpa",
}
STATES = {
    "oil": "oil_state", "coolant": "coolant_state", "filters": "filter_state", "leaks": "leak_state",
    "injectors": "injector_state", "mounts": "mount_state", "clutch": "clutch_state", "cooling": "cooling_state",
}  # fmt: skip


def survey_findings(job: JobCard) -> dict[str, str]:
    """Fields of the survey sheet, each from the newest finding that stands; of compression the lowest and the highest cylinder."""
    entries = standing_entries(job, "survey")
    found = {SAME[item]: f"{e.value:g}" for (item, _), e in entries.items() if item in SAME and e.value is not None}
    found |= {STATES[item]: e.choice for (item, _), e in entries.items() if item in STATES and e.choice}
    compression = [
        e.value / KPA_PER_BAR for (item, _), e in entries.items() if item == "compression_kpa" and e.value is not None
    ]
    if compression:
        found |= {"compression_low_bar": f"{min(compression):g}", "compression_high_bar": f"{max(compression):g}"}
    return found


def survey_address(job: JobCard) -> str:
    """The shop's survey sheet with what was found already in its fields; only what nobody looked at and the verdict is left."""
    return f"{reverse('shop:survey', args=[job.pk])}?{urlencode(survey_findings(job))}"
