"""Condition of a piece: its grade (change in colour) and its flaws."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum, StrEnum

from sortbench.model.errors import DataError


class Grade(IntEnum):
    """Grey-scale rating for change in colour, ISO 105-A05: 5 no change, 1 severe.

    The value counts half steps, so grades compare and stay integers: ``G5`` is 10, ``G4_5`` is 9.
    """

    G1 = 2
    G1_2 = 3
    G2 = 4
    G2_3 = 5
    G3 = 6
    G3_4 = 7
    G4 = 8
    G4_5 = 9
    G5 = 10

    @property
    def label(self) -> str:
        """As the standard writes it: ``5``, ``4-5``, ``4`` … ``1``."""
        return _LABELS[self]

    @classmethod
    def from_label(cls, text: str) -> Grade:
        """The grade written ``5``, ``4-5`` or ``4/5``.

        Raises:
            DataError: not a grade of the scale.
        """
        grade = _BY_LABEL.get(text.strip().replace("/", "-").replace("\N{EN DASH}", "-"))
        if grade is None:
            raise DataError(
                f"{text.strip()[:20]!r} is no grade.", "Grades run from 5 (no change) to 1, half steps as 4-5."
            )
        return grade

    def step(self, down: bool) -> Grade:
        """The next whole grade below or above; the ends of the scale stay where they are."""
        if down:
            return Grade(max(2, (self.value - 1) // 2 * 2))
        return Grade(min(10, (self.value + 2) // 2 * 2))


_LABELS = {
    Grade.G1: "1",
    Grade.G1_2: "1-2",
    Grade.G2: "2",
    Grade.G2_3: "2-3",
    Grade.G3: "3",
    Grade.G3_4: "3-4",
    Grade.G4: "4",
    Grade.G4_5: "4-5",
    Grade.G5: "5",
}
_BY_LABEL = {label: grade for grade, label in _LABELS.items()}


class Flaw(StrEnum):
    """What is wrong with a piece besides its colour."""

    BENT = "bent"
    CHIPPED = "chipped"
    CRACKED = "cracked"
    LOOSE = "loose grip"
    RESIDUE = "residue"
    SCRATCHED = "scratched"
    WORN = "worn print"

    @classmethod
    def from_text(cls, text: str) -> Flaw:
        """The flaw whose words start with the words given (``crack``, ``worn``).

        Raises:
            DataError: no flaw or more than one starts so.
        """
        wanted = " ".join(text.lower().replace("-", " ").replace("_", " ").split())
        hits = [flaw for flaw in cls if flaw.value.startswith(wanted)] if wanted else []
        if len(hits) != 1:
            names = ", ".join(flaw.value for flaw in (hits or cls))
            state = "could be" if hits else "is no flaw; known are"
            raise DataError(f"{text.strip()[:20]!r} {state}: {names}.")
        return hits[0]


Flaws = tuple[Flaw, ...]
"""Flaws of one piece: sorted by name, none twice."""


def flaws_of(flaws: Iterable[Flaw]) -> Flaws:
    """Sorted, without doubles."""
    return tuple(sorted(set(flaws)))
