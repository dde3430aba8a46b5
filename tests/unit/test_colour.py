"""Colour spaces against published values, and readings as people write them."""

from __future__ import annotations

import pytest

from sortbench.engine.condition.colour import (
    D65_2,
    Lab,
    Xyz,
    decode,
    encode,
    from_hex,
    hex_to_lab,
    in_gamut,
    lab_to_hex,
    lab_to_srgb,
    lab_to_xyz,
    linear_to_xyz,
    parse_reading,
    to_hex,
    xyz_to_lab,
)
from sortbench.model.errors import DataError

# IEC 61966-2-1 (its 4-decimal matrix) and CIE 15 (CIELAB, white of ASTM E308). Recomputed with colour-science 0.4.7,
# colorspacious 1.1.2 and coloraide 8.13.1, which differ among themselves by up to 0.021 for their matrices and whites.
SRGB = [
    ("#ffffff", (95.0500, 100.0000, 108.9000), (100.0000, 0.0077, 0.0035)),
    ("#000000", (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
    ("#808080", (20.5175, 21.5861, 23.5072), (53.5850, 0.0046, 0.0021)),
    ("#777777", (17.5343, 18.4475, 20.0893), (50.0344, 0.0044, 0.0020)),
    ("#ff0000", (41.2400, 21.2600, 1.9300), (53.2329, 80.1112, 67.2237)),
    ("#00ff00", (35.7600, 71.5200, 11.9200), (87.7370, -86.1829, 83.1878)),
    ("#0000ff", (18.0500, 7.2200, 95.0500), (32.3026, 79.1981, -107.8504)),
    ("#f2f3f2", (84.6956, 89.3892, 96.7943), (95.7428, -0.5012, 0.3673)),
    ("#e8e0c4", (69.8982, 74.4526, 62.9113), (89.1360, -1.8557, 14.7018)),
    ("#c9b27c", (43.6459, 45.7135, 25.5920), (73.3593, 0.5818, 30.6490)),
    ("#9aa0a0", (32.2424, 34.5497, 38.2271), (65.3966, -2.1340, -0.7426)),
    ("#8a8570", (21.7934, 23.3482, 18.6872), (55.4292, -1.8519, 12.0160)),
    ("#0057a8", (10.4761, 9.6435, 38.3550), (37.1949, 10.4433, -49.5233)),
    ("#c4281b", (23.7216, 13.3325, 2.3601), (43.2600, 59.3732, 46.4126)),
]


@pytest.mark.parametrize(("text", "xyz", "lab"), SRGB)
def test_srgb_to_xyz_and_lab(text: str, xyz: tuple[float, ...], lab: tuple[float, ...]) -> None:
    red, green, blue = (decode(value) for value in from_hex(text))
    assert linear_to_xyz((red, green, blue)) == pytest.approx(xyz, abs=1e-3)
    assert hex_to_lab(text) == pytest.approx(lab, abs=0.03)


def test_the_white_is_that_of_the_table() -> None:
    # ASTM E308, Table 5 (D65, 2 degrees); the table of colorspacious 1.1.2 is the same.
    assert D65_2 == (95.047, 100.0, 108.883)
    assert xyz_to_lab(D65_2) == pytest.approx((100.0, 0.0, 0.0), abs=1e-12)


def test_another_white_goes_with_another_illuminant() -> None:
    c_2 = Xyz(98.074, 100.0, 118.232)  # ASTM E308, Table 5 (C, 2 degrees)
    assert xyz_to_lab(c_2, c_2) == pytest.approx((100.0, 0.0, 0.0), abs=1e-12)
    assert lab_to_xyz(Lab(100.0, 0.0, 0.0), c_2) == pytest.approx(c_2)


def test_the_curve_has_no_step_where_its_pieces_meet() -> None:
    assert decode(0.04045) == pytest.approx(decode(0.0404501), abs=1e-6)
    assert encode(decode(0.04045)) == pytest.approx(0.04045, abs=1e-12)
    assert decode(-0.2) == -decode(0.2)


def test_what_srgb_does_not_hold_is_cut_off_for_a_swatch() -> None:
    beyond = Lab(60.0, 0.0, -90.0)
    assert not in_gamut(beyond)
    assert all(0.0 <= value <= 1.0 for value in lab_to_srgb(beyond))
    assert in_gamut(hex_to_lab("e8dcb0"))
    assert to_hex((1.7, -0.3, 0.5)) == "ff0080"


@pytest.mark.parametrize("text", ["#e8dcb0", "e8dcb0", "E8DCB0", "  #E8dcb0 "])
def test_a_reading_of_six_hex_digits(text: str) -> None:
    assert parse_reading(text) == hex_to_lab("e8dcb0")


@pytest.mark.parametrize(
    "text",
    [
        "lab 88.1 -1.2 14",
        "LAB 88.1, -1.2, 14.0",
        "lab(88.1 \N{MINUS SIGN}1.2 +14)",
        "L*a*b* 88.1 / -1.2 / 14",
        "lab: 88.1;-1.2;14.",
    ],
)
def test_a_reading_of_lab(text: str) -> None:
    assert parse_reading(text) == (88.1, -1.2, 14.0)


def test_a_reading_of_xyz() -> None:
    assert parse_reading("xyz 80.1 84.2 70.3") == pytest.approx(xyz_to_lab(Xyz(80.1, 84.2, 70.3)))
    assert parse_reading("xyz 0 0 0").lightness == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is no colour reading"),
        ("#e8d", "is no colour reading"),
        ("e8dcb0ff", "is no colour reading"),
        ("white", "is no colour reading"),
        ("rgb 1 2 3", "is no colour reading"),
        ("lab 88.1 -1.2", "not three numbers after lab"),
        ("lab 88,1 -1,2 14,0", "Decimals take a point"),
        ("lab nan 0 0", "not three numbers"),
        ("lab inf 0 0", "not three numbers"),
        ("lab 1e3 0 0", "not three numbers"),
        ("lab ٣ 0 0", "not three numbers"),
        ("lab 100.1 0 0", "L* runs from 0 to 100"),
        ("lab -1 0 0", "L* runs from 0 to 100"),
        ("lab 50 0 129", "-128 to 128"),
        ("xyz 80 101 70", "Y runs from 0"),
        ("xyz -1 80 70", "X and Z from 0"),
        ("xyz 0 100 0", "Look the numbers over"),
        ("lab " + "9" * 5000, "not three numbers"),
    ],
)
def test_what_no_reading_can_be_is_refused_with_the_way_to_write_one(text: str, words: str) -> None:
    with pytest.raises(DataError) as refused:
        parse_reading(text)
    assert words in str(refused.value)
    assert len(str(refused.value)) < 300
    assert refused.value.mend


@pytest.mark.parametrize("rgb", ["e8dcb0", "000000", "ffffff", "1b1b1b", "0057a8"])
def test_hex_there_and_back(rgb: str) -> None:
    assert lab_to_hex(hex_to_lab(rgb)) == rgb
