"""The entry line: one line of text, drawn and edited here, because a stock input repaints far more than a line.

It is also the one widget that has the keyboard while counting. Typing and keypad are two states of it, switched
within the handling of one key: a focus that moved by message would let fast keys land in the wrong place.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from sortbench.model.text import shown
from sortbench.tui.keys import key_name
from sortbench.tui.messages import Changed, Entered, Left, Moved, Pasted, Resumed, Struck
from sortbench.tui.widgets.edited import EDITS, Edited
from sortbench.tui.widgets.paint import draw, repaint, tell
from sortbench.tui.widgets.palette import palette
from sortbench.tui.widgets.rows import fit

MAX_TEXT = 500
"""Longest text that can be typed, in characters; no entry needs more, and no accident grows beyond it."""
SCAN_KEY = "@"
"""What a scanner types first. On the keypad, the line that follows is typed, not struck, and Enter leads back."""


class EntryLine(Widget, can_focus=True):
    """One line to type entries on, or, with the keypad on, a place where keys are struck.

    Args:
        prompt: stands before the text.
        placeholder: stands in place of the text while there is none.
        resume_keys: keys that lead from the keypad back to typing.
        reserved: keys left to bindings in either state, besides those that no text and no edit need.
        meant: reads a key as the registry's own key for the same command; keys may have been remapped.
        once: it begins on the keypad and takes one line at a time: Enter and Esc both leave it empty and lead back.
    """

    ALLOW_SELECT: ClassVar[bool] = False

    def __init__(
        self,
        prompt: str = "> ",
        placeholder: str = "",
        *,
        resume_keys: frozenset[str] = frozenset("/"),
        reserved: frozenset[str] = frozenset(),
        once: bool = False,
        meant: Callable[[str], str] = str,
        name: str | None = None,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(name=name, id=id, classes=classes)
        self._prompt, self._placeholder = prompt, placeholder
        self._resume_keys, self._reserved = resume_keys, reserved
        self._edited = Edited()
        self._once = once
        self._meant = meant
        self._keypad = once
        self._scanning = False
        self._first = 0

    # -- state

    @property
    def text(self) -> str:
        """What stands on the line."""
        return self._edited.text

    @property
    def cursor(self) -> int:
        """Where the cursor stands, in characters from the start."""
        return self._edited.cursor

    @property
    def keypad(self) -> bool:
        """Whether the keypad is on and keys are struck instead of typed."""
        return self._keypad

    @keypad.setter
    def keypad(self, on: bool) -> None:
        if on != self._keypad:
            self._keypad = on
            repaint(self)

    def clear(self) -> None:
        """Take away what stands on the line."""
        self._set(Edited())

    def give_back(self, text: str) -> bool:
        """Put a refused text back to be mended, unless something else has been typed since.

        Returns:
            Whether it was put back.
        """
        if self._edited.text or not text:
            return False
        self._set(Edited(text[:MAX_TEXT], len(text[:MAX_TEXT])))
        return True

    def prompt(self, prompt: str, placeholder: str | None = None) -> None:
        """Change what stands before the text, and in place of it."""
        placeholder = self._placeholder if placeholder is None else placeholder
        if (prompt, placeholder) != (self._prompt, self._placeholder):
            self._prompt, self._placeholder = prompt, placeholder
            repaint(self)

    def _set(self, edited: Edited) -> None:
        if edited == self._edited:
            return
        different = edited.text != self._edited.text
        self._edited = edited
        if different:
            tell(self, Changed(edited.text))
        repaint(self)

    # -- keys

    def on_key(self, event: events.Key) -> None:
        """Take a key: an edit, a text, or a key struck; what is none of these goes on to the bindings."""
        self.take_key(event)

    def take_key(self, event: events.Key) -> bool:
        """Do what a key does on the line, whoever it was sent to; a key that was taken goes no further.

        Returns:
            Whether it was taken.
        """
        key = key_name(event.key, event.character)
        if key in self._reserved:
            return False
        # A terminal writes Escape and a key that follows at once exactly like Alt and that key; nothing here is on Alt.
        if key.startswith("alt+") and len(key) == len("alt+") + 1:
            taken = self.take(self._meant("escape")) and self.take(self._meant(key[-1]))
        else:
            taken = self.take(self._meant(key))
        if taken:
            event.stop()
            event.prevent_default()
        return taken

    def take(self, key: str) -> bool:
        """Do what a key of the registry does on the line.

        Returns:
            Whether it does anything here.
        """
        return self._strike(key) if self._keypad else self._type(key)

    def _type(self, key: str) -> bool:
        if len(key) == 1:
            if len(self._edited.text) < MAX_TEXT:
                self._set(self._edited.insert(key))
            else:
                self.app.bell()
        elif key == "enter":
            entered = self._edited.text
            self._edited = Edited()
            self._keypad = self._once or self._scanning
            self._scanning = False
            tell(self, Entered(entered))
            repaint(self)
        elif key == "delete" and not self._edited.text:
            tell(self, Struck(key))
        elif edit := EDITS.get(key):
            self._set(edit(self._edited))
        elif key in ("up", "down"):
            tell(self, Moved(-1 if key == "up" else 1))
        elif key == "escape":
            if self._once:
                self._edited = Edited()
            self._switch(True, Left())
        else:
            return False
        return True

    def _strike(self, key: str) -> bool:
        if key in self._resume_keys:
            self._switch(False, Resumed(key))
        elif key == SCAN_KEY and not self._once:
            self._scanning = True
            self._switch(False, Resumed(key))
            self._set(Edited(key, len(key)))
        elif len(key) == 1 or key in ("enter", "escape", "up", "down", "left", "right", "delete", "backspace"):
            tell(self, Struck(key))
        else:
            return False
        return True

    def _switch(self, on: bool, message: Message) -> None:
        self._keypad = on
        if on:
            self._scanning = False
        tell(self, message)
        repaint(self)

    def on_paste(self, event: events.Paste) -> None:
        """One line is typed in; several are handed on as entries. What is pasted on the keypad is no tally."""
        event.stop()
        event.prevent_default()
        lines = tuple(line for line in event.text.replace("\t", " ").splitlines() if line.strip())
        if len(lines) > 1:
            tell(self, Pasted(lines))
        elif lines and not self._keypad:
            line = "".join(char if char.isprintable() else shown(char) for char in lines[0])
            room = MAX_TEXT - len(self._edited.text)
            if len(line) > room:
                self.app.bell()
            self._set(self._edited.insert(line[:room]))

    def on_click(self, event: events.Click) -> None:
        """Put the cursor where the line was clicked; from the keypad, go back to typing."""
        event.stop()
        if self._keypad:
            self._switch(False, Resumed())
            return
        cells = event.x - cell_len(self._prompt)
        place = self._first
        while place < len(self._edited.text) and cell_len(self._edited.text[self._first : place + 1]) <= cells:
            place += 1
        self._set(Edited(self._edited.text, place))

    # -- drawing

    def on_focus(self) -> None:
        """The cursor appears."""
        repaint(self)

    def on_blur(self) -> None:
        """The cursor goes."""
        repaint(self)

    def _scroll(self, room: int) -> None:
        """Keep the cursor in sight within ``room`` cells."""
        text, cursor = self._edited.text, self._edited.cursor
        if cell_len(text) < room:
            self._first = 0
            return
        self._first = min(self._first, cursor)
        while cell_len(text[self._first : cursor]) > room - 1 - cell_len(text[cursor : cursor + 1]):
            self._first += 1
            if self._first >= cursor:
                break

    def render_line(self, y: int) -> Strip:
        """The line itself on the first row; whatever lies below is blank."""
        styles = palette(self)
        width = self.size.width
        if y:
            return draw((), width, styles)
        resting = self._keypad or not self.has_focus
        self._scroll(max(width - cell_len(self._prompt), 1))
        text, after = self._edited.text, self._edited.right().cursor
        if not text and self._placeholder:
            head, under, style = "", "" if resting else " ", "quiet"
            tail = fit(self._placeholder, width - cell_len(self._prompt) - len(under))
        else:
            head, under, tail = text[self._first : self.cursor], text[self.cursor : after] or " ", text[after:]
            style = "quiet" if resting else "text"
        row = (
            (fit(self._prompt, width), "quiet" if resting else "title"),
            (head, style),
            (under, style if resting else "cursor"),
            (tail, style),
        )
        return draw(row, width, styles)

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines of an area, drawn anew: there is but one, and it changes with every key."""
        strips = [self.render_line(y) for y in crop.line_range]
        return strips if crop.column_span == (0, self.size.width) else [s.crop(*crop.column_span) for s in strips]
