from django.conf import settings

from shop.web.lights import chosen_light


def workshop_context(request):
    return {"workshop": getattr(request, "workshop", None), "demo": settings.DEMO, "light": chosen_light(request)}
