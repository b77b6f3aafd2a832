from django import template

register = template.Library()


@register.simple_tag
def sort_address(listing, name: str) -> str:
    """The address of the same list, sorted by a column; once more turns it round."""
    return listing.sort_address(name)


@register.inclusion_tag("_heads.html")
def heads(*labels: str) -> dict:
    """The head of a table; a label that begins with # stands over a column of numbers."""
    return {"columns": [(label.removeprefix("#"), label.startswith("#")) for label in labels]}
