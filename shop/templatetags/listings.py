from django import template

register = template.Library()


@register.simple_tag
def sort_address(listing, name: str) -> str:
    """The address of the same list, sorted by a column; once more turns it round."""
    return listing.sort_address(name)
