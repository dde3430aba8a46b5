"""The recount screen: a second person notes what lies in a bin; then both counts are shown side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from sortbench.desks.recount_desk import RecountDesk
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError
from sortbench.tui.drawing import recount_rows as draw
from sortbench.tui.drawing.words import plural
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen, Question
from sortbench.tui.screens.made_for import MadeFor, made_for

if TYPE_CHECKING:
    from sortbench.desks.recount_desk import Comparison
    from sortbench.model.spot_check import Recount
    from sortbench.model.tally import Record


class RecountScreen(ListScreen):
    """The recounts of one bin, the last of them in sight; it leads back to the screen that asked for it.

    Args:
        label: of the bin.
    """

    place: Place = "recount"
    type_keys: ClassVar[frozenset[str]] = frozenset("*")

    def __init__(self, label: str) -> None:
        self._label = label
        self._recount: Recount | None = None
        self._again = False
        super().__init__()
        self._notes: tuple[Record, ...] = ()
        self._comparison: Comparison | None = None
        self._made_for: MadeFor | None = None

    @property
    def _desk(self) -> RecountDesk:
        return RecountDesk(self.bench)

    @property
    def count(self) -> int:
        """Rows of what was noted, or of both counts."""
        return len(self._comparison.rows if self._comparison else self._notes)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        if self._recount is None:
            return "", "{recount.begin} begins"
        if self._recount.ended:
            return "", "{recount.take} takes it over · {recount.end} opens it again · {recount.new} recounts anew"
        last = "{recount.strike} takes the last back"
        return "", f"{{recount.note}} notes pieces · {last} · {{recount.end}} ends and compares"

    def prompts(self, key: str) -> tuple[str, str]:
        """What lies in the bin; out of a recount, that none is under way."""
        self.look()
        if self._recount is None:
            return "pieces: ", self.with_keys("nothing is begun yet: Esc, then {recount.begin} begins")
        if self._recount.ended:
            return "pieces: ", self.with_keys(f"{self._recount.id} is ended: Esc, then {{recount.end}} opens it again")
        return "pieces: ", "what lies there, and how many: pl 2x4 red *3 !4; Enter alone ends it"

    # Keys

    def run_own(self, name: str) -> None:
        """Begin, take back, end, take over."""
        recount = self._recount
        if name == "begin":
            if recount is None:
                self.do(self._begin)
        elif name == "new":
            if recount is not None and not recount.ended:
                self.say(f"{recount.id} is not ended.", wrong=True)
            else:
                self._again = True
        elif recount is None:
            self.say(self.with_keys("Nothing is begun: {recount.begin} does."), wrong=True)
        elif name == "strike":
            self.do(lambda: self._take_back(recount))
        elif name == "end":
            self._end(recount)
        elif name == "take":
            self._take(recount)

    def _begin(self) -> Notice:
        made = self._desk.begin(self._label)
        self._again = False
        notes = self.with_keys("{recount.note} notes")
        return Notice(f"{made.id} is begun: {notes} what lies in {made.bin}")

    def _take_back(self, recount: Recount) -> Notice:
        record = self._desk.take_back(recount.id)
        return Notice(f"taken back: {self._words(record)}")

    def _end(self, recount: Recount) -> None:
        if recount.ended:
            self.do(lambda: Notice(f"{self._desk.end(recount.id, back=True).id} is open again"))
            return
        noted = sum(record.quantity for record in self._notes)
        question = f"All of {self._label} is noted, {plural(noted, 'piece')}? The first count is shown then."
        self.ask(Question(question, lambda: self._ended(recount)))

    def _ended(self, recount: Recount) -> Notice:
        self._desk.end(recount.id)
        self.cursor = 0
        return Notice(f"{recount.id} is ended; heaps that differ come first")

    def _take(self, recount: Recount) -> None:
        differing = self._comparison.differing if self._comparison else ()
        if not recount.ended:
            self.say(f"{recount.id} is not ended: " + self.with_keys("{recount.end} does."), wrong=True)
        elif recount.taken:
            self.say(f"{recount.id} was taken over already.", wrong=True)
        elif not differing:
            self.say("Both counts agree: there is nothing to take over.", wrong=True)
        else:
            pieces = sum(row.short + row.over for row in differing)
            heaps = plural(len(differing), "heap")
            self.ask(
                Question(
                    f"Put the first count right, {plural(pieces, 'piece')} in {heaps}?",
                    lambda: self._take_over(recount),
                )
            )

    def _take_over(self, recount: Recount) -> Notice:
        taken = self._desk.take(recount.id)
        words = f"{recount.id} is taken over: {plural(len(taken.steps), 'record')} written"
        left = len(taken.left) + len(taken.moved)
        return Notice(words + (f"; {plural(left, 'heap')} left, `sortbench recount show` has them" if left else ""))

    def typed(self, key: str, text: str) -> None:
        """Pieces that lie there; more can be typed behind them, and a line that is refused is given back."""
        self.look()
        if self.do(lambda: self._note(text)) is None:
            self.line.give_back(text)
        self.line.keypad = False

    def _note(self, text: str) -> Notice:
        if self._recount is None:
            raise DataError("Nothing is begun yet.", self.with_keys("Esc, then {recount.begin} begins."))
        record = self._desk.note(self._recount.id, text)
        self.cursor = len(self._notes)
        return Notice(f"noted: {self._words(record)}")

    def _words(self, record: Record) -> str:
        assert record.cell is not None, "records of a recount speak of pieces"
        return f"{record.quantity:,} × {self.bench.picture.name(record.cell)}, {record.cell.shade}"

    def back(self) -> None:
        """Let go of what was to be begun, or go back to the screen that lies below."""
        if self._again:
            self._again = False
        else:
            self.app.pop_screen()

    # What there is

    def look(self) -> None:
        """The bin's last recount as it is now."""
        state = made_for(self.bench, self._again)
        if state.is_same(self._made_for):
            return
        self._made_for = state
        desk = self._desk
        found = [each for each in desk.recounts() if each.bin == self._label and not each.struck]
        self._recount = found[-1] if found and not self._again else None
        self._notes, self._comparison = (), None
        if self._recount is not None:
            if self._recount.ended:
                self._comparison = desk.comparison(self._recount.id)
            else:
                self._notes = desk.found(self._recount)
        if self.line.keypad:
            self.prompt_at_rest()

    def draw(self) -> None:
        """What was noted; once it is ended, both counts."""
        picture, width = self.bench.picture, self.size.width
        noted = sum(record.quantity for record in self._notes)
        self.show_about((draw.head_row(self._label, self._recount, noted, self._comparison, width),))
        if self._recount is None:
            self.panels["list"].show(self.desk.keymap.said_rows(draw.NOT_BEGUN), title=draw.NOTED)
            self.show_said()
        elif self._comparison is not None:
            rows = self._comparison.rows
            self.show_list(
                lambda index, room: draw.both_row(
                    rows[index],
                    picture.name(rows[index].cell),
                    picture.rgb(rows[index].cell.shade),
                    index == self.cursor,
                    room,
                ),
                title=draw.both_headings(width),
            )
            chosen = rows[self.cursor] if rows else None
            self.show_said(draw.both_words(chosen, picture.name(chosen.cell)) if chosen else "Neither has a piece.")
        elif self._notes:
            notes = self._notes
            cells = [record.cell for record in notes]
            self.show_list(
                lambda index, room: draw.note_row(
                    notes[index],
                    picture.name(cell) if (cell := cells[index]) else "",
                    picture.rgb(cell.shade) if cell else "",
                    index == self.cursor,
                    room,
                ),
                title=draw.NOTED,
            )
            self.show_said()
        else:
            self.panels["list"].show(self.desk.keymap.said_rows(draw.NO_NOTES), title=draw.NOTED)
            self.show_said()
