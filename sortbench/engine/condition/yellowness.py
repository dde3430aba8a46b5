"""How yellow or how white a piece is: the indices of ASTM E313, and where they mean something at all.

A yellowness index speaks of things that are white, or were, and have drifted to yellow. Of a red, blue or green piece
it gives a number that means nothing, so :func:`yellowness_scope` says first whether a colour lies where the standard's
index holds.

Sources: ASTM E313 (yellowness: Table 1; its range: 5.2); CIE 15:2004, 9.4 (whiteness and tint, also E313's since 1998);
CIE 1931 2-degree observer for the dominant wavelength (CIE 15:2004, Table T.4: chromaticities every 5 nm).
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from sortbench.engine.condition.colour import D65_2, Xyz, xyz_to_lab

NEUTRAL_CHROMA = 0.8
"""CIELAB chroma up to which a piece counts as neutral. Our own choice: at about the published limit of what is seen as
a difference at all (0.8), a hue, and with it a dominant wavelength, is as much noise as colour."""

NEAR_NEUTRAL_CHROMA = 3.0
"""CIELAB chroma up to which an unaged reference may start a change in yellowness, whatever its hue. Our own choice:
many whites are made a little green or blue, and what yellows from there is what the index was made to follow."""

SCOPE_NM = (570.0, 580.0)
"""Dominant wavelengths that the yellowness index is meant for: ASTM E313, 5.2."""

DARK_Y = 1.0
"""Below this an index would divide noise by next to nothing. Our own choice; the standard names no such limit."""

LIGHT_Y = 65.0
"""Whiteness is for colours lighter than this: ASTM E313, 5.2 (Munsell value above 8.3)."""


class Coefficients(NamedTuple):
    """What the yellowness index takes for one illuminant and observer: ``cx``, ``cz`` and the white they go with."""

    cx: float
    cz: float
    white: Xyz


E313 = {
    "C/2": Coefficients(1.2769, 1.0592, Xyz(98.074, 100.0, 118.232)),
    "D65/2": Coefficients(1.2985, 1.1335, D65_2),
    "C/10": Coefficients(1.2871, 1.0781, Xyz(97.285, 100.0, 116.145)),
    "D65/10": Coefficients(1.3013, 1.1498, Xyz(94.811, 100.0, 107.304)),
}
"""ASTM E313, Table 1, with the whites of ASTM E308, Table 5."""


class Scope(NamedTuple):
    """Whether a yellowness index of a colour means something.

    Attributes:
        dominant_nm: dominant wavelength in nanometres; None for purples and where there is no hue.
        within: it lies where the standard's index holds.
        neutral: too near to neutral for a dominant wavelength to say anything; the index is near 0 then.
        start: a change in yellowness may be measured from it: within, or hardly coloured.
        reason: why it is not within, in words; empty where it is.
    """

    dominant_nm: float | None
    within: bool
    neutral: bool
    start: bool
    reason: str


class Whiteness(NamedTuple):
    """CIE whiteness (100 for the perfect white) and tint (above 0 greenish, below 0 reddish)."""

    whiteness: float
    tint: float


def yellowness_index(xyz: Xyz, observation: str = "D65/2") -> float:
    """The yellowness index YI E313: 0 for a perfect white, larger the yellower, below 0 for a white that tends to blue.

    It is worked out for any colour; ask :func:`yellowness_scope` whether it means something.

    Args:
        xyz: under the illuminant and for the observer named; ``y`` above 0.
        observation: ``C/2``, ``D65/2``, ``C/10`` or ``D65/10``.
    """
    cx, cz, _ = E313[observation]
    return 100.0 * (cx * xyz.x - cz * xyz.z) / xyz.y


def whiteness_index(xyz: Xyz, white: Xyz = D65_2, degrees: int = 2) -> Whiteness:
    """CIE whiteness and tint under D65; ask :func:`why_not_white` whether they mean something.

    Args:
        xyz: the colour, and ``white`` the white for the same observer.
        degrees: the observer, 2 or 10; the tint weighs x differently for them.
    """
    (x, y), (white_x, white_y) = _chromaticity(xyz), _chromaticity(white)
    return Whiteness(
        xyz.y + 800.0 * (white_x - x) + 1700.0 * (white_y - y),
        (1000.0 if degrees == 2 else 900.0) * (white_x - x) - 650.0 * (white_y - y),
    )


def why_not_white(xyz: Xyz) -> str:
    """Why a whiteness of this colour (D65/2) would mean nothing, in words; empty if it means something.

    Too dark (ASTM E313, 5.2), or outside the limits of CIE 15:2004, 9.4.
    """
    if xyz.y <= LIGHT_Y:
        return f"too dark for a whiteness index (Y {xyz.y:.0f}, which is to be above {LIGHT_Y:.0f})"
    index, tint = whiteness_index(xyz)
    if not 40.0 < index < 5.0 * xyz.y - 280.0 or not -4.0 < tint < 2.0:
        return f"not white enough for a whiteness index ({index:.0f}, tint {tint:.1f})"
    return ""


def yellowness_scope(xyz: Xyz) -> Scope:
    """Whether the yellowness index of a colour (D65/2) means something: its dominant wavelength is 570 to 580 nm."""
    if xyz.y < DARK_Y:
        return Scope(None, False, False, False, f"too dark for a yellowness index (Y {xyz.y:.1f})")
    chroma, found = xyz_to_lab(xyz).chroma, dominant_wavelength(xyz)
    neutral, start = chroma <= NEUTRAL_CHROMA, chroma <= NEAR_NEUTRAL_CHROMA
    if neutral:
        return Scope(found, False, True, True, "so near to neutral that it has no hue to speak of")
    if found is None:
        return Scope(None, False, False, start, f"purple: no dominant wavelength; the index is for {_RANGE}")
    if not SCOPE_NM[0] <= found <= SCOPE_NM[1]:
        return Scope(found, False, False, start, f"dominant wavelength {found:.0f} nm; the index is for {_RANGE}")
    return Scope(found, True, False, True, "")


_RANGE = f"{SCOPE_NM[0]:.0f} to {SCOPE_NM[1]:.0f} nm (ASTM E313)"


def dominant_wavelength(xyz: Xyz, white: Xyz = D65_2) -> float | None:
    """The wavelength in nanometres that, mixed with white, gives this hue; for the 2-degree observer.

    None for purples, for the white itself and for black. Between the table's wavelengths it is interpolated on the
    straight line, good to 0.05 nm from 540 to 590 nm and to 0.3 nm from 420 to 670 nm.
    """
    if xyz.x + xyz.y + xyz.z <= 0.0:
        return None
    (x, y), (white_x, white_y) = _chromaticity(xyz), _chromaticity(white)
    across, up = x - white_x, y - white_y
    if math.hypot(across, up) < 1e-9:
        return None
    for at, (one, other) in enumerate(pairwise(_LOCUS)):
        # Solve white + s * (across, up) = one + t * (other - one), s > 0 and 0 <= t <= 1.
        run, rise = other[0] - one[0], other[1] - one[1]
        whole = across * rise - up * run
        if whole == 0.0:
            continue
        from_white_x, from_white_y = one[0] - white_x, one[1] - white_y
        s = (from_white_x * rise - from_white_y * run) / whole
        t = (from_white_x * up - from_white_y * across) / whole
        if s > 0.0 and 0.0 <= t <= 1.0:
            return _FIRST_NM + _STEP_NM * (at + t)
    return None


def _chromaticity(xyz: Xyz) -> tuple[float, float]:
    whole = xyz.x + xyz.y + xyz.z
    return (xyz.x / whole, xyz.y / whole) if whole > 0.0 else _chromaticity(D65_2)


_FIRST_NM, _STEP_NM = 380.0, 5.0
# x and y of spectral light from 380 to 700 nm, to four places as tables print them.
_LOCUS = (
    (0.1741, 0.0050),
    (0.1740, 0.0050),
    (0.1738, 0.0049),
    (0.1736, 0.0049),
    (0.1733, 0.0048),
    (0.1730, 0.0048),
    (0.1726, 0.0048),
    (0.1721, 0.0048),
    (0.1714, 0.0051),
    (0.1703, 0.0058),
    (0.1689, 0.0069),
    (0.1669, 0.0086),
    (0.1644, 0.0109),
    (0.1611, 0.0138),
    (0.1566, 0.0177),
    (0.1510, 0.0227),
    (0.1440, 0.0297),
    (0.1355, 0.0399),
    (0.1241, 0.0578),
    (0.1096, 0.0868),
    (0.0913, 0.1327),
    (0.0687, 0.2007),
    (0.0454, 0.2950),
    (0.0235, 0.4127),
    (0.0082, 0.5384),
    (0.0039, 0.6548),
    (0.0139, 0.7502),
    (0.0389, 0.8120),
    (0.0743, 0.8338),
    (0.1142, 0.8262),
    (0.1547, 0.8059),
    (0.1929, 0.7816),
    (0.2296, 0.7543),
    (0.2658, 0.7243),
    (0.3016, 0.6923),
    (0.3374, 0.6588),
    (0.3731, 0.6245),
    (0.4087, 0.5896),
    (0.4441, 0.5547),
    (0.4788, 0.5202),
    (0.5125, 0.4866),
    (0.5448, 0.4544),
    (0.5752, 0.4242),
    (0.6029, 0.3965),
    (0.6270, 0.3725),
    (0.6482, 0.3514),
    (0.6658, 0.3340),
    (0.6801, 0.3197),
    (0.6915, 0.3083),
    (0.7006, 0.2993),
    (0.7079, 0.2920),
    (0.7140, 0.2859),
    (0.7190, 0.2809),
    (0.7230, 0.2769),
    (0.7260, 0.2740),
    (0.7283, 0.2717),
    (0.7300, 0.2700),
    (0.7311, 0.2689),
    (0.7320, 0.2680),
    (0.7327, 0.2673),
    (0.7334, 0.2666),
    (0.7340, 0.2660),
    (0.7344, 0.2656),
    (0.7346, 0.2654),
    (0.7347, 0.2653),
)
