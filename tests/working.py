"""A bench on which two people counted by a clock that tests set: two sittings with pauses, ways of entry, and slips."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Grade

START = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
SLIPS = 40
"""Every so many acts one is taken back."""


class Clock:
    """A clock that stands until it is moved on."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def wait(self, seconds: float) -> None:
        self.now += timedelta(seconds=seconds)


def count_for_a_while(bench: Bench, clock: Clock, kinds: list[Kind], acts: int, seed: int) -> None:
    """Count pieces by several ways, a few seconds each, ever more slowly; take one back now and then; one long pause.

    Args:
        bench: open, with this clock.
        acts: tallies and undos in all.
        seed: of what is drawn at random.
    """
    chance = random.Random(seed)
    for act in range(1, acts + 1):
        clock.wait(chance.gammavariate(3, 1.4) * (1 + act / acts))
        if act == acts // 2:
            clock.wait(17 * 60)
        if act % SLIPS == 0:
            bench.undo()
        else:
            way = chance.choice(("pad", "pad", "typed", "photo"))
            bench.count(chance.choice(kinds), chance.choice((1, 1, 1, 2, 5)), Grade.G5, way=way)
