"""How many pieces an uncounted pile holds: from its weight, or from scoops counted out.

**From its weight.** A pile of ``W`` grams holds ``L = W / r`` pieces, with ``r`` grams a piece. Clusters that were
counted and weighed together (handfuls scooped out of the pile, or tallies of pieces whose masses are known) give it as
the ratio of their sums, ``r = sum(g) / sum(n)``. Its relative standard error is ``c = sqrt(s2 / k) / (r mean(n))`` with
``s2 = sum((g - r n) ** 2) / (k - 1)`` over ``k`` clusters (W. G. Cochran, *Sampling Techniques*, 3rd ed. 1977, section
2.11). That of the reading adds to it, and the interval is formed on the logarithm, so that it stays above 0, with
Student's t for ``k - 1`` degrees of freedom.

**From scoops.** Of ``F`` scoops that the pile fills, ``k`` were counted out: the pile holds ``F mean(n)`` pieces, with
the standard error ``F sqrt((1 - k / F) s2 / k)``, ``s2`` the variance from scoop to scoop (Cochran, section 2.4).

Both stand on what is scooped or counted being like what is left. Whoever has picked the large pieces out first leaves
more and smaller ones than this says.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import exp, fsum, hypot, sqrt
from typing import NamedTuple

from sortbench.engine.figures.quantiles import t_quantile
from sortbench.engine.weighing.unit_mass import OnScale
from sortbench.model.errors import DataError

MIN_HANDFULS = 2
MIN_TALLIES = 30
"""Tallies of known mass below which they say too little of what is left: some are heaps, and most are single pieces."""
MOST_PIECES = 10_000_000
_WIDEST = 14.0
"""Log of the factor beyond which a range says nothing, and must not overflow."""


class PileFrom(StrEnum):
    """What a pile's size is worked out from."""

    HANDFULS = "handfuls weighed"
    TALLIES = "pieces counted so far"
    SCOOPS = "scoops counted out"


class PileSize(NamedTuple):
    """Pieces in a pile that is not counted yet.

    Attributes:
        pieces: the estimate.
        low, high: 95 % interval.
        source: what it is worked out from.
        clusters: how many handfuls, tallies or scoops.
        observed: pieces in them.
        mean_g: grams a piece, None where nothing was weighed.
    """

    pieces: float
    low: float
    high: float
    source: PileFrom
    clusters: int
    observed: int
    mean_g: float | None


def pile_by_handfuls(net_g: float, u_g: float, handfuls: Sequence[OnScale]) -> PileSize:
    """A pile that was weighed, by handfuls that were scooped out of it, counted and weighed.

    Args:
        net_g: what it weighs, above 0.
        u_g: standard uncertainty of that from the scale.

    Raises:
        DataError: fewer than two handfuls, or so many pieces that it cannot be meant.
    """
    if len(handfuls) < MIN_HANDFULS:
        raise DataError(
            "One handful does not say how much handfuls differ.", "Scoop, count and weigh two more at least."
        )
    clusters = [(each.handful.pieces, each.handful.net_g) for each in handfuls]
    return _by_weight(net_g, u_g, clusters, PileFrom.HANDFULS)


def pile_by_tallies(net_g: float, u_g: float, tallies: Sequence[tuple[int, float]]) -> PileSize:
    """A pile that was weighed, by what the pieces weigh that were counted out of it so far.

    Args:
        net_g, u_g: as for :func:`pile_by_handfuls`.
        tallies: pieces and their grams together, of every tally whose piece has a known mass.

    Raises:
        DataError: fewer than MIN_TALLIES, or so many pieces that it cannot be meant.
    """
    if len(tallies) < MIN_TALLIES:
        raise DataError(
            f"Too few tallies of pieces with a known mass: {len(tallies)}.",
            f"From {MIN_TALLIES} on they say what a piece weighs; until then scoop handfuls, count and weigh them.",
        )
    return _by_weight(net_g, u_g, tallies, PileFrom.TALLIES)


def _by_weight(net_g: float, u_g: float, clusters: Sequence[tuple[int, float]], source: PileFrom) -> PileSize:
    count, observed = len(clusters), sum(pieces for pieces, _ in clusters)
    mean_g = fsum(grams for _, grams in clusters) / observed
    squares = fsum((grams - mean_g * pieces) ** 2 for pieces, grams in clusters)
    of_mean = sqrt(squares / (count - 1) / count) / (mean_g * observed / count)
    factor = exp(min(_WIDEST, t_quantile(count - 1) * hypot(of_mean, u_g / net_g)))
    pieces = net_g / mean_g
    return _checked(PileSize(pieces, pieces / factor, pieces * factor, source, count, observed, mean_g))


def pile_by_scoops(scoops: int, counted: Sequence[int]) -> PileSize:
    """The pile by scoops of one size: how many it fills, and the pieces in some of them.

    Args:
        scoops: that the whole pile fills, those counted among them.
        counted: pieces in each that was counted out.

    Raises:
        DataError: fewer than two counted, more than there are, a scoop without a piece, or so many pieces that it
            cannot be meant.
    """
    count = len(counted)
    if count < MIN_HANDFULS:
        raise DataError("One scoop does not say how much scoops differ.", "Count two more out at least.")
    if count > scoops or min(counted) < 1:
        raise DataError(
            f"{count} scoops of {scoops} cannot have been counted out.", "Give all scoops, then those counted."
        )
    observed = sum(counted)
    mean = observed / count
    variance = fsum((pieces - mean) ** 2 for pieces in counted) / (count - 1)
    reach = t_quantile(count - 1) * scoops * sqrt((1 - count / scoops) * variance / count)
    pieces = scoops * mean
    low = max(float(observed), pieces - reach)
    return _checked(PileSize(pieces, low, pieces + reach, PileFrom.SCOOPS, count, observed, None))


def _checked(found: PileSize) -> PileSize:
    if not 0.5 <= found.pieces <= MOST_PIECES:
        raise DataError(
            f"That would be a pile of {found.pieces:,.0f} pieces.",
            "Look at the figures: all are grams, with cup and then without.",
        )
    return found._replace(high=min(found.high, float(MOST_PIECES)))
