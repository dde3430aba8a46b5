"""What the plan reckons a piece to cost: its blemishes, the hole it leaves, and treating it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from sortbench.engine.figures.success import Outcomes, outcomes
from sortbench.model.grade import Flaws, Grade
from sortbench.model.money import MINOR_UNITS
from sortbench.model.prices import FIRST_PRICES, Prices, Terms
from sortbench.model.target import Line
from sortbench.model.treatment import Treatment

LEAST_TREATED = 10
"""Pieces that must have been treated before a rate of the bench's own record is used: a rule of thumb, no source."""


class Costs:
    """Prices of holes and blemishes by target, in whole minor units.

    Args:
        prices: by code of the target; under an empty code what holds for all; what nobody says is as first set.
        currency: the bench's own.
    """

    def __init__(self, prices: Mapping[str, Prices], currency: str) -> None:
        self._prices = prices
        self._digits = MINOR_UNITS[currency]

    def _of(self, code: str, name: str) -> int:
        for prices in (self._prices.get(code), self._prices.get(""), FIRST_PRICES):
            amount: Decimal | None = getattr(prices, name, None)
            if amount is not None:
                return round(Fraction(amount.scaleb(self._digits)))
        raise AssertionError(name)

    def hole(self, code: str) -> int:
        """What a missing piece costs a target."""
        return self._of(code, "hole")

    def as_it_is(self, code: str, line: Line, grade: Grade | None, flaws: Flaws, points: int) -> int:
        """What it costs that a piece on a line is what it is; a piece that nobody graded counts as good enough.

        Args:
            code: the target.
            line: what is asked for.
            grade, flaws: of the piece.
            points: what it costs in correctness that it stands in; 0 for the kind asked for.
        """
        steps = max(0, line.lowest - grade) if grade is not None else 0
        parts = (steps, "blemish"), (len(flaws), "flaw"), (points, "point")
        return sum(number * self._of(code, name) for number, name in parts if number)


class Chance(NamedTuple):
    """What is expected of treating a piece.

    Attributes:
        cost: of treating it, minor units.
        improved, broken: shares, 0 to 1.
        gain: half steps that an improved piece gains.
        source: where the shares come from, in words.
    """

    cost: int
    improved: Fraction
    broken: Fraction
    gain: int
    source: str

    def after(self, grade: Grade) -> Grade:
        """The grade of an improved piece."""
        return Grade(min(int(Grade.G5), grade + self.gain))

    def expected(self, better: int, same: int, lost: int) -> int:
        """The cost to be expected, rounded half to even.

        Args:
            better, same, lost: what the piece costs if it improves, stays as it is, or breaks.
        """
        unchanged = 1 - self.improved - self.broken
        return round(self.cost + self.improved * better + unchanged * same + self.broken * lost)


class Treating:
    """Rates of success: what the user says, else what the bench's own record says, of the shade or of all together.

    Args:
        terms: the user's figures.
        treatments: the record; without enough pieces in it, and without figures, nothing is treated.
    """

    def __init__(self, terms: Terms, treatments: Sequence[Treatment]) -> None:
        self._terms = terms
        self._cost = round(Fraction(terms.treatment.scaleb(MINOR_UNITS[terms.currency])))
        self._record = {each.shade: each for each in outcomes(treatments) if each.quantity >= LEAST_TREATED}
        self._gain = terms.gain or _mean_gain(treatments)
        self.notes: list[str] = []
        self._told = False

    def of(self, shade: str) -> Chance | None:
        """What is expected of treating a piece of a shade; None where nothing is known."""
        terms = self._terms
        seen = self._record.get(shade) or self._record.get("")
        improved, source = _share(terms.improved, seen, "improved")
        broken, _ = _share(terms.broken, seen, "broken")
        if improved is None or broken is None or self._gain is None or improved + broken > 1:
            if not self._told:
                self.notes.append(
                    "Treating is not weighed: fewer than "
                    f"{LEAST_TREATED} pieces were treated and graded at this bench, and no rates are set."
                )
                self._told = True
            return None
        return Chance(self._cost, improved, broken, self._gain, source)


def _share(said: float | None, seen: Outcomes | None, name: str) -> tuple[Fraction | None, str]:
    if said is not None:
        return Fraction(str(said)), "as set"
    if seen is None:
        return None, ""
    pieces: int = getattr(seen, name)
    return Fraction(pieces, seen.quantity), f"as seen on {seen.quantity} pieces"


def _mean_gain(treatments: Sequence[Treatment]) -> int | None:
    """Half steps that improved pieces gained, the mean over all that were graded before and after, rounded down."""
    graded = [
        (treatment.grade_after - treatment.grade, treatment.improved)
        for treatment in treatments
        if not treatment.struck and treatment.grade is not None and treatment.grade_after is not None
    ]
    pieces = sum(number for _, number in graded)
    return max(0, sum(gain * number for gain, number in graded) // pieces) or None if pieces else None
