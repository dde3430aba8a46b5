"""Reconciling, on cases small enough to work out by hand (own reasoning)."""

from __future__ import annotations

import pytest
from reconciling import BRICK, LATE, PLATE, TILE, crated, heap, picture

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.places import deal
from sortbench.engine.reconciling.reconcile import lines_of, spares_of, targets_of
from sortbench.engine.reconciling.reconcile_board import CRATED, RESERVED
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, StandIn, Swap, SwapOf, Target

HUT = Target("T-01", "Signal Hut", 1988, 1, (Line(PLATE, 3, Grade.G4),))
TRAM = Target("T-02", "Peat Tramway", 1991, 2, (Line(TILE, 1), Line(PLATE, 4, Grade.G2)))


def places(found: Picture, code: str, number: int = 1) -> list[tuple[str, int]]:
    return [
        (place.words, place.quantity) for share in lines_of(found, code)[number - 1].shares for place in share.places
    ]


def test_lines_take_from_the_bins_in_their_order_and_the_first_rank_first() -> None:
    found = picture((TRAM, HUT), {heap(PLATE, label="B1"): 3, heap(PLATE, label="B2"): 2, heap(PLATE, label="A0"): 4})
    assert places(found, "T-01") == [("B2", 2), ("B1", 1)]
    assert places(found, "T-02", 2) == [("B1", 2), ("A0", 2)]
    (spare,) = spares_of(found)
    assert [(place.bin, place.place, place.quantity) for place in spare.places] == [("A0", "", 2)]
    assert lines_of(found, "T-01")[0].shares[0].places[0].place == "shelf"


def test_pieces_at_the_wash_and_outside_all_bins_are_told_as_such() -> None:
    wash = heap(PLATE)._replace(bin="", fate=Fate.WASH)
    found = picture((HUT,), {wash: 1, heap(PLATE, label=""): 1})
    assert places(found, "T-01") == [("no bin", 1), ("to wash", 1)]
    assert [share.ready for share in lines_of(found, "T-01")[0].shares] == [True, False]


def test_pieces_in_the_crate_are_told_apart_from_those_set_aside_for_it() -> None:
    found = picture(
        (HUT, TRAM),
        {heap(PLATE): 3, crated(PLATE, "T-02"): 1},
        reserved=[(heap(PLATE), 2, "T-02")],
    )
    (line,) = lines_of(found, "T-02")[1:]
    assert [(share.held, share.quantity, share.places[0].words) for share in line.shares] == [
        (CRATED, 1, "crate T-02"),
        (RESERVED, 2, "B1"),
    ]
    assert line.shares[0].places[0].crated
    assert [(share.held, share.quantity) for share in lines_of(found, "T-01")[0].shares] == [("", 1)]


def test_what_lies_in_the_crate_of_a_target_that_is_gone_is_spare() -> None:
    (spare,) = spares_of(picture((HUT,), {crated(PLATE, "T-09"): 2}))
    assert (spare.only, spare.quantity, spare.places[0].words) == ("T-09", 2, "crate T-09")


def test_spares_are_all_pieces_no_line_has_but_coarse_ones_and_those_thrown_out() -> None:
    coarse = Cell("B1", "", "red", "plate", Grade.G5, ())
    out = heap(PLATE)._replace(bin="", fate=Fate.OUT)
    found = picture((HUT,), {heap(PLATE, Grade.G3): 2, heap(PLATE): 2, heap(BRICK): 5, coarse: 7, out: 9})
    assert [(heap.kind, heap.grade, heap.quantity) for heap in spares_of(found)] == [
        (BRICK, Grade.G5, 5),
        (PLATE, Grade.G3, 1),
    ]


def test_targets_tell_their_figures() -> None:
    worth = HUT._replace(value=90)
    found = picture((TRAM._replace(parked=True), worth), {heap(PLATE): 2, heap(TILE): 1})
    first, second = targets_of(found)
    assert (first.code, first.value, first.need, first.present, first.standard, first.short) == ("T-01", 90, 3, 2, 2, 1)
    assert (second.parked, second.present, second.short, second.lines, second.lines_complete) == (True, 0, 5, 2, 0)


def test_what_may_stand_in_is_told_with_what_is_refused() -> None:
    line = Line(PLATE, 2, stand_ins=(StandIn(BRICK, 3),))
    hut = HUT._replace(lines=(line,), refused=((PLATE, LATE),))
    found = picture((hut,), {heap(BRICK): 1, heap(LATE): 1}, swaps=[Swap(SwapOf.SHADE, "red", "red, late", 2)])
    (row,) = lines_of(found, "T-01")
    assert [(each.kind, each.cost, each.refused) for each in row.accepts] == [(BRICK, 3, False), (LATE, 2, True)]
    assert [(share.kind, share.cost) for share in row.shares] == [(BRICK, 3)]


BETTER = [
    ({}, "3 more plate 2x4 in red; or brick 2x4 in red"),
    ({heap(BRICK): 3}, "3 plate 2x4 in red, for the brick 2x4 in red that stand in"),
    ({heap(PLATE, flaws=(Flaw.CRACKED,)): 1, heap(PLATE): 2}, "1 without a flaw, for 1 piece (cracked)"),
    ({heap(PLATE, None): 2, heap(PLATE): 1}, "to have 2 graded"),
    ({heap(PLATE, Grade.G3_4): 2, heap(PLATE): 1}, "2 of grade 4 or better, for 2 pieces of grade 3-4"),
    ({heap(PLATE)._replace(bin="", fate=Fate.WASH): 1, heap(PLATE): 2}, "to have 1 washed"),
]


@pytest.mark.parametrize(("heaps", "words"), BETTER, ids=[words for _, words in BETTER])
def test_what_would_improve_a_line(heaps: dict[Cell, int], words: str) -> None:
    hut = HUT._replace(lines=(Line(PLATE, 3, Grade.G4, (StandIn(BRICK),)),))
    assert lines_of(picture((hut,), heaps), "T-01")[0].better == (words,)


def test_what_would_improve_a_line_where_years_are_wrong_or_not_known() -> None:
    late = HUT._replace(lines=(Line(LATE, 1),))
    assert lines_of(picture((late,), {heap(LATE): 1}), "T-01")[0].better == (
        "1 of a kind made in 1988, for 1 piece not right for that year",
    )
    undated = HUT._replace(year=None)
    assert lines_of(picture((undated,), {heap(PLATE): 3}), "T-01")[0].better == ("to know the years: of Signal Hut",)


def test_a_parked_target_is_improved_by_taking_part_again() -> None:
    parked = HUT._replace(parked=True)
    assert lines_of(picture((parked,), {heap(PLATE): 3}), "T-01")[0].better[0].startswith("Signal Hut no longer parked")


def test_nothing_to_improve() -> None:
    assert lines_of(picture((HUT,), {heap(PLATE): 3}), "T-01")[0].better == ()


def test_an_empty_bench_deals_nothing() -> None:
    assert deal(Picture(picture((), {}).catalogue, (), (), Ledger())) == ({}, ())
