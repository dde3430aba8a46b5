"""What one piece weighs: from handfuls that were counted by hand and weighed, with its uncertainty.

A handful of ``n`` pieces that weighs ``S`` says ``m = S / n``. Two things make it uncertain: the scale, by
``u(S) / n``, and the pieces, which scatter from one to the next by a share ``v`` of their mass, by ``v m / sqrt(n)``.
Handfuls of one part are pooled as a mean weighted by the inverse of these variances.

**The scatter** is what the user says, or an assumption that is marked as one, or is measured: the ``v`` for which the
handfuls scatter about their mean just as much as their uncertainties say (R. C. Paule and J. Mandel, *Consensus values
and weighting factors*, J. Res. NBS 87 (1982) 377-385, there for laboratories). A measured one takes the place of an
assumption from MEASURED_FROM handfuls on, and of anything as soon as three handfuls scatter more than they should, or
two by more than chance makes them in one of a hundred. The mean then has Student's t with one degree of freedom less
than there are handfuls.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import fsum, sqrt
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.weighing import MAX_SCATTER, Handful, Scale

ASSUMED_SCATTER = 0.01
"""Scatter from piece to piece where nobody told or measured one: our own choice on the careful side, from no source."""

ASSUMED_REPEAT = 0.5
"""Standard deviation of repeated readings, in steps of the scale, where nobody told it: our own choice, no source."""

MEASURED_FROM = 10
"""Handfuls from which on a measured scatter takes the place of an assumed one."""


class MassFrom(StrEnum):
    """Where the mass of a piece comes from."""

    HANDFULS = "handfuls"  # counted by hand and weighed, now or earlier
    GIVEN = "given"  # told by the user
    CATALOGUE = "catalogue"  # as listed, its uncertainty unknown


class ScatterFrom(StrEnum):
    """Where the scatter from piece to piece comes from."""

    TOLD = "told"
    MEASURED = "measured"
    ASSUMED = "assumed"


class Scatter(NamedTuple):
    """How much pieces of one part differ: a standard deviation as a share of their mass, and how that is known."""

    share: float = ASSUMED_SCATTER
    source: ScatterFrom = ScatterFrom.ASSUMED


_TWO_APART = 6.635
"""Squared difference of two handfuls, in units of its variance, that chance passes in one of a hundred: the 99 % point
of chi-squared with one degree of freedom, printed tables."""

UNKNOWN_SCATTER = Scatter()
"""What is taken where nobody told or measured a scatter."""


class OnScale(NamedTuple):
    """A handful and the scale that it lay on."""

    handful: Handful
    scale: Scale


class UnitMass(NamedTuple):
    """The mass of one piece.

    Attributes:
        mass_g: grams.
        u_scale_g, u_pieces_g: standard uncertainties of it from the scale and from the pieces' scatter; where the mass
            was told, the first is all there is to say. None where nothing is known of them.
        source: where it comes from.
        scatter: from piece to piece.
        freedom: degrees of freedom of the uncertainty; None where it counts as known.
        pooled: what it was pooled from, with the weight of each; the weights sum to 1.
    """

    mass_g: float
    u_scale_g: float | None
    u_pieces_g: float | None
    source: MassFrom
    scatter: Scatter
    freedom: int | None = None
    pooled: tuple[tuple[float, OnScale], ...] = ()

    @property
    def u_g(self) -> float | None:
        """Standard uncertainty in grams, None where nothing is known of it."""
        if self.u_scale_g is None or self.u_pieces_g is None:
            return None
        return sqrt(self.u_scale_g**2 + self.u_pieces_g**2)

    @property
    def pieces(self) -> int:
        """Pieces that were counted by hand for it."""
        return sum(each.handful.pieces for _, each in self.pooled)


def reading_u(scale: Scale) -> float:
    """Standard uncertainty of one reading in grams: rounding to a step, repeatability, calibration.

    Rounding leaves half a step either way with equal chance: ``step / sqrt(12)`` (JCGM 100:2008, F.2.2.1).
    """
    return sqrt(scale.step_g**2 / 12 + scale.repeat_g**2 + scale.error_g**2)


def net_u(scale: Scale) -> float:
    """Standard uncertainty in grams of a mass that is the difference of two readings, with cup and without.

    The readings count as independent, which they are not quite where one reading of the cup serves twice; a count, a
    ratio of two such masses, is then a little better than said.
    """
    return sqrt(2) * reading_u(scale)


def told_scatter(share: float) -> Scatter:
    """A scatter that the user knows.

    Raises:
        DataError: it cannot be.
    """
    if not 0 <= share <= MAX_SCATTER:
        raise DataError(
            f"Pieces of one part do not scatter by {100 * share:g} %.", f"Give 0 to {100 * MAX_SCATTER:g} %."
        )
    return Scatter(share, ScatterFrom.TOLD)


def listed_mass(mass_g: float, scatter: Scatter) -> UnitMass:
    """The mass of the catalogue, of which nobody knows how sure it is."""
    return UnitMass(mass_g, None, None, MassFrom.CATALOGUE, scatter)


def given_mass(mass_g: float, u_g: float | None, scatter: Scatter) -> UnitMass:
    """A mass that the user knows, with its standard uncertainty in grams; None if that is not known.

    Raises:
        DataError: one of them cannot be.
    """
    if not 0 < mass_g <= 10_000:
        raise DataError(f"A piece does not weigh {mass_g:g} g.", "Give grams, above 0.")
    if u_g is None:
        return UnitMass(mass_g, None, None, MassFrom.GIVEN, scatter)
    if not 0 <= u_g < mass_g:
        raise DataError(
            f"{u_g:g} g is no standard uncertainty of a mass of {mass_g:g} g.", "Give grams, less than the mass."
        )
    return UnitMass(mass_g, u_g, 0.0, MassFrom.GIVEN, scatter)


def pooled_mass(handfuls: Sequence[OnScale], scatter: Scatter = UNKNOWN_SCATTER) -> UnitMass:
    """The mass of one piece from handfuls of one part.

    Args:
        handfuls: one at least.
        scatter: what is known of the scatter from piece to piece.

    Raises:
        ValueError: no handful.
    """
    if not handfuls:
        raise ValueError("a mean of no handfuls")
    freedom = None
    count = len(handfuls)
    if count >= 3 or (count == 2 and _too_much(handfuls, scatter.share) + 1 > _TWO_APART):
        found = measured_scatter(handfuls)
        if found > scatter.share or (count >= MEASURED_FROM and scatter.source is ScatterFrom.ASSUMED):
            scatter, freedom = Scatter(found, ScatterFrom.MEASURED), count - 1
    weights, mass = _weighted(handfuls, scatter.share)
    of_scale = sqrt(
        fsum((w * net_u(each.scale) / each.handful.pieces) ** 2 for w, each in zip(weights, handfuls, strict=True))
    )
    of_pieces = (
        scatter.share
        * mass
        * sqrt(fsum(w * w / each.handful.pieces for w, each in zip(weights, handfuls, strict=True)))
    )
    pooled = tuple(zip(weights, handfuls, strict=True))
    return UnitMass(mass, of_scale, of_pieces, MassFrom.HANDFULS, scatter, freedom, pooled)


def measured_scatter(handfuls: Sequence[OnScale]) -> float:
    """The scatter from piece to piece for which handfuls differ just as much as they should, as a share of their mass;
    0 where they differ less than the scale alone explains.

    Args:
        handfuls: two at least.
    """
    low, high = 0.0, MAX_SCATTER
    if _too_much(handfuls, low) <= 0:
        return 0.0
    if _too_much(handfuls, high) > 0:
        return high
    for _ in range(60):
        middle = (low + high) / 2
        if _too_much(handfuls, middle) > 0:
            low = middle
        else:
            high = middle
    return high


def _too_much(handfuls: Sequence[OnScale], scatter: float) -> float:
    """By how much the squares about the mean, in units of their variance, exceed what is to be expected."""
    _, mass = _weighted(handfuls, scatter)
    squares = fsum(
        (each.handful.net_g / each.handful.pieces - mass) ** 2 / _variance(each, scatter, mass) for each in handfuls
    )
    return squares - (len(handfuls) - 1)


def _weighted(handfuls: Sequence[OnScale], scatter: float) -> tuple[tuple[float, ...], float]:
    """Weights that sum to 1, and the mean."""
    rough = fsum(each.handful.net_g for each in handfuls) / sum(each.handful.pieces for each in handfuls)
    inverse = [1 / _variance(each, scatter, rough) for each in handfuls]
    total = fsum(inverse)
    weights = tuple(each / total for each in inverse)
    mass = fsum(w * each.handful.net_g / each.handful.pieces for w, each in zip(weights, handfuls, strict=True))
    return weights, mass


def _variance(each: OnScale, scatter: float, mass: float) -> float:
    """Of what one handful says of the mass of a piece, in grams squared."""
    pieces = each.handful.pieces
    return (net_u(each.scale) / pieces) ** 2 + (scatter * mass) ** 2 / pieces
