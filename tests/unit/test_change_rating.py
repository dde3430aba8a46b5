"""The grey-scale rating against published values and against two public implementations of the standard."""

from __future__ import annotations

import pytest

from sortbench.engine.condition.change_rating import SATURATED, colour_change, grade_of, rating
from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import Lab

# ISO 105-A05, clauses 7.2 and 8: reference, piece, dE_F, GSc, grade; the formula as two independent public
# implementations have it (C#, with clause numbers; Python), recomputed by a second route. The last row is the sample
# pair of the second one. CIEDE2000 beside them by colour-science 0.4.7.
CASES = [
    ((93.0, -0.6, 1.8), (92.1, -0.9, 5.4), 3.7042, 2.876, "3", 3.1629),
    ((92.5, -0.5, 2.5), (88.0, 0.2, 16.5), 14.2587, 1.0, "1", 10.2784),
    ((70.1, -0.8, -1.2), (68.5, -0.2, 8.9), 10.1739, 1.419, "1-2", 8.7915),
    ((55.0, -1.0, -2.0), (54.6, -0.9, -1.1), 0.9867, 4.42, "4-5", 0.9262),
    ((37.0, 8.5, -44.0), (38.2, 6.1, -36.4), 3.5951, 2.919, "3", 2.4016),
    ((44.0, 62.0, 42.0), (45.5, 57.0, 44.5), 3.6431, 2.9, "3", 3.1289),
    ((85.0, 3.0, 78.0), (83.5, 4.2, 74.0), 2.1057, 3.761, "4", 1.5678),
    ((91.2, -1.1, 4.4), (90.9, -1.2, 5.0), 0.6732, 4.604, "4-5", 0.5388),
    ((33.49205637, 18.21758719, 18.75735102), (34.12387882, 18.98491883, 19.08586749), 0.9219, 4.458, "4-5", 0.6859),
]


@pytest.mark.parametrize(("reference", "piece", "change", "gsc", "grade", "difference"), CASES)
def test_change_and_rating(
    reference: tuple[float, ...],
    piece: tuple[float, ...],
    change: float,
    gsc: float,
    grade: str,
    difference: float,
) -> None:
    found = colour_change(Lab(*piece), Lab(*reference))
    assert found == pytest.approx(change, abs=1e-3)
    assert rating(found) == pytest.approx(gsc, abs=1e-3)
    assert ciede2000(Lab(*piece), Lab(*reference)) == pytest.approx(difference, abs=1e-3)
    if gsc != 3.761:  # 0.011 from the edge of its half step: the standard's two ways to a grade may differ there
        assert grade_of(rating(found)).label == grade


# ISO 105-A02:1994, clause 2.4 (as EN 20105-A02, stored preview): colour differences of the pairs of the grey scale. At
# each of them the rating of ISO 105-A05 is the grade that the pair stands for.
PAIRS = [
    (0.0, 5.0, "5"),
    (0.8, 4.529, "4-5"),
    (1.7, 4.0, "4"),
    (2.5, 3.529, "3-4"),
    (3.4, 3.0, "3"),
    (4.8, 2.503, "2-3"),
    (6.8, 2.0, "2"),
    (9.6, 1.503, "1-2"),
    (13.6, 1.0, "1"),
]


@pytest.mark.parametrize(("difference", "gsc", "grade"), PAIRS)
def test_the_pairs_of_the_grey_scale(difference: float, gsc: float, grade: str) -> None:
    assert rating(difference) == pytest.approx(gsc, abs=1e-3)
    assert grade_of(rating(difference)).label == grade


# Half steps of a rating as in ISO 105-A04, clause 6.6 (as a public implementation has them).
BANDS = [
    (4.75, "5"),
    (4.25, "4-5"),
    (3.75, "4"),
    (3.25, "3-4"),
    (2.75, "3"),
    (2.25, "2-3"),
    (1.75, "2"),
    (1.25, "1-2"),
    (1.0, "1"),
]


@pytest.mark.parametrize(("at_least", "grade"), BANDS)
def test_half_steps_begin_at_their_edges(at_least: float, grade: str) -> None:
    assert grade_of(at_least).label == grade
    assert grade_of(at_least + 0.2).label == grade
    if at_least > 1.0:
        assert grade_of(at_least - 1e-9).label != grade


def test_the_rating_ends_at_one() -> None:
    assert rating(SATURATED) == pytest.approx(1.0)
    assert rating(SATURATED - 0.1) > 1.0
    assert rating(90.0) == 1.0
