"""A line of text under a cursor: pure, one new value for each edit."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass

_JOINER = "\u200d"


def _hangs_on(text: str, place: int) -> bool:
    """Whether the character there belongs to the one before: a mark, a variation selector, something joined."""
    char = text[place]
    return char == _JOINER or text[place - 1] == _JOINER or unicodedata.category(char) in ("Mn", "Me", "Mc")


@dataclass(frozen=True, slots=True)
class Edited:
    """Text and a cursor in it.

    Attributes:
        text: the line, without line breaks.
        cursor: 0 (before everything) to ``len(text)``.
    """

    text: str = ""
    cursor: int = 0

    def insert(self, new: str) -> Edited:
        """Text put in at the cursor."""
        return Edited(self.text[: self.cursor] + new + self.text[self.cursor :], self.cursor + len(new))

    def left(self) -> Edited:
        """One visible character back."""
        place = max(self.cursor - 1, 0)
        while place > 0 and _hangs_on(self.text, place):
            place -= 1
        return Edited(self.text, place)

    def right(self) -> Edited:
        """One visible character on."""
        place = min(self.cursor + 1, len(self.text))
        while place < len(self.text) and _hangs_on(self.text, place):
            place += 1
        return Edited(self.text, place)

    def home(self) -> Edited:
        """To the start."""
        return Edited(self.text, 0)

    def end(self) -> Edited:
        """To the end."""
        return Edited(self.text, len(self.text))

    def backspace(self) -> Edited:
        """Without the visible character before the cursor."""
        start = self.left().cursor
        return Edited(self.text[:start] + self.text[self.cursor :], start)

    def delete(self) -> Edited:
        """Without the visible character under the cursor."""
        return Edited(self.text[: self.cursor] + self.text[self.right().cursor :], self.cursor)

    def cut_word(self) -> Edited:
        """Without the word before the cursor."""
        kept = self.text[: self.cursor].rstrip()
        kept = kept[: kept.rfind(" ") + 1]
        return Edited(kept + self.text[self.cursor :], len(kept))

    def cut_before(self) -> Edited:
        """Without everything before the cursor."""
        return Edited(self.text[self.cursor :], 0)

    def cut_after(self) -> Edited:
        """Without everything behind the cursor."""
        return Edited(self.text[: self.cursor], self.cursor)


EDITS: Mapping[str, Callable[[Edited], Edited]] = {
    "left": Edited.left,
    "right": Edited.right,
    "home": Edited.home,
    "ctrl+a": Edited.home,
    "end": Edited.end,
    "ctrl+e": Edited.end,
    "backspace": Edited.backspace,
    "ctrl+h": Edited.backspace,
    "delete": Edited.delete,
    "ctrl+w": Edited.cut_word,
    "ctrl+u": Edited.cut_before,
    "ctrl+k": Edited.cut_after,
}
"""What each editing key does."""
