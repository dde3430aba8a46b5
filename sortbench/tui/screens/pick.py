"""The pick list of a target: rows to tick off at the table while their pieces go from the bins into the crate."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from sortbench.desks.pick_desk import Tick
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError
from sortbench.tui.drawing import pick_rows as draw
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.engine.reconciling.pick_list import PickList, PickRow


class PickScreen(ListScreen):
    """What to take from which bin, ticked off row by row.

    It lies over the screen that asked for it and leads back there.

    Args:
        code: whose list.
    """

    place: Place = "pick"
    type_keys: ClassVar[frozenset[str]] = frozenset("/*")
    staying: ClassVar[frozenset[str]] = frozenset({"next", "previous", "put-back", "take"})

    def __init__(self, code: str) -> None:
        super().__init__()
        self._code = code
        self._codes: tuple[str, ...] = ()
        self._picks: PickList | None = None
        self._rows: tuple[PickRow, ...] = ()
        self._only_open = False

    @property
    def count(self) -> int:
        """Rows in view."""
        return len(self._rows)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        some = "{pick.some} ticks off only some of a row's pieces"
        return "", f"{{pick.filter}} filters the rows · {some} · {{pick.next}} next target"

    def prompts(self, key: str) -> tuple[str, str]:
        """A filter, or how many pieces."""
        if key == "*":
            return "how many: ", "pieces of this row that go into the crate now"
        return super().prompts(key)

    # Keys

    def run_own(self, name: str) -> None:
        """Tick off and put back, choose rows, switch targets."""
        row = self._row
        if name in ("next", "previous"):
            self._switch(1 if name == "next" else -1)
        elif name == "open":
            self._only_open, self.cursor = not self._only_open, 0
        elif row is None:
            self.say("There is no row here to tick off.", wrong=True)
        elif name == "take":
            self._take(row)
        elif name == "put-back" and not row.picked:
            self.say("Nothing of this row has been picked.", wrong=True)
        elif name == "put-back":
            self.do(lambda: self.bench.picking(self._code).put_back([Tick(row.number)]))

    def _take(self, row: PickRow) -> None:
        """Tick a row off, unless it is; then on to the next that is open."""
        if row.left and self.do(lambda: self.bench.picking(self._code).tick([Tick(row.number)])) is None:
            return
        if not row.left:
            self.say("This row is ticked off already.")
        self._go_on(row)

    def _go_on(self, done: PickRow) -> None:
        self.look()
        below = [at for at, row in enumerate(self._rows) if row.number > done.number and row.left]
        above = [at for at, row in enumerate(self._rows) if row.left]
        self.cursor = next(iter([*below, *above]), self.cursor)

    def typed(self, key: str, text: str) -> None:
        """Tick off some pieces of a row; a number that cannot be is given back to be mended."""
        self.look()
        row = self._row

        def tick() -> Notice:
            if row is None:
                raise DataError("There is no row here to tick off.", "Show all rows, or take another target.")
            wanted = text.strip()
            if not (wanted.isascii() and wanted.isdecimal() and 1 <= int(wanted) <= row.left):
                mend = (
                    f"Give 1 to {row.left:,}." if row.left else self.with_keys("{pick.put-back} puts its pieces back.")
                )
                raise DataError(f"This row has {row.left:,} left to take, not {wanted[:20]!r}.", mend)
            return self.bench.picking(self._code).tick([Tick(row.number, int(text))])

        if self.do(tick) is None and self.line.give_back(text):
            self.line.keypad = False

    def _switch(self, by: int) -> None:
        place = max(0, min(len(self._codes) - 1, self._place_among + by))
        if self._codes and self._codes[place] != self._code:
            self._code, self.cursor = self._codes[place], 0

    def back(self) -> None:
        """Let go of a filter; where there is none, go back to the screen that lies below."""
        if self.words:
            self.filter("")
        else:
            self.app.pop_screen()

    # What there is

    @property
    def _place_among(self) -> int:
        return self._codes.index(self._code) if self._code in self._codes else 0

    @property
    def _row(self) -> PickRow | None:
        return self._rows[self.cursor] if self.cursor < len(self._rows) else None

    def look(self) -> None:
        """The list as it is now; the first target's where this one is gone."""
        self._codes = tuple(row.code for row in self.bench.target_rows())
        if self._code not in self._codes:
            self._code = self._codes[0] if self._codes else ""
        self._picks = self.bench.picking(self._code).listed() if self._code else None
        rows = self._picks.rows if self._picks else ()
        self._rows = draw.rows_in_view(rows, self.words, self._only_open)
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def draw(self) -> None:
        """How far the crate is filled, the rows, the one under the cursor in full."""
        picks, width, rows = self._picks, self.size.width, self._rows
        if picks is None:
            self.show_about([(("pick list", "title"),)])
            self.panels["list"].show(((("There are no targets any more.", "text"),),))
            self.show_said()
            return
        layout = draw.layout_of(rows)
        head = draw.head_rows(picks, self._place_among, len(self._codes), width)
        self.show_about([*head, *self._notes(picks), draw.pick_headings(layout, width)])
        if not picks.rows:
            self.panels["list"].show(draw.empty_rows(picks, self.desk.keymap))
        else:
            self.show_list(lambda index, room: draw.pick_row(layout, rows[index], index == self.cursor, room))
        row = self._row
        self.show_said(draw.row_words(row) if row else "")

    def _notes(self, picks: PickList) -> list[Row]:
        notes: list[Row] = []
        if self._only_open:
            shows_all = self.with_keys("{pick.open} shows all")
            notes.append(((f"only rows that are not ticked off: {len(self._rows):,}; {shows_all}", "text"),))
        if self.words:
            notes.append(kept_note(len(self._rows), len(picks.rows), self.words, "row", self.back_key))
        return notes
