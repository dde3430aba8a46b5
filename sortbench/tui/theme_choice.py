"""Putting on one of the app's own themes, and the command that goes on to the next and keeps it."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from sortbench.tui.themes import OWN_THEMES, textual_theme
from sortbench.tui.widgets.palette import FEW

if TYPE_CHECKING:
    from textual.app import App


def wants_no_colour() -> bool:
    """Whether whoever started the program wants no colours: ``NO_COLOR`` is there and not empty (no-color.org)."""
    return bool(os.environ.get("NO_COLOR"))


def has_few_colours(app: App[None]) -> bool:
    """Whether the terminal has 16 colours."""
    return app.console.color_system in FEW


def first_theme(app: App[None], chosen: str) -> None:
    """Put on what the app begins with.

    Args:
        app: the app, which is not running yet.
        chosen: a name out of the settings; empty where they leave it to the app. Then ``TEXTUAL_THEME`` decides if
            there is one, unless no colours are wanted.
    """
    if chosen or wants_no_colour() or "TEXTUAL_THEME" not in os.environ:
        wear(app, chosen or next(iter(OWN_THEMES)))


def wear(app: App[None], name: str) -> None:
    """Put on one of :data:`OWN_THEMES`. Only now Textual hears of it: a start makes one theme, not all of them."""
    app.register_theme(textual_theme(name, has_few_colours(app)))
    app.theme = name


def next_theme(app: App[None]) -> None:
    """Go on to the next of the app's own themes, keep it in the user's settings, and say so."""
    from sortbench.model.errors import SortbenchError
    from sortbench.settings import keep

    if app.no_color:
        app.notify("NO_COLOR is set: without colours all themes look alike.", markup=False)
        return
    names = tuple(OWN_THEMES)
    name = names[(names.index(app.theme) + 1) % len(names)] if app.theme in names else names[0]
    wear(app, name)
    try:
        keep("looks", "theme", name)
        kept = "kept for the next start."
    except SortbenchError as error:
        kept = f"until you leave. {error}"
    few = " With this terminal's 16 colours the dark ones look alike." if has_few_colours(app) else ""
    app.clear_notifications()
    app.notify(f"{name}, {OWN_THEMES[name].says}: {kept}{few}", title="Theme", markup=False)
