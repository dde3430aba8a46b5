"""The colour difference CIEDE2000, as eyes see it: 1 is about what a careful look just tells.

Sources: CIE 142:2001; ISO/CIE 11664-6; written from G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference
formula: implementation notes, supplementary test data, and mathematical observations", Color Res. Appl. 30 (2005)
21-30, whose notes on mean hue and on colours without chroma are followed. Weights kL, kC and kH are 1.
"""

from __future__ import annotations

import math

from sortbench.engine.condition.colour import Lab, hue_turn, mean_hue

_25_TO_7 = 25.0**7


def ciede2000(one: Lab, other: Lab) -> float:
    """The difference of two colours, 0 or more; the same whichever comes first."""
    chroma_7 = ((one.chroma + other.chroma) / 2.0) ** 7
    stretch = 1.5 - 0.5 * math.sqrt(chroma_7 / (chroma_7 + _25_TO_7))  # 1 + G
    one, other = one._replace(a=one.a * stretch), other._replace(a=other.a * stretch)
    grey = one.chroma * other.chroma == 0.0  # no hue to speak of then

    d_hue = 0.0 if grey else hue_turn(one.hue, other.hue)
    d_lightness = other.lightness - one.lightness
    d_chroma = other.chroma - one.chroma
    d_across = 2.0 * math.sqrt(one.chroma * other.chroma) * math.sin(math.radians(d_hue) / 2.0)

    lightness = (one.lightness + other.lightness) / 2.0
    chroma = (one.chroma + other.chroma) / 2.0
    hue = one.hue + other.hue if grey else mean_hue(one.hue, other.hue)

    t = (
        1.0
        - 0.17 * _cos(hue - 30.0)
        + 0.24 * _cos(2.0 * hue)
        + 0.32 * _cos(3.0 * hue + 6.0)
        - 0.20 * _cos(4.0 * hue - 63.0)
    )
    off_50 = (lightness - 50.0) ** 2
    s_lightness = 1.0 + 0.015 * off_50 / math.sqrt(20.0 + off_50)
    s_chroma = 1.0 + 0.045 * chroma
    s_across = 1.0 + 0.015 * chroma * t
    turn = 60.0 * math.exp(-(((hue - 275.0) / 25.0) ** 2))  # 2 x 30 degrees: in the blue
    rotation = -2.0 * math.sqrt(chroma**7 / (chroma**7 + _25_TO_7)) * math.sin(math.radians(turn))

    by_lightness, by_chroma, by_across = d_lightness / s_lightness, d_chroma / s_chroma, d_across / s_across
    square = by_lightness**2 + by_chroma**2 + by_across**2 + rotation * by_chroma * by_across
    return math.sqrt(max(0.0, square))


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))
