"""Long lists of made-up cases: as many as fit in a budget of seconds, from a seed that changes with the day."""

import os
import time
from collections.abc import Callable, Iterable, Iterator

from time_machine import escape_hatch

REAL = escape_hatch.time  # the clock of the tests stands still on one day
SAID = "long list"  # the property of a test's report under which its line travels to the summary


class Budget:
    """`NAME_SECONDS` in the environment is the time; without it the least number is run. `TEST_SEED` repeats a day's list."""

    def __init__(self, name: str, what: str, record: Callable[[str, object], None], least: int, most: int):
        self.seconds = float(os.environ.get(f"{name}_SECONDS") or 0)
        self.seed = int(os.environ.get("TEST_SEED") or REAL.strftime("%Y%m%d", REAL.gmtime()))
        self.what, self.record, self.least, self.most = what, record, least, most
        record(SAID, f"{what}: TEST_SEED={self.seed}")

    def shares(self, sizes: Iterable[int]) -> Iterator[range]:
        """The list, share by share, until it ends or the time is over."""
        begun, done = time.monotonic(), 0
        for size in sizes:
            if done >= self.most or (done >= self.least and time.monotonic() - begun >= self.seconds):
                break
            share = range(done, min(done + size, self.most))
            yield share
            done = share.stop
        self.record(SAID, f"{done} of {self.most} in {time.monotonic() - begun:.0f} s")
