"""Getting in: set-up on the first visit, log-in, log-out, light, health."""

from django.conf import settings
from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.db import connection
from django.http import HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from shop.access.views import LogIn
from shop.long_work.models import LOST_S, WorkerSeen
from shop.web.lights import LIGHTS
from shop.workshop.actions import set_up_workshop
from shop.workshop.forms import SetUpForm
from shop.workshop.models import Workshop


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def set_up(request):
    if Workshop.objects.exists():
        return redirect("shop:login")
    form = SetUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        set_up_workshop(form.owner(), form.workshop())
        return redirect("shop:login")
    return render(request, "shop/workshop/set_up.html", {"form": form}, status=422 if form.errors else 200)


log_in = login_not_required(LogIn.as_view())
log_out = auth_views.LogoutView.as_view()


@login_not_required
@require_http_methods(["GET", "POST"])
def theme(request):
    """Choose the light: kept on this device only."""
    back = request.POST.get("back") or request.META.get("HTTP_REFERER") or "/"
    if request.method == "GET":
        return render(request, "shop/workshop/theme.html", {"lights": LIGHTS, "back": back})
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = "/"
    response = HttpResponseRedirect(back)  # an address, never the name of a page
    if request.POST.get("theme") in dict(LIGHTS):
        response.set_cookie(
            "theme",
            request.POST["theme"],
            max_age=365 * 86400,
            samesite="Lax",
            secure=settings.SECURE,  # read by the phone's script too, which sets it without network
        )
    return response


@login_not_required
@require_GET
def health_live(request):
    return HttpResponse("ok", content_type="text/plain")


@login_not_required
@require_GET
def health_ready(request):
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return JsonResponse({"database": "ok", "worker": _worker_words()})


def _worker_words() -> str:
    """Told, but no reason to take the pages away: they answer without a worker, and what waits is kept."""
    unseen_s = WorkerSeen.last_seen_s()
    if unseen_s is None:
        return "never seen"
    return "ok" if unseen_s <= LOST_S else f"not seen for {unseen_s:.0f} s"
