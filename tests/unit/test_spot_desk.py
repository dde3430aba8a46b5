"""Spot checks and recounts at a bench: kept, judged, taken over, and a broken-off take-over said again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from small_bench import counted, make_folder, ticking

from sortbench.bench import Bench
from sortbench.desks.recount_desk import Held, RecountDesk
from sortbench.desks.spot_desk import Fault, SpotDesk, Standing
from sortbench.model.errors import DataError, WriteError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.spot_check import Drawing, Level
from sortbench.model.tally import Cell, Fate, Record, What
from sortbench.store.tally_log import SittingLog

RED = Cell("B2", "brick-2x4", "red", "", Grade.G5, ())


@pytest.fixture
def clock() -> Callable[[], datetime]:
    return ticking()


@pytest.fixture
def bench(tmp_path: Path, clock: Callable[[], datetime]) -> Iterator[Bench]:
    """Bin B2 holds 43 bricks in two heaps."""
    with Bench.open(make_folder(tmp_path / "bench"), clock) as opened:
        counted(opened, "br 2x4 red *30")
        counted(opened, "br 2x4 red *10")
        counted(opened, "br 2x4 red *3 !4")
        yield opened


@pytest.fixture
def spots(bench: Bench, clock: Callable[[], datetime]) -> SpotDesk:
    return SpotDesk(bench, clock, lambda: 20260301)


@pytest.fixture
def recounts(bench: Bench, clock: Callable[[], datetime]) -> RecountDesk:
    return RecountDesk(bench, clock)


def in_bin(bench: Bench, label: str = "B2") -> dict[Cell, int]:
    return dict(bench.picture.ledger.in_bin(label))


def test_a_check_is_drawn_kept_and_shown_again(bench: Bench, spots: SpotDesk) -> None:
    plan = spots.plan("b2", Level.II, "4")
    assert (plan.lot, plan.letter, plan.sample, plan.accept) == (43, "D", 13, 1)
    check = spots.begin("b2", Level.II, "4", by=" Ann  B ")
    assert (check.id, check.bin, check.by, check.seed, check.lot) == ("S1", "B2", "Ann B", 20260301, 43)
    numbers = spots.numbers(check)
    assert len(numbers) == 13 and numbers == spots.numbers(spots.begin("B2", Level.II, "4", seed=check.seed))
    with Bench.open(bench.path) as again:
        desk = SpotDesk(again)
        assert desk.check("s1") == check and desk.numbers(desk.check("S1")) == numbers
        assert [each.id for each in desk.checks()] == ["S1", "S2"]


def test_finds_are_noted_and_judged(spots: SpotDesk) -> None:
    number = spots.begin("B2", Level.II, "4").id
    spots.note(number, "br 2x4 red *10")
    spots.note(number, "*1 !4")
    check = spots.missing(number)
    verdict = spots.verdict(check)
    assert [find.quantity for find in check.finds] == [10, 1, 1]
    assert (verdict.looked, verdict.left, verdict.faults, verdict.standing) == (12, 1, 1, Standing.OPEN)
    done = spots.verdict(spots.note(number, "pl 2x4 red"))
    assert [each.fault for each in done.wrong] == [Fault.KIND, Fault.MISSING]
    assert (done.standing, done.left) == (Standing.REFUSED, 0)
    with pytest.raises(DataError, match="0 of them not yet, so 1 more are too many"):
        spots.note(number, "br 2x4 red")
    assert spots.verdict(spots.strike_find(number)).standing is Standing.OPEN
    assert spots.verdict(spots.note(number, "")).standing is Standing.ACCEPTED


def test_a_grade_is_held_against_the_count_where_it_is_told(spots: SpotDesk) -> None:
    number = spots.begin("B2", Level.II, "4").id
    assert spots.verdict(spots.note(number, "br 2x4 red !4-5 *2")).faults == 0
    assert [each.fault for each in spots.verdict(spots.note(number, "br 2x4 red !2")).wrong] == [Fault.GRADE]
    assert spots.verdict(spots.strike_find(number, 2)).faults == 0
    assert spots.verdict(spots.strike_find(number, 2, back=True)).faults == 1
    with pytest.raises(DataError, match="not struck already"):
        spots.strike_find(number, 1, back=True)
    with pytest.raises(DataError, match="has no find 9"):
        spots.strike_find(number, 9)


def test_the_verdict_of_a_check_stays_what_it_was_when_the_bin_changes(bench: Bench, spots: SpotDesk) -> None:
    number = spots.begin("B2", Level.II, "4").id
    spots.note(number, "br 2x4 red *13")
    assert not spots.changed_since(spots.check(number))
    bench.undo()
    bench.undo()
    assert spots.changed_since(spots.check(number))
    assert spots.verdict(spots.check(number)).standing is Standing.ACCEPTED


def test_struck_checks_take_no_finds(spots: SpotDesk) -> None:
    number = spots.begin("B2").id
    assert spots.strike(number).struck
    with pytest.raises(DataError, match="struck"):
        spots.note(number, "br 2x4 red")
    with pytest.raises(DataError, match="struck already"):
        spots.strike(number)
    assert not spots.strike(number, back=True).struck


def test_a_scoop_has_no_numbers_and_misses_nothing(spots: SpotDesk) -> None:
    check = spots.begin("B2", drawing=Drawing.SCOOP)
    assert spots.numbers(check) == ()
    for act in (spots.missing, spots.left_over):
        with pytest.raises(DataError, match="A scoop cannot tell"):
            act(check.id)


def test_pieces_left_over_are_noted_and_contradict_missing_ones(spots: SpotDesk) -> None:
    number = spots.begin("B2", Level.II, "4").id
    spots.note(number, "br 2x4 red *13")
    assert spots.verdict(spots.left_over(number)).standing is Standing.ACCEPTED
    with pytest.raises(DataError, match="cannot both be missing and be left over"):
        spots.missing(number)
    assert spots.verdict(spots.left_over(number, 4)).standing is Standing.REFUSED
    for pieces in (0, 100_000):
        with pytest.raises(DataError, match="cannot be noted"):
            spots.left_over(number, pieces)
    spots.strike_find(number)
    spots.strike_find(number)
    spots.strike_find(number)
    spots.missing(number)
    with pytest.raises(DataError, match="cannot both be"):
        spots.strike_find(number, 2, back=True)


def test_what_cannot_be_checked(bench: Bench, spots: SpotDesk) -> None:
    for words, act in (
        ("No bin is labelled 'B99'", lambda: spots.begin("B99")),
        ("Nothing is counted into REST", lambda: spots.begin("rest")),
        ("No bin was named", lambda: spots.begin("")),
        ("no acceptance quality limit", lambda: spots.begin("B2", aql="3")),
        ("cannot start from", lambda: spots.begin("B2", seed=-4)),
        ("There is no spot check 'S9'", lambda: spots.note("S9", "br 2x4")),
    ):
        with pytest.raises(DataError, match=words):
            act()
    number = spots.begin("B2").id
    for text in ("", "xyzzy", ".red", "+new part", "br 2x4 red @B1", "br *0"):
        with pytest.raises(DataError):
            spots.note(number, text)
    assert spots.check(number).finds == () and bench.picture.ledger.pieces == 43


def test_a_blind_recount_tells_nothing_before_its_end_and_counts_nothing(bench: Bench, recounts: RecountDesk) -> None:
    before = in_bin(bench)
    number = recounts.begin("b2", by="Ann").id
    recounts.note(number, "br 2x4 red *30")
    recounts.note(number, "br 2x4 red *9")
    recounts.note(number, "br 2x4 red *3 !3")
    assert in_bin(bench) == before and bench.picture.ledger.pieces == 43
    with pytest.raises(DataError, match="blind until it is"):
        recounts.comparison(number)
    with pytest.raises(DataError, match="is not ended"):
        recounts.begin("B2")
    recounts.end(number)
    with pytest.raises(DataError, match="R1 is ended"):
        recounts.note(number, "br 2x4 red")
    found = recounts.comparison(number)
    assert [(row.cell.grade, row.held, row.first, row.second) for row in found.rows] == [
        (Grade.G5, Held.DIFFER, 40, 39),
        (Grade.G4, Held.FIRST, 3, 0),
        (Grade.G3, Held.SECOND, 0, 3),
    ]
    assert [(entry.quantity, entry.like) for entry in found.rows[0].of_first] == [(30, True), (10, False)]


def test_a_recount_is_taken_over_by_putting_tallies_right(bench: Bench, recounts: RecountDesk) -> None:
    number = recounts.begin("B2").id
    for text in ("br 2x4 red *39", "br 2x4 red *3 !3", "pl 2x4 red *2 #cracked"):
        recounts.note(number, text)
    recounts.end(number)
    taken = recounts.take(number)
    assert (taken.left, taken.moved, bool(taken.recount.taken)) == ((), (), True)
    cracked = Cell("B2", "plate-2x4", "red", "", Grade.G5, (Flaw.CRACKED,))
    assert in_bin(bench) == {RED: 39, RED._replace(grade=Grade.G3): 3, cracked: 2}
    with pytest.raises(DataError, match="taken over already"):
        recounts.take(number)
    with pytest.raises(DataError, match="stays ended"):
        recounts.end(number, back=True)
    # What differed is still on record, and what was written to mend it is no tally of the first count.
    assert len(recounts.comparison(number).differing) == 4
    assert [entry.quantity for entry in recounts.comparison(number).differing[0].of_first] == [30]
    with Bench.open(bench.path) as again:
        assert in_bin(again) == in_bin(bench)


def test_taking_over_that_was_broken_off_goes_on_where_it_stopped(
    bench: Bench, recounts: RecountDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = recounts.begin("B2").id
    recounts.note(number, "br 2x4 red *41")
    recounts.note(number, "pl 2x4 red *2")
    recounts.end(number)
    append, written = SittingLog.append, 0

    def fails_later(self: SittingLog, record: Record) -> None:
        nonlocal written
        written += 1
        if written > 2:
            raise WriteError("no space")
        append(self, record)

    with monkeypatch.context() as broken:
        broken.setattr(SittingLog, "append", fails_later)
        with pytest.raises(WriteError):
            recounts.take(number)
    assert not recounts.recount(number).taken
    taken = recounts.take(number)
    assert len(taken.steps) == 1 and not taken.left
    assert sorted(in_bin(bench).values()) == [2, 41]


def test_heaps_that_changed_since_are_left_alone_and_told(bench: Bench, recounts: RecountDesk) -> None:
    number = recounts.begin("B2").id
    recounts.note(number, "br 2x4 red *38")
    recounts.end(number)
    counted(bench, "br 2x4 red *5")
    taken = recounts.take(number)
    assert taken.moved == (RED,)
    assert in_bin(bench) == {RED: 45}  # the three of grade 4 that nobody found are gone


def test_pieces_carried_on_from_a_heap_do_not_hinder(bench: Bench, recounts: RecountDesk) -> None:
    bench.sitting.record(What.MOVE, RED, 25, to_fate=Fate.WASH)
    number = recounts.begin("B2").id
    recounts.note(number, "br 2x4 red *14")
    recounts.note(number, "br 2x4 red *3 !4")
    recounts.end(number)
    recounts.take(number)
    assert in_bin(bench)[RED] == 14 and bench.picture.ledger.of_fate(Fate.WASH) == 25


def test_what_was_noted_is_taken_back_one_by_one_and_by_undo(bench: Bench, recounts: RecountDesk) -> None:
    number = recounts.begin("B2").id
    recounts.note(number, "br 2x4 red *3")
    recounts.note(number, "*2")
    assert recounts.take_back(number).quantity == 2
    assert bench.undo().text == "undone: 3 × brick 2x4 red found in B2 on a recount"
    with pytest.raises(DataError, match="Nothing is noted"):
        recounts.take_back(number)
    assert recounts.found(recounts.recount(number)) == () and bench.picture.ledger.pieces == 43
    assert bench.redo().text == "brought back: 3 × brick 2x4 red found in B2 on a recount"


def test_a_recount_of_an_empty_bin(recounts: RecountDesk) -> None:
    first = recounts.begin("REST")
    assert first.counted == ()
    recounts.note(first.id, "tile 2x2 white *4")
    recounts.end(first.id)
    assert [row.held for row in recounts.comparison(first.id).rows] == [Held.SECOND]


def test_recounts_of_one_number_from_two_copies_of_a_bench_keep_their_records_apart(
    bench: Bench, recounts: RecountDesk
) -> None:
    first = recounts.begin("B2")
    recounts.note(first.id, "br 2x4 red *3")
    bench.keep(lambda draft: draft.recounts.clear())  # as where the other copy's row was taken
    second = recounts.begin("B2")
    assert (second.id, recounts.found(second)) == (first.id, ())


def test_a_recount_may_be_struck_or_opened_again(recounts: RecountDesk) -> None:
    number = recounts.begin("B2").id
    recounts.end(number)
    assert not recounts.end(number, back=True).ended
    recounts.strike(number)
    for act in (
        lambda: recounts.note(number, "br 2x4 red"),
        lambda: recounts.take(number),
        lambda: recounts.end(number),
    ):
        with pytest.raises(DataError, match="struck"):
            act()
    assert recounts.begin("B2").id == "R2"
    with pytest.raises(DataError, match="There is no recount 'R7'"):
        recounts.note("R7", "br")
