"""The app's own themes, as data: a ground, and an ink for each thing that inks tell apart.

Every ink stands out from the ground of its theme by 4.5 to 1 at least, in high contrast by 7 to 1 (W3C, *Web Content
Accessibility Guidelines 2.2*, success criteria 1.4.3 and 1.4.6). The inks of ``colour-safe`` were searched for so that
any two stay apart for eyes that lack one kind of cone as well: by CIEDE2000 of 12 at least under the simulation of
G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation of Color Vision
Deficiency", IEEE Trans. Vis. Comput. Graph. 15 (2009) 1291-1298. Tests reckon all of this, of true colours and of the
256 that Rich sends where a terminal has no more.

A terminal with 16 colours shows them as whoever sits there has set them, so what its 16 numbers look like is not known.
There a theme keeps to numbers that are legible in each of the usual sets.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from textual.theme import Theme


class Inks(NamedTuple):
    """Colours of a theme, written as sRGB ``#rrggbb``, or as Textual's names of the 16.

    Attributes:
        ground: what everything stands on.
        raised: ground of what lies over a screen for a moment.
        text: whatever has no ink of its own.
        quiet: what matters less: labels, hints, what cannot be done now, what is empty.
        title: titles and rules.
        key: keys, what is wanted, what is held.
        good: done, to standard.
        warning: there, but not as wanted.
        doubt: what may turn out as wanted.
        over: overflow and errors.
    """

    ground: str
    raised: str
    text: str
    quiet: str
    title: str
    key: str
    good: str
    warning: str
    doubt: str
    over: str


class OwnTheme(NamedTuple):
    """A theme.

    Attributes:
        says: what it is for, in a few words.
        dark: whether its ground is darker than its text.
        inks: its colours where the terminal has 256 or more.
        few: where it has 16.
    """

    says: str
    dark: bool
    inks: Inks
    few: Inks


_FEW_ON_BLACK = Inks(
    ground="ansi_black",
    raised="ansi_black",
    text="ansi_bright_white",
    quiet="ansi_white",
    title="ansi_bright_cyan",
    key="ansi_cyan",
    good="ansi_bright_green",
    warning="ansi_bright_yellow",
    doubt="ansi_white",
    over="ansi_bright_red",
)
# On a ground of colour 7, for the Linux console has no brighter one; only black and blue are legible on it everywhere.
_FEW_ON_WHITE = Inks(
    ground="ansi_white",
    raised="ansi_white",
    text="ansi_black",
    quiet="ansi_black",
    title="ansi_blue",
    key="ansi_blue",
    good="ansi_black",
    warning="ansi_black",
    doubt="ansi_black",
    over="ansi_black",
)

OWN_THEMES: Mapping[str, OwnTheme] = {
    "dark": OwnTheme(
        "for dim rooms",
        True,
        Inks(
            ground="#14181d",
            raised="#20262d",
            text="#e6e3dc",
            quiet="#969da5",
            title="#6fb1e8",
            key="#f0a95b",
            good="#6fc98a",
            warning="#e9c04f",
            doubt="#a99250",
            over="#f2766c",
        ),
        _FEW_ON_BLACK,
    ),
    "light": OwnTheme(
        "for daylight",
        False,
        Inks(
            ground="#f7f4ec",
            raised="#ebe9e5",
            text="#23282d",
            quiet="#5a6066",
            title="#1f5296",
            key="#8a3f0a",
            good="#1d6b35",
            warning="#7d5600",
            doubt="#6b6248",
            over="#b3261e",
        ),
        _FEW_ON_WHITE,
    ),
    "high-contrast": OwnTheme(
        "for tired eyes and wet glasses",
        True,
        Inks(
            ground="#000000",
            raised="#000000",
            text="#ffffff",
            quiet="#c8c8c8",
            title="#7fd4ff",
            key="#ffb870",
            good="#6cf59a",
            warning="#ffe14d",
            doubt="#d9c98c",
            over="#ff9090",
        ),
        _FEW_ON_BLACK,
    ),
    "colour-safe": OwnTheme(
        "for eyes that mix up red and green, or blue and yellow",
        True,
        Inks(
            ground="#11161c",
            raised="#1b222a",
            text="#eceae4",
            quiet="#99a1aa",
            title="#3f97e3",
            key="#b8d0fd",
            good="#31f196",
            warning="#dbaf02",
            doubt="#99a1aa",
            over="#dc6456",
        ),
        _FEW_ON_BLACK,
    ),
}
"""The app's own themes by name, the first for whoever chose none. The settings know the names, too."""


def textual_theme(name: str, few: bool) -> Theme:
    """A theme as Textual wants it, for what Textual draws itself: what lies over a screen for a moment, and scrollbars.

    Args:
        name: one of :data:`OWN_THEMES`.
        few: whether the terminal has 16 colours.
    """
    from textual.theme import BUILTIN_THEMES, Theme

    own = OWN_THEMES[name]
    inks = own.few if few else own.inks
    variables = {"text-success": inks.good, "text-warning": inks.warning, "text-error": inks.over}
    variables |= {"panel-lighten-1": inks.raised}  # what Textual lays notices on
    if few:  # Textual's own style sheets ask for more where colours are the terminal's
        variables = {**BUILTIN_THEMES["ansi-dark" if own.dark else "ansi-light"].variables, **variables}
        variables |= {"ansi-background": inks.ground, "ansi-foreground": inks.text}
    return Theme(
        name=name,
        primary=inks.title,
        secondary=inks.title,
        accent=inks.key,
        success=inks.good,
        warning=inks.warning,
        error=inks.over,
        foreground=inks.text,
        background=inks.ground,
        surface=inks.ground,
        panel=inks.raised,
        boost=inks.raised,
        dark=own.dark,
        ansi=few,
        variables=variables,
    )
