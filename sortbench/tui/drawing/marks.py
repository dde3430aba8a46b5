"""How rows are marked on a screen with several panels, of which one has the cursor that keys move."""

from __future__ import annotations

from enum import Enum

from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.widgets.rows import Span


class Mark(Enum):
    """How a row is marked where several panels have a cursor."""

    NONE = "no cursor is on it"
    HERE = "what the panel beside it shows belongs to it; keys move the cursor in that panel"
    CHOSEN = "the cursor that keys move is on it"

    @property
    def pointer(self) -> Span:
        """What stands before the row."""
        return (" " if self is Mark.NONE else POINTER, "key" if self is Mark.CHOSEN else "quiet")

    def look(self, otherwise: str = "text") -> str:
        """The style of the row's name."""
        return "chosen" if self is Mark.CHOSEN else otherwise


def mark_of(index: int, cursor: int, moving: bool) -> Mark:
    """The mark of a row.

    Args:
        cursor: the row of the panel's cursor.
        moving: whether it is the cursor that keys move.
    """
    if index != cursor:
        return Mark.NONE
    return Mark.CHOSEN if moving else Mark.HERE
