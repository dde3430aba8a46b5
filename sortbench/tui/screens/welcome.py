"""The welcome: from a list, a manual or nothing at all to the first counted piece."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from sortbench.engine.board import Notice
from sortbench.tui.drawing import welcome_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen, Question

if TYPE_CHECKING:
    from sortbench.desks.intake import IntakePreview


class WelcomeScreen(ListScreen):
    """What to begin with; it lies over the bench, or over the targets where another set is added."""

    place: Place = "welcome"
    type_keys: ClassVar[frozenset[str]] = frozenset("12")

    def __init__(self) -> None:
        super().__init__()
        self._seen: IntakePreview | None = None

    @property
    def count(self) -> int:
        """There is no cursor here."""
        return 0

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
        return "file: ", "type its name or the start of it, or drop it here"

    def typed(self, key: str, text: str) -> None:
        """Look into the file, or begin the list; a line that is refused is given back to be mended."""
        if key == "2":
            self._done(lambda: self.bench.first.write_up(text), text)
            return

        def look() -> Notice:
            self._seen = self.bench.first.look(text)
            return Notice("")

        if self.do(look) is None:
            self._seen = None
            self._give_back(text)
        elif (seen := self._seen) is not None:
            self.ask(Question("Bring this in?", lambda: self._taken(seen)))

    def _taken(self, seen: IntakePreview) -> Notice:
        answer = self.bench.first.take(seen)
        self._seen = None
        self.desk.show_place("bench", answer)
        return answer

    def _give_back(self, text: str) -> None:
        if self.line.give_back(text):
            self.line.keypad = False

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

    def back(self) -> None:
        """Back to the ways to begin; then to the screen below."""
        if self._seen is not None:
            self._seen = None
        else:
            self.app.pop_screen()

    def look(self) -> None:
        """There is nothing to look up."""

    def draw(self) -> None:
        """The ways to begin, or what a file holds."""
        width = self.panels["list"].size.width or self.size.width
        self.show_about(draw.about_rows())
        if self._seen is None:
            self.show_instead(draw.way_rows(width))
        else:
            self.panels["list"].show(draw.file_rows(self._seen, width))
        self.show_said()
