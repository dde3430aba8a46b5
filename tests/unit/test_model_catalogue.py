"""Parts, shades and years."""

from __future__ import annotations

import pytest

from sortbench.model.catalogue import Catalogue, Kind, Part, Shade, Years
from sortbench.model.errors import DataError


@pytest.mark.parametrize(
    ("years", "year", "right"),
    [
        (Years(1986, 1993), 1986, True),
        (Years(1986, 1993), 1993, True),
        (Years(1986, 1993), 1985, False),
        (Years(1986, 1993), 1994, False),
        (Years(1986, 1993), None, None),
        (Years(first=1990), 1989, False),
        (Years(first=1990), 1990, None),
        (Years(last=1990), 1991, False),
        (Years(last=1990), 1990, None),
        (Years(), 1990, None),
    ],
)
def test_years_say_right_wrong_or_unknown(years: Years, year: int | None, right: bool | None) -> None:
    assert years.holds(year) is right


@pytest.mark.parametrize("years", [(1899, None), (None, 2201), (1993, 1986)])
def test_years_that_cannot_be_are_refused(years: tuple[int | None, int | None]) -> None:
    with pytest.raises(DataError):
        Years(*years)


def test_years_in_words() -> None:
    assert [str(Years(1986, 1993)), str(Years(first=1986)), str(Years())] == ["1986-1993", "1986-?", "years unknown"]


@pytest.mark.parametrize("mass", [0, -1.0, 10_001, float("nan"), float("inf")])
def test_a_mass_that_cannot_be_is_refused(mass: float) -> None:
    with pytest.raises(DataError, match="not plausible"):
        Part("plate-2x4", "plate 2x4", mass_g=mass)


@pytest.mark.parametrize("rgb", ["9ba19", "#9ba19d", "9BA19D", "grey00", "9ba19d0"])
def test_a_colour_value_that_is_none_is_refused(rgb: str) -> None:
    with pytest.raises(DataError, match="six hex digits"):
        Shade("grey, early", rgb)


def test_a_kind_is_right_only_if_part_and_shade_are_known_to_be() -> None:
    good, bad, unknown = Years(1980, 1999), Years(1995, 1999), Years()
    catalogue = Catalogue(
        {code: Part(code, code, years=years) for code, years in (("a", good), ("b", bad), ("c", unknown))},
        {name: Shade(name, years=years) for name, years in (("good", good), ("bad", bad), ("unknown", unknown))},
    )
    assert catalogue.right_in(1988)(Kind("a", "good")) is True
    assert catalogue.right_in(1988)(Kind("a", "bad")) is False
    assert catalogue.right_in(1988)(Kind("b", "unknown")) is False
    assert catalogue.right_in(1988)(Kind("a", "unknown")) is None
    assert catalogue.right_in(1988)(Kind("nowhere", "good")) is None
    assert catalogue.right_in(None)(Kind("a", "good")) is None


def test_a_part_that_is_not_there_goes_by_its_code() -> None:
    empty = Catalogue()
    assert (empty.part_name("x-1"), empty.family("x-1"), empty.mass_g("x-1")) == ("x-1", "", None)
