"""What the screens that bring a list in share: a file is named, shown as it was understood, and taken after a yes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.engine.board import Notice
from sortbench.tui.drawing.intake_rows import file_rows
from sortbench.tui.screens.listing import ListScreen, Question

if TYPE_CHECKING:
    from sortbench.desks.intake import IntakePreview


class IntakeScreen(ListScreen):
    """Brings in a list. Subclasses say which, show something before a file is named, and go on once it is taken."""

    what = "targets"
    """Which list, as :func:`sortbench.desks.intake.preview` has it."""
    file_prompt = ("file: ", "type its name or the start of it, or drop it here")
    """Prompt and placeholder of the line while a file is named."""

    def __init__(self) -> None:
        super().__init__()
        self._seen: IntakePreview | None = None

    def went_well(self, answer: Notice) -> None:
        """The list is taken in."""
        raise NotImplementedError

    @property
    def count(self) -> int:
        """There is no cursor here."""
        return 0

    def look(self) -> None:
        """There is nothing to look up."""

    def look_into(self, text: str) -> None:
        """Look into the file, and ask whether it is to be brought in; a line that is refused is given back."""

        def look() -> Notice:
            self._seen = self.bench.lists.look(self.what, text)
            return Notice("")

        if self.do(look) is None:
            self._seen = None
            self._give_back(text)
        elif (seen := self._seen) is not None and not seen.same:
            left = sum(file.refused_rows for file in seen.files)
            without = f", without {left:,} bad {'row' if left == 1 else 'rows'}" if left else ""
            self.ask(Question(f"Bring this in{without}?", lambda: self._taken(seen)))

    def _taken(self, seen: IntakePreview) -> Notice:
        answer = self.bench.lists.take(seen)
        self._seen = None
        self.went_well(answer)
        return answer

    def _give_back(self, text: str) -> None:
        if self.line.give_back(text):
            self.line.keypad = False

    def back(self) -> None:
        """Back to what was shown before a file was named; then to the screen below."""
        if self._seen is not None:
            self._seen = None
        else:
            self.app.pop_screen()

    def draw_file(self, width: int) -> bool:
        """What a file holds, if one was named; whether it was."""
        if self._seen is None:
            return False
        self.panels["list"].show(file_rows(self._seen, width))
        return True
