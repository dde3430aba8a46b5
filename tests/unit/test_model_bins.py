"""Rules of bins, and what a bin holds."""

from __future__ import annotations

import pytest

from sortbench.model.bins import Bin, Rule
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Flaws, Grade

CRACKED = (Flaw.CRACKED,)


@pytest.mark.parametrize(
    ("rule", "grade", "flaws", "belongs"),
    [
        (Rule(), None, (), True),
        (Rule(shades=("red", "white")), Grade.G5, (), True),
        (Rule(shades=("white",)), Grade.G5, (), False),
        (Rule(families=("plate",)), Grade.G5, (), True),
        (Rule(families=("brick",)), Grade.G5, (), False),
        (Rule(parts=("plate-2x4",)), Grade.G5, (), True),
        (Rule(parts=("plate-1x2",)), Grade.G5, (), False),
        (Rule(shades=("red",), families=("brick",)), Grade.G5, (), False),
        (Rule(lowest=Grade.G4), Grade.G4, (), True),
        (Rule(lowest=Grade.G4), Grade.G3_4, (), False),
        (Rule(lowest=Grade.G4), None, (), False),
        (Rule(highest=Grade.G3), Grade.G3, (), True),
        (Rule(highest=Grade.G3), Grade.G3_4, (), False),
        (Rule(highest=Grade.G3), None, (), False),
        (Rule(flaws=("cracked",)), Grade.G5, CRACKED, True),
        (Rule(flaws=("bent", "cracked")), Grade.G5, CRACKED, True),
        (Rule(flaws=("bent",)), Grade.G5, CRACKED, False),
        (Rule(flaws=("any",)), Grade.G5, CRACKED, True),
        (Rule(flaws=("any",)), Grade.G5, (), False),
    ],
)
def test_a_rule_takes_what_meets_all_its_conditions(
    rule: Rule, grade: Grade | None, flaws: Flaws, belongs: bool
) -> None:
    assert rule.matches("plate-2x4", "plate", "red", grade, flaws) is belongs


def test_an_unknown_property_never_meets_a_condition_on_it() -> None:
    for rule in (Rule(shades=("red",)), Rule(families=("plate",)), Rule(parts=("plate-2x4",))):
        assert not rule.matches("", "", "", None, ())


def test_a_rule_in_words() -> None:
    assert str(Rule()) == "everything else"
    assert str(Rule(shades=("red", "white"), families=("plate",))) == "red or white; plate"
    assert str(Rule(lowest=Grade.G2, highest=Grade.G4)) == "grade 2 to 4"
    assert str(Rule(lowest=Grade.G4)) == "grade 4 and better"
    assert str(Rule(highest=Grade.G4, flaws=("any",))) == "grade 4 and worse; any flaw"


def test_only_an_empty_rule_is_a_catch_all() -> None:
    assert Rule().catch_all
    assert not Rule(flaws=("any",)).catch_all


@pytest.mark.parametrize("capacity", [0, -1, 10_000_001])
def test_a_capacity_that_cannot_be_is_refused(capacity: int) -> None:
    with pytest.raises(DataError, match="B1"):
        Bin("B1", capacity=capacity)


@pytest.mark.parametrize("grams", [0.0, -0.5, 2e7, float("nan"), float("inf")])
def test_grams_that_cannot_be_are_refused(grams: float) -> None:
    with pytest.raises(DataError, match="B1"):
        Bin("B1", capacity_g=grams)
