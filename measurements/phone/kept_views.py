"""What a phone keeps for use without network: the worker, the page that shows the outbox, the question at log-out."""

import hashlib
import json
from base64 import b64encode
from functools import wraps
from pathlib import Path

from django.contrib.auth.decorators import login_not_required, permission_required
from django.contrib.staticfiles import finders
from django.http import FileResponse, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_GET

from measurements.phone.bundle import bundle_address, phone_bundle
from sizing.physics.limits.values import WORST_FIRST


def phone_page(view):
    """For pages that carry the phone's styles in themselves: the content security policy is told their hash."""

    @wraps(view)
    def told(request, *args, **kwargs):
        response = view(request, *args, **kwargs)
        response._csp_update = {
            "style-src": [f"'sha256-{b64encode(hashlib.sha256(phone_bundle('css').content).digest()).decode()}'"]
        }
        return response

    return told


@login_not_required
@require_GET
def bundle(request, version, kind):
    """All scripts or styles of the phone. The version in the address is that of the content; an old one gets the new content."""
    made = phone_bundle(kind)
    packed = "gzip" in request.headers.get("Accept-Encoding", "")
    types = {"js": "text/javascript", "css": "text/css"}
    response = HttpResponse(made.packed if packed else made.content, content_type=f"{types[kind]}; charset=utf-8")
    if packed:
        response["Content-Encoding"] = "gzip"
    response["Vary"] = "Accept-Encoding"
    response["Cache-Control"] = "public, max-age=31536000, immutable" if version == made.version else "no-cache"
    return response


@gzip_page
@phone_page
@permission_required("measurements.add_reading", raise_exception=True)
@require_GET
def outbox(request):
    return render(request, "measurements/phone/outbox.html", {"verdicts": WORST_FIRST})


@login_not_required
@never_cache
@require_GET
def worker(request):
    """Served below /jobs/, so that it can keep no other page. A new set of assets makes a new version."""
    assets = [bundle_address("js"), static("shop/icon.svg")]
    version = hashlib.sha256("".join(assets).encode()).hexdigest()[:12]
    served = json.dumps({"version": version, "assets": assets, "outbox": reverse("measurements:outbox")})
    script = Path(finders.find("measurements/phone/worker.js")).read_text()
    return HttpResponse(f'"use strict";\nconst SERVED = {served};\n{script}', content_type="text/javascript")


@login_not_required
@cache_control(max_age=3600)
@require_GET
def leave_script(request):
    """The module that is also in the script of the phone, under a name that a page of another floor can ask for."""
    return FileResponse(Path(finders.find("measurements/phone/leave.js")).open("rb"), content_type="text/javascript")
