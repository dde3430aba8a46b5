"""A piece judged against its unaged reference: grade, difference, yellowness, and how sure each of them is.

The grade (ISO 105-A05) says how far the change can be seen on the scale of the bench; it ends at 1. The difference
(CIEDE2000) goes on, so it orders the worst pieces. The yellowness index (ASTM E313) is given where it means something.

Uncertainties are standard uncertainties, carried from those of L*, a* and b* of both colours, taken as independent
(JCGM 100:2008, 5.1.2), numerically as its 5.1.3, note 2 has it. Where a figure bends, as a difference does around 0, a
plain slope would claim to be sure, so the mean square of the steps to both sides is taken: on straight pieces it is the
same.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from enum import StrEnum
from typing import NamedTuple

from sortbench.engine.condition.change_rating import SATURATED, colour_change, grade_of, open_rating, rating
from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import Lab, lab_to_xyz
from sortbench.engine.condition.yellowness import yellowness_index, yellowness_scope
from sortbench.model.grade import Grade

PERCEPTIBLE = 0.8
"""Difference that half of all observers just see: Paravina et al. 2015, J. Esthet. Restor. Dent. 27 (S1) S1-S9, taken
up in ISO/TR 28642:2016. Found for tooth-coloured ceramics side by side; for bricks it is a default, not a finding."""

ACCEPTABLE = 1.8
"""Difference that half of all observers accept; same sources, same limits."""

COVERAGE = 2.0
"""Standard uncertainties to either side that a band of grades takes in: about 95 % (JCGM 100:2008, 6.3.3)."""


_BLACK = 0.01


class Limit(StrEnum):
    """A difference held against the published limits of what is seen and what is accepted."""

    UNSEEN = "not perceptible"
    ACCEPTED = "acceptable"
    BEYOND = "beyond acceptable"


class Judgement(NamedTuple):
    """What comparing a piece with its reference comes to.

    Attributes:
        piece: colour of the piece, D65 for 2 degrees.
        reference: colour of an unaged piece of the shade.
        grade: half step of the grey scale.
        rating: grey-scale rating GSc it was rounded from, 5.0 to 1.0.
        rating_u: standard uncertainty of it (below 1 as if the scale went on); None where none was given.
        change: colour change dE_F of ISO 105-A05.
        difference: CIEDE2000.
        difference_u: standard uncertainty of it; None where none was given.
        limit: the difference against the published limits.
        saturated: the rating has come to its end, and only the difference tells how bad it is.
        best: the best grade that the uncertainty allows; the grade itself where no uncertainty was given.
        worst: the worst one.
        yellowness: index E313 of the piece, where it is within its scope or neutral; else None.
        yellowness_change: by how much it is above the reference's, which may also be hardly coloured; else None.
        yellowness_change_u: standard uncertainty of the change; None where there is no change, or none was given.
        why_no_yellowness: why there is no index or no change of it, in words; empty where both are there.
    """

    piece: Lab
    reference: Lab
    grade: Grade
    rating: float
    rating_u: float | None
    change: float
    difference: float
    difference_u: float | None
    limit: Limit
    saturated: bool
    best: Grade
    worst: Grade
    yellowness: float | None
    yellowness_change: float | None
    yellowness_change_u: float | None
    why_no_yellowness: str


def judge(piece: Lab, reference: Lab, piece_u: Lab | None = None, reference_u: Lab | None = None) -> Judgement:
    """Judge a piece against an unaged reference.

    Args:
        piece: its colour.
        reference: colour of an unaged piece of the same shade, read in the same way.
        piece_u: standard uncertainties of the piece's L*, a* and b*, 0 or more; None where nobody told.
        reference_u: the same of the reference. Where one of both is told, the other counts as exact.
    """
    change, difference = colour_change(piece, reference), ciede2000(piece, reference)
    change_u = difference_u = rating_u = None
    least, most = change, change
    told = piece_u is not None or reference_u is not None
    if told:
        spread = _Spread(piece, reference, piece_u, reference_u)
        change_u, difference_u = spread.of(colour_change), spread.of(ciede2000)
        least, most = max(0.0, change - COVERAGE * change_u), change + COVERAGE * change_u
        rating_u = (open_rating(max(0.0, change - change_u)) - open_rating(change + change_u)) / 2.0
    yellow, yellower, why = _yellowness(piece, reference)
    yellower_u = spread.of(_yellower) if told and yellower is not None else None
    return Judgement(
        piece,
        reference,
        grade_of(rating(change)),
        rating(change),
        rating_u,
        change,
        difference,
        difference_u,
        limit_of(difference),
        change >= SATURATED,
        grade_of(rating(least)),
        grade_of(rating(most)),
        yellow,
        yellower,
        yellower_u,
        why,
    )


def limit_of(difference: float) -> Limit:
    """A CIEDE2000 difference against the limits of what is seen (0.8) and what is accepted (1.8), both included."""
    if difference <= PERCEPTIBLE:
        return Limit.UNSEEN
    return Limit.ACCEPTED if difference <= ACCEPTABLE else Limit.BEYOND


def severity_order(judgements: Sequence[Judgement]) -> tuple[int, ...]:
    """Where the pieces stand in the list, the worst first: by CIEDE2000, which goes on where the grade has ended."""
    return tuple(sorted(range(len(judgements)), key=lambda at: -judgements[at].difference))


def drift_words(judgement: Judgement) -> str:
    """Which way a piece has gone from its reference: ``yellower, darker``; empty for less than one unit each way."""
    moved = [after - before for after, before in zip(judgement.piece, judgement.reference, strict=True)]
    words = (("darker", "lighter"), ("greener", "redder"), ("bluer", "yellower"))
    said = [(abs(by), pair[by > 0]) for by, pair in zip(moved, words, strict=True) if abs(by) >= 1.0]
    return ", ".join(word for _, word in sorted(said, key=lambda each: -each[0]))


def _yellower(piece: Lab, reference: Lab) -> float:
    return yellowness_index(lab_to_xyz(piece)) - yellowness_index(lab_to_xyz(reference))


def _yellowness(piece: Lab, reference: Lab) -> tuple[float | None, float | None, str]:
    """Index of the piece, how far it is above the reference's, and why either is missing."""
    one, other = yellowness_scope(lab_to_xyz(piece)), yellowness_scope(lab_to_xyz(reference))
    if not (one.within or one.neutral):
        return None, None, f"the piece is outside the scope of the yellowness index: {one.reason}"
    index = yellowness_index(lab_to_xyz(piece))
    if not other.start:
        return index, None, f"the reference is outside the scope of the yellowness index: {other.reason}"
    return index, _yellower(piece, reference), ""


class _Spread:
    """The standard uncertainties of two colours, and what they make of a figure of both."""

    def __init__(self, piece: Lab, reference: Lab, piece_u: Lab | None, reference_u: Lab | None) -> None:
        self._at = (*piece, *reference)
        self._u = (*(piece_u or (0.0, 0.0, 0.0)), *(reference_u or (0.0, 0.0, 0.0)))

    def of(self, figure: Callable[[Lab, Lab], float]) -> float:
        """Standard uncertainty of a figure of the piece and its reference."""

        def value(at: Sequence[float]) -> float:
            return figure(Lab(*at[:3]), Lab(*at[3:]))

        here, square = value(self._at), 0.0
        for place, u in enumerate(self._u):
            if u > 0.0:
                up, down = list(self._at), list(self._at)
                up[place] += u
                down[place] -= u
                if place % 3 == 0:  # nothing is darker than black
                    down[place] = max(_BLACK, down[place])
                square += ((value(up) - here) ** 2 + (value(down) - here) ** 2) / 2.0
        return math.sqrt(square)
