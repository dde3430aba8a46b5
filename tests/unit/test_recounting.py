"""Two counts of one bin held against each other, and how the first is put right."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.ledger import Ledger
from sortbench.engine.spot_check.recounting import Comparison, Entry, Held, Step, compare, steps_to_take
from sortbench.model.grade import Flaw, Grade
from sortbench.model.spot_check import Heap, Recount, recount_way
from sortbench.model.tally import Cell, Record, RecordId, What

AT = "2026-03-01T09:30:00Z"
RED = Cell("B1", "plate-2x4", "red", "", Grade.G4, ())
WORSE = RED._replace(grade=Grade.G3)
WHITE = Cell("B1", "tile-1x1", "white", "", Grade.G5, ())
GREEN = Cell("B1", "arch-1x6x2", "green", "", Grade.G5, ())
COARSE = Cell("B1", "", "red", "", None, ())


def tallied(*heaps: tuple[Cell, int]) -> list[Record]:
    return [Record(RecordId("first", n), AT, What.TALLY, cell, q) for n, (cell, q) in enumerate(heaps, 2)]


def recounted(*heaps: tuple[Cell, int]) -> list[Record]:
    way = recount_way(Recount("R1", AT, "B1", ()))
    return [Record(RecordId("second", n), AT, What.RECOUNT, cell, q, way=way) for n, (cell, q) in enumerate(heaps, 2)]


def held(first: list[Record], second: list[Record]) -> Comparison:
    counted = [Heap(cell, quantity) for cell, quantity in Ledger(first).counts.items()]
    return compare(counted, first, second)


def test_heaps_that_agree_differ_or_stand_in_one_count_only() -> None:
    first = tallied((RED, 12), (RED, 5), (WHITE, 4), (GREEN, 3))
    second = recounted((RED, 5), (RED, 11), (WHITE, 4), (COARSE._replace(part="slope45-2x2"), 2))
    found = held(first, second)
    assert [(row.cell.part, row.held, row.first, row.second, row.by) for row in found.rows] == [
        ("plate-2x4", Held.DIFFER, 17, 16, -1),
        ("arch-1x6x2", Held.FIRST, 3, 0, -3),
        ("slope45-2x2", Held.SECOND, 0, 2, 2),
        ("tile-1x1", Held.AGREE, 4, 4, 0),
    ]
    assert (found.agreeing, found.short, found.over, len(found.differing)) == (20, 4, 2, 3)


def test_records_are_held_against_each_other_one_by_one() -> None:
    row = held(tallied((RED, 12), (RED, 5), (RED, 5)), recounted((RED, 5), (RED, 11))).rows[0]
    assert row.of_first == (Entry("first/2", 12, False), Entry("first/3", 5, True), Entry("first/4", 5, False))
    assert row.of_second == (Entry("second/2", 5, True), Entry("second/3", 11, False))


def test_grades_half_a_step_off_agree_and_change_nothing() -> None:
    first = tallied((RED, 6))
    found = held(first, recounted((RED._replace(grade=Grade.G4_5), 2), (RED, 4)))
    assert [row.held for row in found.rows] == [Held.NEAR, Held.NEAR] and not found.differing
    assert steps_to_take(found, first) == ((), ())


def test_a_grade_that_is_off_is_told_as_one_of_condition() -> None:
    first = tallied((RED, 6))
    found = held(first, recounted((RED, 4), (WORSE, 2)))
    assert [(row.held, row.kind_agrees, row.by) for row in found.rows] == [
        (Held.DIFFER, True, -2),
        (Held.SECOND, True, 2),
    ]
    assert steps_to_take(found, first).steps == (Step(RED, first[0], 4), Step(WORSE, None, 2))
    flawed = held(first, recounted((RED, 5), (RED._replace(flaws=(Flaw.CRACKED,)), 1)))
    assert len(flawed.differing) == 2


def test_what_was_counted_coarsely_agrees_with_pieces_of_its_shade() -> None:
    found = held(tallied((COARSE, 10)), recounted((RED, 6), (RED._replace(part="plate-2x3"), 4)))
    assert not found.differing and found.agreeing == 10


def test_pieces_too_many_come_off_the_latest_tallies() -> None:
    first = tallied((RED, 12), (RED, 5), (RED, 2))
    assert steps_to_take(held(first, recounted((RED, 9))), first).steps == (
        Step(RED, first[2], 0),
        Step(RED, first[1], 0),
        Step(RED, first[0], 9),
    )


def test_pieces_that_were_carried_into_the_bin_cannot_be_put_right_by_a_tally() -> None:
    moved = Record(RecordId("first", 9), AT, What.MOVE, RED._replace(bin="B2"), 4, "B1")
    counted = [Heap(RED, 6)]
    first = tallied((RED, 2))
    assert Ledger([*first, moved]).counts[RED] == 6
    found = steps_to_take(compare(counted, first, recounted((RED, 1))), first)
    assert found.steps == (Step(RED, first[0], 0),) and found.left == (Heap(RED, 3),)


def test_more_pieces_than_one_tally_holds_are_counted_in_several() -> None:
    second = recounted((GREEN, 99_999), (GREEN, 99_999), (GREEN, 2))
    assert steps_to_take(held([], second), []).steps == (
        Step(GREEN, None, 99_999),
        Step(GREEN, None, 99_999),
        Step(GREEN, None, 2),
    )


cells = st.sampled_from([RED, WORSE, WHITE, GREEN, RED._replace(grade=Grade.G4_5), RED._replace(grade=None)])
counts = st.lists(st.tuples(cells, st.integers(1, 20)), max_size=6)


@given(counts, counts)
def test_taking_a_recount_over_leaves_nothing_that_differs(
    one: list[tuple[Cell, int]], two: list[tuple[Cell, int]]
) -> None:
    first, second = tallied(*one), recounted(*two)
    found = steps_to_take(held(first, second), first)
    assert found.left == ()
    records = list(first)
    for number, step in enumerate(found.steps, 2):
        voids = step.record.id if step.record else None
        rid = RecordId("third", number)
        if step.quantity:
            records.append(Record(rid, AT, What.TALLY, step.cell, step.quantity, voids=voids))
        else:
            records.append(Record(rid, AT, What.VOID, voids=voids))
    ledger = Ledger(records)
    assert ledger.impossible() == []
    after = compare([Heap(cell, quantity) for cell, quantity in ledger.counts.items()], [], second)
    assert not after.differing
    assert ledger.pieces == sum(quantity for _, quantity in two)
