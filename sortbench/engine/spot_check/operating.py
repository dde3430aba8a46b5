"""What a sampling plan can tell: the chance that it accepts a count with so many wrong pieces in it.

Pieces are taken out and not put back, so the number of wrong ones in a sample is hypergeometric. Binomial coefficients
are whole numbers of any size: nothing is rounded before the last division.
"""

from __future__ import annotations

from math import comb
from typing import NamedTuple

from sortbench.engine.spot_check.sampling import SamplingPlan

_SHARES = (0.001, 0.0025, 0.005, 0.01, 0.02, 0.03, 0.05, 0.08, 0.12, 0.2, 0.3)


class Point(NamedTuple):
    """One point of the operating characteristic.

    Attributes:
        wrong: wrong pieces in the bin.
        share: that as a share of the bin, 0 to 1.
        accepted: the chance that the count is accepted, 0 to 1.
    """

    wrong: int
    share: float
    accepted: float


def acceptance(lot: int, wrong: int, sample: int, accept: int) -> float:
    """The chance that at most ``accept`` of ``sample`` pieces are wrong, drawn without putting back.

    Args:
        lot: pieces in all, 1 or more.
        wrong: wrong ones among them, 0 to ``lot``.
        sample: pieces drawn, 0 to ``lot``.
        accept: 0 or more.
    """
    right = lot - wrong
    least = max(0, sample - right)  # so many wrong ones are in any sample
    most = min(accept, wrong, sample)
    if most < least:
        return 0.0
    ways = term = comb(wrong, least) * comb(right, sample - least)
    for found in range(least, most):
        term = term * (wrong - found) * (sample - found) // ((found + 1) * (right - sample + found + 1))
        ways += term
    return ways / comb(lot, sample)


def point(plan: SamplingPlan, wrong: int) -> Point:
    """How a plan judges a bin with so many wrong pieces, 0 to its lot."""
    return Point(wrong, wrong / plan.lot, acceptance(plan.lot, wrong, plan.sample, plan.accept))


def curve(plan: SamplingPlan) -> tuple[Point, ...]:
    """The operating characteristic at about ten numbers of wrong pieces, the fewest first."""
    wanted = {max(1, round(share * plan.lot)) for share in _SHARES}
    wanted |= {most_wrong(plan, chance) for chance in (0.95, 0.5, 0.1)}
    return tuple(point(plan, wrong) for wrong in sorted(wanted - {0}))


def most_wrong(plan: SamplingPlan, chance: float) -> int:
    """The most wrong pieces in the bin with which a plan still accepts with at least this chance.

    Args:
        chance: above 0, up to 1.
    """
    low, high = 0, plan.lot  # with none wrong it always accepts, and more wrong ones never raise the chance
    while low < high:
        middle = (low + high + 1) // 2
        if acceptance(plan.lot, middle, plan.sample, plan.accept) >= chance:
            low = middle
        else:
            high = middle - 1
    return low
