"""The screen of sets in the lot: which the pile probably holds, followed while others count."""

from __future__ import annotations

from typing import ClassVar

from sortbench.engine.board import Notice
from sortbench.engine.identify.lot_view import LotView, Standing
from sortbench.model.errors import SortbenchError
from sortbench.tui.drawing import set_rows as draw
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.drawing.words import plural
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen, Question
from sortbench.tui.widgets.rows import Row

_SHOWN = 40
_SOON_S = 0.02


class SetsScreen(ListScreen):
    """One row for each likely set; it lies over the screen that asked for it.

    The library is read and laid out once the first frame stands. Afterwards only what was counted since is taken in, a
    few steps with each frame until nothing moves any more.
    """

    place: Place = "sets"
    type_keys: ClassVar[frozenset[str]] = frozenset("/")

    def __init__(self) -> None:
        super().__init__()
        self._view: LotView | None = None
        self._viewed = ""  # words that the view was asked for
        self._wanted = False
        self._failure = ""

    @property
    def count(self) -> int:
        """Rows in view."""
        return len(self._rows)

    @property
    def _rows(self) -> tuple[Standing, ...]:
        return self._view.standings if self._view else ()

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        return "", "{sets.filter} filters · {sets.target} makes the list a target"

    def on_screen_resume(self) -> None:
        """Something may have been counted meanwhile."""
        super().on_screen_resume()
        if self._view is not None or self._failure:
            self._follow_soon()

    def bench_changed(self) -> None:
        """Another sitting counted something."""
        self._follow_soon()

    def _follow_soon(self) -> None:
        if not self._wanted:
            self._wanted = True
            self.set_timer(_SOON_S, self._follow)

    def _follow(self) -> None:
        """Take in what was counted since; come back as long as chances still move."""
        self._wanted = False
        self._ask_desk()
        self.draw_soon()
        if self._view is not None and not self.bench.identifying.is_settled:
            self._follow_soon()

    def _ask_desk(self) -> None:
        self._viewed = self.words
        try:
            self._view = self.bench.identifying.view(limit=_SHOWN, settle=False, among=draw.by_words(self.words))
            self._failure = ""
        except SortbenchError as error:
            self._view, self._failure = None, self.desk.keymap.told(error)

    def run_own(self, name: str) -> None:
        """Make a list a target."""
        if name == "target" and self._rows:
            self._ask(self._rows[self.cursor])

    def _ask(self, row: Standing) -> None:
        if row.key in self.bench.documents.targets:
            self.say(f"{row.name} is a target already.", wrong=True)
            return

        def make() -> Notice:
            made = self.bench.identifying.as_target(row.key)
            self._follow_soon()
            return made

        self.ask(
            Question(f"Make {row.name} a target, {plural(row.lines, 'line')}, {plural(row.pieces, 'piece')}?", make)
        )

    def back(self) -> None:
        """Let go of a filter; back to the screen below."""
        if self.words:
            self.filter("")
        else:
            self.app.pop_screen()

    def look(self) -> None:
        """The rows that hold the words typed, of all lists there are."""
        if self._view is not None and self._viewed != self.words:
            self._ask_desk()
            if not self.bench.identifying.is_settled:
                self._follow_soon()
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def draw(self) -> None:
        """What was counted, the rows, the one under the cursor in full."""
        view, name_of = self._view, self.bench.catalogue.part_name
        about: list[Row] = draw.head_rows(view, name_of, self.size.width)
        if self.words and view is not None:
            about.append(kept_note(view.matching, view.lists, self.words, "set", self.back_key))
        if view is None:
            self.show_about(about)
            self.panels["list"].show(() if self._failure else draw.READING)
            self.show_said(self._failure, "error")
            if not self._failure:
                self.call_after_refresh(self._follow_soon)  # not before people see what they wait for
            return
        if not self._rows:
            self.show_about(about)
            self.show_instead(draw.NO_MATCH if self.words else draw.NOTHING_YET if view.lists else draw.NO_LISTS)
            self.show_said()
            return
        self.show_about([*about, draw.heading_row(self.panels["list"].size.width or self.size.width)])
        rows, targets = self._rows, self.bench.documents.targets
        self.show_list(
            lambda index, room: draw.set_row(
                rows[index], rows[index].key in targets, name_of, index == self.cursor, room
            )
        )
        row = rows[self.cursor]
        self.show_said(draw.set_words(row, row.key in targets, name_of))
