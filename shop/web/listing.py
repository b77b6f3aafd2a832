"""Lists keep their whole state in the address: search, filter, sort, page."""

from django.core.paginator import Paginator

PAGE_SIZE = 50


class Listing:
    """A queryset seen through the query string. `sorts` maps the word in the address to order_by fields."""

    def __init__(self, request, queryset, sorts: dict[str, tuple], default_sort: str):
        self.params = request.GET.copy()
        self.params.pop("page", None)
        self.words = request.GET.get("q", "").strip()[:80]
        if self.words:
            queryset = queryset.matching(self.words)
        asked = request.GET.get("sort", "")
        self.sort = asked if asked.lstrip("-") in sorts else default_sort
        fields = sorts[self.sort.lstrip("-")]
        if self.sort.startswith("-"):
            fields = tuple(f.desc(nulls_last=True) if hasattr(f, "desc") else f"-{f}" for f in fields)
        else:
            fields = tuple(f.asc(nulls_last=True) if hasattr(f, "asc") else f for f in fields)
        self.page = Paginator(queryset.order_by(*fields, "-pk"), PAGE_SIZE).get_page(request.GET.get("page"))

    def address(self, **changes) -> str:
        params = self.params.copy()
        for key, value in changes.items():
            params[key] = value
        return "?" + params.urlencode()

    def sort_address(self, name: str) -> str:
        return self.address(sort=f"-{name}" if self.sort == name else name)

    @property
    def query(self) -> str:
        return self.params.urlencode()
