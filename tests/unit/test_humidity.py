"""The air of the drying room."""

from __future__ import annotations

import pytest

from sortbench.engine.washing.humidity import dew_point, first_estimate, saturation_pressure, vapour_deficit
from sortbench.model.errors import DataError


@pytest.mark.parametrize(
    ("temp_c", "pascal"),
    # IAPWS-IF97, region 4 (saturation line), as the library iapws gives it.
    [(0.01, 611.66), (10, 1228.18), (18, 2064.66), (22, 2645.21), (28, 3782.81), (35, 5628.62), (45, 9594.39)],
)
def test_saturation_pressure_is_near_the_international_formulation(temp_c: float, pascal: float) -> None:
    assert saturation_pressure(temp_c) == pytest.approx(pascal, rel=0.0035)


def test_saturation_pressure_is_the_published_form() -> None:
    # Worked out from the constants of Alduchov and Eskridge 1996: 610.94, 17.625, 243.04.
    for temp_c, pascal in ((0.01, 611.38), (10, 1226.02), (22, 2638.55), (45, 9590.45)):
        assert saturation_pressure(temp_c) == pytest.approx(pascal, abs=0.01)


@pytest.mark.parametrize(
    ("temp_c", "humidity", "deficit", "dew"),
    # Deficit from IAPWS, dew point after ASHRAE, as the libraries iapws and psychrolib give them.
    [
        (20, 50, 1169.6, 9.27),
        (22, 45, 1454.9, 9.53),
        (25, 60, 1267.9, 16.70),
        (18, 70, 619.4, 12.45),
        (30, 35, 2760.3, 12.88),
        (23, 50, 1405.5, 12.03),
    ],
)
def test_deficit_and_dew_point(temp_c: float, humidity: float, deficit: float, dew: float) -> None:
    assert vapour_deficit(temp_c, humidity) == pytest.approx(deficit, rel=0.0035)
    assert dew_point(temp_c, humidity) == pytest.approx(dew, abs=0.05)


def test_full_air_dries_nothing_and_its_dew_point_is_its_temperature() -> None:
    assert vapour_deficit(20, 100) == 0
    assert dew_point(20, 100) == pytest.approx(20)
    told = first_estimate(20, 100)
    assert told.hours is None
    assert "nothing to speak of" in told.words


def test_a_first_guess_goes_with_the_deficit() -> None:
    assert first_estimate(20, 50, 12).hours == pytest.approx(12)
    assert first_estimate(20, 75, 12).hours == pytest.approx(24)
    warm = first_estimate(30, 35, 12)
    assert warm.hours == pytest.approx(12 * 1166.7 / 2753.8, rel=1e-3)
    assert "a guess until weighed" in warm.words
    assert first_estimate(18, 60, 10, 18, 60).hours == pytest.approx(10)


@pytest.mark.parametrize(
    "air", [(-1, 50, 12, 20, 50), (60, 50, 12, 20, 50), (20, 0, 12, 20, 50), (20, 101, 12, 20, 50), (20, 50, 0, 20, 50)]
)
def test_air_that_cannot_be_is_refused(air: tuple[float, float, float, float, float]) -> None:
    with pytest.raises(DataError):
        first_estimate(*air)
    with pytest.raises(DataError, match="full of vapour"):
        first_estimate(20, 50, 12, 20, 100)
