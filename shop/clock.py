"""The workshop's clock. Inside it `timezone.localdate`, `timezone.localtime` and every time shown are the workshop's, on all floors.

The server keeps UTC. The middleware sets it around each request; a command or a task that speaks of a day sets it itself.
"""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from zoneinfo import ZoneInfo

from django.utils import timezone

from shop.workshop.models import Workshop


def clock_of(workshop: Workshop | None) -> AbstractContextManager[None]:
    return timezone.override(ZoneInfo(workshop.time_zone)) if workshop else nullcontext()


@contextmanager
def workshop_clock() -> Iterator[None]:
    with clock_of(Workshop.objects.first()):
        yield
