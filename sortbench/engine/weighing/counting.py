"""How many pieces lie on a scale, and how sure that is.

``N = (gross - tare) / m`` with the mass ``m`` of one piece. Its uncertainty is propagated (:mod:`.propagation`) from
both readings, from the mass of a piece, and from the scatter of the pieces on the scale: ``N`` pieces weigh ``N m`` but
for a share ``v / sqrt(N)``. The model is that of S. Steiner and R. J. MacKay, *Scale counting*, Technometrics 46 (2004)
346-354, for pieces counted against a sample of the same pieces.

A count is *exact* where one whole number alone lies within the interval, and that is no luck: where the interval is
wider than one piece, a single number in it is the right one less often than the interval says, for its neighbours lie
just outside. So the largest ``N`` that can be called exact is the one up to which rounding is right with the same
probability: half a piece must be as many standard uncertainties as reach to the end of the interval. For a normal error
that is ``2 Phi(0.5 / u(N)) - 1 >= 0.95``.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import ceil, floor, inf, sqrt
from random import Random
from typing import NamedTuple

from sortbench.engine.figures.quantiles import t_quantile
from sortbench.engine.weighing.monte_carlo import Drawn, drawn
from sortbench.engine.weighing.propagation import diagonal, normal_reach, propagate, share_within
from sortbench.engine.weighing.unit_mass import OnScale, UnitMass, net_u, reading_u
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.weighing import Load, Scale

CONFIDENCE = 0.95
"""Of every interval that is told."""

BY_HAND = 20
"""Pieces up to which counting by hand is the better way: our own choice, from no source. A hand counts them in the time
that the cup takes to come to rest, and makes no more mistakes over them."""

_HALF = 0.5
_DRAWN_ONE_BY_ONE = 4
"""Handfuls up to which a trial draws each reading; the mean of more is as good as normal."""
_TOLERANCE = 0.01
"""Pieces within which the figures of trials stand well enough."""


class Verdict(StrEnum):
    """What can be said of a count by weight."""

    EXACT = "exact"  # one whole number in the interval, which is no wider than a piece
    LIKELY = "likely"  # one whole number in an interval that is wider: by luck, for others like it hold two
    SEVERAL = "several"  # more than one
    NONE_FITS = "none fits"  # no whole number in it: something else lies on the scale, or the mass is wrong
    UNSURE = "unsure"  # nothing is known of how sure the mass of a piece is


class Shares(NamedTuple):
    """What the variance of a count is made of, as shares of 1.

    Attributes:
        load_scale: the readings of what is counted.
        mass_scale: the scale's part in the mass of a piece; all of it where that mass was told.
        mass_pieces: the scatter of the pieces that were weighed for the mass.
        load_pieces: the scatter of the pieces that are counted.
    """

    load_scale: float
    mass_scale: float
    mass_pieces: float
    load_pieces: float


class WeighedCount(NamedTuple):
    """How many pieces lie on the scale.

    Attributes:
        estimate: pieces, as it comes out.
        u: standard uncertainty of it in pieces; None where nothing is known of the mass of a piece.
        low, high: 95 % interval; None as well then.
        verdict: what can be said.
        best: the whole number that fits best.
        lowest, highest: the least and the greatest whole number in the interval; ``best`` where there is none.
        chance: how often the nearest whole number is the right one, for weighings like this; None as well.
        reach: standard uncertainties from the estimate to either end.
        shares: what the uncertainty is made of; None as well.
        trials: what the Monte Carlo method made of it, if it was asked; its interval is the one told then.
    """

    estimate: float
    u: float | None
    low: float | None
    high: float | None
    verdict: Verdict
    best: int
    lowest: int
    highest: int
    chance: float | None
    reach: float
    shares: Shares | None
    trials: Drawn | None = None


def count_by_weight(load: Load, scale: Scale, mass: UnitMass) -> WeighedCount:
    """Count the pieces of one part on a scale, with the law of propagation (JCGM 100)."""
    estimate = load.net_g / mass.mass_g
    best = max(0, round(estimate))
    if mass.u_scale_g is None or mass.u_pieces_g is None:
        reach = normal_reach(CONFIDENCE)
        return WeighedCount(estimate, None, None, None, Verdict.UNSURE, best, best, best, None, reach, None)
    reading = reading_u(scale)
    found = propagate(
        [_pieces],
        (load.gross_g, load.tare_g, mass.mass_g, 0.0, 0.0),
        diagonal((reading, reading, mass.u_scale_g, mass.u_pieces_g, _spread(mass, estimate))),
    )
    u = found.u()
    measured = sum(found.shares[0][2:])  # the load's scatter is that of the handfuls: one estimate serves both
    reach = _reach(mass.freedom, measured, u * u)
    gross, tare, mass_scale, mass_pieces, load_pieces = (share / (u * u) for share in found.shares[0])
    shares = Shares(gross + tare, mass_scale, mass_pieces, load_pieces)
    low, high = estimate - reach * u, estimate + reach * u
    verdict, lowest, highest = judged_interval(low, high, best)
    chance = share_within(_HALF / u)
    return WeighedCount(estimate, u, low, high, verdict, best, lowest, highest, chance, reach, shares)


def by_trials(count: WeighedCount, load: Load, scale: Scale, mass: UnitMass, seed: int) -> WeighedCount:
    """The same count with its interval by the Monte Carlo method (JCGM 101), which takes rounding as the even spread
    that it is; unchanged where nothing is known of the mass of a piece."""
    if mass.u_g is None:
        return count
    spread = _spread(mass, count.estimate)
    one_piece = _MassTrial(mass)

    def trial(random: Random) -> float:
        net = _drawn_net(random, load.net_g, scale)
        return net / (one_piece(random) * (1 + random.gauss(0.0, spread)))

    found = drawn(trial, seed, CONFIDENCE, tolerance=_TOLERANCE)
    verdict, lowest, highest = judged_interval(found.low, found.high, count.best)
    return count._replace(low=found.low, high=found.high, verdict=verdict, lowest=lowest, highest=highest, trials=found)


def judged_interval(low: float, high: float, best: int) -> tuple[Verdict, int, int]:
    """What an interval says: the verdict, and the least and the greatest whole number in it."""
    lowest, highest = max(0, ceil(low)), floor(high)
    if lowest > highest:
        return Verdict.NONE_FITS, best, best
    if lowest < highest:
        return Verdict.SEVERAL, lowest, highest
    return (Verdict.EXACT if high - low <= 1 else Verdict.LIKELY), lowest, highest


def largest_exact(scale: Scale, mass: UnitMass, reach: float | None = None) -> int:
    """The largest count that this scale and this mass of a piece can call exact; 0 if none, at most MAX_QUANTITY.

    Args:
        reach: standard uncertainties to an end of the interval; those of a normal 95 % interval if not told.
    """
    u_mass = mass.u_g
    if u_mass is None:
        return 0
    room = _room(scale, mass.mass_g, reach or normal_reach(CONFIDENCE))
    if room < 0:
        return 0
    square, linear = (u_mass / mass.mass_g) ** 2, mass.scatter.share**2
    return floor(min(MAX_QUANTITY, _largest_root(square, linear, room) * (1 + 1e-12)))


def sample_needed(pieces: float, scale: Scale, mass_g: float, scatter: float, reach: float | None = None) -> int | None:
    """How many pieces to count by hand and weigh, so that so many pieces can be counted exactly by weight; None where
    no sample will do, or only one of more pieces than are to be counted.

    Args:
        pieces: to be counted, above 0.
        mass_g: of one piece, roughly.
        scatter: from piece to piece, as a share of the mass.
        reach: as for :func:`largest_exact`.
    """
    room = (_room(scale, mass_g, reach or normal_reach(CONFIDENCE)) - pieces * scatter**2) / pieces**2
    if room <= 0:
        return None
    share = _largest_root((net_u(scale) / mass_g) ** 2, scatter**2, room)  # of 1 / n
    needed = max(1, ceil(1 / share * (1 - 1e-12)))
    return needed if needed <= pieces else None


def scale_is_too_coarse(scale: Scale, mass_g: float) -> bool:
    """Whether the scale alone cannot tell one piece more or less, whatever sample is weighed."""
    return _room(scale, mass_g, normal_reach(CONFIDENCE)) <= 0


def _room(scale: Scale, mass_g: float, reach: float) -> float:
    """Variance of a count, in pieces squared, that an exact one leaves for all but the readings of the load."""
    return float((_HALF / reach) ** 2 - (net_u(scale) / mass_g) ** 2)


def _largest_root(square: float, linear: float, room: float) -> float:
    """The largest x, 0 or more, with ``square x^2 + linear x <= room``."""
    if square == 0:
        return room / linear if linear else inf if room > 0 else 0.0
    # Written so that nothing cancels where the linear part outweighs the other.
    return 2 * room / (linear + sqrt(linear * linear + 4 * square * room)) if room > 0 else 0.0


def _pieces(at: Sequence[float]) -> float:
    gross, tare, mass, of_sample, of_load = at
    return (gross - tare) / ((mass + of_sample) * (1 + of_load))


def _spread(mass: UnitMass, pieces: float) -> float:
    """By what share the mean of so many pieces may be off from the mean of all there are."""
    return mass.scatter.share / sqrt(max(pieces, 1.0))


def _reach(freedom: int | None, measured: float, variance: float) -> float:
    """Standard uncertainties to an end of the interval; Student's t where the mass rests on few handfuls.

    Effective degrees of freedom after Welch and Satterthwaite (JCGM 100:2008, G.4.1).
    """
    if freedom is None or measured <= 0:
        return normal_reach(CONFIDENCE)
    return t_quantile(min(100_000, floor(freedom * (variance / measured) ** 2)), CONFIDENCE)


def _drawn_net(random: Random, net_g: float, scale: Scale) -> float:
    half, spread = scale.step_g / 2, sqrt(scale.repeat_g**2 + scale.error_g**2)
    rounding = random.uniform(-half, half) - random.uniform(-half, half)
    return net_g + rounding + random.gauss(0.0, spread * sqrt(2))


class _MassTrial:
    """Draws the mass of a piece."""

    def __init__(self, mass: UnitMass) -> None:
        self._mass = mass
        self._one_by_one: tuple[tuple[float, OnScale], ...] = ()
        if mass.freedom is None and len(mass.pooled) <= _DRAWN_ONE_BY_ONE:
            self._one_by_one = mass.pooled

    def __call__(self, random: Random) -> float:
        mass, share = self._mass, self._mass.scatter.share
        if not self._one_by_one:
            deviate = random.gauss(0.0, 1.0)
            if mass.freedom is not None:  # Student's t for what was measured on few handfuls (JCGM 101:2008, 6.4.9)
                deviate /= sqrt(random.gammavariate(mass.freedom / 2, 2 / mass.freedom))
            return max(mass.mass_g + (mass.u_g or 0.0) * deviate, mass.mass_g * 1e-6)
        total = 0.0
        for weight, (handful, scale) in self._one_by_one:
            off = random.gauss(0.0, share * mass.mass_g / sqrt(handful.pieces))
            total += weight * (_drawn_net(random, handful.net_g, scale) / handful.pieces + off)
        return max(total, mass.mass_g * 1e-6)
