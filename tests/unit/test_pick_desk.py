"""The pick list of a target: bins in their order, rows that stay while they are ticked, pieces put back."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from small_bench import ARCH, BRICK, PLATE, TILE

from sortbench.bench import Bench
from sortbench.desks.additions import add_target
from sortbench.desks.pick_desk import PickDesk, Tick
from sortbench.engine.reconciling.pick_list import PickList
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, What
from sortbench.model.target import Line, StandIn, Target

Opener = Callable[[], Bench]
Told = list[tuple[int, str, str, int, int, int]]


def told(found: PickList) -> Told:
    """Number, place, part, pieces in all, left to pick, in the crate."""
    return [(row.number, row.where, row.kind.part, row.quantity, row.left, row.picked) for row in found.rows]


@pytest.fixture
def desk(bench: Bench) -> PickDesk:
    """The list of Signal Hut: three plates, two bricks; the plates lie in three places."""
    bench.count(BRICK, 3)
    bench.count(PLATE, 1, Grade.G3)
    bench.count(PLATE, 1, Grade.G4)
    bench.count(PLATE, 1, Grade.G5, (Flaw.CHIPPED,))
    return PickDesk(bench, "T-01")


def test_bins_in_their_order_with_what_the_lines_have(desk: PickDesk) -> None:
    found = desk.listed()
    assert told(found) == [
        (1, "FLAWED", "plate-2x4", 1, 1, 0),
        (2, "FADED", "plate-2x4", 1, 1, 0),
        (3, "B1", "plate-2x4", 1, 1, 0),
        (4, "B2", "brick-2x4", 2, 2, 0),
    ]
    assert (found.code, found.name, found.quantity, found.left, found.picked, found.short) == (
        "T-01",
        "Signal Hut",
        5,
        5,
        0,
        0,
    )
    assert [(use.line, use.quantity, use.cost, use.standard) for row in found.rows for use in row.uses] == [
        (1, 1, 0, False),
        (1, 1, 0, False),
        (1, 1, 0, True),
        (2, 2, 0, True),
    ]


def test_within_a_bin_by_shade_then_name_then_the_best_first(bench: Bench) -> None:
    add_target(bench, Target("T-09", "Bell Foundry", 1990, 9, (Line(TILE, 2), Line(ARCH, 3))))
    for kind, grade in ((TILE, Grade.G5), (ARCH, Grade.G4), (ARCH, Grade.G5), (TILE, Grade.G5)):
        bench.count(kind, 1, grade, bin_label="REST")
    bench.count(ARCH, 1, Grade.G3, (), "B1")
    rows = PickDesk(bench, "T-09").listed().rows
    assert [(row.where, row.kind, row.grade) for row in rows] == [
        ("B1", ARCH, Grade.G3),
        ("REST", ARCH, Grade.G5),
        ("REST", ARCH, Grade.G4),
        ("REST", TILE, Grade.G5),
    ]


def test_a_row_ticked_goes_to_the_crate_and_stays_in_its_place(bench: Bench, desk: PickDesk) -> None:
    before = desk.listed()
    assert desk.tick([Tick(4)]).text == "picked: 2 × brick 2x4, red (B2)"
    found = desk.listed()
    assert told(found)[3] == (4, "B2", "brick-2x4", 2, 0, 2)
    assert found.rows[3].ticked and not found.rows[0].ticked
    assert (found.left, found.picked, found.mark) == (3, 2, before.mark)
    assert {row.label: row.pieces for row in bench.bin_rows()}["B2"] == 1
    assert sum(bench.picture.ledger.in_crate("T-01").values()) == 2
    bench.undo()
    assert desk.listed() == before
    bench.redo()
    assert desk.listed() == found


def test_some_pieces_of_a_row(desk: PickDesk) -> None:
    desk.tick([Tick(4, 1)])
    assert told(desk.listed())[3] == (4, "B2", "brick-2x4", 2, 1, 1)
    desk.tick([Tick(4)])
    assert told(desk.listed())[3] == (4, "B2", "brick-2x4", 2, 0, 2)


def test_all_at_once_and_then_nothing(bench: Bench, desk: PickDesk) -> None:
    assert desk.tick_all().text == "picked: 5 pieces in 4 rows"
    assert (desk.listed().left, desk.listed().picked) == (0, 5)
    records = len(bench.picture.ledger.records)
    assert desk.tick_all().text == "in the crate already"
    assert len(bench.picture.ledger.records) == records


def test_a_new_sitting_sees_the_ticks_where_they_were(opened: Opener, desk: PickDesk) -> None:
    desk.tick([Tick(1), Tick(3)])
    assert PickDesk(opened(), "T-01").listed() == desk.listed()


def test_a_row_put_back_is_to_be_picked_again(bench: Bench, desk: PickDesk) -> None:
    before = desk.listed(), dict(bench.picture.ledger.counts)
    desk.tick_all()
    assert desk.put_back([Tick(4, 1)]).text == "put back: 1 × brick 2x4, red (B2)"
    assert told(desk.listed())[3] == (4, "B2", "brick-2x4", 2, 1, 1)
    desk.put_back([Tick(number) for number in (1, 2, 3, 4)])
    assert (desk.listed(), dict(bench.picture.ledger.counts)) == before


def test_what_was_set_aside_is_so_again_when_its_tick_is_taken_back(bench: Bench, desk: PickDesk) -> None:
    bench.crates.reserve(BRICK, 1, "T-01", Grade.G5)
    desk.tick([Tick(4)])
    assert bench.picture.ledger.reserved(BRICK) == {}
    desk.put_back([Tick(4)])
    assert bench.picture.ledger.reserved(BRICK) == {(Grade.G5, ()): {"T-01": 1}}


def test_pieces_of_a_wash_stand_behind_the_bins_and_go_back_to_it(bench: Bench) -> None:
    bench.count(TILE, 1)
    bench.put_aside(Fate.WASH)
    desk = PickDesk(bench, "T-02")
    assert told(desk.listed()) == [(1, "to wash", "tile-2x2", 1, 1, 0)]
    before = dict(bench.picture.ledger.counts)
    desk.tick_all()
    desk.put_back([Tick(1)])
    assert dict(bench.picture.ledger.counts) == before


def test_what_no_line_needs_in_the_crate_is_told(bench: Bench) -> None:
    bench.count(TILE, 2)
    bench.crates.pick(TILE, 2, "T-02", Grade.G5, (), "REST")
    desk = PickDesk(bench, "T-02")
    (row,) = desk.listed().rows
    assert (row.where, row.quantity, row.left, row.picked, row.surplus) == ("REST", 1, 0, 2, 1)
    desk.put_back([Tick(1, row.surplus)])
    assert [(row.picked, row.surplus) for row in desk.listed().rows] == [(1, 0)]
    assert {row.label: row.pieces for row in bench.bin_rows()}["REST"] == 1


def test_pieces_counted_right_into_the_crate_go_back_by_the_rules(bench: Bench) -> None:
    bench.sitting.record(What.TALLY, Cell("T-02", *TILE, "", Grade.G5, (), Fate.CRATE), 1)
    desk = PickDesk(bench, "T-02")
    assert told(desk.listed()) == [(1, "the crate", "tile-2x2", 1, 0, 1)]
    desk.put_back([Tick(1)])
    assert told(desk.listed()) == [(1, "REST", "tile-2x2", 1, 1, 0)]


def test_a_stand_in_is_told(bench: Bench) -> None:
    add_target(bench, Target("T-09", "Bell Foundry", 1990, 9, (Line(ARCH, 2, stand_ins=(StandIn(TILE, 4),)),)))
    bench.count(TILE, 2)
    (row,) = PickDesk(bench, "T-09").listed().rows
    assert row.stands_in
    # One tile goes to Peat Tramway, which asks for it and comes first.
    assert [(use.quantity, use.wanted, use.cost, use.standard) for use in row.uses] == [(1, ARCH, 4, True)]


def test_a_row_that_is_not_there_is_told_and_nothing_is_carried(bench: Bench, desk: PickDesk) -> None:
    for ticks, words in (
        ([Tick(1), Tick(5)], "has no row 5. It has 4."),
        ([Tick(0)], "has no row 0"),
        ([Tick(1), Tick(1)], "Row 1 is named twice"),
        ([Tick(4, 3)], r"Row 4 \(brick 2x4, red, B2\) has 2 left to pick, not 3."),
        ([Tick(4, 0)], "has 2 left to pick, not 0"),
    ):
        with pytest.raises(DataError, match=words):
            desk.tick(ticks)
    with pytest.raises(DataError, match="has 0 in the crate"):
        desk.put_back([Tick(4)])
    assert not bench.picture.ledger.in_crate("T-01")
    with pytest.raises(DataError, match="It is empty: no piece counted so far is for it"):
        PickDesk(bench, "T-03").tick([Tick(1)])
    with pytest.raises(DataError, match="No target has the code 'T-99'"):
        PickDesk(bench, "T-99")


def test_a_list_that_changed_has_another_mark(bench: Bench, desk: PickDesk) -> None:
    before = desk.listed().mark
    bench.count(PLATE, 1, Grade.G5)
    assert desk.listed().mark != before
    assert PickDesk(bench, "T-02").listed().mark != desk.listed().mark


def test_a_list_of_more_pieces_than_a_record_can_name(bench: Bench) -> None:
    lines = (Line(ARCH, 99_999), Line(ARCH, 99_999, Grade.G1))
    add_target(bench, Target("T-09", "Bell Foundry", 1990, 9, lines))
    for _ in range(2):
        bench.count(ARCH, 99_999)
    desk = PickDesk(bench, "T-09")
    desk.tick_all()
    assert [(row.left, row.picked) for row in desk.listed().rows] == [(0, 199_998)]
    desk.put_back([Tick(1)])
    assert [(row.left, row.picked) for row in desk.listed().rows] == [(199_998, 0)]
