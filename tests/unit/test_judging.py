"""A piece judged against its reference."""

from __future__ import annotations

import random
import statistics

import pytest

from sortbench.engine.condition.change_rating import colour_change, open_rating
from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import Lab, hex_to_lab, lab_to_xyz
from sortbench.engine.condition.judging import Limit, drift_words, judge, limit_of, severity_order
from sortbench.engine.condition.yellowness import yellowness_index
from sortbench.model.grade import Grade

WHITE = Lab(93.0, -0.8, 2.0)

# A white that drifts to yellow, worked out with colour-science 0.4.7 and by a second route: L*, a*, b*, index E313 and
# its change, dE_F, CIEDE2000, rating, grade.
DRIFT = [
    ((93.0, -0.8, 2.0), 3.24, 0.0, 0.0, 0.0, 5.0, "5"),
    ((92.75, -0.74, 3.0), 5.22, 1.98, 1.03, 0.924, 4.39, "4-5"),
    ((92.5, -0.68, 4.0), 7.18, 3.94, 2.058, 1.814, 3.79, "4"),
    ((92.25, -0.62, 5.0), 9.14, 5.9, 3.083, 2.67, 3.19, "3"),
    ((92.0, -0.56, 6.0), 11.08, 7.84, 4.106, 3.495, 2.73, "2-3"),
    ((91.5, -0.44, 8.0), 14.93, 11.68, 6.138, 5.057, 2.15, "2"),
    ((91.0, -0.32, 10.0), 18.72, 15.48, 8.15, 6.512, 1.74, "1-2"),
    ((90.5, -0.2, 12.0), 22.47, 19.22, 10.139, 7.873, 1.42, "1-2"),
    ((89.5, 0.04, 16.0), 29.8, 26.56, 14.03, 10.345, 1.0, "1"),
    ((88.5, 0.28, 20.0), 36.92, 33.67, 17.78, 12.536, 1.0, "1"),
    ((87.0, 0.64, 26.0), 47.18, 43.93, 23.091, 15.4, 1.0, "1"),
    ((85.5, 1.0, 32.0), 56.91, 53.67, 27.967, 17.86, 1.0, "1"),
]


@pytest.mark.parametrize(("lab", "index", "more", "change", "difference", "gsc", "grade"), DRIFT)
def test_a_white_that_drifts_to_yellow(
    lab: tuple[float, ...], index: float, more: float, change: float, difference: float, gsc: float, grade: str
) -> None:
    found = judge(Lab(*lab), WHITE)
    if more:
        # Its white comes from x 0.3127, y 0.3290 and not from the table of ASTM E308, which is 0.027 of the index.
        assert found.yellowness == pytest.approx(index, abs=0.04)
        assert found.yellowness_change == pytest.approx(more, abs=0.015)  # printed to two places
    else:
        assert found.yellowness is None, "568 nm: a greenish white, from which a change may be measured all the same"
    assert found.change == pytest.approx(change, abs=0.01)
    assert found.difference == pytest.approx(difference, abs=0.01)
    assert found.rating == pytest.approx(gsc, abs=0.01)
    assert found.grade.label == grade
    assert found.saturated is (gsc == 1.0)
    assert (found.best, found.worst) == (found.grade, found.grade)
    assert (found.rating_u, found.difference_u, found.yellowness_change_u) == (None, None, None)


def test_where_the_grade_has_ended_the_difference_orders_the_worst() -> None:
    mixed = [3, 11, 9, 10, 0, 8]
    found = [judge(Lab(*DRIFT[at][0]), WHITE) for at in mixed]
    assert [found[at].grade.label for at in severity_order(found)][:4] == ["1"] * 4
    assert [mixed[at] for at in severity_order(found)] == [11, 10, 9, 8, 3, 0]
    assert severity_order([]) == ()


@pytest.mark.parametrize("rgb", ["#c4281b", "#0057a8", "#2e7a3c"])
def test_no_yellowness_of_red_blue_and_green(rgb: str) -> None:
    found = judge(hex_to_lab(rgb), hex_to_lab(rgb)._replace(lightness=40.0))
    assert found.yellowness is None
    assert found.yellowness_change is None
    assert "the piece is outside the scope" in found.why_no_yellowness
    assert found.difference > 0.0


def test_a_change_needs_a_reference_that_has_an_index_too() -> None:
    cool_grey = hex_to_lab("#949da6")
    found = judge(hex_to_lab("#a49e86"), cool_grey)
    assert found.yellowness is not None
    assert found.yellowness_change is None
    assert "the reference is outside the scope" in found.why_no_yellowness


def test_a_neutral_reference_is_where_yellowing_starts() -> None:
    found = judge(hex_to_lab("#e8e0c4"), hex_to_lab("#f4f4f4"))
    assert found.yellowness_change == pytest.approx(26.128 + 0.016, abs=0.02)
    assert found.why_no_yellowness == ""


def test_a_black_piece_has_no_index_and_is_judged_all_the_same() -> None:
    found = judge(Lab(0.0, 0.0, 0.0), Lab(20.0, 0.0, 0.0), Lab(9.0, 1.0, 1.0))
    assert found.yellowness is None
    assert found.grade is Grade.G1


# Paravina et al. 2015, J. Esthet. Restor. Dent. 27 (S1) S1-S9; ISO/TR 28642:2016 (stored abstracts): half of all
# observers see 0.8 and accept 1.8 CIEDE2000.
@pytest.mark.parametrize(
    ("difference", "limit"),
    [
        (0.0, Limit.UNSEEN),
        (0.8, Limit.UNSEEN),
        (0.81, Limit.ACCEPTED),
        (1.8, Limit.ACCEPTED),
        (1.81, Limit.BEYOND),
        (40.0, Limit.BEYOND),
    ],
)
def test_published_limits(difference: float, limit: Limit) -> None:
    assert limit_of(difference) is limit


@pytest.mark.parametrize("at", [2, 4, 6, 8])
def test_uncertainties_agree_with_a_simulation(at: int) -> None:
    """JCGM 101: the spread of figures of random readings, against the law of propagation. 4,000 of a fixed seed."""
    piece, piece_u, reference_u = Lab(*DRIFT[at][0]), Lab(0.3, 0.2, 0.4), Lab(0.2, 0.2, 0.3)
    found = judge(piece, WHITE, piece_u, reference_u)
    chance = random.Random(20 + at)

    def drawn(mean: Lab, u: Lab) -> Lab:
        return Lab(*(chance.gauss(value, each) for value, each in zip(mean, u, strict=True)))

    pairs = [(drawn(piece, piece_u), drawn(WHITE, reference_u)) for _ in range(4000)]
    differences = [ciede2000(*pair) for pair in pairs]
    ratings = [open_rating(colour_change(*pair)) for pair in pairs]
    yellower = [yellowness_index(lab_to_xyz(p)) - yellowness_index(lab_to_xyz(r)) for p, r in pairs]
    assert found.difference_u == pytest.approx(statistics.stdev(differences), rel=0.07)
    assert found.rating_u == pytest.approx(statistics.stdev(ratings), rel=0.07)
    assert found.yellowness_change_u == pytest.approx(statistics.stdev(yellower), rel=0.07)


def test_two_readings_of_one_colour_are_not_surely_the_same() -> None:
    found = judge(WHITE, WHITE, Lab(0.4, 0.3, 0.6), Lab(0.4, 0.3, 0.6))
    assert found.difference == 0.0
    assert found.difference_u is not None
    assert found.difference_u > 0.5
    assert found.best is Grade.G5
    assert found.worst < Grade.G5


def test_the_band_holds_the_grades_that_readings_may_have() -> None:
    piece, u = Lab(*DRIFT[5][0]), Lab(0.4, 0.4, 0.4)
    found = judge(piece, WHITE, u, u)
    assert found.worst <= found.grade < found.best
    chance = random.Random(7)
    inside = 0
    for _ in range(500):
        one, other = (Lab(*(chance.gauss(value, 0.4) for value in mean)) for mean in (piece, WHITE))
        inside += found.worst <= judge(one, other).grade <= found.best
    assert inside >= 475  # two standard uncertainties to both sides, and half steps round outward


def test_a_single_uncertainty_takes_the_other_reading_for_exact() -> None:
    u = Lab(0.4, 0.4, 0.4)
    of_piece, of_reference, of_both = (
        judge(Lab(*DRIFT[5][0]), WHITE, *each).difference_u for each in ((u, None), (None, u), (u, u))
    )
    assert of_piece and of_reference and of_both
    assert of_both**2 == pytest.approx(of_piece**2 + of_reference**2)


def test_which_way_a_piece_went() -> None:
    assert drift_words(judge(Lab(88.0, 0.0, 16.0), WHITE)) == "yellower, darker"
    assert drift_words(judge(Lab(93.2, -0.8, 1.5), WHITE)) == ""
    assert drift_words(judge(Lab(96.0, -9.0, -3.0), WHITE)) == "greener, bluer, lighter"
    assert drift_words(judge(Lab(93.0, 4.0, 2.0), WHITE)) == "redder"
