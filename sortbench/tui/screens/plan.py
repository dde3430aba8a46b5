"""The plan screen: what is kept, treated, moved, bought or left open, with choices locked by hand."""

from __future__ import annotations

from contextlib import suppress
from typing import ClassVar

from sortbench.desks.planning_desk import LONGER_S, SECONDS, Choice, PlanLine, PlanningDesk, PlanView
from sortbench.engine.board import Notice
from sortbench.model.errors import SortbenchError
from sortbench.tui.drawing import plan_rows as draw
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.keys import Place
from sortbench.tui.messages import Repaint, RowClicked
from sortbench.tui.screens.listing import ListScreen

_SHOWN: dict[str, Choice | None] = {choice.replace(" ", "-"): choice for choice in Choice} | {"all": None}


class PlanScreen(ListScreen):
    """One row for each choice on each line, the totals above; it lies over the screen that asked for it.

    The search goes on aside, and any number of locks struck meanwhile are one search.
    """

    place: Place = "plan"
    type_keys: ClassVar[frozenset[str]] = frozenset("/m")

    def __init__(self) -> None:
        super().__init__()
        self._only: Choice | None = None
        self._view: PlanView | None = None
        self._lines: tuple[PlanLine, ...] = ()
        self._here: tuple[str, int, Choice] | None = None
        self._anew = 0.0
        """Seconds that a search to be begun with the next frame has; 0 where none is wanted."""

    @property
    def _desk(self) -> PlanningDesk:
        return self.bench.planning

    @property
    def count(self) -> int:
        """Rows in view."""
        return len(self._lines)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        return "", "/ filters · 1-6 one choice, 0 all · m limits · u unlocks all"

    def prompts(self, key: str) -> tuple[str, str]:
        """The limits, or a filter."""
        return ("limits: ", "most to pay, most parcels: 40 3; - for none") if key == "m" else super().prompts(key)

    def on_mount(self) -> None:
        """Take the keyboard, and look for the plan where none is known for the bench as it is."""
        super().on_mount()
        if not self._desk.is_current or self._desk.view().failure:
            self._plan_anew()

    def on_unmount(self) -> None:
        """Nobody looks any more: the best so far will do."""
        self._desk.cancel()

    # Keys

    def run_own(self, name: str) -> None:
        """Lock, show one choice, plan anew."""
        if name.startswith("show."):
            self._only = _SHOWN[name.removeprefix("show.")]
            self.cursor, self._here = 0, None
        elif name == "again":
            self._plan_anew(LONGER_S)
        elif name == "unlock-all":
            if self._desk.unlock():
                self._plan_anew()
            else:
                self.say("Nothing is locked.")
        elif name == "lock":
            self._lock()
        elif name in ("next", "previous"):
            self._other(1 if name == "next" else -1)

    @property
    def _line(self) -> PlanLine | None:
        return self._lines[self.cursor] if self.cursor < len(self._lines) else None

    def _lock(self) -> None:
        line = self._line
        if line is None:
            return
        self._hold()
        if not self._desk.unlock_one(line.key):
            self._desk.lock(line.key, line.choice)
        self._plan_anew()

    def _other(self, by: int) -> None:
        line = self._line
        if line is not None and self.do(lambda: self._to_other(line, by)) is not None:
            self._plan_anew()

    def _to_other(self, line: PlanLine, by: int) -> Notice:
        choice = self._desk.other(line.key, line.choice, by)
        # The row goes where the choice does, so that a second stroke goes on from there.
        self._here = (*line.key, choice)
        return Notice(f"{line.target} line {line.number} is locked: {choice}")

    def typed(self, key: str, text: str) -> None:
        """New limits; what cannot be is given back to be mended."""

        def limit() -> Notice:
            self._desk.limit(text)
            return Notice(f"limits: {text.strip()}")

        if self.do(limit) is not None:
            self._plan_anew()
        elif self.line.give_back(text):
            self.line.keypad = False

    def back(self) -> None:
        """End the search; let go of a filter, of one choice; back to the screen below."""
        if self._desk.is_working:
            self._desk.cancel()
        elif self.words:
            self.filter("")
        elif self._only is not None:
            self._only = None
        else:
            self.app.pop_screen()

    def move(self, by: int) -> None:
        """Move the cursor, and stay on the line from then on, wherever a new plan puts it."""
        super().move(by)
        self._hold()

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click moves the cursor."""
        super().on_row_clicked(message)
        self._hold()

    def filter(self, words: str) -> None:
        """Show only rows that hold these words, from the first."""
        if words != self.words:
            self._here = None
        super().filter(words)

    def _hold(self) -> None:
        line = self._line
        self._here = (*line.key, line.choice) if line is not None else None

    # What there is

    def _plan_anew(self, seconds: float = SECONDS) -> None:
        """Ask for a search; it begins with the next frame, so that keys struck fast are one search."""
        self._anew = max(self._anew, seconds)
        self.draw_soon()

    def redraw(self) -> None:
        """Begin what was asked for, look and draw."""
        seconds, self._anew = self._anew, 0.0
        if seconds:
            try:
                self._desk.begin(self._heard, seconds)
            except SortbenchError as error:
                self.say(str(error), wrong=True)
        super().redraw()

    def _heard(self) -> None:
        """Called from the search's thread."""
        with suppress(RuntimeError):  # the app may have been left meanwhile
            self.post_message(Repaint())

    def look(self) -> None:
        """The plan as it is now; the cursor stays on its line."""
        self._view = view = self._desk.view()
        self._lines = draw.lines_in_view(view.lines, self.words, self._only)
        if self._here is not None:
            places = [place for place, line in enumerate(self._lines) if line.key == self._here[:2]]
            same = [place for place in places if self._lines[place].choice is self._here[2]]
            self.cursor = (same or places or [self.cursor])[0]
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def draw(self) -> None:
        """The totals, the rows, the one under the cursor in full."""
        view, width = self._view, self.size.width
        if view is None:
            return
        about = [*draw.head_rows(view, width), *draw.note_rows(view, self._only, self.count, width)]
        if self.words:
            about.append(kept_note(self.count, len(view.lines), self.words, "row"))
        self.show_about([*about, draw.heading_row(self.panels["list"].size.width or width)])
        if view.failure:
            self.panels["list"].show(draw.failure_rows(view, width))
        elif view.lines and not self._lines:
            self.panels["list"].show(draw.NO_MATCH)
        elif not view.lines and view.totals is not None:
            self.panels["list"].show(draw.NOTHING)
        else:
            lines = self._lines
            self.show_list(lambda index, room: draw.plan_row(view, lines[index], index == self.cursor, room))
        line = None if view.failure else self._line
        self.show_said(draw.plan_words(view, line) if line else "")
