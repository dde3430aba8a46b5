"""The bench screen: entry line, results, keypad, last tallies, crates and bins. One key, one answer."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.app import ComposeResult
from textual.message import Message

from sortbench.engine.board import Notice, Receipt, Results
from sortbench.model.errors import SortbenchError
from sortbench.model.tally import Fate, RecordId
from sortbench.tui.drawing.bench_layout import HEAD, Panel, arrange, panel_at
from sortbench.tui.keymap import own_key
from sortbench.tui.keys import Situation
from sortbench.tui.messages import Changed, Entered, Left, Moved, Pasted, Repaint, Resumed, RowClicked, Struck
from sortbench.tui.screens.bench_board import BenchBoard, Shown
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.screens.news import News
from sortbench.tui.widgets.edited import EDITS
from sortbench.tui.widgets.entry_line import EntryLine
from sortbench.tui.widgets.lines import Lines

if TYPE_CHECKING:
    from sortbench.engine.washing.wash_clock import DueLine
    from sortbench.tui.screens.pasted import PastedLines

_PAD_KEYS = frozenset("0123456789asdfghjklprvy")
_COUNTING = frozenset({"enter", "up", "down", *EDITS})
_TYPING = "what is it?  gr l pl 2x4 *3, {count}; {pad} for the keypad"
_STRIKING = "keypad: {slot.1}-{slot.9} count a piece, {typing} goes back to typing"
_PROMPT = "> "
ALONE = {"?": "help", ":": "commands"}
"""What is no entry when it stands alone on the line, and the command it asks for."""
SETTLE_AFTER_S = 0.03
"""Seconds after a frame until what takes longer than a key may is worked out."""

_Handled = TypeVar("_Handled", bound=Message)


def _once_open(handle: Callable[[BenchScreen, _Handled], None]) -> Callable[[BenchScreen, _Handled], None]:
    """A handler that needs the bench: a key struck before it is open opens it first."""

    @wraps(handle)
    def wait(screen: BenchScreen, message: _Handled) -> None:
        if screen.desk.open_up():
            handle(screen, message)

    return wait


class BenchScreen(KeyedScreen):
    """Counting happens here."""

    CSS_PATH: ClassVar[str] = "../styles/bench.tcss"

    def __init__(self) -> None:
        super().__init__()
        self.entry = EntryLine(_PROMPT, id="entry", meant=self._meant)
        self.board = Lines(id="board")
        self._answer: Receipt | Notice | None = None
        self._error = ""
        self._refused = ""
        self._results = Results()
        self._chosen = 0
        self._picked: RecordId | None = None
        self._pasted: PastedLines | None = None
        self._begun = False
        self._settling = False
        self._wash: DueLine | None = None
        self._news = News(self, self._draw_soon)
        self._stages: list[Callable[[], None]] = [self._open, self._lay_out_pad, self._index]

    def compose(self) -> ComposeResult:
        """The entry line, and the board under it."""
        yield self.entry
        yield self.board

    def on_mount(self) -> None:
        """Take the keyboard."""
        self.entry.prompt(_PROMPT, self.with_keys(_TYPING))
        self.entry.focus()

    def frame_stands(self) -> None:
        """A frame is on the terminal: do the next thing that a start has left for later.

        First the frame with nothing in it, then the figures, then the keypad, then the index of the catalogue: nobody
        looks at an empty terminal for longer than it takes to draw one.
        """
        if self._stages and self.board.painted:
            self.call_later(self._stages.pop(0))
        elif not self._stages and not self._settling and self.desk.is_open and self.bench.is_unsettled:
            # Not at once: the frame is still on its way out by another thread, which would have to wait.
            self._settling = True
            self.set_timer(SETTLE_AFTER_S, self._settle)

    def _open(self) -> None:
        if self.desk.open_up():
            self._draw()

    def _lay_out_pad(self) -> None:
        if self.desk.is_open:
            self._begun = True
            self._draw()

    def _index(self) -> None:
        if self.desk.is_open:
            self.bench.lookup.warm()
            self.desk.settle()
            if self.bench.is_bare and self.app.screen is self:
                self.desk.over.welcome()
            self.call_later(self._tell_wash)  # keys that wait come first

    def time_passed(self) -> None:
        """The wash goes on by the clock."""
        self._tell_wash()

    def _tell_wash(self) -> None:
        """Find out what the wash waits for: once a start is over, each half minute and after changes, on no key."""
        if not self.desk.is_open or self._stages:
            return
        try:
            due = self.bench.due_line()
        except SortbenchError as error:
            due = None
            self.say(self.desk.keymap.told(error))
        if due != self._wash:
            self._wash = due
            self._draw_soon()

    def answer(self, answer: Notice) -> None:
        """Say what another screen did."""
        self._answer, self._error = answer, ""
        if self.bench.held.target:
            # A list is typed from a manual: letters meant for it must not be struck on the keypad.
            self.entry.keypad = False
        self._mode()

    def on_screen_resume(self) -> None:
        """Back from another screen."""
        self.entry.focus()
        self._tell_wash()
        self._draw_soon()

    def _mode(self) -> None:
        pad = self.entry.keypad
        self.place = "pad" if pad else "typing"
        self.entry.prompt(_PROMPT, self.with_keys(_STRIKING if pad else _TYPING))
        self._draw_soon()

    # Keys

    @_once_open
    def on_changed(self, message: Changed) -> None:
        """Another text on the entry line: look it up. A question mark alone asks for help, a colon for commands."""
        if message.text in ALONE and self.entry.text == message.text:
            self.entry.clear()
            self.dispatch(ALONE[message.text])
            return
        self._chosen = 0
        if message.text != self._refused:
            self._error = ""
        self._look_up(message.text)
        self._draw_soon()

    def _look_up(self, text: str) -> None:
        if self._picked is not None and text:
            note = "{count} puts the picked tally right: *4 quantity, !3 grade, @B2 bin, or words"
            self._results = Results(note=self.with_keys(note))
        elif text:
            self._results = self.bench.search(text)
        else:
            self._results = Results()

    @_once_open
    def on_entered(self, message: Entered) -> None:
        """Enter: count, correct what is picked, or take the pasted lines."""
        if self._pasted is not None and not message.text:
            self._count_pasted(self._pasted)
        elif self._picked is not None:
            picked = self._picked
            if (message.text and self._do(lambda: self.bench.correct(picked, message.text))) or not message.text:
                self._picked = None
        elif not self._do(lambda: self.bench.enter(message.text, self._chosen)):
            self.entry.give_back(message.text)
            # What stands on the line by now, given back or typed meanwhile, must not wipe away what was wrong.
            self._refused = self.entry.text
        self._chosen = 0
        self._look_up(self.entry.text)
        if self.entry.keypad != (self.place == "pad"):
            self._mode()  # a label scanned on the keypad leads back to it
        self._draw_soon()

    def _count_pasted(self, pasted: PastedLines) -> None:
        """Count the pasted lines; a refused one comes onto the entry line to be mended, those after it wait."""
        told = pasted.count(self._do)
        self._pasted = pasted.after
        if pasted.refused:
            self.entry.give_back(pasted.refused)
            self._refused = self.entry.text
            self._error = f"{self._error} {told}"
        else:
            self._answer = Notice(told)

    @_once_open
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
        """Esc: let go of pasted lines or of a picked tally, else from typing to the keypad."""
        if self._pasted is not None:
            self._answer, self._error = self._pasted.let_go, ""
            self._pasted = None
            self.entry.keypad = False
        elif self._picked is not None:
            self._picked = None
            self.entry.keypad = False
        self._mode()

    def on_resumed(self, message: Resumed) -> None:
        """Back to typing."""
        self._mode()

    @_once_open
    def on_pasted(self, message: Pasted) -> None:
        """Several lines at once: shown first, counted on Enter."""
        from sortbench.tui.screens.pasted import PastedLines

        self._pasted = PastedLines(self.bench, message.lines)
        ways = self.with_keys("{count} counts them, {pad} lets them go")
        self._answer, self._error = Notice(f"{self._pasted.told}: {ways}"), ""
        self._draw_soon()

    @_once_open
    def on_struck(self, message: Struck) -> None:
        """A key of the keypad; each is one thing done, in order."""
        key = message.key
        self._error = ""
        if key in ("up", "down"):
            self._pick(-1 if key == "up" else 1)
        elif key == "delete" and self._picked is not None:
            picked, self._picked = self._picked, None
            self._news.let_go()
            self._do(lambda: self.bench.void(picked))
        elif key == "escape" and self._picked is not None:
            self._picked = None
        elif key in _PAD_KEYS or (self.bench.pad.waiting and key in (".", "escape")):
            self._do(lambda: self.bench.pad.press(key))
        else:
            self.dispatch(self.command_for(key))
        self._draw_soon()

    @property
    def typed_on(self) -> EntryLine:
        """The entry line, on the keypad too."""
        return self.entry

    def stays(self, key: str) -> bool:
        """What counts, edits or moves; not Escape, which may lead to the keypad or not."""
        counts = self.has_keyboard and key not in ALONE and (len(key) == 1 or key in _COUNTING)
        return counts and not self.leads_away(key, "pad", "typing")

    def _meant(self, key: str) -> str:
        """A key as the registry has it. The line knows first whether the keypad is on."""
        return self.desk.keymap.meant("pad" if self.entry.keypad else "typing", key)

    def strike(self, command: str) -> None:
        """Do what the command's own key would do on the line."""
        if not self.entry.take(own_key(command, self.place)):
            self.dispatch(command)

    def situation(self) -> Situation:
        """What can be done now."""
        if not self.desk.is_open:
            return Situation()
        # Results are counted as some or none: the footer is not drawn anew for their number.
        return Situation(self.bench.has_last, self.bench.can_redo, min(1, len(self._results.rows)))

    def say(self, what: str) -> None:
        """Say why a key does nothing, where answers are said."""
        self._error = what
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
            **dict.fromkeys(("wash", "bench.wash"), lambda: bench.put_aside(Fate.WASH)),
            "discard": lambda: bench.put_aside(Fate.OUT),
            "cancel": lambda: bench.pad.press("escape"),
        }
        action = actions.get(command)
        if action is not None:
            if action == bench.undo:
                self._news.let_go()
            self._do(action)
            self._draw_soon()

    def _do(self, step: Callable[[], Receipt | Notice | None]) -> bool:
        """Run one step; what goes wrong is said, and nothing shown before is lost."""
        try:
            answer = step()
        except SortbenchError as error:
            # Which folder is known here, and a long path would push what is wrong off the line.
            self._error = self.desk.keymap.told(error).replace(f"{self.bench.path}{os.sep}", "")
            return False
        self._error = ""
        if answer is not None:
            self._answer = answer
            self._news.take(answer)
        return True

    # Drawing

    def bench_changed(self) -> None:
        """Another sitting counted something."""
        self._tell_wash()
        self._look_up(self.entry.text)
        self._draw_soon()

    @_once_open
    def on_row_clicked(self, message: RowClicked) -> None:
        """A click on a result highlights it, on a tally picks it."""
        place, row = panel_at(self._panels(), message.x, message.index) or ("", 0)
        if place == "results" and row < len(self._results.rows):
            self._chosen = row
        elif place == "tallies":
            recent = self.bench.recent(row + 1)
            self._picked = recent[row].id if row < len(recent) else None
        self._draw_soon()

    def _draw_soon(self) -> None:
        """Ask for one repaint; any number of keys struck meanwhile share it."""
        self.post_message(Repaint())

    def on_repaint(self, message: Repaint) -> None:
        """Draw what changed."""
        self._draw()

    def _panels(self) -> tuple[Panel, ...]:
        width, height = self.board.size
        crates = len(self.bench.picture.targets) if self.desk.is_open else 0
        return arrange(width, height, self.entry.keypad, crates)

    def _draw(self) -> None:
        width, height = self.board.size
        if height <= HEAD:
            return
        shown = Shown(
            self._results,
            self._chosen,
            self._picked,
            len(self._pasted) if self._pasted is not None else 0,
            self._pasted.preview if self._pasted is not None else (),
            self._answer,
            self._error,
            self.entry.keypad,
            bool(self.entry.text),
            self._news.row,
        )
        bench = self.bench if self.desk.is_open else None
        drawn = BenchBoard(bench, shown, self._wash, self._begun, self.desk.keymap)
        self.board.show(drawn.rows(self._panels(), self.foot_row(), width, height))

    def _settle(self) -> None:
        """Work out what takes longer than a key may, a little at a time, and draw it once it is done."""
        self.bench.settle_one()
        if self.bench.is_unsettled:
            self.call_later(self._settle)
        else:
            self._settling = False
            self._draw_soon()
