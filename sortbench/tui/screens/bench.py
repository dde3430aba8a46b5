"""The bench screen: entry line, results, keypad, last tallies, crates and bins. One key, one answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Container, Horizontal

from sortbench.engine.board import Notice, Receipt, Results
from sortbench.model.catalogue import Kind
from sortbench.model.errors import SortbenchError
from sortbench.model.tally import Fate, RecordId
from sortbench.tui.drawing import bench_rows as draw
from sortbench.tui.keys import COMMANDS, key_label
from sortbench.tui.messages import Changed, Entered, Left, Moved, Pasted, Repaint, Resumed, RowClicked, Struck
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.widgets.entry_line import EntryLine
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.rows import Row

NARROW, WIDE, SHORT = 64, 160, 32
"""Columns below which panels stand in one column, columns from which crates and bins stand side by side, and lines
below which results and keypad share one place."""
_PAD_KEYS = frozenset("0123456789asdfghjklprvy")
_TYPING = "what is it?  gr l 2x4 *3, Enter; Esc for the keypad"
_STRIKING = "keypad: 1-9 count a piece, / goes back to typing"
_PROMPT = "> "
_KEYPAD_KEYS = tuple(
    (key_label(command.keys[0]), command.label)
    for command in COMMANDS
    if command.where == "pad" and not command.id.startswith(("slot.", "page.")) and command.id not in ("yes", "cancel")
)


class BenchScreen(KeyedScreen):
    """Counting happens here."""

    CSS_PATH: ClassVar[str] = "../styles/bench.tcss"

    def __init__(self) -> None:
        super().__init__()
        self._answer: Receipt | Notice | None = None
        self._error = ""
        self._results = Results()
        self._chosen = 0
        self._picked: RecordId | None = None
        self._pasted: tuple[str, ...] = ()
        self._begun = False

    def compose(self) -> ComposeResult:
        """Head, entry line, its answer, the table, the footer."""
        yield Lines(id="head")
        yield EntryLine(_PROMPT, _TYPING, id="entry")
        yield Lines(id="answer")
        with Horizontal(id="table"):
            with Container(id="left"):
                yield Lines((("at hand", "title"),), id="results")
                yield Lines((("tray", "title"),), id="pad")
                yield Lines((("just counted", "title"),), id="tallies")
            with Container(id="right"):
                yield Lines((("crates", "title"), ("  █ to standard  ▒ present", "quiet")), id="targets")
                yield Lines((("bins", "title"),), id="bins")
        yield Lines(id="foot")

    def on_mount(self) -> None:
        """Hold on to the panels: looking them up on every key would cost more than drawing them."""
        self.entry = self.query_one(EntryLine)
        self._panels = {panel.id: panel for panel in self.query(Lines)}
        self.entry.focus()
        self._fold()

    def on_resize(self, event: events.Resize) -> None:
        """Fold or unfold the panels."""
        self._fold()

    def on_screen_resume(self) -> None:
        """Back from another screen."""
        self.entry.focus()
        self._draw_soon()

    def _fold(self) -> None:
        width, height = self.size
        self.set_class(width < NARROW, "narrow")
        self.set_class(width >= WIDE, "wide")
        self.set_class(height < SHORT or width < NARROW, "short")
        # Side by side each has the whole height; one above the other the crates take what they need, at most half.
        crates = len(self.bench.picture.targets) + 1
        room = height - 5 if width >= NARROW else height - 14
        self._panels["targets"].styles.height = "1fr" if width >= WIDE else max(2, min(crates, room // 2))
        self._mode()
        self.call_after_refresh(self._draw)

    def _mode(self) -> None:
        pad = self.entry.keypad
        self.place = "pad" if pad else "typing"
        self.entry.prompt(_PROMPT, _STRIKING if pad else _TYPING)
        self.set_class(pad, "pad")
        self.set_class(not pad, "typing")

    # Keys

    def on_changed(self, message: Changed) -> None:
        """Another text on the entry line: look it up."""
        if message.text:
            self._pasted = ()
        self._chosen = 0
        self._error = ""
        self._look_up(message.text)
        self._draw_soon()

    def _look_up(self, text: str) -> None:
        if self._picked is not None and text:
            self._results = Results(note="Enter puts the picked tally right: *4 quantity, !3 grade, @B2 bin, or words")
        elif text:
            self._results = self.bench.search(text)
        else:
            self._results = Results()

    def on_entered(self, message: Entered) -> None:
        """Enter: count, correct what is picked, or take the pasted lines."""
        if self._pasted and not message.text:
            lines, self._pasted = self._pasted, ()
            for line in lines:
                if not self._do(lambda line=line: self.bench.enter(line, 0, "pasted")):  # type: ignore[misc]
                    self._error = f"{line[:40]!r}: {self._error} The lines before it are counted."
                    break
        elif self._picked is not None:
            picked = self._picked
            if (message.text and self._do(lambda: self.bench.correct(picked, message.text))) or not message.text:
                self._picked = None
        elif not self._do(lambda: self.bench.enter(message.text, self._chosen)):
            self.entry.give_back(message.text)
        self._chosen = 0
        self._look_up(self.entry.text)
        self._draw_soon()

    def on_moved(self, message: Moved) -> None:
        """Up and down: through the results, or through the last tallies while nothing is typed."""
        if self._results.rows:
            self._chosen = max(0, min(len(self._results.rows) - 1, self._chosen + message.by))
        elif not self.entry.text:
            self._pick(message.by)
        self._draw_soon()

    def _pick(self, by: int) -> None:
        recent = [row.id for row in self.bench.recent(50)]
        at = recent.index(self._picked) if self._picked in recent else -1
        # Up goes back in time, down comes forward again and past the newest lets go.
        at = at - by if at >= 0 or by < 0 else -1
        at = min(at, len(recent) - 1)
        self._picked = recent[at] if at >= 0 else None

    def on_left(self, message: Left) -> None:
        """Esc: let go of a picked tally, else from typing to the keypad."""
        if self._picked is not None:
            self._picked = None
            self.entry.keypad = False
        self._mode()
        self._draw_folded()

    def on_resumed(self, message: Resumed) -> None:
        """Back to typing."""
        self._mode()
        self._draw_folded()

    def on_pasted(self, message: Pasted) -> None:
        """Several lines at once: shown first, counted on Enter."""
        self._pasted = message.lines
        first = message.lines[0][:40]
        self._answer = Notice(
            f"{len(message.lines)} lines pasted, the first is {first!r}: Enter counts them, typing lets them go"
        )
        self._error = ""
        self._draw_soon()

    def on_struck(self, message: Struck) -> None:
        """A key of the keypad; each is one thing done, in order."""
        key = message.key
        self._error = ""
        if key in ("up", "down"):
            self._pick(-1 if key == "up" else 1)
        elif key == "delete" and self._picked is not None:
            picked, self._picked = self._picked, None
            self._do(lambda: self.bench.void(picked))
        elif key == "escape" and self._picked is not None:
            self._picked = None
        elif key in _PAD_KEYS or (self.bench.pad.waiting and key in (".", "escape")):
            self._do(lambda: self.bench.pad.press(key))
        else:
            self.dispatch(self.command_for(key))
        self._draw_soon()

    def run_command(self, command: str) -> None:
        """The commands of the bench that are one call each."""
        bench = self.bench
        actions: dict[str, Callable[[], Receipt | Notice | None]] = {
            "undo": bench.undo,
            "redo": bench.redo,
            "pad.undo": bench.undo,
            "pad.redo": bench.redo,
            "again": bench.again,
            "grade.down": lambda: bench.regrade(down=True),
            "grade.up": lambda: bench.regrade(down=False),
            "wash": lambda: bench.put_aside(Fate.WASH),
            "discard": lambda: bench.put_aside(Fate.OUT),
            "cancel": lambda: bench.pad.press("escape"),
        }
        action = actions.get(command)
        if action is not None:
            self._do(action)
            self._draw_soon()

    def _do(self, step: Callable[[], Receipt | Notice | None]) -> bool:
        """Run one step; what goes wrong is said, and nothing shown before is lost."""
        try:
            answer = step()
        except SortbenchError as error:
            self._error = str(error)
            return False
        self._error = ""
        if answer is not None:
            self._answer = answer
        return True

    # Drawing

    def bench_changed(self) -> None:
        """Another sitting counted something."""
        self._look_up(self.entry.text)
        self._draw_soon()

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click on a result highlights it, on a tally picks it."""
        if message.panel.id == "results" and message.index < len(self._results.rows):
            self._chosen = message.index
        elif message.panel.id == "tallies":
            recent = self.bench.recent(message.index + 1)
            self._picked = recent[message.index].id if message.index < len(recent) else None
        self._draw_soon()

    def _draw_folded(self) -> None:
        """Draw now, and again once a panel that was folded away has its room."""
        self._draw_soon()
        if self.has_class("short"):
            self.call_after_refresh(self._draw)

    def _draw_soon(self) -> None:
        """Ask for one repaint; any number of keys struck meanwhile share it."""
        self.post_message(Repaint())

    def on_repaint(self, message: Repaint) -> None:
        """Draw what changed."""
        self._draw()

    @property
    def _highlighted(self) -> Kind | None:
        if self._results.rows:
            return self._results.rows[min(self._chosen, len(self._results.rows) - 1)].kind
        return self._answer.kind if isinstance(self._answer, Receipt) else None

    def _highlighted_bin(self) -> str:
        if self._results.rows:
            return self._results.rows[min(self._chosen, len(self._results.rows) - 1)].bin
        return self._answer.bin if isinstance(self._answer, Receipt) else ""

    def _draw(self) -> None:
        bench = self.bench
        held = bench.held
        targets = bench.target_rows(self._highlighted)
        name = next((target.name for target in targets if target.code == held.target), "")
        pieces = bench.picture.ledger.pieces
        self._show(
            "head", lambda w, _: (draw.head_rows(bench.path.name, held, name, pieces, bench.pace(), bench.pile, w),)
        )
        self._show("answer", lambda w, _: draw.answer_rows(self._answer, self._error, self._note, w))
        self._show("results", lambda w, room: draw.result_rows(self._results, self._chosen, w, min(8, room)))
        # The first frame shows what is counted; laying out the keypad and indexing the catalogue come right after.
        if not self._begun:
            self._begun = True
            self.call_after_refresh(self._warm_up)
        elif self._panels["pad"].display:
            pad = bench.pad.view()
            title: Row = (("tray ", "title"), (pad.title, "held" if self.entry.keypad else "quiet"))
            self._show("pad", lambda w, room: draw.pad_rows(pad, _KEYPAD_KEYS, w, room), title)
        self._show("tallies", lambda w, room: draw.tally_rows(bench.recent(room), self._picked, w))
        self._show("targets", lambda w, room: draw.target_rows(draw.targets_in_view(targets, room), w))
        bins, here = bench.bin_rows(), self._highlighted_bin()
        self._show("bins", lambda w, room: draw.bin_rows(draw.bins_in_view(bins, here, room), here, w))
        self._show("foot", lambda w, _: (self.foot_row(),))

    def _warm_up(self) -> None:
        self._draw()
        self.call_after_refresh(lambda: self.bench.lookup.warm())

    @property
    def _note(self) -> str:
        if self._picked is not None:
            return "picked: type what is right and Enter, Del on the keypad voids it, Esc lets go"
        return ""

    def _show(self, panel_id: str, rows: Callable[[int, int], tuple[Row, ...]], title: Row | None = None) -> None:
        panel = self._panels[panel_id]
        if panel.display and panel.size.width:
            panel.show(rows(panel.size.width, panel.room), title=title)
