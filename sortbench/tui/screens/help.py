"""The help sheet: laid over the screen that asked for it."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult

from sortbench.bench import GRAMMAR
from sortbench.tui.drawing import help_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.widgets.lines import Lines


class HelpScreen(KeyedScreen):
    """All keys of a place, and the entry line by example.

    Args:
        about: the place whose keys come first.
    """

    CSS_PATH: ClassVar[str] = "../styles/lists.tcss"
    place: Place = "help"

    def __init__(self, about: Place) -> None:
        super().__init__()
        self._about = about
        self._sheet = Lines((("help", "title"),), id="list")
        self._foot = Lines(id="foot")

    def compose(self) -> ComposeResult:
        """The sheet, and the keys to read it with."""
        yield self._sheet
        yield self._foot

    def on_resize(self, event: events.Resize) -> None:
        """Lay the words out anew."""
        self.call_after_refresh(self._draw)

    def bench_changed(self) -> None:
        """Nothing here hangs on counts."""

    def dispatch(self, command: str) -> None:
        """The key that asks for help closes it, too."""
        super().dispatch("help.close" if command == "help" else command)

    def run_command(self, command: str) -> None:
        """Scroll, or close."""
        page, all_rows = max(self._sheet.room - 1, 1), 100_000
        steps = {
            "help.up": -1,
            "help.down": 1,
            "help.page-up": -page,
            "help.page-down": page,
            "help.first": -all_rows,
            "help.last": all_rows,
        }
        if command in steps:
            self._sheet.scroll_rows(steps[command])
        elif command == "help.close":
            self.app.pop_screen()

    def _draw(self) -> None:
        self._sheet.show(
            draw.sheet_rows(self._about, GRAMMAR, str(self.bench.path), self.size.width, self.desk.keymap.commands)
        )
        self._foot.show((self.foot_row(),))
