"""The keys in force: the registry's own, or those that the user's settings put in their place.

Within the app every key is the registry's: where a user gave a command another key, that key is read as the registry's
own at the moment it is struck, and one that lost its command means nothing any more. So no screen and no widget knows
of remaps, except to show them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from sortbench.model.errors import SortbenchError
from sortbench.tui.keys import COMMANDS, PLACES, Command, Place, key_labels, keymap, keys_in, remapped, said
from sortbench.tui.widgets.rows import Row

NOTHING = "nothing"
"""What a key is read as that means nothing any more."""


class Keymap:
    """Commands with the keys they have now.

    Args:
        remaps: keys by command id, as the registry writes keys; they have been checked.
    """

    def __init__(self, remaps: Mapping[str, Sequence[str]] | None = None) -> None:
        self.commands: tuple[Command, ...] = remapped(COMMANDS, remaps) if remaps else COMMANDS
        self._meant = {place: _read_as(self.commands, place) for place in PLACES} if remaps else {}

    def meant(self, place: Place, key: str) -> str:
        """A key as the registry has it."""
        return self._meant[place].get(key, key) if self._meant else key

    def label(self, command: str) -> str:
        """A command's first key, as a person reads it on a keyboard.

        Raises:
            KeyError: no command has that id.
        """
        return self._labels[command]

    def said(self, text: str) -> str:
        """A text in which ids in braces stand for keys, ``{log.filter} filters``, with the keys in force."""
        return said(text, self._labels)

    def told(self, error: SortbenchError) -> str:
        """What is wrong and what to do about it, with the keys in force."""
        return f"{error.message} {self.said(error.in_app) or error.mend}".strip()

    @cached_property
    def _labels(self) -> Mapping[str, str]:
        return key_labels(self.commands)

    def said_rows(self, rows: Sequence[Row]) -> tuple[Row, ...]:
        """Rows of the program's own texts, ids in braces made keys likewise."""
        return tuple(tuple((self.said(text), style) for text, style in row) for row in rows)


OWN_KEYS = Keymap()
"""The registry's own keys: what holds where nobody remapped any."""


def own_key(command: str, place: Place) -> str:
    """The registry's own first key of a command in a place; empty if it has none there."""
    return next((key for each in COMMANDS if each.id == command for key in keys_in(each, place)[:1]), "")


def _read_as(commands: Sequence[Command], place: Place) -> dict[str, str]:
    """What each key is read as in a place, for keys that are not read as what they are."""
    first = {command.id: keys_in(command, place)[0] for command in COMMANDS if keys_in(command, place)}
    own = keymap(COMMANDS, place)
    now = keymap(commands, place)
    gone = {key: NOTHING for key in own if key not in now}
    moved = {key: first[each.id] for key, each in now.items() if key not in own or own[key].id != each.id}
    return gone | moved
