"""What an HTML page is made of, read with Python's own parser."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import NamedTuple

EMPTY = {"meta", "wbr", "br", "hr", "img", "link", "input"}
"""Elements without an end tag."""


class Element(NamedTuple):
    """An element: its name, its attributes, and the names of those around it."""

    tag: str
    attributes: dict[str, str]
    inside: tuple[str, ...]


class Page(HTMLParser):
    """A page that was read.

    Attributes:
        elements: in their order.
        text: all that it says, blanks as they are.
        balanced: whether each element that begins also ends, in the right order.
    """

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[Element] = []
        self.text = ""
        self._open: list[str] = []
        self.balanced = True
        self.feed(text)
        self.close()
        self.balanced &= not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(Element(tag, {name: value or "" for name, value in attrs}, tuple(self._open)))
        if tag not in EMPTY:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(Element(tag, {name: value or "" for name, value in attrs}, tuple(self._open)))

    def handle_endtag(self, tag: str) -> None:
        self.balanced &= bool(self._open) and self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not {"style", "title"} & set(self._open):
            self.text += data

    def all(self, tag: str) -> list[Element]:
        """All elements of a name."""
        return [each for each in self.elements if each.tag == tag]
