"""A set that somebody wants to complete."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from sortbench.model.catalogue import Kind, Years
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.text import clean_name

MAX_QUANTITY = 99_999
"""Most pieces one entry or line may name; above it a slip of the finger is likelier than a pile."""


MAX_RANK = 9_999
"""Last rank a target can have."""

MAX_VALUE = 10_000_000
"""Most that a finished set may be said to be worth, in whole units of money."""


class Policy(StrEnum):
    """What counts for more when pieces are shared among targets."""

    COMPLETE = "complete"  # every target as far filled as can be, before any is filled well
    SHOWPIECE = "showpiece"  # the first-ranked target as well filled as can be, before the next gets anything


class StandIn(NamedTuple):
    """Another kind that may fill a line, and what that costs in correctness (1 slight … 9 plain to see)."""

    kind: Kind
    cost: int = 1


class SwapOf(StrEnum):
    """What a stand-in rule of the catalogue exchanges."""

    PART = "part"  # a mould variant, in the same shade
    SHADE = "shade"  # a later shade for an earlier one, of the same part


class Swap(NamedTuple):
    """A stand-in rule of the catalogue: where ``wanted`` is asked for, ``instead`` may stand in.

    One rule at a time: two are never chained or combined.

    Attributes:
        of: whether both are parts or both are shades.
        wanted: code of the part, or name of the shade, that a list asks for.
        instead: what may be taken for it.
        cost: what that costs in correctness, 1 slight … 9 plain to see.
    """

    of: SwapOf
    wanted: str
    instead: str
    cost: int = 1

    @property
    def key(self) -> tuple[SwapOf, str, str]:
        """What tells a rule from all others: everything but its cost."""
        return self.of, self.wanted, self.instead


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
        rank: 1 comes first, MAX_RANK last; targets of one rank are filled evenly.
        lines: what it asks for, in the order of its list.
        value: what the finished set is worth to the user, whole units of money, 0 to MAX_VALUE; None if not told.
        parked: it takes nothing for now.
        refused: stand-ins not allowed on it, as pairs of the kind asked for and the kind that may not stand in; in the
            order of :func:`refusals_of`.
    """

    code: str
    name: str
    year: int | None = None
    rank: int = 1
    lines: tuple[Line, ...] = ()
    value: int | None = None
    parked: bool = False
    refused: tuple[tuple[Kind, Kind], ...] = ()

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


def refusals_of(pairs: Iterable[tuple[Kind, Kind]]) -> tuple[tuple[Kind, Kind], ...]:
    """Refused stand-ins, sorted, without doubles."""
    return tuple(sorted(set(pairs)))


def checked_value(value: int | None) -> int | None:
    """A target's value if it is one that can be.

    Raises:
        DataError: out of range.
    """
    if value is not None and not 0 <= value <= MAX_VALUE:
        raise DataError(f"A set cannot be worth {value}.", f"Give a whole number from 0 to {MAX_VALUE}.")
    return value
