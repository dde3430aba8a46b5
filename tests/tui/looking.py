"""What a screen shows, as a person would read it; and keys, as a person would strike them."""

from __future__ import annotations

from collections.abc import Iterable

from rich.style import Style
from textual.app import App
from textual.pilot import Pilot

NAMES = {" ": "space", "/": "slash", "*": "asterisk", "!": "exclamation_mark", "#": "number_sign", "@": "at"}


def lines(app: App[None]) -> list[str]:
    """The lines of the terminal, blanks at their ends dropped."""
    return [strip.text.rstrip() for strip in app.screen._compositor.render_strips()]


def text(app: App[None]) -> str:
    """All that the terminal shows."""
    return "\n".join(lines(app))


def line_with(app: App[None], words: str) -> str:
    """The first line that holds these words."""
    found = next((line for line in lines(app) if words in line), None)
    assert found is not None, f"{words!r} is not on the screen:\n{text(app)}"
    return found


def styles_of(app: App[None], words: str) -> list[Style]:
    """The styles in which these words are drawn, where they are one span."""
    return [
        segment.style
        for strip in app.screen._compositor.render_strips()
        for segment in strip
        if segment.style is not None and words in segment.text
    ]


def keys(text_typed: str) -> Iterable[str]:
    """The keys that type a text."""
    return [NAMES.get(char, char) for char in text_typed]


async def enter(pilot: Pilot[None], entry: str) -> None:
    """Type an entry and Enter."""
    await pilot.press(*keys(entry), "enter")
    await pilot.pause()


async def press(pilot: Pilot[None], *names: str) -> None:
    """Strike keys, and let what they changed be drawn."""
    await pilot.press(*names)
    await pilot.pause()
