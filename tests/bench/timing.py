import time
from collections.abc import Callable


def best_of(function: Callable[[], object], runs: int = 5) -> float:
    """The shortest of several runs, in seconds: the machine can only make it longer."""
    function()
    times = []
    for _ in range(runs):
        started = time.perf_counter()
        function()
        times.append(time.perf_counter() - started)
    return min(times)
