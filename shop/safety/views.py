"""Safety notes, and the checks that are signed on a job."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required, permission_required
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from shop.jobs.access import job_or_404
from shop.safety.actions import sign_off
from shop.safety.notes import CHECK, CHECKS, FIRST, HAZARD, HAZARDS, hazards_before, signed


@permission_required("shop.add_safetysignoff", raise_exception=True)
@require_http_methods(["GET", "POST"])
def safety_checks(request, pk):
    """The checks before the engine runs with boost. Each is signed by name, one at a time."""
    card = job_or_404(pk)
    if request.method == "POST":
        slug = request.POST.get("check", "")
        if slug not in CHECK:
            messages.error(request, f"There is no safety check '{slug[:40]}'.")
        elif not card.fitments.exists():
            messages.error(request, "Record what was fitted first: the checks belong to a fitment.")
        else:
            sign_off(card, slug, request.user, note=request.POST.get("note", "")[:200])
        return redirect("shop:safety_checks", pk)
    done = signed(card)
    rows = [(check, HAZARD[check.hazard], done.get(check.slug)) for check in CHECKS]
    context = {
        "section": "jobs",
        "job": card,
        "rows": rows,
        "hazards": hazards_before("start"),
        "all_signed": len(done) == len(CHECKS),
        "has_fitment": card.fitments.exists(),
    }
    return render(request, "shop/safety/safety_checks.html", context)


@login_not_required
@require_GET
def safety(request):
    return render(
        request, "shop/safety/safety.html", {"section": "safety", "first": FIRST, "hazards": HAZARDS, "checks": CHECKS}
    )
