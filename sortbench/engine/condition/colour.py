"""Colour spaces: sRGB, linear light, CIE XYZ and CIELAB, and readings as people write them.

Everything here is under illuminant D65 for the 2-degree observer, which is what sRGB is made for; readings for another
illuminant or observer cannot be told apart by their numbers, so they are to be brought as D65/2 ones.

Sources: IEC 61966-2-1:1999 (sRGB: its curve and its 4-decimal matrix); CIE 15:2004, 8.2.1 (CIELAB); ASTM E308 Table 5
(the white). The way back from XYZ uses the exact inverse of that matrix and not the printed one of four decimals, so
that going there and back changes nothing.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from sortbench.model.errors import DataError

Rgb = tuple[float, float, float]
"""Red, green, blue from 0 to 1; outside that range the colour is outside sRGB. Encoded or linear: the function says."""


class Xyz(NamedTuple):
    """CIE 1931 tristimulus values; the white has a ``y`` of 100."""

    x: float
    y: float
    z: float


class Lab(NamedTuple):
    """CIELAB: lightness 0 (black) to 100 (white), ``a`` green (-) to red (+), ``b`` blue (-) to yellow (+)."""

    lightness: float
    a: float
    b: float

    @property
    def chroma(self) -> float:
        """Distance from the grey of the same lightness."""
        return math.hypot(self.a, self.b)

    @property
    def hue(self) -> float:
        """Hue angle in degrees, 0 up to 360; 0 where there is no chroma."""
        return math.degrees(math.atan2(self.b, self.a)) % 360.0


D65_2 = Xyz(95.047, 100.0, 108.883)
"""White of illuminant D65 for the 2-degree observer, ASTM E308 Table 5."""

_TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
_EPSILON = (24.0 / 116.0) ** 3  # where the cube root ends and the straight line begins
_SLOPE = 841.0 / 108.0


def _inverse(m: tuple[tuple[float, float, float], ...]) -> tuple[tuple[float, float, float], ...]:
    (a, b, c), (d, e, f), (g, h, i) = m
    whole = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / whole, (c * h - b * i) / whole, (b * f - c * e) / whole),
        ((f * g - d * i) / whole, (a * i - c * g) / whole, (c * d - a * f) / whole),
        ((d * h - e * g) / whole, (b * g - a * h) / whole, (a * e - b * d) / whole),
    )


_FROM_XYZ = _inverse(_TO_XYZ)


def _times(m: tuple[tuple[float, float, float], ...], x: float, y: float, z: float) -> Rgb:
    (a, b, c), (d, e, f), (g, h, i) = m
    return a * x + b * y + c * z, d * x + e * y + f * z, g * x + h * y + i * z


# sRGB


def from_hex(text: str) -> Rgb:
    """Encoded sRGB, 0 to 1, of six hex digits with or without ``#``.

    Raises:
        DataError: no such value.
    """
    digits = text.strip().removeprefix("#")
    if not re.fullmatch(r"[0-9A-Fa-f]{6}", digits):
        raise DataError(f"{text.strip()[:20]!r} is no sRGB value.", "Write six hex digits, as in #e8dcb0.")
    red, green, blue = (int(digits[at : at + 2], 16) / 255.0 for at in (0, 2, 4))
    return red, green, blue


def to_hex(rgb: Rgb) -> str:
    """Encoded sRGB as six lower-case hex digits without a mark; values outside 0 to 1 become 0 or 1."""
    return "".join(f"{round(min(1.0, max(0.0, value)) * 255.0):02x}" for value in rgb)


def decode(value: float) -> float:
    """Linear light of one encoded sRGB channel, both 0 to 1 (IEC 61966-2-1, 5.2); mirrored below 0."""
    if value < 0.0:
        return -decode(-value)
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def encode(value: float) -> float:
    """Encoded sRGB of one channel of linear light, both 0 to 1; mirrored below 0."""
    if value < 0.0:
        return -encode(-value)
    # The standard prints 0.0031308; where the two pieces meet for 0.04045 is meant, so that decode undoes it.
    return value * 12.92 if value <= 0.04045 / 12.92 else 1.055 * value ** (1.0 / 2.4) - 0.055


def linear_to_xyz(rgb: Rgb) -> Xyz:
    """XYZ of linear sRGB."""
    x, y, z = _times(_TO_XYZ, *rgb)
    return Xyz(100.0 * x, 100.0 * y, 100.0 * z)


def xyz_to_linear(xyz: Xyz) -> Rgb:
    """Linear sRGB of XYZ; outside 0 to 1 for a colour that sRGB does not hold."""
    return _times(_FROM_XYZ, xyz.x / 100.0, xyz.y / 100.0, xyz.z / 100.0)


# CIELAB


def _root(ratio: float) -> float:
    return math.cbrt(ratio) if ratio > _EPSILON else _SLOPE * ratio + 16.0 / 116.0


def _cube(root: float) -> float:
    return root**3 if root > 24.0 / 116.0 else (root - 16.0 / 116.0) / _SLOPE


def xyz_to_lab(xyz: Xyz, white: Xyz = D65_2) -> Lab:
    """CIELAB of XYZ under the same illuminant as its white."""
    x, y, z = _root(xyz.x / white.x), _root(xyz.y / white.y), _root(xyz.z / white.z)
    return Lab(116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z))


def lab_to_xyz(lab: Lab, white: Xyz = D65_2) -> Xyz:
    """XYZ of CIELAB under the same illuminant as its white."""
    y = (lab.lightness + 16.0) / 116.0
    return Xyz(
        white.x * _cube(y + lab.a / 500.0),
        white.y * _cube(y),
        white.z * _cube(y - lab.b / 200.0),
    )


def srgb_to_lab(rgb: Rgb) -> Lab:
    """CIELAB of encoded sRGB."""
    red, green, blue = rgb
    return xyz_to_lab(linear_to_xyz((decode(red), decode(green), decode(blue))))


def lab_to_srgb(lab: Lab) -> Rgb:
    """Encoded sRGB of CIELAB for a swatch: what sRGB does not hold is cut off at 0 and 1, channel by channel."""
    red, green, blue = (encode(min(1.0, max(0.0, value))) for value in xyz_to_linear(lab_to_xyz(lab)))
    return red, green, blue


def in_gamut(lab: Lab, slack: float = 0.5 / 255.0) -> bool:
    """Whether sRGB holds a colour, give or take half a step of eight bits in each encoded channel."""
    return all(-slack <= encode(value) <= 1.0 + slack for value in xyz_to_linear(lab_to_xyz(lab)))


def hex_to_lab(text: str) -> Lab:
    """CIELAB of six hex digits of sRGB.

    Raises:
        DataError: no such value.
    """
    return srgb_to_lab(from_hex(text))


def lab_to_hex(lab: Lab) -> str:
    """CIELAB as six hex digits of sRGB without a mark; cut off as :func:`lab_to_srgb` does."""
    return to_hex(lab_to_srgb(lab))


# Hues

_HALF_WAY = 180.0 + 1e-9
"""Opposite hues belong to the shorter way; the last digits of an arctangent must not decide that."""


def hue_turn(one: float, other: float) -> float:
    """From one hue to another by the shorter way, -180 to 180 degrees; both 0 up to 360."""
    apart = other - one
    return apart if abs(apart) <= _HALF_WAY else apart - math.copysign(360.0, apart)


def mean_hue(one: float, other: float) -> float:
    """The hue in the middle of the shorter way, 0 up to 360 degrees; of opposite ones half their sum."""
    whole = one + other
    if abs(one - other) <= _HALF_WAY:
        return whole / 2.0
    return (whole + 360.0) / 2.0 if whole < 360.0 else (whole - 360.0) / 2.0


# Readings

HOW_TO_WRITE = "Write #e8dcb0 (sRGB), lab 88.1 -1.2 14, or xyz 80.1 84.2 70.3 (D65, 2 degrees; white has Y 100)."

_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,6}(?:\.[0-9]{0,12})?|\.[0-9]{1,12})")
_BETWEEN = re.compile(r"[\s,;/]+")
_ONE_SPELLING = str.maketrans({"\N{MINUS SIGN}": "-", "\N{EN DASH}": "-", "*": None, "(": " ", ")": " ", ":": " "})


def parse_reading(text: str) -> Lab:
    """The colour that a typed reading means: ``#e8dcb0``, ``lab 88.1 -1.2 14`` or ``xyz 80.1 84.2 70.3``.

    Numbers are parted by blanks or commas and take a decimal point; Lab and XYZ are D65 for 2 degrees, XYZ with a
    white of Y 100.

    Raises:
        DataError: it is none of these, or no surface can have such a colour.
    """
    words = text.strip()
    cut = words[:100].translate(_ONE_SPELLING).strip().lower()
    space = cut[:3]
    if space not in ("lab", "xyz"):
        return _from_typed_hex(words)
    numbers = [each for each in _BETWEEN.split(cut[3:].strip()) if each]
    if len(numbers) != 3 or not all(_NUMBER.fullmatch(each) for each in numbers):
        raise DataError(
            f"{words[:40]!r} has not three numbers after {space}.", f"Decimals take a point. {HOW_TO_WRITE}"
        )
    first, second, third = (float(each) for each in numbers)
    return _lab_of_numbers(Lab(first, second, third)) if space == "lab" else _lab_of_xyz(Xyz(first, second, third))


def _from_typed_hex(words: str) -> Lab:
    try:
        return hex_to_lab(words)
    except DataError:
        raise DataError(f"{words[:40]!r} is no colour reading.", HOW_TO_WRITE) from None


def _lab_of_numbers(lab: Lab) -> Lab:
    if not (0.0 <= lab.lightness <= 100.0 and abs(lab.a) <= 128.0 and abs(lab.b) <= 128.0):
        raise DataError(
            f"lab {lab.lightness:g} {lab.a:g} {lab.b:g} is no colour of a piece.",
            "L* runs from 0 to 100, a* and b* from -128 to 128.",
        )
    return lab


def _lab_of_xyz(xyz: Xyz) -> Lab:
    written = f"xyz {xyz.x:g} {xyz.y:g} {xyz.z:g}"
    if not 0.0 <= xyz.y <= 100.0 or xyz.x < 0.0 or xyz.z < 0.0:
        raise DataError(
            f"{written} is no colour of a piece.", "Y runs from 0 (black) to 100 (white), X and Z from 0 on."
        )
    lab = xyz_to_lab(xyz)
    if abs(lab.a) > 128.0 or abs(lab.b) > 128.0:
        raise DataError(
            f"{written} is no colour of a piece: it would be a* {lab.a:.0f}, b* {lab.b:.0f}.", "Look the numbers over."
        )
    return lab
