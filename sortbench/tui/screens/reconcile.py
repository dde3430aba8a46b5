"""The reconcile screen: crates by rank, the lines of one, and what fills a line; with ranks and stand-ins tried out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar

from textual.widget import Widget

from sortbench.model.errors import SortbenchError
from sortbench.tui.drawing import crate_rows, reconcile_rows
from sortbench.tui.drawing.crate_rows import CrateRow
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.drawing.marks import mark_of
from sortbench.tui.drawing.reconcile_layout import stacked_heights
from sortbench.tui.drawing.reconcile_panels import fillings_panel, lines_panel, places_panel, spares_panel, why_panel
from sortbench.tui.drawing.reconcile_rows import Filling, LinePair
from sortbench.tui.keys import Place, Situation
from sortbench.tui.messages import RowClicked
from sortbench.tui.screens.aside import Aside
from sortbench.tui.screens.listing import WIDE, ListScreen, Question
from sortbench.tui.widgets.ground import Tray
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.engine.reconciling.reconcile_board import SpareHeap
    from sortbench.model.catalogue import Kind

SPARES = None
"""What stands for the tray of spares where a target's code would stand."""
ASIDE = "working out what is tried"
"""Name of the thread that does so where it takes long."""
_PANELS = ("list", "side", "more")
"""The crates, the lines of one, what fills a line: from the outermost in."""


class ReconcileScreen(ListScreen):
    """Who gets which piece, what is short and what is spare.

    The cursor is in one of three panels, each showing what the one before it points at. What is tried out is held by
    the bench, so that it is still there after a look at another screen.
    """

    place: Place = "reconcile"
    staying: ClassVar[frozenset[str]] = frozenset({"further", "higher", "lower", "out"})

    def __init__(self) -> None:
        super().__init__()
        self._crates: tuple[CrateRow, ...] = ()
        self._spares: tuple[int, int] = (0, 0)
        self._code: str | None = ""
        self._all_lines: tuple[LinePair, ...] = ()
        self._lines: tuple[LinePair, ...] = ()
        self._heaps: tuple[SpareHeap, ...] = ()
        self._fillings: tuple[Filling, ...] = ()
        self._inside = 0
        self._row = 0
        self._number = 0
        self._filling = 0
        self._kind: Kind | None = None
        self._only_short = False
        self._why: tuple[Kind, tuple[str, ...]] | None = None
        self._aside = Aside(self, ASIDE)
        self.panels |= {
            "side": Lines((("lines", "title"),), id="side"),
            "more": Lines((("pieces", "title"),), id="more"),
        }

    def body(self) -> Iterable[Widget]:
        """The crates beside the lines of one and what fills a line; on narrow terminals one under the other."""
        inner = Tray(self.panels["side"], self.panels["more"], id="inner")
        return (Tray(self.panels["list"], inner, id="table"),)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        ways = "{reconcile.filter} filters · {reconcile.further} further in, {reconcile.out} out"
        return "", f"{ways} · {{reconcile.short}} short only · {{reconcile.explain}} says why"

    @property
    def count(self) -> int:
        """The crates, and the tray of spares."""
        return len(self._crates) + 1

    @property
    def moving(self) -> str:
        """The panel in which the cursor moves."""
        return _PANELS[self._inside]

    def situation(self) -> Situation:
        """Whether anything is being tried out."""
        return Situation(trial=self.bench.trial.is_on)

    def bench_changed(self) -> None:
        """Another sitting counted something, or changed what is kept."""
        self._why = None
        super().bench_changed()

    # Keys

    def run_command(self, command: str) -> None:
        """What only changes what is tried out is done at once: what comes of it is worked out for the next frame."""
        name = command.removeprefix(f"{self.place}.")
        tries: Mapping[str, Callable[[str], object]] = {
            "higher": lambda code: self._moved(self.bench.trial.move(code, down=False), "first already"),
            "lower": lambda code: self._moved(self.bench.trial.move(code, down=True), "last already"),
            "level": lambda code: self._moved(self.bench.trial.join(code), "first: no rank is above it"),
            "park": self.bench.trial.park,
        }
        if name not in tries:
            super().run_command(command)
            return
        if not self._crates:
            self.look()
        target = self._target
        if target is None:
            self.say("The spares have no rank; Up goes to the crates.", wrong=True)
        else:
            self._try(lambda: tries[name](target.after.code))

    def _try(self, step: Callable[[], object]) -> None:
        """Change what is tried out; reasons told before are none any more."""
        self._said, self._why = "", None
        try:
            step()
        except SortbenchError as error:
            self.say(self.desk.keymap.told(error), wrong=True)
        self.draw_soon()

    def _moved(self, done: bool, why_not: str) -> None:
        if not done and self._target is not None:
            self.say(f"{self._target.after.name} is {why_not}.", wrong=True)

    def run_own(self, name: str) -> None:
        """Go further in and out, try stand-ins and the policy, keep, explain, choose lines."""
        if name in ("further", "out"):
            self._go(1 if name == "further" else -1)
        elif name == "stand-in":
            self._try_stand_in()
        elif name == "policy":
            self._try(self.bench.trial.other_policy)
        elif name == "keep":
            self.ask(Question("Keep all that is tried out, and write it to the bench?", self.bench.trial.keep))
        elif name == "explain":
            kind = self._kind_here if self._why is None else None
            self._why = (kind, self.bench.trial.why(kind)) if kind is not None else None
        elif name == "short":
            self._only_short, self._row = not self._only_short, 0
        elif name in ("pick", "statement"):
            self._lay_over(name)
        elif name == "plan":
            self.desk.over.plan()

    def _go(self, by: int) -> None:
        most = 0 if not self._rows else 1
        if most and (self._fillings or self._why):
            most = 2
        self._inside = max(0, min(most, self._inside + by))
        self._said = ""

    def _try_stand_in(self) -> None:
        target, line = self._target, self._line
        if target is None or line is None:
            words = "Stand-ins are tried on a line of a crate; {reconcile.further} goes to the lines."
            self.say(self.with_keys(words), wrong=True)
            return
        found = reconcile_rows.stand_in_at(self._fillings, self._filling if self._inside == 2 else None)
        if isinstance(found, str):
            self.say(found, wrong=True)
        else:
            self._kind = found
            self._try(lambda: self.bench.trial.stand_in(target.after.code, line.after.kind, found))

    def _lay_over(self, name: str) -> None:
        if self._target is None:
            words = "Spares are picked for nobody, and nothing is stated of them; {reconcile.up} goes to the crates."
            self.say(self.with_keys(words), wrong=True)
        elif name == "pick" and self.bench.trial.is_on:
            words = "A pick list is made from what is kept: {reconcile.keep} keeps what is tried out"
            self.say(self.with_keys(words + ", {reconcile.back} lets it go."), wrong=True)
        else:
            {"pick": self.desk.over.pick, "statement": self.desk.over.statement}[name](self._target.after.code)

    def back(self) -> None:
        """Let go of what is tried out, then of a filter, then leave."""
        if self.bench.trial.is_on:
            self._try(self.bench.trial.let_go)
            self.say("let go: all is as it was kept")
        else:
            super().back()

    def move(self, by: int) -> None:
        """Move the cursor in its panel; where reasons are told, scroll them."""
        if self._inside < 2:
            self._why = None
        if self._inside == 0:
            self.cursor = max(0, min(self.count - 1, self.cursor + by))
            code = self._crates[self.cursor].after.code if self.cursor < len(self._crates) else SPARES
            if code != self._code:
                self._code, self._row, self._number, self._filling, self._kind = code, 0, 0, 0, None
        elif self._inside == 1:
            self._row = max(0, min(len(self._rows) - 1, self._row + by))
            self._number = self._lines[self._row].after.number if self._lines else 0
            self._filling, self._kind = 0, None
        elif self._why:
            self.panels["more"].scroll_rows(by)
        else:
            self._filling = max(0, min(len(self._fillings) - 1, self._filling + by))
            self._kind = self._fillings[self._filling].kind if self._fillings else None

    def filter(self, words: str) -> None:
        """Show only lines that hold these words; the crate stays."""
        if words != self.words:
            self.words, self._row, self._number, self._filling = words, 0, 0, 0
            self.draw_soon()

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click moves the cursor to where it was."""
        self.look()
        self._inside = _PANELS.index(message.panel.id) if message.panel.id in _PANELS else self._inside
        here = (self.cursor, self._row, self._filling)[self._inside]
        if self._inside < 2 or not self._why:
            self.move(message.index - here)
        self.draw_soon()

    # What there is

    @property
    def _target(self) -> CrateRow | None:
        """The target under the cursor; None on the spares."""
        return self._crates[self.cursor] if self.cursor < len(self._crates) else None

    @property
    def _rows(self) -> tuple[object, ...]:
        """What stands in the middle panel."""
        return self._heaps if self._code is SPARES else self._lines

    @property
    def _line(self) -> LinePair | None:
        return self._lines[self._row] if self._row < len(self._lines) else None

    def look(self) -> None:
        """The targets as they would be; the cursor stays on its target, its line and its stand-in."""
        trial = self.bench.trial
        if not trial.is_worked_out:
            self._aside.do(trial.work_out, at_once=trial.is_quick)
        self._crates = tuple(CrateRow(*row) for row in trial.targets())
        self._spares = trial.spare_pieces()
        codes = [row.after.code for row in self._crates]
        if self._code is not SPARES and self._code not in codes:
            self._code = codes[0] if codes else SPARES
        self.cursor = len(codes) if self._code is SPARES else codes.index(self._code)
        if self._code is SPARES:
            self._all_lines = self._lines = ()
            self._heaps = reconcile_rows.spares_in_view(trial.spares(), self.words)
        else:
            self._heaps = ()
            self._all_lines = tuple(LinePair(*pair) for pair in trial.lines(self._code))
            self._lines = reconcile_rows.lines_in_view(self._all_lines, self.words, self._only_short)
            numbers = [line.after.number for line in self._lines]
            self._row = numbers.index(self._number) if self._number in numbers else self._row
        self._row = max(0, min(self._row, len(self._rows) - 1))
        self._take_in_fillings()
        self._inside = min(self._inside, 1 if not (self._fillings or self._why) else 2) if self._rows else 0

    def _take_in_fillings(self) -> None:
        line = self._line
        self._number = line.after.number if line else 0
        self._fillings = reconcile_rows.fillings_of(line.after) if line else ()
        self._filling = max(0, min(self._filling, len(self._fillings) - 1))
        kinds = [filling.kind for filling in self._fillings]
        if self._kind is not None and kinds[self._filling : self._filling + 1] != [self._kind] and self._kind in kinds:
            self._filling = kinds.index(self._kind)

    # Drawing

    def draw(self) -> None:
        """The crates, the lines of one, what fills a line, and the row under the cursor in full."""
        width = self.size.width
        about: list[Row] = [
            crate_rows.head_row(self._crates, self._spares[1], self.bench.trial.policy.value, width),
            crate_rows.trial_row(self.bench.trial.words, self._aside.is_working, width, self.desk.keymap),
        ]
        if self._only_short:
            shows_all = self.with_keys("{reconcile.short} shows all")
            about.append(((f"only lines with pieces missing: {len(self._lines):,}; {shows_all}", "text"),))
        if self.words:
            of = len(self.bench.trial.spares()) if self._code is SPARES else len(self._all_lines)
            about.append(
                kept_note(len(self._rows), of, self.words, "heap" if self._code is SPARES else "line", self.back_key)
            )
        self.show_about(about)
        self._set_heights(len(about))
        self._draw_crates()
        self._draw_rows()
        self._draw_more()
        self.show_said(self._words())

    def _set_heights(self, about: int) -> None:
        crates, inner, more = self.panels["list"].styles, self.panels["side"].styles, self.panels["more"].styles
        if self.size.width >= WIDE:
            crates.height, inner.height, more.height = "1fr", "3fr", "2fr"
        else:
            room = self.size.height - about - self.panels["said"].size.height - 2
            crates.height, inner.height, more.height = stacked_heights(
                room, self.count if self._crates else crate_rows.EMPTY_LINES
            )

    def _draw_crates(self) -> None:
        panel, crates, spares = self.panels["list"], self._crates, self._spares
        if not crates and not any(spares):
            panel.show(crate_rows.empty_rows(panel.size.width, self.desk.keymap))
            return
        layout = crate_rows.crate_layout(crates)

        def make(index: int, room: int) -> Row:
            mark = mark_of(index, self.cursor, self._inside == 0)
            if index < len(crates):
                return crate_rows.crate_row(layout, crates[index], mark, room)
            return crate_rows.spares_row(layout, *spares, mark, room)

        self.show_list(make, title=crate_rows.crate_title(layout, panel.size.width))

    def _draw_rows(self) -> None:
        panel, moving = self.panels["side"], self._inside == 1
        width = panel.size.width
        if self._code is SPARES:
            drawn = spares_panel(self._heaps, self.words, self._row, moving, width, self.desk.keymap)
        else:
            name = self._target.after.name if self._target else ""
            drawn = lines_panel(name, self._lines, self._row, moving, width)
        panel.show(drawn.rows, title=drawn.title, selected=drawn.selected)

    def _draw_more(self) -> None:
        panel = self.panels["more"]
        width = panel.size.width
        if self._why is not None:
            kind, sentences = self._why
            drawn = why_panel(kind, self.bench.catalogue.part_name(kind.part), sentences, width)
        elif self._line is not None:
            drawn = fillings_panel(self._line, self._fillings, self._filling, self._inside == 2, width)
        else:
            drawn = places_panel(self._heap)
        panel.show(drawn.rows, title=drawn.title, selected=drawn.selected)

    @property
    def _heap(self) -> SpareHeap | None:
        return self._heaps[self._row] if self._row < len(self._heaps) else None

    @property
    def _kind_here(self) -> Kind | None:
        """The kind that reasons are told of."""
        if self._heap is not None:
            return self._heap.kind
        if self._inside == 2 and self._fillings:
            return self._fillings[self._filling].kind
        return self._line.after.kind if self._line else None

    def _words(self) -> str:
        target, line = self._target, self._line
        if self._inside == 0 and target is not None:
            return crate_rows.crate_words(target, self.desk.keymap)
        if self._heap is not None:
            return reconcile_rows.spare_words(self._heap)
        if line is None or target is None:
            return ""
        if self._inside == 2 and self._fillings and not self._why:
            return reconcile_rows.filling_words(line.after, self._fillings[self._filling], self.desk.keymap)
        return reconcile_rows.line_words(line, target.after.year)
