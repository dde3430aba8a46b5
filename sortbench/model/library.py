"""The library: lists of sets that may turn up in a lot, kept beside the targets."""

from __future__ import annotations

from typing import NamedTuple


class Wanted(NamedTuple):
    """One line of a list.

    Attributes:
        part: as the list names it: a code, a name or an alias; the catalogue may not know it.
        shade: likewise.
        quantity: pieces, 1 to MAX_QUANTITY.
    """

    part: str
    shade: str
    quantity: int


class SetList(NamedTuple):
    """The list of one set.

    Attributes:
        code: tells it from all others of the library.
        name: what people call it.
        lines: each part and shade once.
        year: when it was sold, if known.
    """

    code: str
    name: str
    lines: tuple[Wanted, ...]
    year: int | None = None

    @property
    def pieces(self) -> int:
        """Pieces that the list asks for."""
        return sum(line.quantity for line in self.lines)
