"""Where a job stands and the one next thing to do on it."""

from dataclasses import dataclass

from measurements.guided.survey_findings import survey_findings
from measurements.proving.models import ProvingRun
from measurements.proving.moves import has_baseline, missing_for_move
from shop.jobs.models import JobCard
from shop.jobs.moves import Missing
from shop.jobs.stages import STAGE_LABEL, moves_from, next_stage
from shop.safety.notes import missing_sign_offs


@dataclass(frozen=True)
class NextStep:
    text: str
    url_name: str = ""
    link: str = ""
    permission: str = ""
    query: str = ""


MOVE_ON = NextStep("Everything is there.")


def _surveyed(job: JobCard) -> NextStep:
    if job.job_plans.filter(is_current=True).exists():
        return MOVE_ON
    if not has_baseline(job):
        return NextStep(
            "Take the baseline while the engine is as it came, then make the plan.",
            "measurements:phone", "Take the baseline", "measurements.add_reading", "?phase=before",
        )  # fmt: skip
    return NextStep("Make the plan: turbo, cooler, pump setting.", "shop:plan_new", "Make a plan", "sizing.add_plan")


def _planned(job: JobCard) -> NextStep:
    quote = job.quotes.last()
    if quote is None or quote.state in ("declined", "replaced"):
        return NextStep("Write the quote.", "shop:quote_new", "Write a quote", "shop.add_quote")
    if quote.state == "draft":
        return NextStep(
            f"Give quote {quote.number} to the customer.", "shop:quote", "Open the quote", "shop.change_quote"
        )
    if quote.state == "given":
        return NextStep(
            f"Quote {quote.number} waits for the customer's answer.",
            "shop:quote",
            "Enter the answer",
            "shop.change_quote",
        )
    return MOVE_ON


def _agreed(job: JobCard) -> NextStep:
    if has_baseline(job):
        return MOVE_ON
    return NextStep(
        "Take the baseline before anything is stripped.",
        "measurements:phone", "Take the baseline", "measurements.add_reading", "?phase=before",
    )  # fmt: skip


def _fitting(job: JobCard) -> NextStep:
    if not job.fitments.exists():
        return NextStep(
            "Fit, and write down which turbo and plunger were really fitted.",
            "shop:fitment_new", "Record what was fitted", "shop.fit_jobcard",
        )  # fmt: skip
    unsigned = len(missing_sign_offs(job))
    if unsigned:
        text = f"{unsigned} safety {'check is' if unsigned == 1 else 'checks are'} not signed yet."
        return NextStep(text, "shop:safety_checks", "Sign the safety checks", "shop.add_safetysignoff")
    return MOVE_ON


def _proving(job: JobCard) -> NextStep:
    run = ProvingRun.objects.of(job).last()
    if run is None:
        return NextStep(
            "Start the proving run.",
            "measurements:phone",
            "To the engine",
            "measurements.add_provingrun",
            "?phase=after",
        )
    if not run.is_decided and not run.points.exists():
        return NextStep(
            f"Proving run {run.number} is open: take its readings.",
            "measurements:phone", "Take readings", "measurements.add_reading", "?phase=after",
        )  # fmt: skip
    if not run.is_decided:
        return NextStep(
            f"Proving run {run.number} waits for the owner's decision.",
            "measurements:proving", "Look at the run and decide", "measurements.decide_provingrun",
        )  # fmt: skip
    if run.decision == "change":
        return NextStep(
            f"After run {run.number}: change what was decided, record it, sign the checks again, then prove again.",
            "measurements:proving", "Proving runs", "measurements.view_reading",
        )  # fmt: skip
    return NextStep("Hand the vehicle over.", "measurements:hand_over", "Hand over", "shop.hand_over_jobcard")


def next_step(job: JobCard) -> NextStep:
    """The one next thing to do. Its link is left out for a role that may not do it."""
    if job.stage == "booked":
        if job.surveys.exists():
            return MOVE_ON
        if survey_findings(job):
            return NextStep(
                "The engine was looked at: add the verdict and store the survey.",
                "measurements:survey_sheet", "Survey sheet, filled in", "shop.add_survey",
            )  # fmt: skip
        return NextStep(
            "Survey the engine: is it fit to be turbocharged?",
            "shop:survey",
            "Fill in the survey sheet",
            "shop.add_survey",
        )
    if job.stage == "handed_over":
        return NextStep(
            "Ask after a while how it runs.", "shop:follow_up_new", "Write a follow-up", "shop.add_followup"
        )
    by_stage = {"surveyed": _surveyed, "planned": _planned, "agreed": _agreed, "fitting": _fitting, "proving": _proving}
    return by_stage[job.stage](job) if job.stage in by_stage else NextStep("This job was called off.")


@dataclass(frozen=True)
class Standing:
    job: JobCard
    step: NextStep
    target: int  # what the step's link leads to: the job, or its last quote
    forward: str | None
    missing: list[Missing]
    others: list[tuple[str, str]]

    @property
    def forward_label(self) -> str:
        return str(STAGE_LABEL.get(self.forward or "", ""))

    @property
    def is_firm(self) -> bool:
        return any(m.firm for m in self.missing)

    @property
    def is_hand_over(self) -> bool:
        return self.forward == "handed_over"


def standing_of(job: JobCard) -> Standing:
    step, forward = next_step(job), next_stage(job.stage)
    missing = missing_for_move(job, forward) if forward else []
    others = [(to, str(STAGE_LABEL[to])) for to in moves_from(job.stage) if to != forward]
    quote = job.quotes.last() if step.url_name == "shop:quote" else None
    return Standing(job, step, quote.pk if quote else job.pk, forward, missing, others)
