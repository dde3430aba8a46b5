"""Lines pasted onto the bench screen: shown with what they would do, and counted one by one."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from sortbench.engine.board import Notice, Receipt
from sortbench.tui.drawing.words import plural

if TYPE_CHECKING:
    from sortbench.bench import Bench

PREVIEWED = 12
"""Pasted lines that are looked up to be shown before they are counted: more find no room."""


class PastedLines:
    """Pasted lines that wait.

    Args:
        bench: where they are counted.
        lines: at least one.

    Attributes:
        preview: the first of them, with what they would do.
        refused: the one that was refused, once they are counted; empty if none was.
        after: those behind it, which wait on.
    """

    def __init__(self, bench: Bench, lines: tuple[str, ...]) -> None:
        self._bench = bench
        self._lines = lines
        self.preview = bench.preview(lines[:PREVIEWED])
        self.refused = ""
        self.after: PastedLines | None = None

    def __len__(self) -> int:
        return len(self._lines)

    @property
    def told(self) -> str:
        """How many there are, and which is the first."""
        return f"{len(self._lines)} lines pasted, the first is {self._lines[0][:40]!r}"

    @property
    def let_go(self) -> Notice:
        """Says that they are not counted."""
        return Notice(f"{plural(len(self._lines), 'pasted line')} let go, not counted")

    def count(self, do: Callable[[Callable[[], Receipt | Notice | None]], bool]) -> str:
        """Count them up to one that is refused.

        Args:
            do: does a step, and says whether that went well.

        Returns:
            How many were counted, and how many wait on.
        """
        for place, line in enumerate(self._lines):
            if not do(lambda line=line: self._bench.enter(line, 0, "pasted")):  # type: ignore[misc]
                self.refused, rest = line, self._lines[place + 1 :]
                self.after = PastedLines(self._bench, rest) if rest else None
                waiting = f" {len(rest)} more wait." if rest else ""
                return f"{plural(place, 'pasted line')} before it counted.{waiting}"
        return f"{plural(len(self._lines), 'pasted line')} counted"
