"""Counted pieces judged anew, taken from the wash, and counted with a colour that was measured."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from small_bench import PLATE, TILE

from sortbench.bench import Bench
from sortbench.desks.scrub_desk import scrubbed
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.sheet import TallyRow
from sortbench.model.tally import Cell, Fate, Record, RecordId, What, reading_of

Opener = Callable[[], Bench]
DIRTY = Cell("FLAWED", *PLATE, "", Grade.G3, (Flaw.RESIDUE,))
CLEAN = (Grade.G5, ())
CREAM = (88.1, -1.2, 14.0)


def count(bench: Bench, cell: Cell, quantity: int) -> RecordId:
    return bench.count_cell(cell, quantity, "typed").record


def in_wash(bench: Bench, quantity: int) -> Cell:
    """Pieces that wait for a wash."""
    count(bench, DIRTY, quantity)
    bench.sitting.record(What.MOVE, DIRTY, quantity, to_fate=Fate.WASH, way="pad")
    return DIRTY._replace(bin="", fate=Fate.WASH)


def counts(bench: Bench) -> dict[Cell, int]:
    return dict(bench.picture.ledger.counts)


def test_pieces_judged_anew_stay_in_their_bin(bench: Bench, opened: Opener) -> None:
    count(bench, DIRTY, 5)
    receipt = bench.sitting.rejudge(DIRTY, 3, CLEAN, CREAM)
    after = {DIRTY: 2, DIRTY._replace(grade=Grade.G5, flaws=()): 3}
    assert (receipt.grade, receipt.flaws, receipt.bin, receipt.quantity) == (Grade.G5, (), "FLAWED", 3)
    assert receipt.note == "judged anew (grade 3 to 5); by the rules their bin is B1 now"
    assert counts(bench) == after
    assert [row.standard for row in bench.target_rows()] == [3, 0, 0]
    bench.close()
    again = opened()
    assert counts(again) == after
    assert again.picture.ledger.readings(PLATE) == {CLEAN: [(3, CREAM)]}


def test_a_regrade_is_taken_back_and_brought_back(bench: Bench) -> None:
    tally = count(bench, DIRTY, 5)
    receipt = bench.sitting.rejudge(DIRTY, 3, (Grade.G4, (Flaw.BENT,)))
    with pytest.raises(DataError, match=f"judged anew since.*Void record {receipt.record} first"):
        bench.void(tally)
    assert bench.undo().text == "undone: 3 × plate 2x4 red judged anew (grade 3 to 4, bent)"
    assert counts(bench) == {DIRTY: 5}
    assert bench.redo().text == "brought back: 3 × plate 2x4 red judged anew (grade 3 to 4, bent)"
    assert counts(bench) == {DIRTY: 2, DIRTY._replace(grade=Grade.G4, flaws=(Flaw.BENT,)): 3}


def test_a_reading_alone_is_worth_a_record_and_nothing_new_is_not(bench: Bench) -> None:
    count(bench, DIRTY, 2)
    same = (DIRTY.grade, DIRTY.flaws)
    with pytest.raises(DataError, match="nothing changed"):
        bench.sitting.rejudge(DIRTY, 2, same)
    bench.sitting.rejudge(DIRTY, 1, same, (88.099, -1.2000001, 14.0), way="measured")
    assert counts(bench) == {DIRTY: 2}
    assert bench.picture.ledger.readings(PLATE) == {same: [(1, (88.1, -1.2, 14.0))]}
    bench.undo()
    assert bench.picture.ledger.readings(PLATE) == {}


def test_pieces_that_are_not_there_or_gone_are_not_judged(bench: Bench) -> None:
    count(bench, DIRTY, 2)
    with pytest.raises(DataError, match=r"3 of .* cannot be judged anew: 2 lie in FLAWED"):
        bench.sitting.rejudge(DIRTY, 3, CLEAN)
    with pytest.raises(DataError, match="cannot be judged anew: 0 lie in B1"):
        bench.sitting.rejudge(DIRTY._replace(bin="B1"), 1, CLEAN)
    bench.sitting.record(What.MOVE, DIRTY, 1, to_fate=Fate.OUT)
    with pytest.raises(DataError, match="thrown out"):
        bench.sitting.rejudge(DIRTY._replace(bin="", fate=Fate.OUT), 1, CLEAN)
    assert bench.picture.ledger.pieces == 1


def test_pieces_set_aside_do_not_change_unseen(bench: Bench) -> None:
    count(bench, DIRTY, 5)
    bench.crates.reserve(PLATE, 4, "T-01", DIRTY.grade, DIRTY.flaws)
    with pytest.raises(DataError, match=r"cannot change: 4 for Signal Hut are set aside.*1 can"):
        bench.sitting.rejudge(DIRTY, 2, CLEAN)
    bench.sitting.rejudge(DIRTY, 2, (DIRTY.grade, DIRTY.flaws), CREAM)  # the condition stays, so they are still found
    bench.sitting.rejudge(DIRTY, 1, CLEAN)
    bench.crates.pick(PLATE, 4, "T-01", DIRTY.grade, DIRTY.flaws, "FLAWED")
    crated = DIRTY._replace(bin="T-01", fate=Fate.CRATE)
    bench.sitting.rejudge(crated, 4, CLEAN)
    assert bench.picture.ledger.in_crate("T-01") == {crated._replace(grade=Grade.G5, flaws=()): 4}


def test_scrubbed_pieces_go_into_the_bin_of_their_rule(bench: Bench) -> None:
    waiting = in_wash(bench, 4)
    assert scrubbed(bench, waiting, 1).text == "1 × plate 2x4 red carried to FLAWED"
    notice = scrubbed(bench, waiting, 2, Grade.G5, (), CREAM)
    assert notice.text == "2 × plate 2x4 red carried to B1, judged anew (grade 3 to 5)"
    clean = Cell("B1", *PLATE, "", Grade.G5, ())
    assert counts(bench) == {DIRTY: 1, waiting: 1, clean: 2}
    assert bench.picture.ledger.readings(PLATE) == {CLEAN: [(2, CREAM)]}
    assert bench.undo().text == "undone: 2 × plate 2x4 red carried to B1, judged anew (grade 3 to 5)"
    assert counts(bench) == {DIRTY: 1, waiting: 3}
    bench.redo()
    assert counts(bench) == {DIRTY: 1, waiting: 1, clean: 2}


def test_only_what_waits_for_a_wash_is_scrubbed(bench: Bench) -> None:
    waiting = in_wash(bench, 2)
    with pytest.raises(DataError, match="kept do not wait for a wash"):
        scrubbed(bench, DIRTY, 1)
    with pytest.raises(DataError, match=r"3 of .* cannot be taken from the wash: 2 wait for a wash"):
        scrubbed(bench, waiting, 3)
    bench.crates.reserve(PLATE, 2, "T-01", waiting.grade, waiting.flaws)
    with pytest.raises(DataError, match="cannot change"):
        scrubbed(bench, waiting, 1, Grade.G5, ())
    scrubbed(bench, waiting, 2)
    assert bench.picture.ledger.of_fate(Fate.WASH) == 0


def test_a_tally_carries_its_reading_and_keeps_it_when_put_right(bench: Bench) -> None:
    bench.count(TILE, 2, Grade.G3, lab=(88.1, -1.2, 14.001))
    assert bench.picture.ledger.readings(TILE) == {(Grade.G3, ()): [(2, CREAM)]}
    bench.correct(bench.sitting.in_hand().id, "*3")
    assert bench.picture.ledger.readings(TILE) == {(Grade.G3, ()): [(3, CREAM)]}
    tally = bench.picture.ledger.records[bench.sitting.in_hand().id]
    assert tally.cell is not None
    faded = bench.sitting.rerouted(tally.cell, tally.cell._replace(grade=Grade.G2_3))
    receipt = bench.sitting.replace(tally, faded, tally.quantity, (80.0, 0.0, 20.0))
    assert (receipt.grade, receipt.quantity, receipt.bin) == (Grade.G2_3, 3, "FADED")
    assert bench.picture.ledger.readings(TILE) == {(Grade.G2_3, ()): [(3, (80.0, 0.0, 20.0))]}
    with pytest.raises(DataError, match="nothing changed"):
        bench.sitting.replace(bench.picture.ledger.records[receipt.record], faded, tally.quantity)


@pytest.mark.parametrize(
    "lab", [(100.1, 0, 0), (-0.1, 0, 0), (50, 151, 0), (50, 0, float("nan")), (float("inf"), 0, 0)]
)
def test_a_reading_that_no_piece_has_is_refused_before_anything_is_written(
    bench: Bench, lab: tuple[float, float, float]
) -> None:
    with pytest.raises(DataError, match="no colour of a piece"):
        bench.count(TILE, 1, lab=lab)
    assert list(bench.folder.tallies.iterdir()) == []


def test_a_list_that_is_written_up_takes_no_reading(bench: Bench) -> None:
    bench.write_up("T-03")
    with pytest.raises(DataError, match="takes no readings"):
        bench.count(TILE, 1, lab=CREAM)


def test_readings_have_two_decimals_and_no_minus_before_a_nought() -> None:
    assert repr(reading_of(88.104, -0.001, 13.995)) == repr((88.1, 0.0, 13.99))  # 13.995 is a little less in binary


@pytest.mark.parametrize("became", [(None, ()), (Grade.G4_5, (Flaw.CRACKED, Flaw.WORN))])
@pytest.mark.parametrize("lab", [None, CREAM])
def test_the_count_sheet_holds_all_of_a_regrade(
    became: tuple[Grade | None, tuple[Flaw, ...]], lab: tuple[float, float, float] | None
) -> None:
    record = Record(RecordId("s", 2), "2026-03-01T09:30:00Z", What.REGRADE, DIRTY, 2, became=became, lab=lab)
    assert TallyRow.of(record, True).record == record
