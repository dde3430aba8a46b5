"""Shades to begin with where nobody has a list of shades yet."""

from __future__ import annotations

from sortbench.model.catalogue import Shade

BASIC_SHADES: tuple[Shade, ...] = tuple(
    Shade(name, rgb)
    for name, rgb in (
        ("black", "000000"),
        ("blue", "0000ff"),
        ("brown", "a52a2a"),
        ("green", "008000"),
        ("grey", "808080"),
        ("orange", "ffa500"),
        ("pink", "ffc0cb"),
        ("purple", "800080"),
        ("red", "ff0000"),
        ("white", "ffffff"),
        ("yellow", "ffff00"),
    )
)
"""The eleven basic colour terms (B. Berlin and P. Kay, *Basic Color Terms*, 1969; from memory), with the sRGB that CSS
Color Module Level 4, 6.1, gives these names. They are words to count under, no measured plastics."""
