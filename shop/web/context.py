from django.conf import settings


def workshop(request):
    return {"workshop": getattr(request, "workshop", None), "demo": settings.DEMO}
