"""What every screen does with keys: look them up in the registry and run the command."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, ClassVar, Protocol, cast

from textual import events
from textual.screen import Screen

from sortbench.tui.drawing.footer import footer_row
from sortbench.tui.keys import COMMANDS, PLACES, Place, Situation, key_name, keymap
from sortbench.tui.widgets.ground import Ground
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.board import Notice
    from sortbench.tui.keymap import Keymap
    from sortbench.tui.overlays import Overlays
    from sortbench.tui.widgets.entry_line import EntryLine

_MAPS: Mapping[Place, Mapping[str, str]] = {
    place: {key: command.id for key, command in keymap(COMMANDS, place).items()} for place in PLACES
}

_BY_ID = {command.id: command for command in COMMANDS}
_MOVES = frozenset(
    f"{place}.{way}" for place in PLACES for way in ("up", "down", "page-up", "page-down", "first", "last")
)
"""The commands that move through a list and do nothing else."""


class Host(Protocol):
    """What a screen needs of the app it is shown by."""

    @property
    def bench(self) -> Bench:
        """The open bench."""

    @property
    def is_open(self) -> bool:
        """Whether it is open."""

    @property
    def keymap(self) -> Keymap:
        """The keys in force."""

    def open_up(self) -> bool:
        """Open it unless it is open; whether that went well."""

    def settle(self) -> None:
        """The start is over."""

    def show_place(self, place: str, answer: Notice | None = None) -> None:
        """Go to a screen; the bench then says what was done."""

    @property
    def over(self) -> Overlays:
        """Screens over the one that asks for them."""

    def open_demo(self) -> None:
        """End the app, and let the demo be opened in its place."""

    def next_theme(self) -> None:
        """Go on to the next theme, and keep it for the next start."""

    def ring(self) -> None:
        """Ring the terminal's bell, if the user wants that."""

    def leave(self) -> None:
        """End the app."""


class KeyedScreen(Ground, Screen[None]):
    """A screen whose keys come from the command registry.

    Subclasses name their ``place`` and answer commands in :meth:`run_command`.
    """

    AUTO_FOCUS: ClassVar[str | None] = None
    place: Place = "typing"
    staying: ClassVar[frozenset[str]] = frozenset()
    """Commands of this screen's own, by name without the place, that never lead to another screen and begin no typing.

    They are those whose keys are struck many times over: a burst of them is worked and drawn as one. Moving through a
    list is always among them.
    """

    @property
    def bench(self) -> Bench:
        """The open bench."""
        return self.desk.bench

    @property
    def desk(self) -> Host:
        """The app, as far as screens need it."""
        return cast("Host", self.app)

    def command_for(self, key: str) -> str:
        """The id of the command that a key of the registry means in this place, empty if none."""
        return _MAPS[self.place].get(key, "")

    def with_keys(self, text: str) -> str:
        """A text of the program's own in which ids in braces stand for keys, with the keys in force.

        Raises:
            KeyError: no command has such an id.
        """
        return self.desk.keymap.said(text)

    def strike(self, command: str) -> None:
        """Do what the command's own key would do in this place."""
        self.dispatch(command)

    @property
    def typed_on(self) -> EntryLine | None:
        """The line that keys are for, where the screen has one."""
        return None

    @property
    def has_keyboard(self) -> bool:
        """Whether keys go to that line; a screen that has just come gives it the keyboard a moment later."""
        return self.typed_on is not None and self.focused is self.typed_on

    def stays(self, key: str) -> bool:
        """Whether a key surely leaves this screen in sight, and leaves the keys behind it with their meaning.

        Keys struck behind one that may not are held until it is done. Asked while no such key is on its way.

        Args:
            key: as the registry writes keys, not yet read as the registry's own.
        """
        command = self.command_for(self.desk.keymap.meant(self.place, key))
        place, _, name = command.partition(".")
        return command in _MOVES or (place == self.place and name in self.staying)

    def leads_away(self, key: str, *places: Place) -> bool:
        """Whether a key, not yet read as the registry's own, leads to another screen in one of these places."""
        commands = (_MAPS[place].get(self.desk.keymap.meant(place, key), "") for place in places)
        return any(_BY_ID[command].where == "everywhere" for command in commands if command)

    def on_key(self, event: events.Key) -> None:
        """Run the command of a key that no widget took.

        A key that came before the line had the keyboard is the line's all the same.
        """
        if self.typed_on is not None and not self.has_keyboard and self.typed_on.take_key(event):
            return
        command = self.command_for(self.desk.keymap.meant(self.place, key_name(event.key, event.character)))
        if command:
            event.stop()
            event.prevent_default()
            self.dispatch(command)

    def on_paste(self, event: events.Paste) -> None:
        """A paste that came before the line had the keyboard is the line's, too."""
        if self.typed_on is not None and not self.has_keyboard:
            self.typed_on.on_paste(event)

    def dispatch(self, command: str) -> None:
        """Run a command: the ones at hand everywhere here, the others in the screen."""
        everywhere: Mapping[str, Callable[[], object]] = {
            "help": lambda: self.desk.over.help(self.place),
            "commands": lambda: self.desk.over.commands(self),
            "bench": lambda: self.desk.show_place("bench"),
            "targets": lambda: self.desk.show_place("targets"),
            "bins": lambda: self.desk.show_place("bins"),
            "log": lambda: self.desk.show_place("log"),
            "reconcile": lambda: self.desk.show_place("reconcile"),
            "washing": lambda: self.desk.show_place("wash"),
            "judge": lambda: self.desk.show_place("judge"),
            "theme": lambda: self.desk.next_theme(),
            "leave": lambda: self.desk.leave(),
        }
        action = everywhere.get(command)
        why_not = _BY_ID[command].why_not(self.situation()) if command in _BY_ID else ""
        if why_not:
            self.say(f"{_BY_ID[command].label}: {self.with_keys(why_not)}")
        elif action is not None:
            action()
        else:
            self.run_command(command)

    def run_command(self, command: str) -> None:
        """Run a command of this screen's own."""
        raise NotImplementedError

    def situation(self) -> Situation:
        """What commands need to know here to say whether they can be done."""
        return Situation()

    def say(self, what: str) -> None:
        """Tell the person why a key does nothing."""
        self.notify(what, markup=False)

    def foot_row(self) -> Row:
        """The footer: at most six keys, help first; what cannot be done now is dimmed, not hidden."""
        return footer_row(self.desk.keymap, self.place, self.situation(), self.size.width)

    def time_passed(self) -> None:
        """Another half minute has gone by: what hangs on the clock may be drawn anew."""

    def bench_changed(self) -> None:
        """Something changed on disk: another sitting counted, or a command changed the documents."""
        raise NotImplementedError
