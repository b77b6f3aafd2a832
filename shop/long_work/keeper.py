"""Keeps the workers running beside the server: one that ends is started again, and all end with whoever started this.

A process of its own, because the server forks its own processes and collects every child that ends. It knows no Django.
"""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
AGAIN_S = 3.0  # a worker that cannot start is not tried more often
GRACE_S = 8.0  # to put work back; after that it is ended, and the work is taken back by the next one


def start_keeper(many: int) -> "subprocess.Popen[bytes] | None":
    """Away from the terminal: Ctrl+C goes to the server, which then stops the keeper."""
    if not many:
        return None
    return subprocess.Popen(
        [sys.executable, "-m", "shop.long_work.keeper", str(many)], cwd=ROOT, start_new_session=True
    )


def stop_keeper(keeper: "subprocess.Popen[bytes] | None") -> None:
    if keeper is None:
        return
    keeper.terminate()
    try:
        keeper.wait(GRACE_S + 4)
    except subprocess.TimeoutExpired:
        keeper.kill()


def _worker() -> "subprocess.Popen[bytes]":
    return subprocess.Popen([sys.executable, "manage.py", "work", "--with-parent"], cwd=ROOT)


def keep_workers(many: int) -> None:
    parent, told = os.getppid(), threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: told.set())
    workers = [(_worker(), time.monotonic()) for _ in range(many)]
    while os.getppid() == parent and not told.wait(0.5):
        for i, (process, since) in enumerate(workers):
            if process.poll() is not None and time.monotonic() - since > AGAIN_S:
                workers[i] = (_worker(), time.monotonic())
    for process, _ in workers:
        process.terminate()
    until = time.monotonic() + GRACE_S
    for process, _ in workers:
        try:
            process.wait(max(until - time.monotonic(), 0.1))
        except subprocess.TimeoutExpired:
            process.kill()


if __name__ == "__main__":
    keep_workers(int(sys.argv[1]))
