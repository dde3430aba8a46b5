"""Yellowness and whiteness against published values, and where they mean nothing."""

from __future__ import annotations

import pytest

from sortbench.engine.condition.colour import D65_2, Xyz, hex_to_lab, lab_to_xyz
from sortbench.engine.condition.yellowness import (
    E313,
    LIGHT_Y,
    dominant_wavelength,
    whiteness_index,
    why_not_white,
    yellowness_index,
    yellowness_scope,
)


def of(text: str) -> Xyz:
    return lab_to_xyz(hex_to_lab(text))


# ASTM E313, Table 1, for C/2, D65/2, C/10 and D65/10.
# C/2 and D65/10 seen on an instrument maker's support page; all four recomputed with colour-science 0.4.7, of whose own
# tests the first three rows are (D65/2).
FROM_XYZ = [
    ((95, 100, 105), (10.0895, 4.34, 9.074, 2.8945)),
    ((105, 100, 95), (33.4505, 28.66, 32.726, 27.4055)),
    ((100, 100, 100), (21.77, 16.5, 20.9, 15.15)),
    ((88.0, 92.5, 98.1), (9.1456, 3.3207, 8.1116, 1.8584)),
    ((74.2, 78.0, 70.3), (26.0054, 21.3637, 25.2723, 20.1609)),
    ((60.5, 63.1, 45.2), (46.5556, 43.3044, 46.1798, 42.4052)),
    ((79.44, 82.94, 95.02), (0.9546, -5.4887, -0.2337, -7.0879)),
]


@pytest.mark.parametrize(("xyz", "indices"), FROM_XYZ)
def test_the_index_for_four_observations(xyz: tuple[float, ...], indices: tuple[float, float, float, float]) -> None:
    for observation, expected in zip(("C/2", "D65/2", "C/10", "D65/10"), indices, strict=True):
        assert yellowness_index(Xyz(*xyz), observation) == pytest.approx(expected, abs=1e-3)


# The open spectra of a colour chart (colour-science 0.4.7, 1 nm) under each observation: XYZ and index.
CHART = [
    ("C/2", (88.958, 91.239, 103.684), 4.13),
    ("D65/2", (86.237, 91.237, 95.419), 4.19),
    ("C/10", (88.117, 91.097, 101.323), 4.59),
    ("D65/10", (85.891, 91.101, 93.487), 4.7),
    ("D65/2", (55.676, 58.862, 63.671), 0.21),
    ("D65/10", (33.964, 35.953, 38.491), -0.17),
    ("C/2", (57.148, 59.499, 9.817), 105.17),
]


@pytest.mark.parametrize(("observation", "xyz", "index"), CHART)
def test_the_index_of_measured_spectra(observation: str, xyz: tuple[float, ...], index: float) -> None:
    assert yellowness_index(Xyz(*xyz), observation) == pytest.approx(index, abs=0.006)  # printed to two places


@pytest.mark.parametrize("observation", list(E313))
def test_a_perfect_white_is_not_yellow(observation: str) -> None:
    assert yellowness_index(E313[observation].white, observation) == pytest.approx(0.0, abs=1e-3)


# Index of sRGB values by way of their matrix (colour-science 0.4.7, checked by a second route).
FROM_SRGB = [
    ("#ffffff", -0.016),
    ("#808080", -0.016),
    ("#f2f3f2", 0.292),
    ("#e8e0c4", 26.128),
    ("#c9b27c", 60.520),
    ("#8a8570", 30.481),
]


@pytest.mark.parametrize(("text", "index"), FROM_SRGB)
def test_the_index_of_srgb(text: str, index: float) -> None:
    assert yellowness_index(of(text)) == pytest.approx(index, abs=0.01)


# Dominant wavelengths by colour-science 0.4.7 (whole nanometres) and a route of its own, which agree within 0.6 nm; the
# range of 570 to 580 nm is clause 5.2 of ASTM E313, as its catalogue page has it. The last column: lighter than Y 65.
SCOPE = [
    ("#f2eee0", 574, True, True),
    ("#e8e0c4", 574, True, True),
    ("#d9c48f", 576, True, False),
    ("#c9b27c", 577, True, False),
    ("#c4281b", 608, False, False),
    ("#0057a8", 474, False, False),
    ("#9aa0a0", 491, False, False),
    ("#f2cd37", 576, True, False),
]


@pytest.mark.parametrize(("text", "nanometres", "within", "light"), SCOPE)
def test_the_index_holds_only_for_what_has_drifted_to_yellow(
    text: str, nanometres: int, within: bool, light: bool
) -> None:
    scope = yellowness_scope(of(text))
    assert scope.dominant_nm == pytest.approx(nanometres, abs=1.0)
    assert scope.within is within
    assert not scope.neutral
    assert scope.start or not within
    assert (of(text).y > LIGHT_Y) is light
    assert bool(scope.reason) is not within
    if not within:
        assert f"{scope.dominant_nm:.0f} nm" in scope.reason
        assert "570 to 580 nm" in scope.reason


@pytest.mark.parametrize("text", ["#ffffff", "#f4f4f4", "#f2f3f2", "#808080", "#9c9d9c"])
def test_a_neutral_has_no_hue_and_says_so(text: str) -> None:
    scope = yellowness_scope(of(text))
    assert scope.neutral
    assert not scope.within
    assert "neutral" in scope.reason
    assert abs(yellowness_index(of(text))) < 2.0


def test_purple_and_black_have_no_dominant_wavelength() -> None:
    assert dominant_wavelength(of("#ff00ff")) is None
    assert "purple" in yellowness_scope(of("#c060c0")).reason
    assert dominant_wavelength(Xyz(0.0, 0.0, 0.0)) is None
    assert dominant_wavelength(D65_2) is None
    assert "too dark" in yellowness_scope(Xyz(0.0, 0.0, 0.0)).reason


@pytest.mark.parametrize(
    "xy", [(0.4441, 0.5547), (0.5125, 0.4866), (0.1241, 0.0578), (0.0082, 0.5384), (0.6915, 0.3083)]
)
def test_spectral_light_has_its_own_wavelength(xy: tuple[float, float]) -> None:
    # CIE 15:2004, Table T.4 (CIE 1931): 570, 580, 470, 500 and 620 nm; any mixture with white keeps it.
    nanometres = {0.4441: 570, 0.5125: 580, 0.1241: 470, 0.0082: 500, 0.6915: 620}[xy[0]]
    white_x, white_y = 0.312727, 0.329023
    for share in (1.0, 0.4, 0.05):
        x, y = white_x + share * (xy[0] - white_x), white_y + share * (xy[1] - white_y)
        assert dominant_wavelength(Xyz(x / y * 50, 50, (1 - x - y) / y * 50)) == pytest.approx(nanometres, abs=0.1)


# CIE 2004 whiteness, with the tint for 2 degrees (values of colour-science 0.4.7's own tests, for Y 100 and this white)
# and for 10 degrees (computed with it).
CHART_WHITE = (0.3139, 0.3311)
WHITENESS = [
    (CHART_WHITE, 100.0, 0.0, 0.0),
    ((0.3500, 0.3334), 67.21, -34.605, -30.995),
    ((0.3334, 0.3334), 80.49, -18.005, -16.055),
]


@pytest.mark.parametrize(("xy", "whiteness", "tint_2", "tint_10"), WHITENESS)
def test_whiteness_and_tint(xy: tuple[float, float], whiteness: float, tint_2: float, tint_10: float) -> None:
    def xyz(x: float, y: float) -> Xyz:
        return Xyz(100 * x / y, 100.0, 100 * (1 - x - y) / y)

    assert whiteness_index(xyz(*xy), xyz(*CHART_WHITE)) == pytest.approx((whiteness, tint_2), abs=1e-6)
    assert whiteness_index(xyz(*xy), xyz(*CHART_WHITE), 10) == pytest.approx((whiteness, tint_10), abs=1e-6)


@pytest.mark.parametrize(
    ("text", "words"), [("#f4f4f4", ""), ("#ffffff", ""), ("#808080", "too dark"), ("#e8e0c4", "not white enough")]
)
def test_whiteness_is_for_light_whites(text: str, words: str) -> None:
    why = why_not_white(of(text))
    assert words in why
    assert bool(why) is bool(words)
