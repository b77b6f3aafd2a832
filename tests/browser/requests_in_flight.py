"""Counts the requests that the live server is still answering, so that tables are emptied only when it has none."""

import threading
import time

from django.core.signals import request_finished, request_started


class RequestsInFlight:
    """A closed page can leave a request behind; emptying tables under it deadlocks or is undone by its commit."""

    def __init__(self):
        self._lock = threading.Lock()
        self._open = 0
        self._last_change = time.monotonic()
        request_started.connect(self._started)
        request_finished.connect(self._finished)

    def _started(self, **kwargs):
        self._count(1)

    def _finished(self, **kwargs):
        self._count(-1)

    def _count(self, change: int):
        with self._lock:
            self._open += change
            self._last_change = time.monotonic()

    def wait_for_none(self, quiet_s: float = 0.15, longest_s: float = 20):
        """Return once nothing has been open for ``quiet_s``; a request that hangs longer fails the test."""
        end = time.monotonic() + longest_s
        while time.monotonic() < end:
            with self._lock:
                if self._open <= 0 and time.monotonic() - self._last_change >= quiet_s:
                    return
            time.sleep(0.02)
        raise AssertionError(f"{self._open} requests were still open {longest_s} s after the page was closed")

    def stop(self):
        request_started.disconnect(self._started)
        request_finished.disconnect(self._finished)
