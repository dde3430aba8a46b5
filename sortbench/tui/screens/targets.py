"""The targets screen: one target at a time, line by line."""

from __future__ import annotations

from typing import ClassVar

from sortbench.engine.board import LineRow, Notice, TargetRow
from sortbench.model.target import Target
from sortbench.tui.drawing import target_rows as draw
from sortbench.tui.drawing.list_rows import first_holding, kept_note, searchable, wrapped
from sortbench.tui.keys import Place
from sortbench.tui.messages import Changed, Left
from sortbench.tui.screens.listing import ListScreen
from sortbench.tui.widgets.rows import Row

PERIOD_LINES = 3
"""Lines there are for saying why pieces are not to standard."""


class TargetsScreen(ListScreen):
    """Have, need, short, to standard, and where the pieces lie."""

    place: Place = "targets"
    type_keys: ClassVar[frozenset[str]] = frozenset("/ng")
    staying: ClassVar[frozenset[str]] = frozenset({"next", "previous"})

    def __init__(self) -> None:
        super().__init__()
        self._code = ""
        self._came_from = ""
        self._only_short = False
        self._targets: tuple[TargetRow, ...] = ()
        self._all_lines: tuple[LineRow, ...] = ()
        self._lines: tuple[LineRow, ...] = ()

    @property
    def count(self) -> int:
        """Lines in view."""
        return len(self._lines)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        lists = "{targets.pick} pick list · {targets.statement} statement · {targets.orders} orders"
        new = "{targets.find} a target by name · {targets.filter} filters · {targets.new} makes a new target"
        return "", f"{new} · {lists} · {{targets.sets}} which sets"

    def prompts(self, key: str) -> tuple[str, str]:
        """A filter, a new target, or the name of one."""
        if key == "g":
            self._came_from = self._code
            return "target: ", "how a word of its name begins, or its code; Enter stays there, Esc goes back"
        return ("new target: ", "code, name and year: T-12 Orchard Gate 1991") if key == "n" else super().prompts(key)

    def on_changed(self, message: Changed) -> None:
        """Filter, or go to a target, while it is typed."""
        super().on_changed(message)
        if self._typed_for == "g":
            self._find(message.text)
            self.draw_soon()

    def on_left(self, message: Left) -> None:
        """Esc: the line is let go, and what it led to."""
        if self._typed_for == "g":
            self._code, self.cursor = self._came_from, 0
        super().on_left(message)

    def _find(self, words: str) -> bool:
        """Show the first target whose name or code holds the words; whether there is one."""
        place = first_holding((searchable(each.code, each.name) for each in self._targets), words)
        if place is not None:
            self._switch(place)
        return place is not None

    def typed(self, key: str, text: str) -> None:
        """Make the new target and show it, or go to one; a line that is refused is given back to be mended."""
        if key == "g":
            if not self._find(text):
                self.say(f"No target's name has words that begin with {text.strip()!r}.", wrong=True)
            return
        made: list[Target] = []

        def make() -> Notice:
            made.append(Target.from_words(text))
            return self.bench.add_target(made[0])

        if self.do(make):
            self._code, self.cursor = made[0].code, 0
        elif self.line.give_back(text):
            self.line.keypad = False

    def run_own(self, name: str) -> None:
        """Switch targets, show short lines only, write up a list, pick."""
        if name in ("next", "previous"):
            self._switch(self._place + (1 if name == "next" else -1))
        elif name.startswith("to-"):
            self._switch(int(name.removeprefix("to-")) - 1)
        elif name == "short":
            self._only_short = not self._only_short
            self.cursor = 0
        elif name == "pick" and (target := self._target) is not None:
            self.desk.over.pick(target.code)
        elif name == "statement" and (target := self._target) is not None:
            self.desk.over.statement(target.code)
        elif name == "add":
            self.desk.over.welcome()
        elif name == "plan":
            self.desk.over.plan()
        elif name == "sets":
            self.desk.over.sets()
        elif name == "orders":
            self.desk.over.orders()
        elif name == "write-up" and (target := self._target) is not None:
            ending = self.bench.held.target == target.code
            if (answer := self.do(lambda: self.bench.write_up("" if ending else target.code))) is not None:
                self.desk.show_place("bench", answer)

    @property
    def _place(self) -> int:
        """Place of the target in sight, from 0; the first one where that target is gone."""
        return next((place for place, target in enumerate(self._targets) if target.code == self._code), 0)

    @property
    def _target(self) -> TargetRow | None:
        return self._targets[self._place] if self._targets else None

    def _switch(self, place: int) -> None:
        """Show the target of a place, from 0; the first or the last one where there is none so far."""
        if self._targets:
            place = max(0, min(len(self._targets) - 1, place))
            self._code, self.cursor, self._said = self._targets[place].code, 0, ""

    def look(self) -> None:
        """The targets as they are now, and the lines of the one in sight."""
        self._targets = self.bench.target_rows()
        target = self._target
        self._all_lines = self.bench.line_rows(target.code) if target else ()
        self._lines = draw.lines_in_view(self._all_lines, self.words, self._only_short)

    def draw(self) -> None:
        """The target's head, its lines, the line under the cursor in full."""
        target = self._target
        if target is None:
            self.show_about([(("targets", "title"),)])
            self.show_instead(draw.EMPTY_TARGETS)
            self.show_said()
            return
        width = self.size.width
        self._code = target.code
        head = draw.head_rows(target, self._place, len(self._targets), width, self.desk.keymap)
        self.show_about([*head, *self._notes(target, width), draw.line_headings(width)])
        lines = self._lines
        self.show_list(lambda index, room: draw.line_row(lines[index], index == self.cursor, room))
        self.show_said(draw.line_words(lines[self.cursor], target.year) if lines else "")

    def _notes(self, target: TargetRow, width: int) -> list[Row]:
        notes: list[Row] = [*wrapped(draw.period_words(target), "warning", width, PERIOD_LINES)]
        if self.bench.held.target == target.code:
            notes.append(((self.with_keys("This list is being written up: {targets.write-up} ends that."), "held"),))
        if self._only_short:
            shows_all = self.with_keys("{targets.short} shows all")
            notes.append(((f"only lines with pieces missing: {len(self._lines):,}; {shows_all}", "text"),))
        if self.words:
            notes.append(kept_note(len(self._lines), len(self._all_lines), self.words, "line", self.back_key))
        return notes
