"""Counts as a fold of records: voids, corrections, moves, written lists."""

from __future__ import annotations

from itertools import permutations

from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate, Record, RecordId, What

AT = "2026-03-01T09:30:00Z"
RED = Cell("B1", "plate-2x4", "red", "", Grade.G5, ())
WHITE = Cell("B2", "tile-2x2", "white", "", Grade.G4, ())
COARSE = Cell("B3", "", "red", "plate", Grade.G5, ())


def rid(seq: int) -> RecordId:
    return RecordId("s", seq)


def tally(seq: int, quantity: int = 1, cell: Cell = RED, voids: int | None = None) -> Record:
    return Record(rid(seq), AT, What.TALLY, cell, quantity, voids=None if voids is None else rid(voids))


def void(seq: int, voided: int) -> Record:
    return Record(rid(seq), AT, What.VOID, voids=rid(voided))


def move(seq: int, quantity: int, to_bin: str = "", to_fate: Fate = Fate.KEPT, cell: Cell = RED) -> Record:
    return Record(rid(seq), AT, What.MOVE, cell, quantity, to_bin=to_bin, to_fate=to_fate)


def pick(seq: int, quantity: int, target: str, set_aside: bool = False, cell: Cell = RED) -> Record:
    kept_for = target if set_aside else ""
    return Record(rid(seq), AT, What.MOVE, cell, quantity, target, kept_for, to_fate=Fate.CRATE)


def reserve(seq: int, quantity: int, target: str, voids: int | None = None) -> Record:
    voided = None if voids is None else rid(voids)
    return Record(rid(seq), AT, What.RESERVE, RED._replace(bin=""), quantity, target=target, voids=voided)


def line(seq: int, quantity: int, cell: Cell = RED, target: str = "T-07") -> Record:
    return Record(rid(seq), AT, What.LINE, cell._replace(bin=""), quantity, target=target)


def test_nothing_counts_to_nothing() -> None:
    ledger = Ledger()
    assert (dict(ledger.counts), ledger.pieces, list(ledger.bins), list(ledger.kinds)) == ({}, 0, [], [])
    assert not ledger.holds(rid(1))
    assert dict(ledger.in_bin("B1")) == {} == dict(ledger.of_kind(Kind("plate-2x4", "red")))


def test_like_pieces_come_to_one_heap() -> None:
    ledger = Ledger([tally(1, 3), tally(2, 4), tally(3, 2, WHITE), tally(4, 5, COARSE)])
    assert dict(ledger.counts) == {RED: 7, WHITE: 2, COARSE: 5}
    assert ledger.pieces == 14
    assert dict(ledger.in_bin("B1")) == {RED: 7}
    assert set(ledger.kinds) == {Kind("plate-2x4", "red"), Kind("tile-2x2", "white")}


def test_a_record_counts_once_however_often_it_comes() -> None:
    ledger = Ledger([tally(1, 3), tally(1, 3)])
    assert not ledger.apply(tally(1, 3))
    assert ledger.counts[RED] == 3


def test_a_void_takes_a_record_out_and_its_own_void_brings_it_back() -> None:
    ledger = Ledger([tally(1, 3)])
    states = [ledger.holds(rid(1))]
    for record in (void(2, 1), void(3, 2), void(4, 3), void(5, 4)):
        ledger.apply(record)
        states.append(ledger.holds(rid(1)))
    assert states == [True, False, True, False, True]
    assert ledger.counts[RED] == 3
    assert not ledger.voiders(rid(1))
    assert ledger.voiders(rid(2)) == [rid(3)]


def test_a_record_voided_twice_needs_both_voids_taken_back() -> None:
    ledger = Ledger([tally(1), void(2, 1), void(3, 1), void(4, 2)])
    assert not ledger.holds(rid(1))
    ledger.apply(void(5, 3))
    assert ledger.holds(rid(1))


def test_a_void_that_comes_before_its_record_waits_for_it() -> None:
    ledger = Ledger([void(2, 1)])
    assert dict(ledger.counts) == {}
    ledger.apply(tally(1, 3))
    assert dict(ledger.counts) == {}
    assert ledger.voiders(rid(1)) == [rid(2)]


def test_a_corrected_tally_stands_in_for_the_first_until_it_is_voided() -> None:
    ledger = Ledger([tally(1, 3), tally(2, 5, WHITE, voids=1)])
    assert dict(ledger.counts) == {WHITE: 5}
    ledger.apply(void(3, 2))
    assert dict(ledger.counts) == {RED: 3}


def test_a_correction_of_a_correction_counts_once() -> None:
    chain = [tally(1, 3), tally(2, 5, voids=1), tally(3, 7, voids=2), tally(4, 9, voids=3)]
    for order in permutations(chain):
        assert dict(Ledger(order).counts) == {RED: 9}
    ledger = Ledger(chain)
    for seq, voided, left in ((5, 4, 7), (6, 3, 5), (7, 2, 3), (8, 1, None)):
        ledger.apply(void(seq, voided))
        assert ledger.counts.get(RED) == left


def test_a_correction_made_while_another_sitting_voided_what_it_corrects_still_counts_once() -> None:
    records = [tally(1, 3), tally(2, 5, voids=1), tally(3, 7, voids=2), void(4, 2)]
    for order in permutations(records):
        assert dict(Ledger(order).counts) == {RED: 7}


def test_a_move_carries_pieces_to_another_bin_or_out_of_all() -> None:
    ledger = Ledger([tally(1, 9), move(2, 4, "B9"), move(3, 2, to_fate=Fate.WASH), move(4, 1, to_fate=Fate.OUT)])
    assert dict(ledger.counts) == {
        RED: 2,
        RED._replace(bin="B9"): 4,
        RED._replace(bin="", fate=Fate.WASH): 2,
        RED._replace(bin="", fate=Fate.OUT): 1,
    }
    assert (ledger.pieces, ledger.of_fate(Fate.WASH), ledger.of_fate(Fate.OUT)) == (8, 2, 1)
    assert set(ledger.bins) == {"B1", "B9"}
    ledger.apply(void(5, 4))
    assert (ledger.pieces, ledger.of_fate(Fate.OUT)) == (9, 0)


def test_a_move_whose_tally_is_void_leaves_an_impossible_heap_that_is_told() -> None:
    ledger = Ledger([tally(1, 2), move(2, 2, "B9"), void(3, 1)])
    assert ledger.impossible() == [RED]
    ledger.apply(void(4, 3))
    assert ledger.impossible() == []


def test_lines_go_to_the_written_list_and_to_no_bin() -> None:
    ledger = Ledger([line(1, 4), line(2, 2, WHITE), line(3, 3), line(4, 1, target="T-08")])
    assert dict(ledger.written("T-07")) == {Kind("plate-2x4", "red"): 7, Kind("tile-2x2", "white"): 2}
    assert dict(ledger.written("T-08")) == {Kind("plate-2x4", "red"): 1}
    assert ledger.pieces == 0
    assert dict(ledger.counts) == {}
    ledger.apply(void(5, 4))
    assert not ledger.written("T-08") and ledger.written("T-07")


def test_written_lines_stand_in_the_order_of_their_records_whatever_order_they_come_in() -> None:
    # The kind of record 1 was written up, taken back and brought back: its line is where it was.
    records = [line(1, 4), line(2, 2, WHITE), line(3, 1), void(4, 1), void(5, 4)]
    for order in permutations(records):
        lines = Ledger(order).written("T-07")
        assert list(lines.items()) == [(Kind("plate-2x4", "red"), 5), (Kind("tile-2x2", "white"), 2)]


def test_a_corrected_line_keeps_its_place_on_the_list() -> None:
    corrected = Record(rid(3), AT, What.LINE, RED._replace(bin=""), 6, target="T-07", voids=rid(1))
    assert list(Ledger([line(1, 4), line(2, 2, WHITE), corrected]).written("T-07").values()) == [6, 2]


def test_records_that_void_each_other_in_a_ring_are_settled_alike_in_any_order() -> None:
    # 1 has the smallest id, so its void of 2 is ignored; 9 voids 2 from outside the ring, so 3 holds and voids 1.
    records = [tally(2, 20, voids=3), tally(1, 10, voids=2), tally(3, 30, voids=1), void(9, 2)]
    for order in permutations(records):
        ledger = Ledger()
        for record in order:
            ledger.apply(record)
        assert [ledger.holds(rid(seq)) for seq in (1, 2, 3)] == [False, False, True]
        assert dict(ledger.counts) == {RED: 30}


def test_a_record_that_voids_itself_holds() -> None:
    ledger = Ledger([tally(1, 3, voids=1)])
    assert ledger.counts[RED] == 3


def test_a_long_chain_of_voids_is_no_matter() -> None:
    # Deep chains must not run into the interpreter's limit on nested calls.
    chain = [tally(1, 3), *(void(seq, seq - 1) for seq in range(2, 1_502))]
    assert Ledger(chain).holds(rid(1))
    assert Ledger(reversed(chain)).holds(rid(1))


def test_picked_pieces_lie_in_a_crate_which_is_no_bin_even_if_it_is_called_like_one() -> None:
    ledger = Ledger([tally(1, 9), pick(2, 4, "B1"), pick(3, 2, "T-07")])
    crated = RED._replace(bin="B1", fate=Fate.CRATE)
    assert dict(ledger.in_bin("B1")) == {RED: 3}
    assert dict(ledger.in_crate("B1")) == {crated: 4}
    assert (list(ledger.bins), list(ledger.crates)) == (["B1"], ["B1", "T-07"])
    assert (ledger.pieces, ledger.of_fate(Fate.CRATE), ledger.of_fate(Fate.KEPT)) == (9, 6, 3)
    assert sum(ledger.of_kind(Kind("plate-2x4", "red")).values()) == 9
    ledger.apply(Record(rid(4), AT, What.MOVE, crated, 4, to_bin="B9"))
    ledger.apply(void(5, 3))
    assert (dict(ledger.in_crate("B1")), list(ledger.crates)) == ({}, [])
    assert dict(ledger.counts) == {RED: 5, RED._replace(bin="B9"): 4}


def test_what_is_set_aside_is_a_sum_of_records_and_leaves_the_pieces_where_they_are() -> None:
    kind, condition = Kind("plate-2x4", "red"), (Grade.G5, ())
    ledger = Ledger([tally(1, 9), reserve(2, 3, "T-07"), reserve(3, 2, "T-07"), reserve(4, 1, "T-08")])
    assert dict(ledger.counts) == {RED: 9}
    assert ledger.reserved(kind) == {condition: {"T-07": 5, "T-08": 1}}
    assert ledger.reserved_kinds == (kind,)
    ledger.apply(reserve(5, 1, "T-07", voids=2))
    assert ledger.reserved(kind) == {condition: {"T-07": 3, "T-08": 1}}
    for seq, voided in ((6, 5), (7, 2), (8, 3), (9, 4)):
        ledger.apply(void(seq, voided))
    assert (ledger.reserved(kind), ledger.reserved_kinds) == ({}, ())


def test_what_was_set_aside_and_is_picked_is_set_aside_no_longer() -> None:
    kind, condition = Kind("plate-2x4", "red"), (Grade.G5, ())
    records = [tally(1, 9), reserve(2, 5, "T-07"), pick(3, 3, "T-07", set_aside=True), pick(4, 2, "T-07")]
    for order in permutations(records):
        assert Ledger(order).reserved(kind) == {condition: {"T-07": 2}}
    ledger = Ledger(records)
    ledger.apply(void(5, 3))
    assert ledger.reserved(kind) == {condition: {"T-07": 5}}
    # A pick whose setting aside is void sets nothing aside below nothing.
    assert Ledger([tally(1, 9), pick(3, 3, "T-07", set_aside=True)]).reserved(kind) == {}


def test_a_recount_weighs_nothing_and_is_told_in_the_order_of_its_records() -> None:
    found = [
        Record(rid(2), AT, What.RECOUNT, RED, 4, way="recount R-1"),
        Record(rid(3), AT, What.RECOUNT, RED._replace(grade=Grade.G3), 2, way="recount R-1"),
        Record(rid(4), AT, What.RECOUNT, RED, 5, voids=rid(2), way="recount R-1"),
        Record(rid(5), AT, What.RECOUNT, RED, 9, way="recount R-2"),
    ]
    ledger = Ledger([tally(1, 7), *reversed(found)])
    assert (dict(ledger.counts), ledger.pieces) == ({RED: 7}, 7)
    assert ledger.recounted("recount R-1") == (found[1], found[2])
    assert ledger.recounts == ("recount R-2", "recount R-1")
    ledger.apply(Record(rid(6), AT, What.VOID, voids=rid(5)))
    assert ledger.recounts == ("recount R-1",)
