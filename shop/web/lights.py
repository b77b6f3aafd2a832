"""The three lights a page can be read in. Which one is chosen stands in a cookie of the device."""

LIGHTS = [("day", "Day"), ("night", "Night bay"), ("sun", "Full sun")]


def chosen_light(request) -> str:
    """Empty until a person chooses: the page then follows what the device prefers."""
    light = request.COOKIES.get("theme", "")
    return light if light in dict(LIGHTS) else ""
