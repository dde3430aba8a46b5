"""What the style names of rows look like in a theme.

One small table instead of component classes: resolving it costs nothing a widget, and every panel shares the result.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from rich.color import Color as RichColor
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter
from textual.widget import Widget

from sortbench.tui.themes import OWN_THEMES


class Look(NamedTuple):
    """A style by what it means.

    Attributes:
        colour: a colour of the theme.
        muted: mixed half and half with the background.
        bold, reverse, underline: as terminals have them; they stay when colours are off.
    """

    colour: str = "foreground"
    muted: bool = False
    bold: bool = False
    reverse: bool = False
    underline: bool = False


LOOKS: Mapping[str, Look] = {
    "text": Look(),
    "quiet": Look(muted=True),
    "strong": Look(bold=True),
    "title": Look("primary", bold=True),
    "rule": Look("primary"),
    "key": Look("accent", bold=True),
    "key-off": Look(muted=True),
    "chosen": Look(reverse=True),
    "wanted": Look("accent", bold=True),
    "held": Look("accent", reverse=True),
    "standard": Look("success"),
    "present": Look("warning"),
    "possible": Look("warning", muted=True),
    "empty": Look(muted=True),
    "good": Look("success", bold=True),
    "warning": Look("warning", bold=True),
    "over": Look("error", bold=True, reverse=True),
    "error": Look("error", bold=True),
    "cursor": Look(reverse=True),
}
"""Every style name that a row may use."""

_INKS = {
    ("foreground", False): "text",
    ("foreground", True): "quiet",
    ("primary", False): "title",
    ("accent", False): "key",
    ("success", False): "good",
    ("error", False): "over",
    ("warning", False): "warning",
    ("warning", True): "doubt",
}
"""What one of the app's own themes calls the ink of a look."""
FEW, INDEXED = frozenset({"standard", "windows"}), "256"
"""What Rich calls the colours of terminals that have 16, and of those that have 256."""
_RGB = re.compile(r"#[0-9a-f]{6}")
_INDEXED = re.compile(r"@(?:1[6-9]|[2-9]\d|1\d\d|2[0-4]\d|25[0-5])")
_RGB_ON_RGB = re.compile(r"(#[0-9a-f]{6}) on (#[0-9a-f]{6})")
PLAIN = frozenset(name for name, look in LOOKS.items() if not (look.reverse or look.underline))
"""Styles in which a blank is nothing but background."""

CONTRAST = 4.5
"""Least contrast ratio of text to its background."""
_STEPS = 16
_BLACK, _WHITE = Color(0, 0, 0), Color(255, 255, 255)
_COLOURS = ("background", "foreground", *sorted({look.colour for look in LOOKS.values()} - {"foreground"}))
_DEFAULTS = {"background": "#121212", "foreground": "#e0e0e0"}


def palette(widget: Widget) -> Mapping[str, Style]:
    """Rich styles by name for the app's present theme. A name that is not known looks like ``text``.

    The app's filters (no colours, no terminal colours) have been applied, so that lines need not pass them one by one.
    """
    app = widget.app
    colours = "" if app.no_color else app.console.color_system or ""
    terminal = _Terminal(colours, tuple(widget.get_line_filters()))
    if app.theme in OWN_THEMES:
        return _own_styles(app.theme, app.current_theme.ansi, terminal)
    variables = app.theme_variables
    values = tuple(variables.get(name) or _DEFAULTS.get(name, "#e0e0e0") for name in _COLOURS)
    return _styles(values, terminal)


class _Terminal(NamedTuple):
    """What styles go through before they are seen.

    Attributes:
        colours: those there are, as Rich names them; empty if none are to be sent, or none are known of.
        filters: the app's.
    """

    colours: str
    filters: tuple[LineFilter, ...]


@lru_cache(maxsize=32)
def _own_styles(theme: str, few: bool, terminal: _Terminal) -> Mapping[str, Style]:
    own = OWN_THEMES[theme]
    inks = own.few if few else own.inks
    ground = Color.parse(inks.ground)
    styles = _Palette(terminal, ground)
    # Where a terminal with 16 colours shows bold as the brighter colour, bold black on light grey is dark grey.
    bolds = own.dark or not few
    for name, look in LOOKS.items():
        ink = Color.parse(getattr(inks, _INKS[look.colour, look.muted]))
        styles[name] = styles.filtered(
            Style(
                color=ink.rich_color,
                bgcolor=ground.rich_color,
                bold=(look.bold and bolds) or None,
                reverse=look.reverse or None,
                underline=look.underline or None,
            )
        )
    return styles


@lru_cache(maxsize=32)
def _styles(values: tuple[str, ...], terminal: _Terminal) -> Mapping[str, Style]:
    colours = {name: Color.parse(value) for name, value in zip(_COLOURS, values, strict=True)}
    styles = _Palette(terminal, colours["background"])
    for name, look in LOOKS.items():
        styles[name] = styles.filtered(_style(look, colours))
    return styles


def _style(look: Look, colours: Mapping[str, Color]) -> Style:
    background = colours["background"]
    colour = colours[look.colour]
    # The terminal's own colours cannot be mixed: there the terminal dims them.
    dim = look.muted and (colour.ansi is not None or background.ansi is not None)
    if look.muted and not dim:
        colour = background.blend(colour, 0.6)
    if colour.ansi is None and background.ansi is None:
        colour = _legible(colour, background, colours["foreground"])
    return Style(
        color=colour.rich_color,
        bgcolor=background.rich_color,
        bold=look.bold or None,
        dim=dim or None,
        reverse=look.reverse or None,
        underline=look.underline or None,
    )


def _legible(colour: Color, background: Color, towards: Color) -> Color:
    """The colour, mixed with the theme's text colour as far as it takes to stand out from the background.

    The bound is that of W3C, *Web Content Accessibility Guidelines 2.1*, success criterion 1.4.3: 4.5 to 1. An amber
    that is bright on black is all but gone on a light ground.
    """
    for step in range(_STEPS):
        mixed = colour.blend(towards, step / _STEPS)
        if _contrast(mixed, background) >= CONTRAST:
            return mixed
    return towards


def _contrast(one: Color, other: Color) -> float:
    """Contrast ratio of two colours, 1 to 21: ``(L1 + 0.05) / (L2 + 0.05)`` of their relative luminances (WCAG 2.1)."""
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: Color) -> float:
    """Relative luminance, 0 black to 1 white, of an sRGB colour (WCAG 2.1, definition of relative luminance)."""
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour.normalized
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


class _Palette(dict[str, Style]):
    """Styles by name; ``#9ba19d`` is a ground of that sRGB value, ``@255`` one of that number among 256 colours,
    ``#9ba19d on #f4f4f0`` one colour on another.

    Where there are 16 colours, nobody knows what they look like: a ground would tell nothing true, and its letter
    stands alone.
    """

    def __init__(self, terminal: _Terminal, background: Color) -> None:
        super().__init__()
        self._terminal, self._background = terminal, background

    def __missing__(self, name: str) -> Style:
        text = self["text"]
        if both := _RGB_ON_RGB.fullmatch(name):
            return self.filtered(_two_colours(both[1], both[2]))  # not kept: a picture has one for each of its cells
        if _RGB.fullmatch(name):
            found = self["strong"] if self._terminal.colours in FEW else self._shade(name)
        elif _INDEXED.fullmatch(name):
            found = _ground(RichColor.from_ansi(int(name[1:])))  # no filter, see below
        else:
            return text
        self[name] = found
        return found

    def _shade(self, rgb: str) -> Style:
        style = swatch(rgb, self._terminal.colours)
        # A filter that knows true colours only would make another number of a number.
        return style if self._terminal.colours == INDEXED else self.filtered(style)

    def filtered(self, style: Style) -> Style:
        """A style as the app's filters leave it."""
        sample = [Segment("x", style)]
        for line_filter in self._terminal.filters:
            sample = line_filter.apply(sample, self._background)
        return sample[0].style or Style.null()


def swatch(rgb: str, colours: str) -> Style:
    """A ground of a shade's sRGB value ``#rrggbb``, under a letter that stands out from it.

    Args:
        colours: those there are, as Rich names them. Of 256 the nearest is taken, where Rich would make a pale yellow
            of a white.
    """
    if colours != INDEXED:
        return _ground(Color.parse(rgb).rich_color)
    from sortbench.desks.terminal_colours import number_of

    return _ground(RichColor.from_ansi(number_of(rgb[1:])))


def _ground(colour: RichColor) -> Style:
    """A ground under black or white, whichever stands out more: by 4.58 to 1 at least."""
    ground = Color.from_rich_color(colour)
    ink = max(_BLACK, _WHITE, key=lambda each: _contrast(each, ground))
    return Style(color=ink.rich_color, bgcolor=colour)


@lru_cache(maxsize=4096)
def _two_colours(colour: str, ground: str) -> Style:
    return Style(color=colour, bgcolor=ground)
