"""The pull list: what stays out of the tub, what needs a hand after it, and why.

Expectations are common practice, no source: stickered and cloth pieces, delicate and very small ones, figures,
electric and metal parts stay out; raised baseplates and manuals are wiped; large plates are scrubbed one by one;
foliage and deep hollow pieces hold dust longest.
"""

from __future__ import annotations

import pytest

from sortbench.engine.washing.pull_list import ADVICE, PullList, pull_list
from sortbench.model.catalogue import Care, Catalogue, Kind, Part, Shade

PARTS = (
    Part("plate-2x4", "plate 2x4", "plate", mass_g=1.9),
    Part("plate-1x1", "plate 1x1", "plate", mass_g=0.2),
    Part("lamp", "lamp", "other", mass_g=4.0, care=(Care.PRINT, Care.ELECTRIC)),
    Part("torso", "torso", "figure", mass_g=0.9),
    Part("rope", "rope", "string"),
    Part("bell", "bell", "other", mass_g=3.0, care=(Care.DEEP_HOLLOW,)),
    Part("board", "board 16x16", "baseplate", mass_g=31.0, care=(Care.LARGE_PLATE,)),
    Part("hill", "hill", "baseplate", mass_g=118.0, care=(Care.LARGE_PLATE, Care.DEEP_HOLLOW, Care.RAISED_BASEPLATE)),
    Part("brick", "brick", "brick"),
)
CATALOGUE = Catalogue({part.code: part for part in PARTS}, {"red": Shade("red", "b3261e")})


def made(pieces: dict[Kind, int], small_g: float = 0.3) -> PullList:
    return pull_list(CATALOGUE, pieces, dict.fromkeys(pieces, ("T-01",)), small_g)


def of(found: PullList) -> dict[str, tuple[bool, tuple[str, ...]]]:
    return {row.part: (row.out, row.reasons) for row in found.rows}


def test_marks_families_and_mass_decide() -> None:
    found = made({Kind(part.code, "red"): 2 for part in PARTS})
    assert of(found) == {
        "lamp": (True, ("electric",)),
        "rope": (True, ("string (cloth)",)),
        "torso": (True, ("figure",)),
        "hill": (True, ("raised baseplate",)),
        "plate-1x1": (True, ("very small (0.2 g)",)),
        "board": (False, ("large plate",)),
        "bell": (False, ("deep hollow",)),
    }
    assert [row.out for row in found.rows] == [True] * 5 + [False] * 2
    assert (found.out, found.by_hand, found.others) == (10, 4, 4)
    assert (found.unweighed, found.unknown) == (1, 0)


def test_every_mark_has_advice_and_says_why() -> None:
    assert set(ADVICE) == set(Care)
    outs = {mark for mark, advice in ADVICE.items() if advice.out}
    assert set(Care) - outs == {Care.LARGE_PLATE, Care.FOLIAGE, Care.DEEP_HOLLOW, Care.PRINT}
    assert all(advice.why and advice.how for advice in ADVICE.values())
    lamp = made({Kind("lamp", "red"): 1})
    assert [tuple(each) for each in lamp.advice] == [("electric", *ADVICE[Care.ELECTRIC])]
    found = lamp.rows[0]
    assert (found.how, found.source) == (ADVICE[Care.ELECTRIC].how, "common practice, no source")


def test_what_is_very_small_is_for_the_user_to_say() -> None:
    pieces = {Kind("plate-1x1", "red"): 5, Kind("plate-2x4", "red"): 1}
    assert list(of(made(pieces, 0.0))) == []
    assert list(of(made(pieces, 0.2))) == []  # not below
    assert list(of(made(pieces, 2.0))) == ["plate-1x1", "plate-2x4"]
    marked = Catalogue({"p": Part("p", "p", care=(Care.VERY_SMALL,))})
    assert of(pull_list(marked, {Kind("p", "red"): 1}, {}, 0.0)) == {"p": (True, ("very small",))}


def test_shades_of_a_part_stand_in_one_row() -> None:
    pieces = {Kind("torso", "red"): 1, Kind("torso", "white"): 3, Kind("torso", "blue"): 0}
    row = pull_list(CATALOGUE, pieces, {Kind("torso", "white"): ("T-02", "T-01", "T-02")}).rows[0]
    assert [tuple(shade) for shade in row.shades] == [("white", "", 3), ("red", "b3261e", 1)]
    assert (row.quantity, row.targets) == (4, ("T-01", "T-02"))


@pytest.mark.parametrize("pieces", [{}, {Kind("brick", "red"): 3, Kind("nobody knows it", "red"): 1}])
def test_nothing_to_pull(pieces: dict[Kind, int]) -> None:
    found = made(pieces)
    assert (found.rows, found.others, found.unknown) == ((), sum(pieces.values()), len(pieces) // 2)
