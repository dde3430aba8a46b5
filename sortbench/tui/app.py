"""The terminal app: opens the screens on one bench, and looks after what other sittings write."""

from __future__ import annotations

import os
from typing import ClassVar

from textual.app import App

from sortbench.bench import Bench
from sortbench.model.errors import SortbenchError
from sortbench.tui.keys import Place
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.keyed import KeyedScreen

FOLLOW_S = 0.5
"""Seconds between looks at what other sittings wrote."""


class SortbenchApp(App[None]):
    """Screens on a bench.

    Args:
        bench: open; the caller closes it.
    """

    ENABLE_COMMAND_PALETTE = False
    TITLE = "sortbench"
    NOTIFICATION_TIMEOUT: ClassVar[float] = 6

    def __init__(self, bench: Bench) -> None:
        super().__init__()
        self.bench = bench
        if os.environ.get("NO_COLOR") and self.theme.startswith("ansi"):
            # An ansi theme without colours paints black on black.
            self.theme = "textual-dark"

    def on_mount(self) -> None:
        """Begin on the bench."""
        self.push_screen(BenchScreen())
        self.set_interval(FOLLOW_S, self._follow)

    def _follow(self) -> None:
        try:
            changed = self.bench.refresh()
        except SortbenchError as error:
            self.notify(str(error), severity="error", markup=False)
            return
        if changed and isinstance(self.screen, KeyedScreen):
            self.screen.bench_changed()

    def show_place(self, place: str) -> None:
        """Go to a screen; the bench lies under all of them."""
        from sortbench.tui.screens.bins import BinsScreen
        from sortbench.tui.screens.log import LogScreen
        from sortbench.tui.screens.targets import TargetsScreen

        while len(self.screen_stack) > 2:
            self.pop_screen()
        screens = {"targets": TargetsScreen, "bins": BinsScreen, "log": LogScreen}
        if place in screens:
            self.push_screen(screens[place]())

    def show_help(self, place: Place) -> None:
        """All keys of a place, and the grammar of the entry line."""
        from sortbench.tui.screens.help import HelpScreen

        self.push_screen(HelpScreen(place))

    def leave(self) -> None:
        """End the app; everything counted is on disk already."""
        self.exit()


def run_app(bench: Bench) -> int:
    """Run the app on an open bench.

    Returns:
        The exit code for the shell.
    """
    app = SortbenchApp(bench)
    app.run()
    return app.return_code or 0
