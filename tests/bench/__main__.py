"""`make bench`: speed as a ratio to something measured in the same run, never as a time that a test could fail on.

Each module bench_*.py has functions bench_*() that return rows (what, ratio, budget). A budget is printed, not enforced.
"""

import importlib
import pkgutil
import sys
import time
from pathlib import Path

import django


def main(wanted: list[str]) -> None:
    django.setup()
    print(f"{'what':<72} {'ratio':>10}  budget")
    for module in pkgutil.iter_modules([str(Path(__file__).parent)]):
        if not module.name.startswith("bench_") or (wanted and module.name not in wanted):
            continue
        loaded = importlib.import_module(f"tests.bench.{module.name}")
        for name in (n for n in dir(loaded) if n.startswith("bench_")):
            started = time.perf_counter()
            for what, ratio, budget in getattr(loaded, name)():
                print(f"{what:<72} {ratio:>10.2f}  {budget}", flush=True)
            print(f"  ({module.name}.{name} took {time.perf_counter() - started:.0f} s)", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
