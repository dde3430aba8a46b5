"""Bringing in bins, sellers or offers from a file, over the screen that lacks them."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, Literal

from sortbench.engine.board import Notice
from sortbench.tui.drawing import intake_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.messages import Left
from sortbench.tui.screens.intake import IntakeScreen

Brought = Literal["bins", "sellers", "offers"]
"""The lists that have no screen of their own to begin with."""


class BringInScreen(IntakeScreen):
    """One file is named, looked into and taken; then back to the screen below.

    Args:
        what: which list.
        done: told what was brought in, once the screen below is in sight again.
    """

    place: Place = "bring"
    type_keys: ClassVar[frozenset[str]] = frozenset("i")

    def __init__(self, what: Brought, done: Callable[[Notice], None]) -> None:
        super().__init__()
        self.what = what
        self._done = done

    @property
    def resting(self) -> tuple[str, str]:
        """What to strike."""
        return "", "{bring.file} names a file · {bring.back} goes back"

    def prompts(self, key: str) -> tuple[str, str]:
        """A file."""
        self._seen = None
        return self.file_prompt

    def on_mount(self) -> None:
        """Take the keyboard: whoever comes here names a file first."""
        super().on_mount()
        self.strike("bring.file")

    def typed(self, key: str, text: str) -> None:
        """A file was named."""
        self.look_into(text)

    def on_left(self, message: Left) -> None:
        """Esc: no file is to be named after all."""
        super().on_left(message)
        self.back()

    def back(self) -> None:
        """From what a file holds to naming another one; then to the screen below."""
        if self._seen is not None:
            self.strike("bring.file")
        else:
            super().back()

    def went_well(self, answer: Notice) -> None:
        """Back to the screen below, which tells it."""
        self.app.pop_screen()
        self._done(answer)

    def draw(self) -> None:
        """What the file should hold, or what it holds."""
        width = self.panels["list"].size.width or self.size.width
        self.show_about((draw.about_row(self.what),))
        if not self.draw_file(width):
            self.show_instead(draw.how_rows(self.what, width))
        self.show_said()
