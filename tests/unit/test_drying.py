"""The drying curve: against scipy, against curves with known constants, and what it refuses to say."""

from __future__ import annotations

import random
from math import exp, sqrt

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.stats import beta as beta_distribution
from scipy.stats import t as student

from sortbench.engine.figures.quantiles import beta_quantile, beta_share, t_quantile
from sortbench.engine.washing.constant_mass import CRITERIA, Reading, own_criterion
from sortbench.engine.washing.drying import Fit, NoFit, fit_drying, remaining
from sortbench.model.errors import DataError

# Synthetic weighings (hours: grams) with what scipy's curve_fit and a separate variable projection made of them:
# grams dry, grams of water at the first weighing, 1/h, hours until the water left is 0.1 % of the dry mass.
SERIES = (
    (
        "0:512.4;1:498.0;2:489.9;3:485.3;4:482.7;5:481.2;6:480.4;8:479.8;24:479.5",
        (479.424, 32.993, 0.57558, 7.35),
    ),
    ("0:1260.0;24:1210.4;48:1202.9;72:1201.9;96:1201.6;120:1201.5", (1201.582, 58.417, 0.07877, 49.31)),
    ("0:300.0;2:296.0;4:294.4;6:293.7;8:293.4", (293.216, 6.78, 0.4417, 7.11)),
)
# Exact curves: grams dry, grams of water, 1/h.
EXACT = (
    (
        "0:512.000000;0.5:504.306308;1:498.462394;2:490.651875;3:486.145597;4:483.545701;6:481.180261;8:480.392875;"
        "12:480.043532",
        (480, 32, 0.55),
    ),
    (
        "0:1260.000000;2:1251.128627;4:1243.568942;8:1231.637545;12:1222.973573;18:1214.215666;24:1208.796418;"
        "36:1203.368086;48:1201.289616",
        (1200, 60, 0.08),
    ),
)


def readings(text: str) -> list[Reading]:
    return [Reading(*map(float, pair.split(":"))) for pair in text.split(";")]


def fitted(rows: list[Reading], resolution_g: float | None = None) -> Fit:
    found = fit_drying(rows, resolution_g)
    assert isinstance(found, Fit), found
    return found


@pytest.mark.parametrize(("text", "known"), SERIES)
def test_the_fit_of_weighed_series(text: str, known: tuple[float, ...]) -> None:
    fit = fitted(readings(text))
    assert fit.dry.value == pytest.approx(known[0], abs=0.002)
    assert fit.water.value == pytest.approx(known[1], abs=0.002)
    assert fit.per_h.value == pytest.approx(known[2], rel=0.002)
    # Over an interval without end all the water left is lost.
    endless = remaining(fit, own_criterion(0.1, 1000))
    assert endless.from_h.value == pytest.approx(known[3], abs=0.01)


@pytest.mark.parametrize(("text", "known"), EXACT)
def test_an_exact_curve_is_found_again(text: str, known: tuple[float, ...]) -> None:
    fit = fitted(list(reversed(readings(text))))
    assert (fit.dry.value, fit.water.value, fit.per_h.value) == pytest.approx(known, rel=1e-6)
    assert fit.half_h.value == pytest.approx(0.693147 / known[2], rel=1e-6)
    assert fit.left_g == pytest.approx(known[1] * exp(-known[2] * fit.last_h), rel=1e-5)


@pytest.mark.parametrize("text", [text for text, _ in SERIES])
def test_figures_and_uncertainties_are_those_of_scipy(text: str) -> None:
    rows = readings(text)
    fit = fitted(rows)
    times, grams = np.array(rows).T
    start = (grams[-1], grams[0] - grams[-1], 0.3 if times[-1] < 50 else 0.05)
    values, covariance = curve_fit(lambda t, dry, water, k: dry + water * np.exp(-k * t), times, grams, start)
    for mine, value, u in zip((fit.dry, fit.water, fit.per_h), values, np.sqrt(np.diag(covariance)), strict=True):
        assert mine.value == pytest.approx(value, rel=1e-5)
        assert mine.u == pytest.approx(u, rel=1e-3)
        assert mine.high - mine.low == pytest.approx(2 * u * student.ppf(0.975, len(rows) - 3), rel=1e-3)
    assert np.allclose(fit.covariance, covariance, rtol=2e-3, atol=1e-9)


@pytest.mark.parametrize(
    ("dry", "water", "k", "times", "scatter"),
    [
        (480, 32, 0.55, (0, 0.5, 1, 2, 3, 4, 6, 8, 12), 0.3),
        (1200, 60, 0.08, (0, 3, 6, 10, 14, 20, 30), 0.5),
    ],
)
def test_intervals_hold_the_truth_in_95_of_100_series(
    dry: float, water: float, k: float, times: tuple[float, ...], scatter: float
) -> None:
    chance = random.Random(20)
    criterion = own_criterion(0.1, 24)
    truth = None
    inside = {"dry": 0, "water": 0, "k": 0, "from": 0}
    for _ in range(1000):
        fit = fitted([Reading(t, dry + water * exp(-k * t) + chance.gauss(0, scatter)) for t in times])
        when = remaining(fit, criterion).from_h
        truth = truth or _from(dry, water, k, 0.001, 24)
        for name, mine, value in (
            ("dry", fit.dry, dry),
            ("water", fit.water, water),
            ("k", fit.per_h, k),
            ("from", when, truth),
        ):
            inside[name] += mine.low <= value <= mine.high
    assert all(930 <= count <= 970 for count in inside.values()), inside


def _from(dry: float, water: float, k: float, share: float, apart: float) -> float:
    """Hour from which less than a share of the mass is lost in the hours given; by halving."""

    def loses(t: float) -> float:
        after = dry + water * exp(-k * (t + apart))
        return (dry + water * exp(-k * t) - after) / after

    low, high = 0.0, 1e4
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if loses(middle) > share else (low, middle)
    return high


@pytest.mark.parametrize("criterion", CRITERIA, ids=lambda each: each.code)
def test_when_a_criterion_will_hold(criterion: object) -> None:
    assert isinstance(criterion, type(CRITERIA[0]))
    fit = fitted(readings("2:1260;4:1251.128627;6:1243.568942;10:1231.637545;14:1222.973573;20:1214.215666"))
    told = remaining(fit, criterion)
    truth = 2 + _from(1200, 60, 0.08, criterion.change_pct / 100, criterion.interval_h)
    assert told.from_h.value == pytest.approx(truth, rel=1e-4)
    assert told.left_h == pytest.approx(max(0, truth - 20), rel=1e-4)
    assert told.shown_h.value == pytest.approx(truth + (criterion.weighings - 1) * criterion.interval_h, rel=1e-4)
    assert told.low_h <= told.left_h <= told.high_h
    assert ("if it goes on drying as it did" in told.words) == (truth > 20)


def test_a_tray_that_the_criterion_finds_dry_from_the_start_has_no_time_left() -> None:
    told = remaining(fitted(readings(SERIES[0][0])), own_criterion(5, 0.01))
    assert (told.left_h, told.low_h, told.high_h) == (0, 0, 0)
    assert "no longer changes" in told.words


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("0:500;2:490;4:485", "too few"),
        ("0:500;2:490;2:490.1;4:485", "too few"),
        ("0:500;1:500;2:500;3:500", "no fall"),
        ("0:500.1;1:500.0;2:500.2;3:500.1;4:500.0", "no fall"),
        ("0:480;1:489;2:494;3:496.5;4:498", "does not fall"),
        ("0:500;1:498.02;2:496;3:494.01;4:491.99", "straight line"),
        ("0:500;4:480.1;8:480.0;12:480.1;16:480.0", "before the second weighing"),
    ],
)
def test_weighings_that_do_not_tell_the_curve_give_no_figure(text: str, why: str) -> None:
    found = fit_drying(readings(text))
    assert isinstance(found, NoFit)
    assert why in found.words


def test_a_coarse_balance_widens_what_is_told() -> None:
    rows = [Reading(t, float(round(480 + 32 * exp(-0.55 * t)))) for t in (0, 1, 2, 3, 4, 6, 8, 10)]
    coarse, trusted = fitted(rows, 2.0), fitted(rows)
    assert coarse.scatter_g == pytest.approx(2 / sqrt(12))
    assert coarse.dry.u > trusted.dry.u
    assert isinstance(fit_drying(readings("0:512;1:498;2:490;3:485;4:483"), 50), NoFit)


@pytest.mark.parametrize("row", [(0, 0), (0, -3), (float("nan"), 5), (1, float("inf"))])
def test_a_weighing_that_cannot_be_is_refused(row: tuple[float, float]) -> None:
    with pytest.raises(DataError, match="cannot be"):
        fit_drying([*readings("0:500;2:490;4:485;6:482"), Reading(*row)])


def test_quantiles_are_those_of_scipy() -> None:
    for freedom in (1, 2, 3, 5, 10, 30, 200):
        for confidence in (0.5, 0.9, 0.95, 0.99):
            assert t_quantile(freedom, confidence) == pytest.approx(
                student.ppf((1 + confidence) / 2, freedom), rel=1e-9
            )
    for a, b in ((0.5, 0.5), (1, 9), (9, 1), (3, 78), (2000, 3), (60_000, 39_999)):
        for share in (0.001, 0.025, 0.5, 0.975):
            x = beta_quantile(share, a, b)
            assert x == pytest.approx(beta_distribution.ppf(share, a, b), rel=1e-8)
            assert beta_share(x, a, b) == pytest.approx(share, rel=1e-8)
    assert (beta_quantile(0, 2, 3), beta_quantile(1, 2, 3), beta_share(0, 2, 3), beta_share(1, 2, 3)) == (0, 1, 0, 1)


@pytest.mark.parametrize("call", [lambda: t_quantile(0), lambda: beta_share(2, 1, 1), lambda: beta_quantile(-1, 1, 1)])
def test_a_quantile_of_nothing_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match="no "):
        call()
