"""How an overflowing bin should be split."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.split import HEADROOM, propose_split
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Catalogue, Part
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell

PARTS = {
    f"{family}-{size}": Part(f"{family}-{size}", f"{family} {size}", family, mass_g=mass)
    for family, mass in (("brick", 2.5), ("plate", 0.5), ("tile", None))
    for size in ("1x1", "1x2", "2x2", "2x4")
}
CATALOGUE = Catalogue(MappingProxyType(PARTS))
GREY, RED = "grey, late", "red"


def heap(part: str, shade: str = GREY, grade: Grade | None = Grade.G5, flaws: tuple[Flaw, ...] = ()) -> Cell:
    return Cell("B7", part, shade, "", grade, flaws)


def matched(rule: Rule, content: Mapping[Cell, int]) -> int:
    return sum(
        pieces
        for cell, pieces in content.items()
        if rule.matches(
            cell.part, CATALOGUE.family(cell.part) if cell.part else cell.family, cell.shade, cell.grade, cell.flaws
        )
    )


def test_the_fewest_pieces_that_make_room_are_carried() -> None:
    content = {
        heap("plate-1x1"): 50,
        heap("plate-2x4"): 38,
        heap("plate-1x2", RED): 52,
        heap("brick-2x4"): 55,
        heap("tile-1x2", RED): 45,
    }
    proposal = propose_split(Bin("B7", capacity=170), content, CATALOGUE, ["B7", "B20", "C1"])
    assert proposal is not None
    # 240 pieces, at most 153 in each bin: 87 to 153 must go, and "plate" in grey, late is the smallest that does.
    assert proposal.words == 'Give "plate" in grey, late a bin of its own: 88 of 240 pieces to carry.'
    assert proposal.rule == Rule(shades=(GREY,), families=("plate",))
    assert (proposal.bin, proposal.label, proposal.pieces, proposal.total, proposal.fits) == (
        "B7",
        "B21",
        88,
        240,
        True,
    )


def test_a_bin_within_its_capacity_needs_no_split() -> None:
    content = {heap("plate-1x1"): 100}
    assert propose_split(Bin("B7", capacity=100), content, CATALOGUE) is None
    assert propose_split(Bin("B7"), content, CATALOGUE) is None
    assert propose_split(Bin("B7", capacity_g=50.0), content, CATALOGUE) is None


def test_one_kind_alone_cannot_be_told_apart() -> None:
    assert propose_split(Bin("B7", capacity=10), {heap("plate-1x1"): 11}, CATALOGUE) is None


def test_the_rule_is_the_old_one_made_narrower() -> None:
    old = Rule(shades=(GREY,), flaws=("any",), highest=Grade.G4)
    flawed = (Flaw.CRACKED,)
    content = {heap("plate-1x1", GREY, Grade.G4, flawed): 60, heap("brick-1x1", GREY, Grade.G3, flawed): 50}
    proposal = propose_split(Bin("B7", old, capacity=100), content, CATALOGUE)
    assert proposal is not None
    assert proposal.rule.flaws == ("any",) and proposal.rule.shades == (GREY,)
    assert proposal.rule.highest is not None and proposal.rule.highest <= Grade.G4
    assert proposal.pieces == matched(proposal.rule, content) == 50


def test_pieces_put_in_against_the_rule_are_not_proposed() -> None:
    content = {heap("plate-1x1", RED): 60, heap("brick-1x1", GREY): 30, heap("brick-1x2", GREY): 30}
    proposal = propose_split(Bin("B7", Rule(shades=(GREY,)), capacity=100), content, CATALOGUE)
    assert proposal is not None
    assert proposal.pieces == 30 and "brick 1x1" in proposal.words


def test_grades_can_be_what_parts_them() -> None:
    content = {heap("plate-1x1", GREY, Grade.G5): 70, heap("plate-1x1", GREY, Grade.G3): 50}
    proposal = propose_split(Bin("B7", capacity=100), content, CATALOGUE)
    assert proposal is not None
    assert proposal.words == "Give grade 3 and worse a bin of its own: 50 of 120 pieces to carry."
    assert proposal.rule == Rule(highest=Grade.G3)


def test_a_bin_too_heavy_is_split_by_grams() -> None:
    content = {heap("brick-2x4"): 100, heap("brick-1x1"): 60, heap("plate-2x4"): 300, heap("tile-1x1"): 500}
    proposal = propose_split(Bin("B7", capacity_g=500.0), content, CATALOGUE)
    assert proposal is not None
    # 550 g known: the 1x1 bricks weigh 150 g, the lightest in pieces that brings both within 450 g.
    assert (proposal.pieces, proposal.grams, proposal.fits) == (60, 150.0, True)
    assert proposal.rule == Rule(parts=("brick-1x1",))


def test_where_no_single_value_makes_room_the_fullest_few_go_together() -> None:
    shades = [f"shade {n}" for n in range(12)]
    content = {heap("plate-1x1", shade): 20 for shade in shades}
    proposal = propose_split(Bin("B7", capacity=200), content, CATALOGUE)
    assert proposal is not None
    assert proposal.words == (
        "Give pieces in shade 0, shade 1 and shade 10 a bin of their own: 60 of 240 pieces to carry."
    )
    assert proposal.rule.shades == ("shade 0", "shade 1", "shade 10")


def test_where_nothing_makes_room_it_says_how_full_it_stays() -> None:
    content = {heap("plate-1x1"): 300, heap("plate-1x2"): 290}
    proposal = propose_split(Bin("B7", capacity=100), content, CATALOGUE)
    assert proposal is not None and not proposal.fits
    assert proposal.words == (
        'Give "plate 1x2" a bin of its own: 290 of 590 pieces to carry. '
        "B7 would still be 300% full: split again after that."
    )


def test_coarse_counts_go_by_shade_and_family() -> None:
    coarse = Cell("B7", "", GREY, "plate", None, ())
    content = {coarse: 60, Cell("B7", "", RED, "", None, ()): 50}
    proposal = propose_split(Bin("B7", capacity=100), content, CATALOGUE)
    assert proposal is not None
    assert proposal.rule == Rule(shades=(RED,)) and proposal.pieces == 50


@pytest.mark.parametrize(
    ("label", "taken", "new"),
    [
        ("B7", ["B7", "b20"], "B21"),
        ("B7", [], "B8"),
        ("07", ["07", "08"], "09"),
        ("greys", ["greys"], "greys-2"),
        ("greys", ["greys", "greys-2"], "greys-3"),
        ("B7", ["B7x", "BB9"], "B8"),
    ],
)
def test_the_new_label_is_free(label: str, taken: list[str], new: str) -> None:
    content = {heap("plate-1x1"): 60, heap("plate-1x2"): 50}
    proposal = propose_split(Bin(label, capacity=100), content, CATALOGUE, taken)
    assert proposal is not None and proposal.label == new


grades = st.none() | st.sampled_from(list(Grade))
flaws = st.sampled_from(((), (Flaw.CRACKED,), (Flaw.BENT, Flaw.CRACKED)))
shades = st.sampled_from((GREY, RED, "blue", ""))
known = st.builds(Cell, st.just("B7"), st.sampled_from([*PARTS, "unheard-of"]), shades, st.just(""), grades, flaws)
coarse = st.builds(Cell, st.just("B7"), st.just(""), shades, st.sampled_from(("", "plate", "brick")), grades, flaws)
contents = st.dictionaries(known | coarse, st.integers(1, 60), max_size=25)
rules = st.builds(
    Rule,
    shades=st.sampled_from(((), (GREY,), (GREY, RED))),
    families=st.sampled_from(((), ("plate",), ("plate", "brick"))),
    lowest=st.sampled_from((None, Grade.G2)),
    highest=st.sampled_from((None, Grade.G4_5)),
    flaws=st.sampled_from(((), ("any",), ("bent",))),
)


@settings(max_examples=300)
@given(contents, rules, st.integers(1, 400) | st.none(), st.floats(1, 400) | st.none())
def test_the_rule_matches_exactly_the_pieces_it_names(
    content: dict[Cell, int], rule: Rule, capacity: int | None, capacity_g: float | None
) -> None:
    bin = Bin("B7", rule, capacity, capacity_g)
    proposal = propose_split(bin, content, CATALOGUE, ["B7"])
    total = sum(content.values())
    grams = sum((CATALOGUE.mass_g(cell.part) or 0.0) * pieces for cell, pieces in content.items())
    over = bool(capacity and total > capacity) or bool(capacity_g and grams > capacity_g * (1 + 1e-9))
    if proposal is None:
        return
    assert over
    assert 0 < proposal.pieces < total == proposal.total
    assert proposal.pieces == matched(proposal.rule, content)
    assert f"{proposal.pieces} of {total} pieces" in proposal.words
    # Narrower than the old rule: what the new bin takes, the old one would have taken.
    for cell in content:
        if matched(proposal.rule, {cell: 1}):
            assert matched(rule, {cell: 1})
    if proposal.fits:
        rest = total - proposal.pieces
        assert not capacity or max(rest, proposal.pieces) <= capacity
        assert not capacity_g or max(grams - proposal.grams, proposal.grams) <= capacity_g * (1 + 1e-6)


@given(st.lists(st.integers(1, 60), min_size=4, max_size=4), st.integers(20, 120))
def test_no_single_part_does_with_fewer_pieces(quantities: list[int], capacity: int) -> None:
    content = {heap(part): n for part, n in zip(list(PARTS)[:4], quantities, strict=True)}
    total = sum(quantities)
    proposal = propose_split(Bin("B7", capacity=capacity), content, CATALOGUE)
    roomy = [n for n in quantities if max(n, total - n) <= HEADROOM * capacity]
    if total > capacity and roomy:
        assert proposal is not None and proposal.fits
        assert proposal.pieces <= min(roomy)
