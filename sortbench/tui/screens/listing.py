"""What the screens with a list share: a cursor, a line to type on, and a question that only y answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.widget import Widget

from sortbench.engine.board import Notice
from sortbench.model.errors import SortbenchError
from sortbench.tui.drawing.footer import typing_footer_row
from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.keymap import own_key
from sortbench.tui.messages import Changed, Entered, Left, Moved, Pasted, Repaint, Resumed, RowClicked, Struck
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.widgets.edited import EDITS
from sortbench.tui.widgets.entry_line import EntryLine
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.rows import Row, RowsOnDemand

NARROW, WIDE = 64, 110
"""Columns below which what is said has more lines, and columns from which two lists stand side by side."""


@dataclass(frozen=True, slots=True)
class Question:
    """Something that is done only after ``y``.

    Attributes:
        text: what is asked.
        yes: what is done then.
    """

    text: str
    yes: Callable[[], Notice]


class ListScreen(KeyedScreen):
    """A list with a cursor. Subclasses say how long it is, draw it, and answer commands of their own.

    The line to type on has the keyboard all the time, at rest as on the keypad: it begins and ends taking text within
    the handling of one key, so that no letter typed fast is taken for a command.
    """

    CSS_PATH: ClassVar[str] = "../styles/lists.tcss"
    type_keys: ClassVar[frozenset[str]] = frozenset("/")
    """Keys that begin typing on the line."""

    def __init__(self) -> None:
        super().__init__()
        self.cursor = 0
        self.words = ""
        self._typed_for = ""
        self._said = ""
        self._wrong = False
        self._question: Question | None = None
        # Made here and not looked up once mounted: a screen may be left again before anything in it stands.
        self.line = EntryLine("", "", id="line", resume_keys=self.type_keys, once=True, meant=self._meant)
        self.panels = {name: Lines(id=name) for name in ("about", "list", "said", "foot")}

    # What a screen says of itself

    @property
    def count(self) -> int:
        """Rows of the list that has the cursor."""
        raise NotImplementedError

    def body(self) -> Iterable[Widget]:
        """The list, and what stands beside it."""
        return (self.panels["list"],)

    def look(self) -> None:
        """Take in what there is to show; done before every command too, for keys may come faster than repaints."""
        raise NotImplementedError

    def draw(self) -> None:
        """Show what was taken in."""
        raise NotImplementedError

    def prompts(self, key: str) -> tuple[str, str]:
        """Prompt and placeholder of the line once a key has begun typing."""
        return "filter: ", "words; Enter keeps them, Esc shows all"

    def typed(self, key: str, text: str) -> None:
        """A line that was not begun to filter is done."""

    # Life

    def compose(self) -> ComposeResult:
        """About the list, the list, what was said, the line, the footer."""
        yield self.panels["about"]
        yield from self.body()
        yield self.panels["said"]
        yield self.line
        yield self.panels["foot"]

    @property
    def resting(self) -> tuple[str, str]:
        """Prompt and placeholder of the line while nothing is typed; an id in braces stands for that command's key."""
        return "", f"{{{self.place}.filter}} filters" if "/" in self.type_keys else ""

    @property
    def back_key(self) -> str:
        """The key that lets go of a filter, as a person reads it."""
        return self.desk.keymap.label(f"{self.place}.back")

    def prompt_at_rest(self) -> None:
        """Say on the line what it can be used for."""
        prompt, words = self.resting
        self.line.prompt(prompt, self.with_keys(words))

    def on_mount(self) -> None:
        """Take the keyboard."""
        self.prompt_at_rest()
        self.line.focus()

    def on_resize(self, event: events.Resize) -> None:
        """Lay out anew."""
        self.set_class(self.size.width >= WIDE, "wide")
        self.set_class(self.size.width < NARROW, "narrow")
        self.call_after_refresh(self.redraw)

    def on_screen_resume(self) -> None:
        """Back from the help sheet."""
        self.line.focus()
        self.draw_soon()

    def bench_changed(self) -> None:
        """Another sitting counted something."""
        self.draw_soon()

    def draw_soon(self) -> None:
        """Ask for one repaint; any number of keys struck meanwhile share it."""
        self.post_message(Repaint())

    def on_repaint(self, message: Repaint) -> None:
        """Draw what changed."""
        self.redraw()

    def redraw(self) -> None:
        """Look and draw."""
        self.look()
        self.cursor = max(0, min(self.cursor, self.count - 1))
        self.draw()

    # Keys

    @property
    def typed_on(self) -> EntryLine:
        """The line that is always at hand."""
        return self.line

    def stays(self, key: str) -> bool:
        """Moving the cursor changes nothing else, nor does typing before the line is done."""
        if not self.has_keyboard:
            return False
        if not self.line.keypad and (len(key) == 1 or key in EDITS or key in ("up", "down")):
            return True
        return super().stays(key)

    def _meant(self, key: str) -> str:
        """A key as the registry has it; while a line is typed, the line's own keys stay as they are."""
        return self.desk.keymap.meant(self.place, key) if self.line.keypad else key

    def strike(self, command: str) -> None:
        """Do what the command's own key would do, which may be to begin a line."""
        key = own_key(command, self.place)
        if not (self.line.keypad and self.line.take(key)):
            self.dispatch(command)

    def on_struck(self, message: Struck) -> None:
        """A key while nothing is typed."""
        command = self.command_for(message.key)
        if command:
            self.dispatch(command)
        elif self._question is not None:
            self._let_go()

    def dispatch(self, command: str) -> None:
        """Answer a question first: only y does it, any other key lets it go."""
        question = self._question
        if question is not None and command != f"{self.place}.yes":
            self._let_go()
            if command == f"{self.place}.back":
                return
        super().dispatch(command)

    def _let_go(self) -> None:
        self._question = None
        self.say("left as it was")

    def run_command(self, command: str) -> None:
        """The commands that every list has; others go to :meth:`run_own`."""
        self.look()
        name = command.removeprefix(f"{self.place}.")
        page = max(self.panels[self.moving].room - 1, 1)
        steps = {"up": -1, "down": 1, "page-up": -page, "page-down": page, "first": -self.count, "last": self.count}
        if name in steps:
            self._said = ""
            self.move(steps[name])
        elif name == "back":
            self.back()
        elif name == "yes":
            question, self._question = self._question, None
            if question is not None:
                self.do(question.yes)
        else:
            self.run_own(name)
        self.draw_soon()

    def run_own(self, name: str) -> None:
        """Run a command of this screen's own, by its name without the place."""

    @property
    def moving(self) -> str:
        """Id of the panel in which the cursor moves."""
        return "list"

    def move(self, by: int) -> None:
        """Move the cursor, as far as there are rows."""
        self.cursor = max(0, min(self.count - 1, self.cursor + by))

    def back(self) -> None:
        """Let go of a filter; where there is none, leave the screen."""
        if self.words:
            self.filter("")
        else:
            self.desk.show_place("bench")

    def ask(self, question: Question) -> None:
        """Ask something that only y answers."""
        self._question = question
        self._said = ""

    def do(self, step: Callable[[], Notice]) -> Notice | None:
        """Run one step and say what came of it; None if something was wrong, which is said."""
        try:
            answer = step()
        except SortbenchError as error:
            self.say(self.desk.keymap.told(error), wrong=True)
            return None
        self.say(answer.text)
        return answer

    def say(self, text: str, wrong: bool = False) -> None:
        """Say something until the next move."""
        self._said, self._wrong = text, wrong
        self.draw_soon()

    # The line

    def on_resumed(self, message: Resumed) -> None:
        """Typing begins; a click on the line filters."""
        self._typed_for = message.key or "/"
        self._said, self._question = "", None
        self.line.prompt(*self.prompts(self._typed_for))
        self.draw_soon()

    def on_changed(self, message: Changed) -> None:
        """Filter while it is typed."""
        if self._typed_for == "/":
            self.filter(message.text)

    def on_entered(self, message: Entered) -> None:
        """The line is done."""
        if self._typed_for == "/":
            self.filter(message.text)
        elif message.text.strip():
            self.typed(self._typed_for, message.text)
        self._rest()

    def on_left(self, message: Left) -> None:
        """Esc: the line is let go, and with it the filter it held."""
        if self._typed_for == "/":
            self.filter("")
        self._rest()

    def _rest(self) -> None:
        if self.line.keypad:
            self.prompt_at_rest()
        self.draw_soon()

    def filter(self, words: str) -> None:
        """Show only rows that hold these words; all of them if there are none."""
        if words != self.words:
            self.words, self.cursor = words, 0
            self.draw_soon()

    def on_moved(self, message: Moved) -> None:
        """Up and down while a line is typed."""
        self.look()
        self.move(message.by)
        self.draw_soon()

    def on_pasted(self, message: Pasted) -> None:
        """Several lines at once mean nothing here."""
        self.say("Several lines were pasted; this line takes one.", wrong=True)

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click moves the cursor."""
        if message.panel.id == "list":
            self.cursor = min(message.index, max(self.count - 1, 0))
            self.draw_soon()

    # Drawing

    def show_list(self, make: Callable[[int, int], Row], title: Row | None = None) -> None:
        """Show the list: ``make`` draws the row of an index in a width."""
        panel = self.panels["list"]
        width = panel.size.width
        panel.show(RowsOnDemand(self.count, lambda index: make(index, width)), title=title, selected=self.cursor)

    def show_instead(self, rows: Sequence[Row]) -> None:
        """Show why the list is empty, in the program's own words; ids in braces stand for keys."""
        self.panels["list"].show(self.desk.keymap.said_rows(rows))

    def show_about(self, rows: Sequence[Row]) -> None:
        """Show what the list is, in as many lines as that takes; the list gets the others."""
        self.panels["about"].styles.height = len(rows)
        self.panels["about"].show(rows)

    def show_said(self, otherwise: str = "", style: str = "quiet") -> None:
        """What is asked, what was said, or else the row under the cursor in full; and the footer."""
        width, lines = self.panels["said"].size
        if self._question is not None:
            yes = self.with_keys(f"{{{self.place}.yes}}")
            rows = wrapped(f"{self._question.text} {yes} does it, any other key leaves it.", "warning", width, lines)
        elif self._said:
            mark = "✗ " if self._wrong else "· "
            rows = wrapped(mark + self._said, "error" if self._wrong else "text", width, lines)
        else:
            rows = wrapped(otherwise, style, width, lines)
        self.panels["said"].show(rows)
        self.panels["foot"].show((self.foot_row(),))

    def foot_row(self) -> Row:
        """The footer; while a line is typed a key that prints is text, so only the others are named."""
        if self.line.keypad:
            return super().foot_row()
        return typing_footer_row(self.desk.keymap, self.place, self.size.width)
