"""A screen in each of the app's own themes: its text, and what each cell of it is drawn as.

A cell's look is what it looks like in all themes together, and is called by the role that looks so everywhere. So one
golden file holds a screen in every theme: a cell that some theme draws as anything else gets a name of its own. What a
role's colours are is said once, in ``looks.txt``.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.pilot import Pilot

from sortbench.tui.app import SortbenchApp
from sortbench.tui.theme_choice import wear
from sortbench.tui.themes import OWN_THEMES
from sortbench.tui.widgets.palette import LOOKS, palette

HERE = Path(__file__).parent / "golden" / "themes"
BLANK = "blank"
"""A blank on the theme's own ground: what ink it has cannot be seen."""


class Look(NamedTuple):
    """How a cell is drawn in one theme.

    Attributes:
        ink, ground: ``#rrggbb``.
        more: letters for bold, reverse, underline, dim.
    """

    ink: str
    ground: str
    more: str

    def __str__(self) -> str:
        return f"{self.ink} on {self.ground}" + (f" {self.more}" if self.more else "")


class Drawn(NamedTuple):
    """Cells of one line that look alike.

    Attributes:
        text: what stands there.
        looks: how it looks in each theme, in their order.
        role: what such cells are called.
    """

    text: str
    looks: tuple[Look, ...]
    role: str


Line = tuple[Drawn, ...]


@cache
def look_of(style: Style) -> Look:
    """How a style looks."""
    flags = (("b", style.bold), ("r", style.reverse), ("u", style.underline), ("d", style.dim))
    return Look(_hex(style.color), _hex(style.bgcolor), "".join(letter for letter, on in flags if on))


def _hex(colour: object) -> str:
    triplet = getattr(colour, "triplet", None)
    return triplet.hex if triplet is not None else str(getattr(colour, "name", "none"))


async def roles_of(pilot: Pilot[None]) -> Mapping[tuple[Look, ...], str]:
    """What is called how: the first role that looks so in every theme."""
    app = pilot.app
    seen: dict[str, list[Look]] = {role: [] for role in LOOKS}
    for theme in OWN_THEMES:
        await worn(pilot, theme)
        styles = palette(app.screen)
        for role, looks in seen.items():
            looks.append(look_of(styles[role]))
    found: dict[tuple[Look, ...], str] = {}
    for role, looks in seen.items():
        found.setdefault(tuple(looks), role)
    return found


async def worn(pilot: Pilot[None], theme: str) -> None:
    """Put on a theme and have everything drawn in it."""
    app = pilot.app
    assert isinstance(app, SortbenchApp)
    if app.theme != theme:
        wear(app, theme)
        await pilot.pause()
    assert app.theme_variables["background"].lower() == OWN_THEMES[theme].inks.ground


async def in_each_theme(pilot: Pilot[None], roles: Mapping[tuple[Look, ...], str]) -> tuple[Line, ...]:
    """What stands on the screen, in runs of cells that look alike."""
    drawn: list[list[list[tuple[str, Look]]]] = []
    for theme in OWN_THEMES:
        await worn(pilot, theme)
        drawn.append([list(_cells(strip)) for strip in pilot.app.screen._compositor.render_strips()])
    lines = []
    for versions in zip(*drawn, strict=True):
        texts = ["".join(character for character, _ in version) for version in versions]
        assert len(set(texts)) == 1, f"text hangs on the theme: {texts}"
        looks = zip(*([look for _, look in version] for version in versions), strict=True)
        lines.append(_runs(texts[0], [tuple(each) for each in looks], roles))
    return tuple(lines)


def _cells(strip: Iterable[Segment]) -> list[tuple[str, Look]]:
    found = []
    for segment in strip:
        look = look_of(segment.style or Style.null())
        found += [(character, look) for character in segment.text]
    return found


def _runs(text: str, looks: list[tuple[Look, ...]], roles: Mapping[tuple[Look, ...], str]) -> Line:
    line: list[Drawn] = []
    for character, each in zip(text, looks, strict=True):
        role = _role(character, each, roles)
        last = line[-1] if line else Drawn("", each, BLANK)
        if role in (BLANK, last.role):  # a blank between words shows nothing of its own
            line[-1:] = [last._replace(text=last.text + character)]
        else:
            line.append(Drawn(character, each, role))
    return tuple(line)


def _role(character: str, looks: tuple[Look, ...], roles: Mapping[tuple[Look, ...], str]) -> str:
    own = tuple(theme.inks.ground for theme in OWN_THEMES.values())
    if character == " " and tuple(look.ground for look in looks) == own and not any("r" in each.more for each in looks):
        return BLANK
    if role := roles.get(looks):
        return role
    return str(looks[0]) if len(set(looks)) == 1 else " | ".join(str(look) for look in looks)


def as_text(lines: Sequence[Line]) -> str:
    """A screen for its golden file: each line, and below it from which cell on it is what, unless all is plain text."""
    told = []
    for line in lines:
        told.append(f"|{''.join(run.text for run in line)}".rstrip())
        starts, at = [], 0
        for run in line:
            if run.role != BLANK:
                starts.append(f"{at} {run.role}")
            at += cell_len(run.text)
        if {run.role for run in line} - {"text", BLANK}:
            told.append("  " + ", ".join(starts))
    return "\n".join(told) + "\n"


def looks_as_text(roles: Mapping[tuple[Look, ...], str]) -> str:
    """What each role looks like in each theme; ``b``, ``r``, ``u`` are bold, reverse, underline."""
    told = []
    for at, theme in enumerate(OWN_THEMES):
        told += [theme, *(f"  {role}: {looks[at]}" for looks, role in roles.items())]
    return "\n".join(told) + "\n"


def assert_themed(name: str, seen: str) -> None:
    """The file of a screen says the same. ``SORTBENCH_GOLDEN=write`` writes it anew."""
    path = HERE / f"{name}.txt"
    if os.environ.get("SORTBENCH_GOLDEN") == "write":
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(seen, encoding="utf-8")
    assert path.exists(), f"{path.name} is missing; SORTBENCH_GOLDEN=write makes it"
    assert seen == path.read_text(encoding="utf-8"), f"{path.name} is not what the screen shows; see {__name__}"
