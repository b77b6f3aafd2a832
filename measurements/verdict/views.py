"""The rules behind verdicts and causes, as tables that can be read."""

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from measurements.verdict.cause_rules import CAUSES, HEALTH, sign_words
from measurements.verdict.checks import TOLERANCE
from measurements.verdict.plan_side import engine_limits
from sizing.physics.limits.values import DEFAULTS

SHOWN_AT_RPM = 3000.0


@permission_required("measurements.view_reading", raise_exception=True)
@require_GET
def rules(request: HttpRequest) -> HttpResponse:
    context = {
        "section": "instruments", "limits": engine_limits(SHOWN_AT_RPM), "plan_limits": DEFAULTS.values(), "shown_at_rpm": SHOWN_AT_RPM,
        "tables": [
            ("After the fit, against the plan", [(cause, sign_words(cause)) for cause in CAUSES]),
            ("Before the fit: the engine as it came", [(cause, sign_words(cause)) for cause in HEALTH]),
        ],
        "tolerances": [(slug, share * 100, least) for slug, (share, least) in TOLERANCE.items()],
    }  # fmt: skip
    return render(request, "measurements/verdict/rules.html", context)
