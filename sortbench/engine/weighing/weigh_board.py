"""What is told of a count by weight: a headline, what could be done for a surer one, and what was assumed.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from math import floor, log10
from typing import NamedTuple

from sortbench.engine.weighing.counting import (
    BY_HAND,
    Verdict,
    WeighedCount,
    largest_exact,
    sample_needed,
    scale_is_too_coarse,
)
from sortbench.engine.weighing.propagation import normal_reach
from sortbench.engine.weighing.unit_mass import MassFrom, Scatter, ScatterFrom, UnitMass
from sortbench.model.weighing import Load, Scale

_MUCH_MORE = 2.0
"""How many times what was expected a measured scatter must be before a handful is suspected."""
_APART = 0.1
"""Share by which a mass may differ from the one that the catalogue lists before that is told."""


class Answer(NamedTuple):
    """A count by weight with all there is to say of it.

    Attributes:
        load, scale, mass: what it was worked out from.
        found: the count.
        largest: the largest count that this scale and this mass of a piece can call exact; 0 if none.
        needed: pieces of a handful that would make this count exact; None if no handful will do. 0 where it is exact.
        headline: what was found, on one line.
        advice: what to do about a count that is not exact, line by line; whether to count by hand.
        assumed: what was taken for granted.
    """

    load: Load
    scale: Scale
    mass: UnitMass
    found: WeighedCount
    largest: int
    needed: int | None
    headline: str
    advice: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def is_exact(self) -> bool:
        """Whether it may be called exact."""
        return self.found.verdict is Verdict.EXACT


def answered(
    load: Load,
    scale: Scale,
    mass: UnitMass,
    count: WeighedCount,
    listed_g: float | None,
    expected: Scatter,
    repeat_told: bool,
) -> Answer:
    """Put a count into words.

    Args:
        listed_g: what the catalogue says a piece weighs, None if nothing.
        expected: the scatter from piece to piece that was told or assumed before any was measured.
        repeat_told: whether the user told how repeated readings scatter.
    """
    largest = largest_exact(scale, mass, count.reach)
    exact = count.verdict is Verdict.EXACT
    pieces = max(count.estimate, 1.0)
    needed = 0 if exact else sample_needed(pieces, scale, mass.mass_g, mass.scatter.share)
    return Answer(
        load,
        scale,
        mass,
        count,
        largest,
        needed,
        _headline(count, mass),
        (*_suspicions(mass, count, listed_g, expected), *_advice(scale, mass, count, largest, needed)),
        tuple(_assumed(scale, mass, repeat_told)),
    )


def _headline(count: WeighedCount, mass: UnitMass) -> str:
    if count.verdict is Verdict.UNSURE:
        who = "the catalogue does not say" if mass.source is MassFrom.CATALOGUE else "nobody said"
        return f"about {count.best:,}: {who} how sure {mass.mass_g:g} g a piece is"
    if count.verdict is Verdict.EXACT:
        return f"exactly {count.best:,}"
    if count.verdict is Verdict.LIKELY:
        return (
            f"likely {count.lowest:,}, but weighings like this one are right in {100 * (count.chance or 0):.0f} % only"
        )
    if count.verdict is Verdict.SEVERAL:
        return f"{count.lowest:,} to {count.highest:,}, best {count.best:,}"
    return f"{interval_words(count)}: no whole number of pieces weighs that"


def interval_words(count: WeighedCount) -> str:
    """The estimate and its interval, to the digits that mean something: ``143.2 (142.4 to 144.0)``."""
    if count.u is None or count.low is None or count.high is None:
        return f"{count.estimate:.1f}"
    places = decimals(count.u)
    return f"{count.estimate:,.{places}f} ({count.low:,.{places}f} to {count.high:,.{places}f})"


def decimals(u: float) -> int:
    """Decimals of a figure whose uncertainty is to be told with two digits (JCGM 100:2008, 7.2.6), 6 at most."""
    if u <= 0:
        return 3
    return max(0, min(6, 1 - floor(log10(u))))


def mass_words(mass: UnitMass) -> str:
    """The mass of a piece: with the interval that it is known to, and where it comes from."""
    u = mass.u_g
    if u is None:
        how = "as the catalogue lists it" if mass.source is MassFrom.CATALOGUE else "as told"
        return f"{mass.mass_g:g} g a piece, {how}"
    places = decimals(u)
    words = f"{mass.mass_g:.{places}f} ± {normal_reach(0.95) * u:.{places}f} g a piece"
    if mass.source is MassFrom.GIVEN:
        return f"{words}, as told"
    handfuls = len(mass.pooled)
    return f"{words}, from {mass.pieces:,} pieces in {handfuls} {'handful' if handfuls == 1 else 'handfuls'}"


def share_words(count: WeighedCount) -> str:
    """What the uncertainty is made of, largest first; empty where there is none."""
    if count.shares is None:
        return ""
    names = "reading of the load", "mass of a piece: scale", "mass of a piece: scatter", "scatter of the pieces counted"
    parts = sorted(zip(count.shares, names, strict=True), reverse=True)
    return ", ".join(f"{name} {100 * share:.0f} %" for share, name in parts if share >= 0.005)


def _suspicions(mass: UnitMass, count: WeighedCount, listed_g: float | None, expected: Scatter) -> list[str]:
    """What does not fit together."""
    words = []
    if count.verdict is Verdict.NONE_FITS:
        words.append("Look for other pieces in the cup, and count the handful once more.")
    if mass.source is MassFrom.HANDFULS and listed_g and abs(mass.mass_g / listed_g - 1) > _APART:
        words.append(f"The catalogue lists {listed_g:g} g a piece: look whether cup and pieces are the right ones.")
    if mass.scatter.source is ScatterFrom.MEASURED and mass.scatter.share > _MUCH_MORE * expected.share:
        words.append(
            f"The handfuls differ by more than pieces that differ by {100 * expected.share:g} % should: "
            "one of them may be miscounted."
        )
    return words


def _advice(scale: Scale, mass: UnitMass, count: WeighedCount, largest: int, needed: int | None) -> list[str]:
    """What to do about a count that is not exact."""
    words = []
    if count.estimate <= BY_HAND:
        words.append(f"Up to {BY_HAND} pieces are counted by hand as fast, and surely.")
        return words
    if count.verdict is Verdict.EXACT:
        return words
    if scale_is_too_coarse(scale, mass.mass_g):
        words.append(
            f"In steps of {scale.step_g:g} g this scale cannot tell one piece of {mass.mass_g:.3g} g more or less: "
            "no count on it is exact, whatever handful is weighed."
        )
        return words
    if mass.u_g is not None:
        words.append(
            f"The most that this scale and what is known of a piece can call exact is {largest:,}"
            + (": weighed in portions of up to that, each can be." if largest > BY_HAND else ".")
            if largest
            else "What is known of a piece is too little to call any count exact."
        )
    if needed is None:
        words.append(f"No handful makes {count.best:,} exact: pieces differ too much.")
    elif needed * 2 > count.estimate:
        words.append(f"A handful of {needed:,} would be needed: count all of them by hand instead.")
    elif needed > mass.pieces or mass.u_g is None:
        words.append(f"Count a handful of {needed:,} by hand and weigh it: then {count.best:,} can be exact.")
    return words


def _assumed(scale: Scale, mass: UnitMass, repeat_told: bool) -> list[str]:
    words = []
    if mass.scatter.source is ScatterFrom.ASSUMED:
        words.append(
            f"Pieces are taken to differ by {100 * mass.scatter.share:g} % of their mass, one standard deviation: "
            "nobody measured it here."
        )
    elif mass.scatter.source is ScatterFrom.MEASURED:
        words.append(f"Pieces differ by {100 * mass.scatter.share:.2g} % of their mass, as the handfuls show.")
    if not repeat_told:
        words.append(f"Readings of one load are taken to differ by {scale.repeat_g:g} g: nobody told it of this scale.")
    return words
