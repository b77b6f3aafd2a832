"""A proving run as a whole: its readings, the pulls of its logs, its smoke tests and its curves, one word and its causes."""

from collections.abc import Iterable

from measurements.logs.models import LogPull
from measurements.logs.pulls.checks import JudgedPull, judge_pulls
from measurements.proving.models import ProvingRun
from measurements.verdict.bench_tests import Tests, run_tests
from measurements.verdict.causes import Suspect, suspects
from measurements.verdict.checks import Finding, worst
from measurements.verdict.findings import beyond_stop, points_findings
from sizing.physics.limits.values import STOP
from sizing.said import Said


def pulls_of_run(run: ProvingRun) -> list[JudgedPull]:
    rows = LogPull.objects.filter(log__run=run, log__state="read").select_related("log").order_by("log__at", "start_s")
    return judge_pulls(rows, run.plan, "after")


def all_findings(points: Iterable[Finding], pulls: Iterable[JudgedPull], tests: Tests) -> list[Finding]:
    return [*points, *(t.finding for p in pulls for t in p.told), *tests.findings]


def run_verdict(run: ProvingRun) -> str:
    """The worst word of everything that was measured in a run."""
    found = all_findings(points_findings(run), pulls_of_run(run), run_tests(run))
    return worst(f.word for f in found)


def run_suspects(points: Iterable[Finding], pulls: Iterable[JudgedPull], tests: Tests) -> list[Suspect]:
    """Causes from everything at once: a smoke test says what no gauge at a held speed did."""
    return suspects(all_findings(points, pulls, tests), with_figures=True)


def stops_of_run(run: ProvingRun) -> list[Said]:
    """What is said of everything of a run that stands beyond a stop limit: readings and pulls."""
    pulls = [
        Said("stop.in_pull", {"start_s": p.pull.start_s, "log": p.pull.log.name, "what": t.said})
        for p in pulls_of_run(run)
        for t in p.told
        if t.word == STOP
    ]
    return [*beyond_stop(run), *pulls]
