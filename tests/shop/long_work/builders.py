"""Kinds of long work that are known beforehand: one that counts, one that is refused, one that breaks, one that hangs."""

import time
from contextlib import contextmanager

from shop.long_work.kinds import KINDS, Done, WorkRefused, long_work
from sizing.said import told


@contextmanager
def known_kinds():
    made = []

    def kind(slug, do, **more):
        long_work(slug, f"Test of %(what)s, {slug}", "shop.view_jobcard", **more)(do)
        made.append(slug)

    def count(hand, *, what):
        for i in range(4):
            hand.tell("count", i / 4)
        file = hand.folder / "made.txt"
        file.write_text(what)
        return Done(file=file, name="counted.txt")

    def refuse(hand, *, what):
        raise WorkRefused(told(f"{what} cannot be done. Choose another one."))

    def fail(hand, *, what):
        raise ZeroDivisionError(f"no {what}")

    def hang(hand, *, what):
        for _ in range(1200):
            hand.tell("count", 0.5)
            time.sleep(0.1)
        return Done()

    kind("count", count, steps={"count": "Counting"})
    kind("refuse", refuse)
    kind("fail", fail)
    kind("hang", hang, steps={"count": "Counting"})
    kind("once", count, tries=1)
    kind("sent", lambda hand, what: count(hand, what=hand.work.received.read().decode()), takes_file=True)
    try:
        yield
    finally:
        for slug in made:
            del KINDS[slug]
