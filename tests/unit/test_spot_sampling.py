"""Sampling plans against the published tables, their operating characteristic against published values and scipy."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest
from scipy.stats import chi2, hypergeom

from sortbench.engine.figures.success import rate
from sortbench.engine.spot_check.draw import drawn_numbers
from sortbench.engine.spot_check.operating import acceptance, curve, most_wrong
from sortbench.engine.spot_check.sampling import LETTERS, SAMPLES, aql_named, code_letter, plan_for
from sortbench.model.errors import DataError
from sortbench.model.spot_check import AQLS, Level

# ISO 2859-1 tables 1 and 2-A, which are MIL-STD-105E tables I and II-A (public domain), level II, read from a resolved
# matrix of the latter: largest lot, letter, then sample and acceptance number after the arrows for 1.0, 2.5 and 4.0.
RESOLVED = (
    (8, "A", (13, 0), (5, 0), (3, 0)),
    (15, "B", (13, 0), (5, 0), (3, 0)),
    (25, "C", (13, 0), (5, 0), (3, 0)),
    (50, "D", (13, 0), (5, 0), (13, 1)),
    (90, "E", (13, 0), (20, 1), (13, 1)),
    (150, "F", (13, 0), (20, 1), (20, 2)),
    (280, "G", (50, 1), (32, 2), (32, 3)),
    (500, "H", (50, 1), (50, 3), (50, 5)),
    (1200, "J", (80, 2), (80, 5), (80, 7)),
    (3200, "K", (125, 3), (125, 7), (125, 10)),
    (10_000, "L", (200, 5), (200, 10), (200, 14)),
    (35_000, "M", (315, 7), (315, 14), (315, 21)),
    (150_000, "N", (500, 10), (500, 21), (315, 21)),
    (500_000, "P", (800, 14), (500, 21), (315, 21)),
    (9_000_000, "Q", (1250, 21), (500, 21), (315, 21)),
)

# MIL-STD-105E table I, general levels I, II and III, by the largest lot of the row; levels I and III from memory.
TABLE_I = (
    (8, "AAB"),
    (15, "ABC"),
    (25, "BCD"),
    (50, "CDE"),
    (90, "CEF"),
    (150, "DFG"),
    (280, "EGH"),
    (500, "FHJ"),
    (1200, "GJK"),
    (3200, "HKL"),
    (10_000, "JLM"),
    (35_000, "KMN"),
    (150_000, "LNP"),
    (500_000, "MPQ"),
    (9_000_000, "NQR"),
)


@pytest.mark.parametrize("row", RESOLVED, ids=lambda row: row[1])
def test_plans_of_level_ii_after_the_arrows(
    row: tuple[int, str, tuple[int, int], tuple[int, int], tuple[int, int]],
) -> None:
    largest, letter, *plans = row
    before = [each[0] for each in RESOLVED]
    smallest = 2 if largest == before[0] else before[before.index(largest) - 1] + 1
    for lot in (smallest, largest):
        for aql, (sample, accept) in zip(("1.0", "2.5", "4.0"), plans, strict=True):
            plan = plan_for(lot, Level.II, aql)
            assert (plan.letter, plan.table_sample, plan.accept, plan.reject) == (letter, sample, accept, accept + 1)
            assert (plan.sample, plan.whole) == (min(lot, sample), sample >= lot)


def test_code_letters_of_all_levels() -> None:
    smallest = 2
    for largest, letters in TABLE_I:
        for lot in (smallest, largest):
            assert "".join(code_letter(lot, level) for level in Level) == letters
        smallest = largest + 1


@pytest.mark.parametrize("aql", AQLS)
def test_acceptance_numbers_stay_on_the_diagonals_of_the_table(aql: str) -> None:
    # MIL-STD-105E table II-A: sample times limit of an acceptance number is about the same down each diagonal. Held
    # against the limits that the published matrix above has.
    expected = {}
    for _, _, *plans in RESOLVED:
        for limit, (sample, accept) in zip((1.0, 2.5, 4.0), plans, strict=True):
            expected.setdefault(accept, sample * limit)
    found = {}
    for lot in (2, 10, 20, 40, 80, 120, 200, 400, 1000, 3000, 9000, 30_000, 99_000, 400_000, 900_000):
        for level in Level:
            plan = plan_for(lot, level, aql)
            found[plan.accept] = plan.table_sample
    assert set(found) == {0, 1, 2, 3, 5, 7, 10, 14, 21}
    for accept, sample in found.items():
        assert 0.85 < sample * float(aql) / expected[accept] < 1.2


def test_a_single_piece_is_looked_at_and_nothing_cannot_be() -> None:
    plan = plan_for(1)
    assert (plan.sample, plan.accept, plan.whole, plan.letter) == (1, 0, True, "")
    with pytest.raises(DataError, match="nothing to look at"):
        plan_for(0)
    with pytest.raises(DataError, match="begins with 2"):
        code_letter(1, Level.II)
    with pytest.raises(DataError, match="no limit"):
        plan_for(100, Level.II, "1.00")


def test_limits_are_taken_as_people_write_them() -> None:
    assert [aql_named(text) for text in ("1", "1.0", " 4 ", "0.65", "2.5%")] == ["1.0", "1.0", "4.0", "0.65", "2.5"]
    for text in ("", "0", "2", "x", "-1", "nan", "inf"):
        with pytest.raises(DataError, match=r"Choose one of|no acceptance"):
            aql_named(text)


# Lot, sample, acceptance number, wrong pieces, chance to accept: worked out with scipy and by binomial coefficients.
CHANCES = (
    (500, 50, 1, 0, 1.0),
    (500, 50, 1, 10, 0.736503),
    (500, 50, 3, 5, 0.999586),
    (500, 50, 3, 50, 0.235858),
    (1000, 80, 5, 50, 0.796367),
    (280, 32, 2, 3, 0.99863),
    (280, 32, 2, 28, 0.352009),
    (1200, 80, 2, 36, 0.564763),
    (90, 13, 0, 1, 0.855556),
    (90, 13, 0, 9, 0.228421),
    (150, 20, 1, 8, 0.71082),
)


@pytest.mark.parametrize(("lot", "sample", "accept", "wrong", "chance"), CHANCES)
def test_chances_to_accept(lot: int, sample: int, accept: int, wrong: int, chance: float) -> None:
    assert acceptance(lot, wrong, sample, accept) == pytest.approx(chance, abs=1e-5)


def test_chances_equal_the_hypergeometric_distribution_of_scipy() -> None:
    for lot in (1, 2, 5, 13, 90, 500, 3200, 40_000):
        for level in Level:
            for aql in AQLS:
                plan = plan_for(lot, level, aql)
                for wrong in sorted({0, 1, 2, lot // 50, lot // 10, lot // 3, lot - 1, lot} & set(range(lot + 1))):
                    ours = acceptance(lot, wrong, plan.sample, plan.accept)
                    assert ours == pytest.approx(hypergeom.cdf(plan.accept, lot, wrong, plan.sample), abs=1e-9)


def test_published_points_of_letter_j() -> None:
    # MIL-STD-105E table X-J-1 (from memory): per cent wrong at which 95, 50 and 10 % are accepted, binomial for a
    # sample of 80. A bin of a million pieces is as good as endless.
    for accept, points in ((2, (1.03, 3.33, 6.52)), (5, (3.32, 7.06, 11.3))):
        plan = plan_for(1000, Level.II, "1.0" if accept == 2 else "2.5")._replace(lot=1_000_000)
        assert (plan.sample, plan.accept) == (80, accept)
        for chance, per_cent in zip((0.95, 0.5, 0.1), points, strict=True):
            assert most_wrong(plan, chance) / plan.lot * 100 == pytest.approx(per_cent, abs=0.02)


def test_the_curve_falls_and_meets_the_chances_that_people_ask_for() -> None:
    plan = plan_for(500)
    points = curve(plan)
    chances = [point.accepted for point in points]
    assert chances == sorted(chances, reverse=True) and len(set(chances)) == len(chances)
    for chance in (0.95, 0.5, 0.1):
        wrong = most_wrong(plan, chance)
        assert acceptance(500, wrong, 50, 1) >= chance > acceptance(500, wrong + 1, 50, 1)
        assert wrong in [point.wrong for point in points]
    assert all(point.share == point.wrong / 500 for point in points)


def test_a_plan_that_looks_at_every_piece_misses_nothing() -> None:
    plan = plan_for(8)
    assert plan.whole and [acceptance(8, wrong, plan.sample, 0) for wrong in (0, 1, 8)] == [1.0, 0.0, 0.0]


# Newcombe 1998, Statistics in Medicine 17:857-872, table I (81 of 263, 15 of 148), the others worked out with scipy and
# statsmodels: Clopper and Pearson's interval.
INTERVALS = (
    (81, 263, 0.95, 0.2527, 0.3676),
    (15, 148, 0.95, 0.0578, 0.1617),
    (0, 32, 0.95, 0.0, 0.10888),
    (2, 50, 0.95, 0.00488, 0.13714),
    (3, 80, 0.95, 0.0078, 0.1057),
    (80, 80, 0.95, 0.95494, 1.0),
)


@pytest.mark.parametrize(("wrong", "looked", "confidence", "low", "high"), INTERVALS)
def test_intervals_of_error_rates(wrong: int, looked: int, confidence: float, low: float, high: float) -> None:
    found = rate(wrong, looked, confidence)
    assert (found.low, found.high) == (pytest.approx(low, abs=1e-4), pytest.approx(high, abs=1e-4))


def test_numbers_are_drawn_without_putting_back_and_come_again_from_their_seed() -> None:
    for seed in range(50):
        numbers = drawn_numbers(seed, 90, 13)
        assert len(set(numbers)) == 13 and list(numbers) == sorted(numbers) and 1 <= numbers[0] <= numbers[-1] <= 90
        assert numbers == drawn_numbers(seed, 90, 13)
    assert drawn_numbers(7, 5, 5) == (1, 2, 3, 4, 5) and drawn_numbers(7, 5, 0) == ()
    # What this version drew: checks that are kept must show the same numbers in later ones.
    assert drawn_numbers(20260301, 90, 13) == (3, 19, 24, 33, 37, 41, 50, 52, 54, 57, 63, 66, 90)


def test_every_choice_of_numbers_is_as_likely() -> None:
    # Ten choices of 2 out of 5 from 20,000 seeds: chi square with 9 degrees of freedom, at one in ten thousand.
    seen = Counter(drawn_numbers(seed, 5, 2) for seed in range(20_000))
    expected = Fraction(20_000, 10)
    statistic = sum((count - expected) ** 2 / expected for count in seen.values())
    assert len(seen) == 10 and float(statistic) < chi2.ppf(0.9999, 9)


def test_letters_have_their_samples() -> None:
    # MIL-STD-105E table II-A, sample size column.
    assert dict(zip(LETTERS, SAMPLES, strict=True))["H"] == 50 and tuple(sorted(SAMPLES)) == SAMPLES
