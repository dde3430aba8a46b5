"""A set that somebody wants to complete."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from sortbench.model.catalogue import Kind, Years
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.text import clean_name

MAX_QUANTITY = 99_999
"""Most pieces one entry or line may name; above it a slip of the finger is likelier than a pile."""


class StandIn(NamedTuple):
    """Another kind that may fill a line, and what that costs in correctness (1 slight … 9 plain to see)."""

    kind: Kind
    cost: int = 1


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a target's list.

    Attributes:
        kind: the part and shade asked for.
        quantity: pieces asked for, 1 to MAX_QUANTITY.
        lowest: lowest grade that still meets the standard.
        stand_ins: in order of preference.
    """

    kind: Kind
    quantity: int
    lowest: Grade = Grade.G3
    stand_ins: tuple[StandIn, ...] = ()

    def __post_init__(self) -> None:
        if not 1 <= self.quantity <= MAX_QUANTITY:
            raise DataError(f"A line cannot ask for {self.quantity} pieces.", f"Give 1 to {MAX_QUANTITY}.")


class Target(NamedTuple):
    """A set to complete.

    Attributes:
        code: the key (``T-07``).
        name: what it is called.
        year: the year the set was sold, None if not known; decides what is period-correct.
        rank: 1 comes first; ties are broken by code.
        lines: what it asks for, in the order of its list.
    """

    code: str
    name: str
    year: int | None = None
    rank: int = 1
    lines: tuple[Line, ...] = ()

    @property
    def pieces(self) -> int:
        """Pieces asked for in all."""
        return sum(line.quantity for line in self.lines)

    @classmethod
    def from_words(cls, text: str) -> Target:
        """A target without lines from its code, name and year, as in ``T-12 Orchard Gate 1991``.

        The year may be left out.

        Raises:
            DataError: there is no name, or it holds what does not print.
        """
        code, *words = text.split() or [""]
        year = None
        if len(words) > 1 and len(words[-1]) == 4 and words[-1].isascii() and words[-1].isdecimal():
            year = Years(int(words.pop())).first
        if not words:
            raise DataError("A target needs a code and a name.", "Write them as in: T-12 Orchard Gate 1991")
        return cls(clean_name(code, "code"), clean_name(" ".join(words)), year)
