"""Where a job stands, in plain words, and which moves exist. What a move needs is asked elsewhere."""

from django.utils.translation import gettext_lazy as _

STAGES = [
    ("booked", _("booked")),
    ("surveyed", _("surveyed")),
    ("planned", _("planned")),
    ("agreed", _("agreed")),
    ("fitting", _("fitting")),
    ("proving", _("proving")),
    ("handed_over", _("handed over")),
    ("called_off", _("called off")),
]
STAGE_LABEL = dict(STAGES)
ORDER = [slug for slug, _ in STAGES[:-1]]

# Back to the bench: change something and prove again, or plan and agree anew.
BACK = {"proving": ["fitting"], "fitting": ["planned"], "agreed": ["planned"], "planned": ["surveyed"]}


def next_stage(stage: str) -> str | None:
    if stage not in ORDER[:-1]:
        return None
    return ORDER[ORDER.index(stage) + 1]


def moves_from(stage: str) -> list[str]:
    """Every stage that a job may be moved to from here, the usual one first."""
    forward = next_stage(stage)
    if forward is None:
        return []
    return [forward, *BACK.get(stage, []), "called_off"]
