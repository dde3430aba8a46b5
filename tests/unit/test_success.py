"""Rates of success and breakage with their intervals, and the log of treatments they come from."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest

from sortbench.engine.figures.success import outcomes, rate
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.treatment import Treatment, checked_treatment

ONE = Treatment(
    "t1", "2026-11-25T09:00:00.000Z", "plate-2x4", "white", Grade.G2, 10, 5.9, 6, 20, 7, 2, 1, Grade.G4, "in the shed"
)


@pytest.mark.parametrize(
    ("hits", "of", "confidence", "low", "high"),
    # Newcombe 1998 (Statist. Med. 17:857-872, Table I, exact intervals): 81/263 and 15/148, recalled from memory; all
    # rows as statsmodels and scipy give them.
    [
        (81, 263, 0.95, 0.2527, 0.3676),
        (15, 148, 0.95, 0.0578, 0.1617),
        (0, 32, 0.95, 0.0, 0.10888),
        (2, 50, 0.95, 0.00488, 0.13714),
        (3, 80, 0.95, 0.0078, 0.1057),
        (80, 80, 0.95, 0.95494, 1.0),
        (7, 125, 0.99, 0.01656, 0.13159),
        (4, 20, 0.9, 0.07135, 0.40103),
    ],
)
def test_exact_intervals(hits: int, of: int, confidence: float, low: float, high: float) -> None:
    found = rate(hits, of, confidence)
    assert found.estimate == hits / of
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-4)


@pytest.mark.parametrize(("hits", "of"), [(0, 1), (1, 1), (1, 2), (17, 1000), (99_998, 99_999)])
def test_exact_intervals_are_those_of_scipy(hits: int, of: int) -> None:
    mine, theirs = rate(hits, of), binomtest(hits, of).proportion_ci(method="exact")
    assert (mine.low, mine.high) == pytest.approx((theirs.low, theirs.high), rel=1e-7, abs=1e-12)


@pytest.mark.parametrize(("hits", "of", "confidence"), [(0, 0, 0.95), (-1, 4, 0.95), (5, 4, 0.95), (1, 4, 1.0)])
def test_no_share_of_nothing(hits: int, of: int, confidence: float) -> None:
    with pytest.raises(DataError):
        rate(hits, of, confidence)


def test_outcomes_by_shade_and_together() -> None:
    grey = ONE._replace(id="t2", shade="grey, early", quantity=4, improved=0, unchanged=1, broken=3, grade_after=None)
    wrong = ONE._replace(id="t4", quantity=90, improved=90, unchanged=0, broken=0, struck=True)
    found = outcomes([ONE, grey, ONE._replace(id="t3"), wrong])
    assert [(each.shade, each.treatments, each.quantity) for each in found] == [
        ("grey, early", 1, 4),
        ("white", 2, 20),
        ("", 3, 24),
    ]
    assert [(each.improved, each.unchanged, each.broken) for each in found] == [(0, 1, 3), (14, 4, 2), (14, 5, 5)]
    assert found[1].success == rate(14, 20)
    assert found[1].breakage == rate(2, 20)
    assert outcomes([]) == outcomes([wrong]) == ()


def test_a_treatment_whose_figures_agree_is_kept_as_it_is() -> None:
    assert checked_treatment(ONE) is ONE
    unknown = ONE._replace(strength_ww=None, hours=None, temp_c=None, grade=None, grade_after=None, note="")
    assert checked_treatment(unknown) is unknown


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"broken": 2}, "make 11, not the 10"),
        ({"improved": 12, "unchanged": -3}, "Fewer than no"),
        ({"quantity": 0, "improved": 0, "unchanged": 0, "broken": 0}, "at once"),
        ({"improved": 0, "unchanged": 9}, "none improved"),
        ({"strength_ww": 0.0}, "% w/w cannot be"),
        ({"strength_ww": 101.0}, "% w/w cannot be"),
        ({"strength_ww": float("nan")}, "% w/w cannot be"),
        ({"hours": -1.0}, "hours"),
        ({"temp_c": float("inf")}, "°C"),
        ({"id": ""}, "without id"),
        ({"shade": ""}, "without shade"),
    ],
)
def test_a_treatment_whose_figures_do_not_agree_is_refused(wrong: dict[str, float], words: str) -> None:
    with pytest.raises(DataError, match=words):
        checked_treatment(ONE._replace(**wrong))
