"""What the tests reckon themes with, against values from elsewhere: contrast, and eyes that lack a kind of cone."""

from __future__ import annotations

import pytest

from tests.contrast import contrast
from tests.seen_by import DEUTAN, PROTAN, TRITAN, seen_by

# WCAG 2.2, relative luminance and contrast ratio; reckoned with wcag-contrast-ratio 0.9 and coloraide, which agree
# within 0.005.
CONTRASTS = [
    ("#000000", "#ffffff", 21.0),
    ("#777777", "#ffffff", 4.478),
    ("#767676", "#ffffff", 4.542),
    ("#ff0000", "#ffffff", 3.998),
    ("#0000ff", "#ffffff", 8.592),
    ("#ffff00", "#000000", 19.556),
    ("#ffffff", "#ffffff", 1.0),
    ("#5f6368", "#1e1e1e", 2.756),
    ("#00ff00", "#000000", 15.304),
]

# Machado, Oliveira, Fernandes 2009, severity 1.0, in 8-bit levels; colour-science and colorspacious agree within 2e-3.
SEEN = [
    ("#c41e24", PROTAN, (86.47, 77.48, 33.74)),
    ("#c41e24", TRITAN, (216.31, 0.0, 35.17)),
    ("#2f7d3b", DEUTAN, (116.72, 107.32, 63.73)),
    ("#f2c42c", PROTAN, (219.37, 193.8, 0.0)),
    ("#f2c42c", TRITAN, (255.0, 178.49, 168.37)),
    ("#1f4f9c", DEUTAN, (0.0, 75.95, 154.47)),
    ("#e8762d", PROTAN, (150.72, 133.75, 33.7)),
    ("#e8762d", TRITAN, (254.39, 92.9, 103.51)),
    ("#58a8c8", DEUTAN, (134.72, 152.89, 199.64)),
]


@pytest.mark.parametrize(("one", "other", "ratio"), CONTRASTS)
def test_contrast(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


@pytest.mark.parametrize(("colour", "deficiency", "levels"), SEEN)
def test_colours_as_such_eyes_see_them(colour: str, deficiency: str, levels: tuple[float, float, float]) -> None:
    assert [255 * part for part in seen_by(deficiency, colour)] == pytest.approx(levels, abs=0.6)


def test_greys_stay_grey() -> None:
    for deficiency in (PROTAN, DEUTAN, TRITAN):
        assert seen_by(deficiency, "#808080") == pytest.approx((128 / 255,) * 3, abs=0.002)
