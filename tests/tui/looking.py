"""What a screen shows, as a person would read it; and keys, as a person would strike them."""

from __future__ import annotations

from rich.style import Style
from textual import events
from textual.app import App
from textual.pilot import Pilot

from sortbench.tui.app import SortbenchApp

CHARACTERS = {"enter": "\r", "escape": "\x1b"}
OPENING = frozenset({"ctrl+p", ":", "f1", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "escape", "?", "q"})


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


async def press(pilot: Pilot[None], *names: str) -> None:
    """Strike keys as fast as a terminal hands them on, and let what they changed be drawn.

    Only keys that may open or close a screen are waited for: what is typed goes out in one burst.
    """
    driver = pilot.app._driver
    assert driver is not None
    for name in names:
        event = events.Key(name, CHARACTERS.get(name, name if len(name) == 1 else None))
        event.set_sender(pilot.app)
        driver.send_message(event)
        if name in OPENING:
            await pilot.pause()
    await pilot.pause()
    await at_rest(pilot)


async def at_rest(pilot: Pilot[None]) -> None:
    """Wait until no key is held behind another, and what they changed is drawn."""
    app = pilot.app
    assert isinstance(app, SortbenchApp)
    while not app._keys.is_at_rest and not app._exit:
        await pilot.pause()


async def enter(pilot: Pilot[None], entry: str) -> None:
    """Type an entry and Enter."""
    await press(pilot, *entry, "enter")
