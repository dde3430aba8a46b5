"""Which pieces to look at: numbers drawn by chance from a seed, the same ones for the same seed for ever."""

from __future__ import annotations

from random import Random


def drawn_numbers(seed: int, lot: int, sample: int) -> tuple[int, ...]:
    """Numbers of pieces, in order; every choice of so many is equally likely.

    Floyd's way of drawing without putting back (Bentley and Floyd 1987, Communications of the ACM 30:754-757). Of
    Python's generator only ``random()`` is used, for it alone is promised to give the same numbers in later versions.

    Args:
        seed: see SpotCheck.
        lot: pieces in the bin; the numbers run from 1 to this.
        sample: how many, 0 to ``lot``.
    """
    generator, chosen = Random(seed), set[int]()
    for last in range(lot - sample + 1, lot + 1):
        number = 1 + int(generator.random() * last)
        chosen.add(last if number in chosen else number)
    return tuple(sorted(chosen))
