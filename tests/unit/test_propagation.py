"""Uncertainty by the law of propagation and by trials, against published worked examples."""

from __future__ import annotations

import cmath
from collections.abc import Sequence
from math import cos, sin, sqrt
from random import Random

import pytest

from sortbench.engine.weighing.monte_carlo import drawn
from sortbench.engine.weighing.propagation import Propagated, diagonal, means_of, normal_reach, propagate, share_within

# JCGM 100:2008, H.2: resistance and reactance, observed together five times (table H.2), and results (table H.4).
VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
AMPERES = (0.019663, 0.019639, 0.019640, 0.019685, 0.019678)
PHASE = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


def correlation(found: Propagated, one: int, other: int) -> float:
    return found.covariance[one][other] / (found.u(one) * found.u(other))


def test_resistance_and_reactance_of_the_guide() -> None:
    means, covariance = means_of((VOLTS, AMPERES, PHASE))
    found = propagate(
        (
            lambda at: at[0] / at[1] * cos(at[2]),
            lambda at: at[0] / at[1] * sin(at[2]),
            lambda at: at[0] / at[1],
        ),
        means,
        covariance,
    )
    assert [round(value, 3) for value in found.values] == [127.732, 219.847, 254.260]
    # Table H.4 prints 0.071, 0.295 and 0.236; a library for such sums has 0.07107, 0.29558 and 0.23634.
    assert [found.u(at) for at in range(3)] == pytest.approx([0.07107140, 0.29558168, 0.23633613], rel=1e-6)
    assert correlation(found, 0, 1) == pytest.approx(-0.588, abs=5e-4)
    assert correlation(found, 0, 2) == pytest.approx(-0.485, abs=5e-4)
    assert correlation(found, 1, 2) == pytest.approx(0.993, abs=5e-4)
    impedance = cmath.rect(found.values[2], means[2])
    assert impedance.real == pytest.approx(found.values[0], rel=1e-12)


def mass_calibration(at: Sequence[float]) -> float:
    """JCGM 101:2008, 9.3.1.3: deviation of a weight from its nominal mass of 100 g, in mg."""
    reference, difference, air, weight, of_reference = at
    return (reference + difference) * (1 + (air - 1.2) * (1 / weight - 1 / of_reference)) - 100_000


def test_mass_calibration_by_the_law_of_propagation() -> None:
    """JCGM 101:2008, 9.3: the first order misses what the densities do: u 0.0539 (table 6, from memory)."""
    uncertainties = (0.050, 0.020, 0.1 / sqrt(3), 1000 / sqrt(3), 50 / sqrt(3))
    found = propagate([mass_calibration], (100_000.0, 1.234, 1.2, 8000.0, 8000.0), diagonal(uncertainties))
    assert found.values[0] == pytest.approx(1.2340, abs=5e-5)
    assert found.u() == pytest.approx(0.0539, abs=5e-5)


def test_mass_calibration_by_trials() -> None:
    """JCGM 101:2008, 9.3: u 0.0754 and the shortest interval 1.0834 to 1.3825 (from memory; recomputed by 4,000,000
    trials: 1.2340, 0.0755, 1.0858 to 1.3850)."""

    def trial(random: Random) -> float:
        return mass_calibration(
            (
                random.gauss(100_000.0, 0.050),
                random.gauss(1.234, 0.020),
                random.uniform(1.10, 1.30),
                random.uniform(7000, 9000),
                random.uniform(7950, 8050),
            )
        )

    found = drawn(trial, seed=3)
    assert found.stable
    assert found.value == pytest.approx(1.2340, abs=5e-4)
    assert found.u == pytest.approx(0.0754, abs=5e-4)
    assert found.shortest == pytest.approx((1.0834, 1.3825), abs=0.01)


@pytest.mark.parametrize(
    ("spreads", "normal", "u", "end", "off"),
    [
        ((1, 1, 1, 1), True, 2.0, 3.92, 0.05),  # JCGM 101:2008, 9.2.2, table 2
        ((1, 1, 1, 1), False, 2.0, 3.88, 0.05),  # 9.2.3, table 3; the exact end is 3.8794
        ((1, 1, 1, 10), False, 10.1, 17.0, 0.3),  # 9.2.4 (from memory; recomputed by 4,000,000 trials: 10.15, 17.02)
    ],
)
def test_sums_of_the_guide_by_trials(spreads: Sequence[float], normal: bool, u: float, end: float, off: float) -> None:
    def trial(random: Random) -> float:
        if normal:
            return sum(random.gauss(0, each) for each in spreads)
        return sum(random.uniform(-each * sqrt(3), each * sqrt(3)) for each in spreads)

    found = drawn(trial, seed=1)
    assert found.stable
    assert found.u == pytest.approx(u, abs=off)
    assert (found.low, found.high) == pytest.approx((-end, end), abs=off)
    law = propagate([sum], (0.0,) * 4, diagonal(spreads))
    assert law.u() == pytest.approx(sqrt(sum(each * each for each in spreads)), rel=1e-9)


def test_trials_end_when_their_digits_stand_and_say_so() -> None:
    def noise(random: Random) -> float:
        return random.gauss(0.0, 1.0)

    one = drawn(noise, seed=5, digits=1)
    assert one.stable
    assert one.trials == 100_000, "half a unit of the first digit stands soon"
    cut = drawn(noise, seed=5, digits=3, most=110_000)
    assert not cut.stable
    assert cut.trials == 110_000
    assert drawn(lambda random: 7.0, seed=5).u == 0.0
    assert drawn(noise, seed=5, digits=1) == one


def test_wrong_arguments_are_refused() -> None:
    with pytest.raises(ValueError, match="one row"):
        propagate([sum], (1.0, 2.0), diagonal((1.0,)))
    with pytest.raises(ValueError, match="negative"):
        propagate([sum], (1.0,), ((-1.0,),))
    with pytest.raises(ValueError, match="two observations"):
        means_of(((1.0,),))
    with pytest.raises(ValueError, match="no interval"):
        normal_reach(1.0)
    with pytest.raises(ValueError, match="10 blocks"):
        drawn(lambda random: 0.0, seed=1, most=10)


def test_the_normal_distribution() -> None:
    """1.960 and 2.576: JCGM 100:2008, table G.1."""
    assert normal_reach(0.95) == pytest.approx(1.959964, abs=1e-6)
    assert normal_reach(0.99) == pytest.approx(2.575829, abs=1e-6)
    assert share_within(normal_reach(0.9)) == pytest.approx(0.9, abs=1e-12)
