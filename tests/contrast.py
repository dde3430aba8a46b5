"""Contrast of two sRGB colours as WCAG 2.2 defines it, written down here from its text and sharing nothing with the
program: "relative luminance" and "contrast ratio" of its glossary, https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio.
"""

from __future__ import annotations

TEXT, DRAWN = 4.5, 3.0
"""The least that success criteria 1.4.3 (AA, text) and 1.4.11 (graphics that tell something) ask for."""


def contrast(one: str, other: str) -> float:
    """From 1 to 21; colours are written ``#rrggbb``."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
