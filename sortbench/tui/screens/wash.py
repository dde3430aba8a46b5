"""The wash screen: batches on the clock, pieces that wait for a wash, and what must not go into the tub."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.widget import Widget

from sortbench.desks.scrub_desk import scrub_rows, take_some
from sortbench.desks.wash_desk import told
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError
from sortbench.model.wash import Stage
from sortbench.tui.drawing import wash_rows as draw
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.keys import Place
from sortbench.tui.messages import RowClicked
from sortbench.tui.screens.listing import WIDE, ListScreen
from sortbench.tui.widgets.ground import Tray
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.rows import Row, RowsOnDemand

if TYPE_CHECKING:
    from sortbench.desks.wash_desk import WashDesk
    from sortbench.engine.washing.pull_list import PullList, PullRow
    from sortbench.engine.washing.scrub import ScrubRow
    from sortbench.engine.washing.wash_clock import Due, EntryRow

_PROMPTS = {
    "w": ("weight: ", "grams on the scale, the tray's name if there are several; @07:40 for earlier"),
    "t": ("empty tray: ", "grams, and the tray's name if there are several"),
    "n": ("new batch: ", "what is in it, as in: whites, plates; Enter begins the soak"),
    "*": ("clean: ", "how many; !4 behind it where they are grade 4 now"),
}
_RESTING = {
    "batches": "{wash.next} next stage · {wash.stage.soak}-{wash.stage.dry} a stage · {wash.stirred} stirred"
    " · {wash.weigh} weigh · {wash.strike} strikes",
    "scrub": "{wash.next}: these are clean · {wash.some} only some · {wash.filter} filters",
    "pull": "{wash.filter} filters · {wash.content} reads on",
}


class WashScreen(ListScreen):
    """One of three lists, and beside it what is told of the line under the cursor."""

    place: Place = "wash"
    type_keys: ClassVar[frozenset[str]] = frozenset("/wtn*")
    staying: ClassVar[frozenset[str]] = frozenset({"content", "out"})

    def __init__(self) -> None:
        self._view = "batches"
        super().__init__()
        self._due: tuple[Due, ...] = ()
        self._entries: tuple[EntryRow, ...] = ()
        self._all_scrub: tuple[ScrubRow, ...] = ()
        self._scrub: tuple[ScrubRow, ...] = ()
        self._pull: PullList | None = None
        self._pulls: tuple[PullRow, ...] = ()
        self._told: tuple[Row, ...] = ()
        self._inside = False
        self._inner = 0
        self._code = ""
        self._lines: int | str = "1fr"
        self.panels["side"] = Lines((("", "title"),), id="side")

    def body(self) -> Iterable[Widget]:
        """The list, and what is told of one line."""
        return (Tray(self.panels["list"], self.panels["side"], id="pair"),)

    def time_passed(self) -> None:
        """The wash goes on by the clock."""
        self.draw_soon()

    @property
    def _desk(self) -> WashDesk:
        return self.bench.washing

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        return "", _RESTING[self._view]

    @property
    def count(self) -> int:
        """Rows of the list in sight."""
        return len(self._rows)

    @property
    def _rows(self) -> Sequence[object]:
        return {"batches": self._due, "scrub": self._scrub, "pull": self._pulls}[self._view]

    @property
    def moving(self) -> str:
        """The panel in which the cursor moves."""
        return "side" if self._inside else "list"

    def move(self, by: int) -> None:
        """Move to another line, or through what is told of one."""
        if self._inside:
            self._inner = max(0, min(self._inner_count - 1, self._inner + by))
        else:
            super().move(by)
            self._inner = 0
            self._hold()

    @property
    def _inner_count(self) -> int:
        return len(self._entries) + len(self._told)

    def _hold(self) -> None:
        """Batches come and go by how much they press: the cursor stays on the batch, not on the place."""
        if self._view == "batches" and self._due:
            self._code = self._due[min(self.cursor, len(self._due) - 1)].code

    # Keys

    def prompts(self, key: str) -> tuple[str, str]:
        """A weight, an empty tray, a new batch, how many are clean, or a filter."""
        return _PROMPTS.get(key) or super().prompts(key)

    def run_own(self, name: str) -> None:
        """Switch lists, note stages, strike, clean."""
        if name in draw.VIEWS:
            self._show_view(name)
        elif name in ("content", "out"):
            self._inside = name == "content" and bool(self._inner_count)
        elif self._view == "scrub" and name == "next":
            self._clean()
        elif self._view != "batches":
            self.say(self.with_keys("That is for batches: {wash.batches} shows them."), wrong=True)
        elif name == "strike":
            self._strike()
        elif name == "next":
            self._note(lambda code: self._desk.next_stage(code))
        elif name == "stirred":
            self._note(lambda code: self._desk.stirred(code))
        elif name.startswith("stage."):
            stage = Stage(name.removeprefix("stage."))
            self._note(lambda code: self._desk.stage(code, stage))

    def _show_view(self, view: str) -> None:
        self._view, self._inside, self._inner, self.cursor, self.words = view, False, 0, 0, ""
        self.prompt_at_rest()
        self.look()
        self._hold()

    def _note(self, act: Callable[[str], Notice]) -> None:
        if not self._due:
            self.say(self.with_keys("No batch yet: {wash.new} begins one."), wrong=True)
        else:
            self.do(lambda: act(self._code))

    def _strike(self) -> None:
        entry = self._entry
        if self._inside and entry is None:
            self.say("This line is nothing noted: entries stand above it.", wrong=True)
        else:
            self._note(lambda code: self._desk.strike(code, entry.number if entry else None))

    @property
    def _entry(self) -> EntryRow | None:
        """The entry under the cursor, while it is inside."""
        return self._entries[self._inner] if self._inside and self._inner < len(self._entries) else None

    def _clean(self, text: str = "") -> Notice | None:
        row = self._scrub[self.cursor] if self.cursor < len(self._scrub) else None

        def step() -> Notice:
            if self._view != "scrub":
                shows = self.with_keys("{wash.scrub} shows it.")
                raise DataError("Only pieces of the scrub list can be told to be clean.", shows)
            if row is None:
                raise DataError(
                    "Nothing waits for a wash.", self.with_keys("{bench.wash} at the bench sets a piece aside.")
                )
            return take_some(self.bench, row, text)

        return self.do(step)

    def typed(self, key: str, text: str) -> None:
        """A weight, an empty tray, a new batch, or how many are clean; what cannot be is given back to be mended."""
        self.look()
        if key == "n":
            done = self.do(lambda: self._begin(text))
        elif key == "*":
            done = self._clean(text)
        else:
            done = self.do(lambda: self._weigh(key, text))
        if done is None and self.line.give_back(text):
            self.line.keypad = False

    def _begin(self, text: str) -> Notice:
        batch = self._desk.new(text)
        self._show_view("batches")
        self._code = batch.code
        return Notice(f"{batch.code} soaks: {batch.soak_h:g} h, stirred every {batch.stir_min:g} min")

    def _weigh(self, key: str, text: str) -> Notice:
        if self._view != "batches" or not self._due:
            mend = self.with_keys("{wash.batches} shows them, {wash.new} begins one.")
            raise DataError("Only a batch can be weighed.", mend)
        note = self._desk.note_weight if key == "w" else self._desk.note_tare
        return note(self._code, text)

    def back(self) -> None:
        """Let go of a filter, come out of what is told, go back to the batches, then to the bench."""
        if self.words:
            self.filter("")
        elif self._inside:
            self._inside = False
        elif self._view != "batches":
            self._show_view("batches")
        else:
            self.desk.show_place("bench")

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click moves the cursor to where it was."""
        self._inside = message.panel.id == "side" and bool(self._inner_count)
        if self._inside:
            self._inner = message.index
        else:
            self.cursor, self._inner = min(message.index, max(self.count - 1, 0)), 0
            self._hold()
        self.draw_soon()

    # What there is

    def look(self) -> None:
        """The lists as they are now, and what is noted of the batch under the cursor."""
        bench = self.bench
        self._due = self._desk.due()
        self._all_scrub = scrub_rows(bench)
        self._scrub = draw.scrub_in_view(self._all_scrub, self.words)
        if self._view == "pull":
            self._pull = self._desk.pull()
            self._pulls = draw.pull_in_view(self._pull.rows, self.words)
        if self._view == "batches":
            places = [row.code for row in self._due]
            self.cursor = places.index(self._code) if self._code in places else 0
            self._hold()
        self.cursor = max(0, min(self.cursor, self.count - 1))
        self._entries = self._desk.entries(self._code) if self._view == "batches" and self._due else ()

    def draw(self) -> None:
        """Which list it is, its lines, what is told of the one under the cursor."""
        width = self.size.width
        waiting = sum(row.quantity for row in self._all_scrub)
        head: list[Row] = [draw.head_row(self._view, len(self._due), waiting, self._pull, width)]
        if self.words:
            whole = len(self._all_scrub) if self._view == "scrub" else len(self._pull.rows if self._pull else ())
            if self._view != "batches":
                head.append(kept_note(self.count, whole, self.words, "line", self.back_key))
        self.show_about([*head, draw.heading_row(self._view, self._due, self.panels["list"].size.width or width)])
        self._share_height()
        {"batches": self._draw_batches, "scrub": self._draw_scrub, "pull": self._draw_pull}[self._view]()

    def show_list(self, make: Callable[[int, int], Row], title: Row | None = None) -> None:
        """Show the list, with a blank behind it where what is told stands beside it."""
        gap = 1 if self.size.width >= WIDE else 0
        super().show_list(lambda index, width: make(index, width - gap), title)

    def _share_height(self) -> None:
        """Where the list stands over what is told, a short list leaves its lines to that."""
        whole = sum(self.panels[name].size.height for name in ("list", "side"))
        lines = "1fr" if self.size.width >= WIDE else max(3, min(self.count, whole // 2))
        if lines != self._lines:
            self._lines = self.panels["list"].styles.height = lines

    def _draw_batches(self) -> None:
        room = max(self.panels["side"].size.width, 20)
        if not self._due:
            self.show_instead(draw.NO_BATCHES)
            self._show_side(draw.told_rows((), told(self._desk.cautions()), "soak", room), (("soak", "title"),))
            self.show_said()
            return
        rows, due = self._due, self._due[self.cursor]
        at = -1 if self._inside else self.cursor
        layout = draw.batch_layout(rows)
        self.show_list(lambda index, width: draw.batch_row(layout, rows[index], index == at, width))
        step = due.stage.value if due.stage else "soak"
        sentences = self._desk.tray_words(due.code)
        self._show_side(
            draw.told_rows(sentences, told(self._desk.cautions(due.stage)), step, room), draw.told_title(due)
        )
        self.show_said(f"{due.code}: {due.words}")

    def _draw_scrub(self) -> None:
        room = max(self.panels["side"].size.width, 20)
        cautions = told(self._desk.cautions(step="scrub"))
        rows = self._scrub
        if not rows:
            self.show_instead(draw.NO_MATCH if self.words else draw.NO_SCRUB)
            self._show_side(draw.told_rows((), cautions, "scrub", room), (("how", "title"),))
            self.show_said()
            return
        self.show_list(lambda index, width: draw.scrub_row(rows[index], index == self.cursor, width))
        row = rows[self.cursor]
        self._show_side(draw.scrub_told(row, cautions, room), (("how", "title"),))
        self.show_said(f"{row.quantity:,} × {row.name} · {row.shade}: {row.how}")

    def _draw_pull(self) -> None:
        room = max(self.panels["side"].size.width, 20)
        cautions = told(self._desk.cautions(step="pull"))
        rows, found = self._pulls, self._pull
        if not rows or found is None:
            self.show_instead(draw.NO_MATCH if self.words else draw.NO_PULL)
            self._show_side(draw.told_rows((), cautions, "before the tub", room), (("how", "title"),))
            self.show_said()
            return
        self.show_list(lambda index, width: draw.pull_row(rows[index], index == self.cursor, width))
        row = rows[self.cursor]
        self._show_side(draw.pull_told(row, found, cautions, room), (("how", "title"),))
        self.show_said(draw.pull_words(row))

    def _show_side(self, told: tuple[Row, ...], title: Row) -> None:
        """What is noted of a batch, then what is told; the cursor may go through all of it."""
        self._told = told
        self._inner = max(0, min(self._inner, self._inner_count - 1))
        entries, panel = self._entries, self.panels["side"]
        width = panel.size.width

        def make(index: int) -> Row:
            here = self._inside and index == self._inner
            if index < len(entries):
                return draw.entry_row(entries[index], here, width, self.desk.keymap)
            row = told[index - len(entries)]
            return ((row[0][0], "chosen"), *row[1:]) if here and row else row

        # Without a cursor in it, the panel shows the newest entries and what follows them.
        panel.show(RowsOnDemand(self._inner_count, make), title=title, selected=self._inner if self._inside else None)
