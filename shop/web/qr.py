import segno
from django.utils.safestring import SafeString, mark_safe


def qr_svg(text: str) -> SafeString:
    """A QR code as inline SVG, large enough to be read from a greasy card."""
    code = segno.make(text, error="m")
    return mark_safe(code.svg_inline(scale=4, border=2, omitsize=False))
