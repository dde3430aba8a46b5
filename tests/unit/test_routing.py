"""Which bin a piece goes to."""

from __future__ import annotations

import pytest
from small_bench import BINS, catalogue

from sortbench.engine.routing import Router
from sortbench.model.bins import Bin, Rule
from sortbench.model.grade import Flaw, Flaws, Grade


@pytest.fixture
def router() -> Router:
    return Router(BINS, catalogue())


@pytest.mark.parametrize(
    ("part", "shade", "grade", "flaws", "label"),
    [
        ("plate-2x4", "red", Grade.G5, (), "B1"),
        ("brick-2x4", "red", Grade.G5, (), "B2"),
        ("brick-2x4", "white", Grade.G5, (), "REST"),
        ("plate-2x4", "red", Grade.G3, (), "FADED"),
        ("plate-2x4", "red", Grade.G3_4, (), "B1"),
        ("plate-2x4", "red", Grade.G3, (Flaw.BENT,), "FLAWED"),
        ("not-in-the-catalogue", "red", Grade.G5, (), "B2"),
        ("plate-2x4", "no such shade", None, (), "REST"),
    ],
)
def test_the_first_bin_whose_rule_matches_takes_the_piece(
    router: Router, part: str, shade: str, grade: Grade | None, flaws: Flaws, label: str
) -> None:
    for _ in range(2):  # an answer that is remembered is the same answer
        assert router.route(part, shade, grade, flaws) == label


def test_a_coarse_count_goes_by_the_family_it_tells(router: Router) -> None:
    assert router.route("", "red", Grade.G5, (), "plate") == "B1"
    assert router.route("", "red", Grade.G5, (), "") == "B2"
    assert router.route("", "", Grade.G5, (), "plate") == "REST"


def test_the_catalogue_tells_the_family_of_a_known_part_whatever_is_said(router: Router) -> None:
    assert router.route("brick-2x4", "red", Grade.G5, (), "plate") == "B2"


def test_without_a_catch_all_a_piece_may_have_no_bin() -> None:
    assert Router((Bin("B1", Rule(shades=("red",))),), catalogue()).route("tile-2x2", "white", None, ()) == ""
    assert Router((), catalogue()).route("tile-2x2", "white", None, ()) == ""
