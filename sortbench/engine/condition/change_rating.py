"""The grey-scale rating for change in colour, ISO 105-A05:1996, worked out from two measured colours.

The rating says how far a piece is from its unaged reference, on the scale that eyes use with the grey scale of
ISO 105-A02: 5 no change, 1 severe, half steps between. It ends at 1: all changes of 13.6 or more are rated 1, so worse
pieces are to be told apart by their colour difference.

Sources: ISO 105-A05, 7.2 (the change) and 8 (the rating), followed as two independent public implementations have it;
the bands of half steps as in ISO 105-A04, 6.6. The standard also prints a table of bands of the change; that was known
from memory only and can differ from the formula by a half step close to an edge, so the formula decides.
"""

from __future__ import annotations

import math

from sortbench.engine.condition.colour import Lab, hue_turn, mean_hue
from sortbench.model.grade import Grade

SATURATED = 13.6
"""The change from which on the rating is 1, whatever more there is."""

_STRAIGHT_UP_TO = 3.4


def colour_change(piece: Lab, reference: Lab) -> float:
    """The change in colour dE_F of a piece against its reference, 0 or more (ISO 105-A05, 7.2)."""
    d_lightness = piece.lightness - reference.lightness
    d_chroma = piece.chroma - reference.chroma
    grey = piece.chroma * reference.chroma == 0.0  # no hue of its own
    d_angle = 0.0 if grey else hue_turn(reference.hue, piece.hue)
    mean_angle = piece.hue + reference.hue if grey else mean_hue(reference.hue, piece.hue)
    chroma = (piece.chroma + reference.chroma) / 2.0
    # The part of the difference across lightness and chroma, with its sign, is what is left of the whole.
    d_across = 2.0 * math.sqrt(piece.chroma * reference.chroma) * math.sin(math.radians(d_angle) / 2.0)

    from_blue = abs(mean_angle - 280.0)
    x = (min(from_blue, 360.0 - from_blue) / 30.0) ** 2
    d = d_chroma * chroma * math.exp(-x) / 100.0
    by_across = (d_across - d) / (1.0 + (10.0 * chroma / 1000.0) ** 2)
    by_chroma = (d_chroma - d) / (1.0 + (20.0 * chroma / 1000.0) ** 2)
    return math.sqrt(d_lightness**2 + by_chroma**2 + by_across**2)


def open_rating(change: float) -> float:
    """The rating as its formula goes on below 1; for uncertainties, where a cut-off value would show none."""
    if change <= _STRAIGHT_UP_TO:
        return 5.0 - change / 1.7
    return 5.0 - math.log2(change / 0.85)


def rating(change: float) -> float:
    """The grey-scale rating GSc, 5 (no change) to 1, of a change dE_F (ISO 105-A05, 8)."""
    return max(1.0, open_rating(change))


def grade_of(gsc: float) -> Grade:
    """The grade whose half step a rating lies in: 4.75 and more is 5, 4.25 and more 4-5, down to 1 below 1.25."""
    return Grade(min(Grade.G5, max(Grade.G1, math.floor(gsc * 2.0 + 0.5))))
