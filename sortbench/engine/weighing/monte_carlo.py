"""Uncertainty by drawing inputs again and again: the Monte Carlo method of JCGM 101:2008, in its adaptive form (7.9).

Blocks of trials are added until twice the standard deviation of the average over the blocks is within half a unit of
the last digit that is wanted, for the value, its uncertainty and both ends of the interval; or until there were enough.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, fsum, log10, sqrt
from random import Random
from typing import NamedTuple

BLOCK = 10_000
"""Trials in a block (JCGM 101:2008, 7.9.4 b)."""
LEAST_BLOCKS = 10
"""Blocks before anything is said of how they scatter. The guide asks after two, which pass too early where they happen
to be alike (G. Wuebbeler and others, Metrologia 47 (2010) 317-324, from memory)."""
MOST_TRIALS = 1_000_000
"""Trials after which it ends whatever came of it."""


class Drawn(NamedTuple):
    """What the trials came to.

    Attributes:
        value: the mean.
        u: the standard deviation.
        low, high: the interval with as much left out below as above.
        shortest: the shortest interval of the same probability.
        trials: how many there were.
        stable: whether the figures stand to the digits wanted.
    """

    value: float
    u: float
    low: float
    high: float
    shortest: tuple[float, float]
    trials: int
    stable: bool


class _Block(NamedTuple):
    value: float
    u: float
    low: float
    high: float


def drawn(
    trial: Callable[[Random], float],
    seed: int,
    confidence: float = 0.95,
    digits: int = 2,
    most: int = MOST_TRIALS,
    tolerance: float = 0.0,
) -> Drawn:
    """Run trials until the figures stand.

    Args:
        trial: draws every input and works out the result.
        seed: of the random numbers, so that the same question gets the same answer.
        confidence: of the interval, above 0, below 1.
        digits: significant digits of the uncertainty that are to stand, 1 or 2 as a rule.
        most: trials at most, LEAST_BLOCKS blocks at least.
        tolerance: how close is close enough, where ``digits`` would ask for more.

    Raises:
        ValueError: an argument out of range.
    """
    if not 0 < confidence < 1 or digits < 1 or most < LEAST_BLOCKS * BLOCK:
        raise ValueError(f"a confidence between 0 and 1, one digit at least, {LEAST_BLOCKS} blocks at least")
    random = Random(seed)
    size = max(BLOCK, ceil(100 / (1 - confidence)))
    values: list[float] = []
    blocks: list[_Block] = []
    stable = False
    while not stable and len(values) + size <= max(most, LEAST_BLOCKS * size):
        block = sorted(trial(random) for _ in range(size))
        mean, u = _moments(block)
        blocks.append(_Block(mean, u, *_symmetric(block, confidence)))
        values += block
        if len(blocks) >= LEAST_BLOCKS:
            wanted = max(tolerance, _tolerance(_together(blocks, size), digits))
            stable = all(2 * _of_average(figures) <= wanted for figures in zip(*blocks, strict=True))
    values.sort()
    mean, u = _moments(values)
    low, high = _symmetric(values, confidence)
    return Drawn(mean, u, low, high, _shortest(values, confidence), len(values), stable)


def _moments(values: Sequence[float]) -> tuple[float, float]:
    count = len(values)
    mean = fsum(values) / count
    return mean, sqrt(fsum((value - mean) ** 2 for value in values) / (count - 1))


def _together(blocks: Sequence[_Block], size: int) -> float:
    """Standard deviation of the values of all blocks, from those of each and of their means."""
    means, us = [block.value for block in blocks], [block.u for block in blocks]
    between = _moments(means)[1] ** 2 * (len(blocks) - 1) * size
    return sqrt((between + fsum(u * u for u in us) * (size - 1)) / (len(blocks) * size - 1))


def _symmetric(ordered: Sequence[float], confidence: float) -> tuple[float, float]:
    """The interval with as much left out below as above (7.7.2)."""
    count, held = len(ordered), _held(len(ordered), confidence)
    first = (count - held + 1) // 2
    return ordered[max(0, first - 1)], ordered[min(count - 1, first - 1 + held)]


def _shortest(ordered: Sequence[float], confidence: float) -> tuple[float, float]:
    """The shortest interval (7.7.4)."""
    held = _held(len(ordered), confidence)
    start = min(range(len(ordered) - held), key=lambda at: ordered[at + held] - ordered[at])
    return ordered[start], ordered[start + held]


def _held(count: int, confidence: float) -> int:
    return min(count - 1, floor(confidence * count + 0.5))


def _tolerance(u: float, digits: int) -> float:
    """Half a unit of the last of the significant digits of an uncertainty (7.9.2)."""
    if u <= 0:
        return 0.0
    exponent = floor(log10(u)) - digits + 1
    if round(u / 10.0**exponent) == 10**digits:  # 0.0996 is 0.10 in two digits
        exponent += 1
    return float(0.5 * 10.0**exponent)


def _of_average(figures: Sequence[float]) -> float:
    """Standard deviation of the average over the blocks (7.9.4 h)."""
    return _moments(figures)[1] / sqrt(len(figures))
