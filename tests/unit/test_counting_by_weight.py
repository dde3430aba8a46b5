"""Pieces counted by weight: uncertainty, exactness, sample sizes, and intervals that hold what they say."""

from __future__ import annotations

import random
from collections.abc import Iterator
from math import hypot, sqrt

import pytest

from sortbench.engine.weighing.counting import (
    Verdict,
    WeighedCount,
    by_trials,
    count_by_weight,
    largest_exact,
    sample_needed,
    scale_is_too_coarse,
)
from sortbench.engine.weighing.propagation import normal_reach
from sortbench.engine.weighing.unit_mass import (
    MassFrom,
    OnScale,
    Scatter,
    ScatterFrom,
    UnitMass,
    given_mass,
    listed_mass,
    net_u,
    pooled_mass,
    told_scatter,
)
from sortbench.model.errors import DataError
from sortbench.model.weighing import Handful, Load, Scale

# Law of propagation (JCGM 100:2008) on N = W / (S / n), model as in Steiner and MacKay 2004, Technometrics 46:346;
# recomputed with the public library `uncertainties` 3.2.3 and by 400,000 trials with readings rounded to the step.
# Sample, its grams, grams of the load, step, repeatability, scatter; N, u(N); shares of the variance: load by scale,
# sample by scale, sample by pieces, load by pieces; chance that the nearest whole number is right; u(N) by trials.
WEIGHED = (
    (10, 23.2, 464.0, 0.1, 0.05, 0.005, 200.0, 0.7757, 0.002, 0.823, 0.166, 0.008, 0.4808, 0.7760),
    (20, 22.8, 228.0, 0.1, 0.05, 0.010, 200.0, 0.8591, 0.007, 0.695, 0.271, 0.027, 0.4394, 0.8605),
    (50, 57.0, 570.0, 0.01, 0.01, 0.010, 500.0, 0.7529, 0.000, 0.029, 0.882, 0.088, 0.4934, 0.7522),
    (25, 10.75, 86.0, 0.01, 0.01, 0.015, 200.0, 0.6937, 0.002, 0.156, 0.748, 0.094, 0.5290, 0.6944),
    (100, 43.0, 215.0, 0.1, 0.1, 0.010, 500.0, 1.8294, 0.035, 0.875, 0.075, 0.015, 0.2154, 1.8255),
    (10, 4.3, 43.0, 0.01, 0.005, 0.002, 100.0, 0.2020, 0.009, 0.883, 0.098, 0.010, 0.9867, 0.2022),
)

# Closed form of 2 Phi(0.5 / u(N)) - 1 >= P, recomputed by a root finder. Grams of a piece, sample, step,
# repeatability, scatter; the largest N at 95 %, and at 99 %.
LARGEST = (
    (1.0, 10, 0.1, 0.05, 0.005, 28, 20),
    (1.0, 50, 0.1, 0.05, 0.005, 131, 95),
    (1.0, 50, 0.01, 0.005, 0.005, 328, 244),
    (2.5, 10, 0.01, 0.005, 0.005, 153, 115),
    (2.5, 50, 0.01, 0.005, 0.01, 156, 114),
    (0.43, 100, 0.01, 0.005, 0.01, 206, 147),
    (0.2, 50, 0.1, 0.05, 0.01, 0, 0),
)

# The same, searched for the sample. Grams of a piece, pieces to count, step, repeatability, scatter; sample at 95 %,
# at 99 %.
SAMPLE = (
    (1.0, 50, 0.01, 0.005, 0.005, 3, 4),
    (2.5, 100, 0.01, 0.005, 0.005, 5, 8),
    (2.5, 200, 0.01, 0.005, 0.005, 18, 32),
    (1.0, 100, 0.1, 0.05, 0.005, 37, 53),
    (1.0, 500, 0.01, 0.005, 0.01, None, None),
)


def sampled(pieces: int, grams: float, scale: Scale, scatter: float) -> UnitMass:
    return pooled_mass([OnScale(Handful(pieces, grams + 12.5, 12.5), scale)], told_scatter(scatter))


@pytest.mark.parametrize("case", WEIGHED)
def test_the_uncertainty_is_that_of_the_law_of_propagation(case: tuple[float, ...]) -> None:
    n, sample_g, load_g, step, repeat, scatter, pieces, u, *shares, chance, by_trial = case
    scale = Scale(step, repeat)
    mass = sampled(int(n), sample_g, scale, scatter)
    count = count_by_weight(Load(load_g + 40.0, 40.0), scale, mass)
    assert count.estimate == pytest.approx(pieces, abs=1e-6)
    assert count.u == pytest.approx(u, abs=1e-3)
    assert count.u == pytest.approx(by_trial, rel=0.01)
    assert count.shares is not None and count.shares == pytest.approx(tuple(shares), abs=1e-3)
    assert count.chance == pytest.approx(chance, abs=0.01)
    assert count.low is not None and count.high is not None
    assert (count.high - count.low) / 2 == pytest.approx(1.96 * u, abs=2e-3)


@pytest.mark.parametrize("case", LARGEST)
def test_the_largest_count_that_can_be_called_exact(case: tuple[float, ...]) -> None:
    mass_g, n, step, repeat, scatter, at_95, at_99 = case
    scale = Scale(step, repeat)
    mass = sampled(int(n), n * mass_g, scale, scatter)
    assert largest_exact(scale, mass) == at_95
    assert largest_exact(scale, mass, normal_reach(0.99)) == at_99
    assert scale_is_too_coarse(scale, mass_g) == (at_95 == 0)


@pytest.mark.parametrize("case", SAMPLE)
def test_how_many_pieces_a_sample_needs(case: tuple[float, int, float, float, float, int | None, int | None]) -> None:
    mass_g, pieces, step, repeat, scatter, at_95, at_99 = case
    scale = Scale(step, repeat)
    assert sample_needed(pieces, scale, mass_g, scatter) == at_95
    assert sample_needed(pieces, scale, mass_g, scatter, normal_reach(0.99)) == at_99


@pytest.mark.parametrize("seed", range(40))
def test_a_sample_of_the_size_needed_is_just_enough(seed: int) -> None:
    draw = random.Random(seed)
    scale = Scale(draw.choice([0.01, 0.1, 1.0]), draw.uniform(0, 0.05), draw.uniform(0, 0.02))
    mass_g, pieces, scatter = draw.uniform(0.2, 8), draw.randrange(1, 400), draw.choice([0.0, 0.002, 0.01, 0.03])
    needed = sample_needed(pieces, scale, mass_g, scatter)
    for n in range(1, pieces + 1):
        enough = largest_exact(scale, sampled(n, n * mass_g, scale, scatter)) >= pieces
        assert enough == (needed is not None and n >= needed)


def test_exact_only_where_one_whole_number_fits() -> None:
    scale = Scale(0.01, 0.005)
    mass = given_mass(2.5, 0.002, told_scatter(0.002))
    exact = count_by_weight(Load(2.5 * 143 + 0.1), scale, mass)
    assert (exact.verdict, exact.best, exact.lowest, exact.highest) == (Verdict.EXACT, 143, 143, 143)
    several = count_by_weight(Load(2.5 * 900), scale, mass)
    assert several.verdict is Verdict.SEVERAL
    assert several.lowest < 900 < several.highest
    lucky = count_by_weight(Load(2.5 * 250), Scale(0.1, 0.35), mass)
    assert (lucky.verdict, lucky.lowest, lucky.highest) == (Verdict.LIKELY, 250, 250)
    assert lucky.chance is not None
    assert lucky.chance < 0.95
    between = count_by_weight(Load(2.5 * 143.5), scale, mass)
    assert between.verdict is Verdict.NONE_FITS, "half a piece is something else in the cup"
    listed = count_by_weight(Load(2.5 * 143), scale, listed_mass(2.5, told_scatter(0.002)))
    assert (listed.verdict, listed.best, listed.u, listed.low) == (Verdict.UNSURE, 143, None, None)


def test_pieces_that_all_weigh_the_same_and_a_mass_without_doubt() -> None:
    scale = Scale(0.1)
    assert largest_exact(scale, given_mass(2.5, 0.0, told_scatter(0.0))) == 99_999
    assert largest_exact(scale, listed_mass(2.5, told_scatter(0.0))) == 0
    assert sample_needed(10, scale, 2.5, 0.0) == 1


def simulated(seed: int, runs: int, most: int = 600) -> Iterator[tuple[int, WeighedCount]]:
    """Pieces that lay on the scale, and what the scale made of them.

    Everything is drawn anew in each run: pieces one mould makes, cups, steps, repeatability; readings are rounded.
    """
    draw = random.Random(seed)
    for _ in range(runs):
        step = draw.choice([0.01, 0.05, 0.1])
        scale = Scale(step, step * draw.uniform(0.5, 1.5))
        true_g, scatter = draw.uniform(0.4, 4.0), draw.uniform(0.003, 0.02)
        pieces, n = draw.randrange(most // 10, most), draw.randrange(10, 60)

        def read(grams: float, scale: Scale = scale) -> float:
            return round(draw.gauss(grams, scale.repeat_g) / scale.step_g) * scale.step_g

        def weighed(count: int, true_g: float = true_g, scatter: float = scatter) -> Load:
            cup = draw.uniform(5, 60)
            return Load(read(cup + draw.gauss(count * true_g, scatter * true_g * sqrt(count))), read(cup))

        sample, load = weighed(n), weighed(pieces)
        mass = pooled_mass([OnScale(Handful(n, *sample), scale)], told_scatter(scatter))
        yield pieces, count_by_weight(load, scale, mass)


def test_the_interval_holds_the_truth_in_95_of_100() -> None:
    runs = 10_000
    held = sum(
        count.low is not None and count.high is not None and count.low <= pieces <= count.high
        for pieces, count in simulated(143, runs)
    )
    assert 0.94 <= held / runs <= 0.96


def test_what_is_called_exact_is_right_in_95_of_100() -> None:
    exact = [(pieces, count) for pieces, count in simulated(144, 10_000, 200) if count.verdict is Verdict.EXACT]
    assert len(exact) > 2000
    assert sum(pieces == count.best for pieces, count in exact) / len(exact) >= 0.95


def test_trials_agree_with_the_law_of_propagation() -> None:
    for n, sample_g, load_g, step, repeat, scatter, _, u, *_, by_trial in (WEIGHED[0], WEIGHED[5]):
        scale = Scale(step, repeat)
        mass, load = sampled(int(n), sample_g, scale, scatter), Load(load_g)
        count = count_by_weight(load, scale, mass)
        tried = by_trials(count, load, scale, mass, seed=7)
        assert tried.trials is not None
        assert tried.trials.u == pytest.approx(by_trial, rel=0.015), u
        assert tried.low == pytest.approx(count.low, abs=0.06)
        assert tried.high == pytest.approx(count.high, abs=0.06)
        assert by_trials(count, load, scale, mass, seed=7) == tried, "one seed, one answer"


def test_trials_know_that_rounding_ends_at_half_a_step() -> None:
    """Where rounding is nearly all there is, the even spread reaches less far than a normal one of the same u."""
    scale = Scale(1.0)
    mass, load = given_mass(2.0, 0.0, told_scatter(0.0)), Load(200.0)
    count = count_by_weight(load, scale, mass)
    tried = by_trials(count, load, scale, mass, seed=1)
    assert tried.high is not None and count.high is not None
    assert tried.high < count.high - 0.005
    # The sum of two even spreads of 1 g is a triangle that ends at 1 g; 95 % of it lie within 1 - sqrt(0.05) g.
    assert tried.high == pytest.approx(100 + (1 - sqrt(0.05)) / 2, abs=0.005)


def test_few_handfuls_that_scatter_reach_further() -> None:
    scale = Scale(0.01, 0.005)
    handfuls = [OnScale(Handful(20, grams), scale) for grams in (20.0, 21.0, 19.2)]
    mass = pooled_mass(handfuls, told_scatter(0.002))
    assert mass.scatter.source is ScatterFrom.MEASURED
    assert mass.scatter.share > 0.1, "they differ by five percent in twenty pieces: that is no scatter of 0.2 %"
    assert mass.freedom == 2
    count = count_by_weight(Load(100.0), scale, mass)
    assert count.reach == pytest.approx(4.3027, abs=0.01), "nearly all of it stands on two degrees of freedom"


def test_two_handfuls_that_cannot_both_be_right_are_not_trusted() -> None:
    """60 in 64.2 g and 101 in 107 g are 1.07 and 1.059 g a piece: ten times what 0.5 % from piece to piece explains."""
    scale = Scale(0.01, 0.005)
    mass = pooled_mass([OnScale(Handful(60, 64.2), scale), OnScale(Handful(101, 107.0), scale)], told_scatter(0.005))
    assert (mass.scatter.source, mass.freedom) == (ScatterFrom.MEASURED, 1)
    near = pooled_mass([OnScale(Handful(60, 60.0), scale), OnScale(Handful(60, 60.08), scale)], told_scatter(0.005))
    assert (near.scatter.source, near.freedom) == (ScatterFrom.TOLD, None)


def test_handfuls_that_agree_are_pooled_by_their_weights() -> None:
    scale = Scale(0.01, 0.005)
    mass = pooled_mass([OnScale(Handful(100, 100.2), scale), OnScale(Handful(10, 10.0), scale)], told_scatter(0.01))
    assert (mass.source, mass.pieces, mass.freedom) == (MassFrom.HANDFULS, 110, None)
    assert mass.mass_g == pytest.approx((100.2 + 10.0) / 110, abs=2e-4)
    assert mass.u_pieces_g == pytest.approx(0.01 * mass.mass_g / sqrt(110), rel=0.01)


@pytest.mark.parametrize("scatter", [0.004, 0.02])
def test_a_scatter_is_found_from_handfuls(scatter: float) -> None:
    draw = random.Random(12)
    scale, found = Scale(0.01, 0.005), []
    for _ in range(60):
        handfuls = [
            OnScale(Handful(n, draw.gauss(n * 1.5, hypot(1.5 * scatter * sqrt(n), net_u(scale)))), scale)
            for n in (draw.randrange(5, 40) for _ in range(20))
        ]
        mass = pooled_mass(handfuls)
        assert mass.scatter.source is ScatterFrom.MEASURED
        found.append(mass.scatter.share)
    assert sum(found) / len(found) == pytest.approx(scatter, rel=0.08)


def test_a_scatter_that_nobody_told_is_marked_so() -> None:
    mass = pooled_mass([OnScale(Handful(20, 20.0), Scale(0.1))])
    assert mass.scatter == Scatter(0.01, ScatterFrom.ASSUMED)


@pytest.mark.parametrize("wrong", [-0.1, 0.6, float("nan")])
def test_a_scatter_that_cannot_be_is_refused(wrong: float) -> None:
    with pytest.raises(DataError):
        told_scatter(wrong)


@pytest.mark.parametrize(("mass_g", "u_g"), [(0, 0), (-1, 0), (1, -0.1), (1, 1), (float("nan"), 0), (2e4, 1)])
def test_a_mass_that_cannot_be_is_refused(mass_g: float, u_g: float) -> None:
    with pytest.raises(DataError):
        given_mass(mass_g, u_g, Scatter())
