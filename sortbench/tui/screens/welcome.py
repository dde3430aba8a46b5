"""The welcome: from a list, a manual or nothing at all to the first counted piece."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from sortbench.engine.board import Notice
from sortbench.tui.drawing import welcome_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.screens.intake import IntakeScreen


class WelcomeScreen(IntakeScreen):
    """What to begin with; it lies over the bench, or over the targets where another set is added."""

    place: Place = "welcome"
    type_keys: ClassVar[frozenset[str]] = frozenset("12")

    @property
    def resting(self) -> tuple[str, str]:
        """What to strike."""
        return (
            "",
            "{welcome.file} a file · {welcome.manual} a manual · {welcome.nothing} the pile · {welcome.demo} the demo",
        )

    def prompts(self, key: str) -> tuple[str, str]:
        """A file, or the code and name of a set."""
        if key == "2":
            return "the set: ", "code, name and year as you like: T-12 Orchard Gate 1991"
        return self.file_prompt

    def typed(self, key: str, text: str) -> None:
        """Look into the file, or begin the list; a line that is refused is given back to be mended."""
        if key == "2":
            self._done(lambda: self.bench.first.write_up(text), text)
            return

        self.look_into(text)

    def went_well(self, answer: Notice) -> None:
        """To the bench, which says what was brought in."""
        self.desk.show_place("bench", answer)

    def _done(self, step: Callable[[], Notice], text: str = "") -> None:
        answer = self.do(step)
        if answer is not None:
            self.desk.show_place("bench", answer)
        elif text:
            self._give_back(text)

    def run_own(self, name: str) -> None:
        """Begin with nothing, or look at the demo."""
        if name == "nothing":
            self._done(self.bench.first.begin)
        elif name == "demo":
            self.desk.open_demo()

    def draw(self) -> None:
        """The ways to begin, or what a file holds."""
        width = self.panels["list"].size.width or self.size.width
        self.show_about(draw.about_rows())
        if not self.draw_file(width):
            self.show_instead(draw.way_rows(width))
        self.show_said()
