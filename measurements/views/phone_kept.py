"""What a phone keeps for use without network: the worker, the page that shows the outbox, the question at log-out."""

import hashlib
import json
from pathlib import Path

from django.contrib.auth.decorators import login_not_required, permission_required
from django.contrib.staticfiles import finders
from django.http import FileResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_GET

KEPT = [
    "shop/app.css",
    "shop/fonts.css",
    "shop/app.js",
    "shop/icon.svg",
    *(
        f"measurements/{name}"
        for name in (
            "phone.css", "outbox.js", "figures.js", "pages.js", "leave.js", "judge.js", "pad.js", "phone.js", "outbox_page.js", "guided.js",
        )
    ),
]  # fmt: skip


@permission_required("measurements.add_reading", raise_exception=True)
@require_GET
def outbox(request):
    return render(request, "measurements/outbox.html")


@login_not_required
@never_cache
@require_GET
def worker(request):
    """Served below /jobs/, so that it can keep no other page. A new set of assets makes a new version."""
    assets = [static(name) for name in KEPT]
    version = hashlib.sha256("".join(assets).encode()).hexdigest()[:12]
    context = {"assets": json.dumps(assets), "version": version}
    return render(request, "measurements/worker.js", context, content_type="text/javascript")


@login_not_required
@cache_control(max_age=3600)
@require_GET
def leave_script(request):
    """The same file as the phone pages load, under a name that a page of another floor can ask for."""
    return FileResponse(Path(finders.find("measurements/leave.js")).open("rb"), content_type="text/javascript")
