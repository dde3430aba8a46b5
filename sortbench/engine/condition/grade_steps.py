"""Colours to judge by eye: for a reference, how a piece of each grade looks if it has yellowed.

A grey scale (ISO 105-A02) puts a pair of chips before the eye for each grade; here the first chip is the shade itself
and the second has the colour change that the grade stands for, so that a piece is held against steps and not against
memory. Differences are those that ISO 105-A02:1994, clause 2.4 gives its pairs; as the change dE_F of ISO 105-A05, so
that measuring a swatch gives the very grade that stands beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import product
from typing import NamedTuple

from sortbench.engine.condition.change_rating import colour_change
from sortbench.engine.condition.colour import Lab, hex_to_lab, in_gamut, lab_to_hex
from sortbench.model.grade import Grade

NOMINAL: tuple[tuple[Grade, float], ...] = (
    (Grade.G5, 0.0),
    (Grade.G4_5, 0.8),
    (Grade.G4, 1.7),
    (Grade.G3_4, 2.5),
    (Grade.G3, 3.4),
    (Grade.G2_3, 4.8),
    (Grade.G2, 6.8),
    (Grade.G1_2, 9.6),
    (Grade.G1, 13.6),
)
"""Grades from the best, and the colour difference of each (ISO 105-A02:1994, clause 2.4)."""

_ASIDE = 0.05
"""Weight of lying off the line against having the right change, when a swatch is rounded to eight bits."""
_STRIDE, _HALVINGS, _FARTHEST = 0.5, 24, 160.0


class GradeStep(NamedTuple):
    """One swatch.

    Attributes:
        grade: what a piece of this colour is graded.
        nominal: the colour difference that the standard gives the grade, 0 to 13.6.
        change: the change dE_F of the swatch as shown, in eight bits a channel.
        rgb: six hex digits of sRGB.
    """

    grade: Grade
    nominal: float
    change: float
    rgb: str


class GradeScale(NamedTuple):
    """The steps of one reference.

    Attributes:
        rgb: the reference as shown, six hex digits of sRGB; all changes are from this colour.
        cut: the reference is a colour that sRGB does not hold; the nearest that can be shown stands for it.
        steps: the nine grades, 5 first.
        towards: in which direction the steps go, in words.
    """

    rgb: str
    cut: bool
    steps: tuple[GradeStep, ...]
    towards: str


@lru_cache(maxsize=64)
def grade_scale(reference: Lab) -> GradeScale:
    """The steps from a reference towards yellow, as far as sRGB holds such colours.

    Old plastic goes yellow and a little darker. Where a shade leaves no room for that (a full yellow, a black), the
    steps go darker, lighter or paler instead, which ``towards`` then says.

    Args:
        reference: an unaged piece, CIELAB D65/2.
    """
    rgb = lab_to_hex(reference)
    shown = hex_to_lab(rgb)
    wanted = [nominal for _, nominal in NOMINAL[1:]]
    towards, labs = _first_with_room(shown, wanted)
    swatches = [rgb, *(_rounded(shown, lab, nominal) for lab, nominal in zip(labs, wanted, strict=True))]
    steps = tuple(
        GradeStep(grade, nominal, colour_change(hex_to_lab(each), shown), each)
        for (grade, nominal), each in zip(NOMINAL, swatches, strict=True)
    )
    return GradeScale(rgb, not in_gamut(reference), steps, towards)


def _first_with_room(start: Lab, wanted: Sequence[float]) -> tuple[str, list[Lab]]:
    """The likeliest direction in which sRGB holds all the changes wanted, and the colours there."""
    for towards, path in _paths(start):
        labs = _along(start, path, wanted)
        if len(labs) == len(wanted):
            return towards, labs
    raise AssertionError("one of the ways towards grey, black or white has room for every colour of sRGB")


def _paths(start: Lab) -> Iterator[tuple[str, Lab]]:
    """Directions to try, each one of length 1, the likeliest first."""
    for sign, degrees, towards in (
        (-1, 15, "yellower and a little darker"),
        (-1, 30, "yellower and darker"),
        (1, 30, "yellower and lighter"),
        (-1, 50, "yellower and darker"),
        (1, 50, "yellower and lighter"),
        (-1, 70, "darker, hardly yellower"),
        (1, 70, "lighter, hardly yellower"),
    ):
        lean = math.radians(degrees)
        yield towards, Lab(sign * math.sin(lean), 0.0, math.cos(lean))
    for towards, end in (
        ("paler", Lab(start.lightness, 0.0, 0.0)),
        ("darker and paler", Lab(0.0, 0.0, 0.0)),
        ("lighter and paler", Lab(100.0, 0.0, 0.0)),
    ):
        away = math.dist(start, end)
        if away > 0.0:
            yield towards, Lab(*((to - from_) / away for to, from_ in zip(end, start, strict=True)))


def _along(start: Lab, path: Lab, wanted: Sequence[float]) -> list[Lab]:
    """Where along a path each change is first reached; fewer than wanted where the path leaves sRGB before."""

    def at(far: float) -> Lab:
        return Lab(*(from_ + far * way for from_, way in zip(start, path, strict=True)))

    found: list[Lab] = []
    far = 0.0
    for change in wanted:
        while colour_change(at(far), start) < change:
            far += _STRIDE
            if far > _FARTHEST:
                return found
        low, high = max(far - _STRIDE, 0.0), far
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if colour_change(at(middle), start) < change else (low, middle)
        if not in_gamut(at(high)):
            return found
        found.append(at(high))
        far = high
    return found


def _rounded(start: Lab, lab: Lab, change: float) -> str:
    """The eight-bit colour at or beside a colour whose change comes closest to what it is to be."""
    digits = lab_to_hex(lab)
    channels = [int(digits[place : place + 2], 16) for place in (0, 2, 4)]
    near = [
        "".join(f"{channel + by:02x}" for channel, by in zip(channels, step, strict=True))
        for step in product((-1, 0, 1), repeat=3)
        if all(0 <= channel + by <= 255 for channel, by in zip(channels, step, strict=True))
    ]

    def off(rgb: str) -> float:
        seen = hex_to_lab(rgb)
        return abs(colour_change(seen, start) - change) + _ASIDE * math.dist(seen, lab)

    return min(near, key=off)
