"""News on the top line of the bench: told once, gone by themselves, in nobody's way."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from sortbench.engine.board import Notice, Receipt
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from textual.timer import Timer

    from sortbench.tui.screens.keyed import KeyedScreen

NEWS_S = 8.0
"""Seconds for which news stand: time to look up from the table."""


class News:
    """What is worth more than one receipt, for which a fast hand has no eye.

    Args:
        screen: whose bench it is; its timer lets the news go.
        changed: asks for a repaint.
    """

    def __init__(self, screen: KeyedScreen, changed: Callable[[], None]) -> None:
        self._screen = screen
        self._changed = changed
        self._timer: Timer | None = None
        self.row: Row = ()
        """What is told now; empty for nothing."""

    def take(self, answer: Receipt | Notice) -> None:
        """Tell what an answer brings, and ring if the user wants that."""
        if not isinstance(answer, Receipt) or not (answer.targets_done or answer.ran_over):
            return
        # Imported here: few tallies bring news, and every start would pay for it.
        from sortbench.tui.drawing.news_rows import news_row

        self.row = news_row(answer)
        if self._timer is not None:
            self._timer.stop()
        self._timer = self._screen.set_timer(NEWS_S, self.let_go)
        self._screen.desk.ring()

    def let_go(self) -> None:
        """Nothing is news any more: time has passed, or what was told was taken back."""
        if self.row:
            self.row = ()
            self._changed()
