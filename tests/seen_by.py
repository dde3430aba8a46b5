"""Colours as eyes see them that lack one kind of cone.

G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation of Color Vision
Deficiency", IEEE Transactions on Visualization and Computer Graphics 15 (2009) 1291-1298: its precomputed matrices for
severity 1.0 (and 0.5, for the check), which work on linear RGB. Their values were taken from colour-science and
colorspacious, which agree within 1e-5. IEC 61966-2-1 says how sRGB becomes linear and back.
"""

from __future__ import annotations

from collections.abc import Mapping

Matrix = tuple[tuple[float, float, float], ...]
PROTAN, DEUTAN, TRITAN = "protan", "deutan", "tritan"
MATRICES: Mapping[tuple[str, float], Matrix] = {
    (PROTAN, 0.5): (
        (0.458064, 0.679578, -0.137642),
        (0.092785, 0.846313, 0.060902),
        (-0.007494, -0.016807, 1.024301),
    ),
    (PROTAN, 1.0): (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    (DEUTAN, 0.5): (
        (0.547494, 0.607765, -0.155259),
        (0.181692, 0.781742, 0.036566),
        (-0.01041, 0.027275, 0.983136),
    ),
    (DEUTAN, 1.0): (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.01182, 0.04294, 0.968881),
    ),
    (TRITAN, 0.5): (
        (1.017277, 0.027029, -0.044306),
        (-0.006113, 0.958479, 0.047634),
        (0.006379, 0.248708, 0.744913),
    ),
    (TRITAN, 1.0): (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.3039),
    ),
}


def seen_by(deficiency: str, colour: str, severity: float = 1.0) -> tuple[float, float, float]:
    """A colour ``#rrggbb`` as such eyes see it: red, green, blue of sRGB, from 0 to 1."""
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    rows = MATRICES[deficiency, severity]
    seen = [_encoded(min(max(one * red + two * green + three * blue, 0.0), 1.0)) for one, two, three in rows]
    return seen[0], seen[1], seen[2]


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def _encoded(value: float) -> float:
    return 12.92 * value if value <= 0.0031308 else 1.055 * value ** (1 / 2.4) - 0.055
