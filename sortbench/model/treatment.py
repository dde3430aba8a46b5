"""What a peroxide treatment did to some pieces: one row of the bench's own log of outcomes."""

from __future__ import annotations

from math import isfinite
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.target import MAX_QUANTITY


class Treatment(NamedTuple):
    """Pieces of one kind and grade that were treated together, and what became of each.

    It says what happened at this bench and nothing about what will happen to other pieces.

    Attributes:
        id: tells it apart from the others of the bench.
        at: RFC 3339 time in UTC.
        part: code of the part.
        shade: name of the shade.
        grade: grade before, None where nobody graded the pieces.
        quantity: pieces treated, 1 to ``MAX_QUANTITY``; each improved, stayed unchanged or broke.
        strength_ww: strength of the bath in % w/w (grams of peroxide in 100 grams of bath), above 0 to 100; None where
            nobody noted it. Never % w/v.
        hours: time in the bath, 0 to 10,000; None where nobody noted it.
        temp_c: temperature of the bath in degrees Celsius, 0 to 100; None where nobody noted it.
        improved: pieces that came out less discoloured.
        unchanged: pieces that came out as they went in, or worse in colour.
        broken: pieces that cracked or broke, in the bath or at the next grip, whatever their colour.
        grade_after: grade of the improved pieces, None where nobody graded them.
        note: free text.
        struck: whether it was noted wrongly: it is kept and counts for nothing.
    """

    id: str
    at: str
    part: str
    shade: str
    grade: Grade | None
    quantity: int
    strength_ww: float | None
    hours: float | None
    temp_c: float | None
    improved: int
    unchanged: int
    broken: int
    grade_after: Grade | None = None
    note: str = ""
    struck: bool = False


def checked_treatment(treatment: Treatment) -> Treatment:
    """The same treatment, once all its figures agree.

    Raises:
        DataError: a figure is out of range, or what became of the pieces does not add up to how many there were.
    """
    _check_words(treatment)
    _check_pieces(treatment)
    if treatment.strength_ww is not None and not 0 < treatment.strength_ww <= 100:
        raise DataError(
            f"A strength of {treatment.strength_ww:g} % w/w cannot be.", "Give grams of peroxide in 100 g of bath."
        )
    _check_range("hours in the bath", treatment.hours, 10_000)
    _check_range("°C of the bath", treatment.temp_c, 100)
    return treatment


def _check_words(treatment: Treatment) -> None:
    for name in ("id", "at", "part", "shade"):
        if not getattr(treatment, name):
            raise DataError(f"A treatment without {name} cannot be kept.")


def _check_pieces(treatment: Treatment) -> None:
    if not 1 <= treatment.quantity <= MAX_QUANTITY:
        raise DataError(f"{treatment.quantity} pieces cannot be treated at once.", f"Give 1 to {MAX_QUANTITY}.")
    became = treatment.improved, treatment.unchanged, treatment.broken
    if min(became) < 0:
        raise DataError("Fewer than no pieces cannot come out of a treatment.", "Give 0 or more.")
    if sum(became) != treatment.quantity:
        raise DataError(
            f"{treatment.improved} improved, {treatment.unchanged} unchanged and {treatment.broken} broken make "
            f"{sum(became)}, not the {treatment.quantity} that were treated.",
            "Every piece treated is one of the three.",
        )
    if treatment.grade_after is not None and not treatment.improved:
        raise DataError("A grade after is that of improved pieces, and none improved.", "Leave the grade away.")
    before, after = treatment.grade, treatment.grade_after
    if before is not None and after is not None and after < before:
        raise DataError(
            f"Pieces that went from grade {before.label} to {after.label} have not improved.",
            "Count them as unchanged.",
        )


def _check_range(words: str, value: float | None, most: float) -> None:
    if value is not None and not (isfinite(value) and 0 <= value <= most):
        raise DataError(f"{value:g} {words} cannot be.", f"It runs from 0 to {most:,g}.")
