"""The list of all commands: words find one, Enter does it on the screen that asked for the list."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult

from sortbench.tui.drawing.command_rows import NO_COMMAND, WAYS, Listed, command_row, listed
from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.keys import Place
from sortbench.tui.messages import Changed, Entered, Left, Moved, Pasted, Repaint, RowClicked
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.widgets.edited import EDITS
from sortbench.tui.widgets.entry_line import EntryLine
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.rows import Row, RowsOnDemand


class CommandsScreen(KeyedScreen):
    """Laid over the screen that asked for it; what is chosen is done there, as if its key had been struck.

    Args:
        under: that screen.
    """

    CSS_PATH: ClassVar[str] = "../styles/lists.tcss"
    place: Place = "commands"

    def __init__(self, under: KeyedScreen) -> None:
        super().__init__()
        self._under = under
        self._cursor = 0
        self.line = EntryLine("find: ", id="line", meant=self._meant)
        self.list = Lines((("commands", "title"),), id="list")
        self.said = Lines(id="said")
        self.foot = Lines(id="foot")

    def compose(self) -> ComposeResult:
        """The line, what it finds, the chosen command in full, the footer."""
        yield self.line
        yield self.list
        yield self.said
        yield self.foot

    def on_mount(self) -> None:
        """Take the keyboard."""
        words = "words of a command; {commands.run} does it, {commands.close} closes"
        self.line.prompt("find: ", self.with_keys(words))
        self.line.focus()

    def on_screen_resume(self) -> None:
        """Back from the help sheet."""
        self.line.focus()
        self.post_message(Repaint())

    def on_resize(self, event: events.Resize) -> None:
        """Lay out anew."""
        self.call_after_refresh(self._draw)

    def bench_changed(self) -> None:
        """Whether a command can be done hangs on what is counted."""
        self.post_message(Repaint())

    def say(self, what: str) -> None:
        """Nothing is refused here: a command that cannot be done says so in its row."""

    def _meant(self, key: str) -> str:
        return self.desk.keymap.meant(self.place, key)

    @property
    def _found(self) -> tuple[Listed, ...]:
        under = self._under
        return listed(self.desk.keymap, under.place, under.situation(), self.line.text)

    # Keys

    @property
    def typed_on(self) -> EntryLine:
        """The line for words."""
        return self.line

    def stays(self, key: str) -> bool:
        """Words are typed, and the cursor moves."""
        typed = self.has_keyboard and (len(key) == 1 or key in EDITS or key in ("up", "down"))
        return typed or super().stays(key)

    def dispatch(self, command: str) -> None:
        """The key that asks for the list closes it, too."""
        super().dispatch("commands.close" if command == "commands" else command)

    def run_command(self, command: str) -> None:
        """Move by pages, or close."""
        page = max(self.list.room - 1, 1)
        steps = {"commands.page-up": -page, "commands.page-down": page}
        if command in steps:
            self._move(steps[command])
        elif command == "commands.close":
            self.app.pop_screen()

    def on_changed(self, message: Changed) -> None:
        """Other words: the first command found is chosen."""
        self._cursor = 0
        self.post_message(Repaint())

    def on_moved(self, message: Moved) -> None:
        """Up and down."""
        self._move(message.by)

    def _move(self, by: int) -> None:
        self._cursor = max(0, min(len(self._found) - 1, self._cursor + by))
        self.post_message(Repaint())

    def on_entered(self, message: Entered) -> None:
        """Do the command under the cursor."""
        under = self._under
        found = listed(self.desk.keymap, under.place, under.situation(), message.text)
        if found:
            self._do(found[min(self._cursor, len(found) - 1)])
        else:
            self.line.give_back(message.text)

    def _do(self, one: Listed) -> None:
        if not one.way:
            self.app.pop_screen()
            self._under.strike(one.command.id)
        else:
            # The screen that has it, or that leads to it: what is to be done there wants to be looked at first.
            self.dispatch(WAYS[one.command.places[0]][0])

    def on_left(self, message: Left) -> None:
        """Esc closes."""
        self.app.pop_screen()

    def on_pasted(self, message: Pasted) -> None:
        """Several lines at once mean nothing here."""

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click chooses a command, a second one does it."""
        if message.panel is not self.list:
            return
        if message.index == self._cursor and self._found:
            self._do(self._found[min(self._cursor, len(self._found) - 1)])
        else:
            self._cursor = message.index
            self.post_message(Repaint())

    # Drawing

    def on_repaint(self, message: Repaint) -> None:
        """Draw what changed."""
        self._draw()

    def _draw(self) -> None:
        found = self._found
        self._cursor = max(0, min(self._cursor, len(found) - 1))
        width = self.list.size.width

        def make(index: int) -> Row:
            return command_row(found[index], width, index == self._cursor)

        rows = RowsOnDemand(len(found), make) if found else self.desk.keymap.said_rows((NO_COMMAND,))
        self.list.show(rows, selected=self._cursor)
        self.said.show(self._said(found))
        self.foot.show((self.foot_row(),))

    def _said(self, found: tuple[Listed, ...]) -> tuple[Row, ...]:
        """The command under the cursor in full."""
        if not found:
            return ()
        one = found[self._cursor]
        words = f"{one.command.id}: {one.help}"
        if one.way:
            enter = self.desk.keymap.label("commands.run")
            words += f" On another screen: {one.way}; {enter} goes to {WAYS[one.command.places[0]][0]}."
        elif one.why_not:
            words += f" Not now: {one.why_not}."
        return wrapped(words, "quiet", *self.said.size)
