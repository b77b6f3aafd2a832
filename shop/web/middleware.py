"""What happens around every request: first visit, log-in inside a fragment, the workshop's clock and units."""

from django.http import HttpResponse
from django.shortcuts import redirect

from shop.clock import clock_of
from shop.workshop.models import Workshop
from sizing.units.display import shown_in


class FragmentLoginMiddleware:
    """A log-in redirect inside a fragment would put the log-in page into a panel; htmx is told to leave instead."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        if request.htmx and response.status_code == 302 and "/log-in/" in response["Location"]:
            return HttpResponse(headers={"HX-Redirect": response["Location"]})
        return response


class FirstVisitMiddleware:
    """Until there is a workshop, every page leads to the set-up page."""

    OPEN = ("/set-up/", "/static/", "/health/")

    def __init__(self, get_response):
        self.get_response = get_response
        self.is_set_up = False

    def __call__(self, request):
        if not self.is_set_up and not request.path.startswith(self.OPEN):
            self.is_set_up = Workshop.objects.exists()
            if not self.is_set_up:
                return redirect("shop:set_up")
        return self.get_response(request)


class WorkshopMiddleware:
    """The clock is the same for all, also for a box with its key; the rest is for those who are logged in."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        workshop = None if request.path.startswith("/health/") else Workshop.objects.first()
        request.workshop = workshop if request.user.is_authenticated else None
        with clock_of(workshop), shown_in(request.workshop.unit_choices if request.workshop else {}):
            return self.get_response(request)
