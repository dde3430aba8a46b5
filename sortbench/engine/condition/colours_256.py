"""The nearest of the 256 colours that many terminals have, and how far off it is.

Colours 16 to 231 are a cube of six levels a channel, 232 to 255 are greys; what 0 to 15 look like is up to the person
at the terminal, so these are never taken. The levels are those of xterm (its file ``256colres.pl``; from memory, and
the same as in Rich, which the tests hold them against).
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import Lab, hex_to_lab

_LEVELS = (0, 95, 135, 175, 215, 255)
_FIRST = 16


class Indexed(NamedTuple):
    """One of the 256 colours: its number, 16 to 255, and its six hex digits of sRGB."""

    number: int
    rgb: str


@cache
def _fixed() -> tuple[tuple[Indexed, Lab], ...]:
    cube = [f"{red:02x}{green:02x}{blue:02x}" for red in _LEVELS for green in _LEVELS for blue in _LEVELS]
    greys = [f"{8 + 10 * step:02x}" * 3 for step in range(24)]
    return tuple((Indexed(number, rgb), hex_to_lab(rgb)) for number, rgb in enumerate([*cube, *greys], _FIRST))


@cache
def nearest(rgb: str) -> Indexed:
    """The colour of least CIEDE2000 difference from six hex digits of sRGB; of two alike the one of smaller number.

    Raises:
        DataError: no sRGB value.
    """
    lab = hex_to_lab(rgb)
    return min(_fixed(), key=lambda each: ciede2000(lab, each[1]))[0]
