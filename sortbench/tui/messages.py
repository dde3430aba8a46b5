"""What widgets tell their screens. Messages that only ask for a repaint may replace one another; tallies never do."""

from __future__ import annotations

from dataclasses import dataclass

from textual.message import Message
from textual.widget import Widget


@dataclass
class Entered(Message):
    """Enter was pressed on the entry line, which is empty again by now.

    One message for each Enter, in order, an empty text included.
    """

    text: str


@dataclass
class Changed(Message):
    """The text of the entry line is another. Only the latest matters."""

    text: str

    def can_replace(self, message: Message) -> bool:
        """A change is out of date as soon as another waits right behind it."""
        return isinstance(message, Changed)


@dataclass
class Moved(Message):
    """The highlight is to move through the results by so many places, up if negative."""

    by: int


@dataclass
class Left(Message):
    """Typing was left for the keypad; keys come as ``Struck`` from now on."""


@dataclass
class Resumed(Message):
    """The keypad was left for typing, by this key; an empty one stands for a click."""

    key: str = ""


@dataclass
class Struck(Message):
    """A key was struck while the keypad is on: one message for each key, in order.

    ``key`` is written as in ``keys.py``: the character itself, or a name such as ``enter`` or ``delete``.
    """

    key: str


@dataclass
class Pasted(Message):
    """Several lines were pasted at once: entries to be counted one by one, once the person agrees."""

    lines: tuple[str, ...]


@dataclass
class RowClicked(Message):
    """A row of a panel was clicked, ``x`` cells from its left edge."""

    panel: Widget
    index: int
    x: int

    @property
    def control(self) -> Widget:
        """The panel, for ``@on`` selectors."""
        return self.panel


@dataclass
class Repaint(Message):
    """Something that panels show has changed since it was last drawn. One waiting request is enough."""

    def can_replace(self, message: Message) -> bool:
        """Any number of requests in a row are one repaint."""
        return isinstance(message, Repaint)


@dataclass
class KeyDone(Message):
    """Follows a key on its way from the line to the screen and on to the app: what lies before it has been dealt with.

    ``number`` tells it from those sent earlier, ``lap`` counts how often it has gone that way.
    """

    number: int
    lap: int = 1
