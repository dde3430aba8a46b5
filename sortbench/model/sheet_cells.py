"""Model values as the cells of a count sheet, and back again."""

from __future__ import annotations

from collections.abc import Mapping

from sortbench.model.grade import Flaw, Flaws, Grade, flaws_of

FORMAT = 4
"""Format of the count sheet; one of a higher format is refused. Format 1 knew no crates and nothing of stand-ins,
format 2 no pieces that were judged anew, no readings and nothing of what waits for a wash, format 3 no recounts."""

JOINT = " | "
"""Stands between several values in one text cell."""

PERIODS: Mapping[bool | None, str] = {True: "right", False: "wrong", None: "unknown"}
"""Whether a kind was made when the target was sold, as a word."""

Value = str | int | float | bool | None
"""What one cell may hold; None is an empty cell."""


def join_flaws(flaws: Flaws) -> str:
    """Flaws as one text, empty for none."""
    return JOINT.join(flaw.value for flaw in flaws)


def split_flaws(text: str) -> Flaws:
    """The flaws of a text that `join_flaws` wrote.

    Raises:
        DataError: a word that is no flaw.
    """
    return flaws_of(Flaw.from_text(word) for word in text.split("|") if word.strip())


def split_text(text: str) -> tuple[str, ...]:
    """The values that were joined in a cell."""
    return tuple(text.split(JOINT)) if text else ()


def grade_label(grade: Grade | None) -> str:
    """A grade's label, empty for none."""
    return grade.label if grade else ""


def grade_from(label: str) -> Grade | None:
    """The grade of a label, None for an empty one.

    Raises:
        DataError: no such grade.
    """
    return Grade.from_label(label) if label else None
