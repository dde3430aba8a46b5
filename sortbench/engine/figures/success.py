"""How often a treatment helped at this bench, and how often it broke pieces: rates with exact intervals."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from sortbench.engine.figures.quantiles import beta_quantile
from sortbench.model.errors import DataError
from sortbench.model.treatment import Treatment


class Rate(NamedTuple):
    """A share of pieces with its interval.

    Attributes:
        estimate: the share seen, 0 to 1.
        low, high: ends of the interval.
    """

    estimate: float
    low: float
    high: float


def rate(successes: int, trials: int, confidence: float = 0.95) -> Rate:
    """A share with its exact interval after Clopper and Pearson 1934 (Biometrika 26:404-413).

    It holds the true share at least as often as it says, whatever that is, for pieces that turn out independently of
    each other.

    Args:
        successes: 0 to trials.
        trials: 1 or more.
        confidence: above 0, below 1.

    Raises:
        DataError: a number out of range.
    """
    if not (trials >= 1 and 0 <= successes <= trials and 0 < confidence < 1):
        raise DataError(f"{successes} of {trials} is no share.", "Give at least one piece, and none too many.")
    tail, misses = (1 - confidence) / 2, trials - successes
    low = beta_quantile(tail, successes, misses + 1) if successes else 0.0
    high = beta_quantile(1 - tail, successes + 1, misses) if misses else 1.0
    return Rate(successes / trials, low, high)


class Outcomes(NamedTuple):
    """What treatments did to the pieces of one shade, or to all.

    Attributes:
        shade: its name; empty for all together.
        treatments: how many baths.
        quantity, improved, unchanged, broken: pieces.
        success, breakage: shares of the pieces that improved and broke. Pieces of one bath share its luck, so with few
            baths the intervals are too narrow; `treatments` tells how few.
    """

    shade: str
    treatments: int
    quantity: int
    improved: int
    unchanged: int
    broken: int
    success: Rate
    breakage: Rate


def outcomes(treatments: Iterable[Treatment]) -> tuple[Outcomes, ...]:
    """What treatments did, shade by shade in order of their names, then all together; struck ones are left out."""
    by_shade: dict[str, list[Treatment]] = {}
    for treatment in treatments:
        if treatment.struck:
            continue
        by_shade.setdefault(treatment.shade, []).append(treatment)
    found = [_summed(shade, by_shade[shade]) for shade in sorted(by_shade)]
    everything = [treatment for some in by_shade.values() for treatment in some]
    return (*found, _summed("", everything)) if everything else ()


def _summed(shade: str, treatments: list[Treatment]) -> Outcomes:
    improved, unchanged, broken = (
        sum(getattr(each, what) for each in treatments) for what in ("improved", "unchanged", "broken")
    )
    quantity = sum(each.quantity for each in treatments)
    success, breakage = rate(improved, quantity), rate(broken, quantity)
    return Outcomes(shade, len(treatments), quantity, improved, unchanged, broken, success, breakage)
