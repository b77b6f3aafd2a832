"""What the frame of every phone page needs: its styles in the page itself, its scripts as one file."""

from django import template
from django.utils.html import json_script
from django.utils.safestring import mark_safe

from measurements.phone.bundle import bundle_address, phone_bundle
from measurements.phone.words import phone_words
from shop.web.lights import LIGHTS

register = template.Library()


@register.simple_tag
def phone_styles() -> str:
    """Our own style sheet; the policy allows it by its hash (`measurements.phone.kept_views.phone_page`)."""
    return mark_safe(phone_bundle("css").content.decode())


@register.simple_tag
def phone_scripts() -> str:
    return bundle_address("js")


@register.simple_tag
def phone_lights() -> list[tuple[str, str]]:
    return LIGHTS


@register.simple_tag
def words_of_phone() -> str:
    return json_script(phone_words(), "words")
