"""What a shade looks like on a terminal that has not all colours, for whoever draws it."""

from __future__ import annotations

from sortbench.engine.condition.colours_256 import nearest


def number_of(rgb: str) -> int:
    """The number, 16 to 255, of the nearest of the 256 colours.

    Args:
        rgb: six hex digits of sRGB.

    Raises:
        DataError: no sRGB value.
    """
    return nearest(rgb).number
