"""Two sittings on one folder, and a disk that refuses."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from small_bench import PLATE, TILE, counted, shown

from sortbench.bench import Bench
from sortbench.model.bins import Bin
from sortbench.model.catalogue import Kind, Part
from sortbench.model.errors import BenchError, DataError, WriteError
from sortbench.model.grade import Grade
from sortbench.model.tally import Fate, What
from sortbench.store.folder import BenchFolder

Opener = Callable[[], Bench]


class TestTwoSittings:
    def test_both_count_and_see_each_other(self, opened: Opener) -> None:
        one, other = opened(), opened()
        counted(one, "plate 2x4 red *2")
        counted(other, "plate 2x4 red *3")
        assert one.refresh()
        assert other.refresh()
        assert one.picture.ledger.pieces == other.picture.ledger.pieces == 5
        assert shown(one)[1:4] == shown(other)[1:4]
        assert not one.refresh()
        assert [row.own for row in one.recent(2)] == [False, True]

    def test_undo_leaves_alone_what_another_live_sitting_counted(self, opened: Opener) -> None:
        one, other = opened(), opened()
        counted(one, "plate 2x4 red *2")
        counted(other, "tile 2x2 white *3")
        one.refresh()
        assert "plate" in one.undo().text
        with pytest.raises(DataError, match="nothing left to undo"):
            one.undo()
        other.close()
        assert "tile" in one.undo().text

    def test_what_another_live_sitting_counted_is_not_in_hand(self, opened: Opener) -> None:
        one, other = opened(), opened()
        counted(other, "tile 2x2 white *3")
        late = opened()
        counted(one, "plate 2x4 red *2")
        one.refresh()
        one.undo()
        for bench in (one, late):
            assert bench.picture.ledger.pieces == 3
            for change in (
                lambda bench=bench: bench.regrade(down=True),
                lambda bench=bench: bench.put_aside(Fate.OUT),
                lambda bench=bench: bench.enter(""),
            ):
                with pytest.raises(DataError, match="Nothing has been counted yet"):
                    change()
        assert counted(other, "").kind == TILE

    def test_what_another_sitting_voided_is_no_longer_in_hand(self, opened: Opener) -> None:
        one, other = opened(), opened()
        counted(one, "plate 2x4 red")
        mine = counted(one, "tile 2x2 white")
        other.refresh()
        other.void(mine.record)
        one.refresh()
        assert counted(one, "").kind == PLATE

    def test_redo_does_not_claim_what_another_sitting_took_back_too(self, opened: Opener) -> None:
        one, other = opened(), opened()
        mine = counted(one, "tile 2x2 white")
        other.refresh()
        one.undo()
        other.void(mine.record)
        one.refresh()
        with pytest.raises(DataError, match="voided as well"):
            one.redo()
        assert one.picture.ledger.pieces == 0
        other.redo()
        one.refresh()
        one.redo()
        assert one.picture.ledger.pieces == 1

    def test_redo_brings_no_move_back_whose_pieces_are_gone(self, opened: Opener) -> None:
        one, other = opened(), opened()
        mine = counted(one, "tile 2x2 white")
        one.put_aside(Fate.WASH)
        one.undo()
        other.refresh()
        other.void(mine.record)
        one.refresh()
        with pytest.raises(DataError, match="no longer there"):
            one.redo()
        assert one.picture.ledger.impossible() == []

    def test_documents_changed_by_another_program_are_picked_up(self, opened: Opener, bench_folder: Path) -> None:
        one = opened()
        one.enter(".red @rest")
        one.search("plate")
        with BenchFolder.open(bench_folder).documents.edit() as draft:
            draft.parts["bell"] = Part("bell", "bell")
            draft.bins.insert(0, Bin("BELLS"))
        assert one.refresh()
        assert one.search("bell").rows[0].kind == Kind("bell", "red")
        assert one.bin_rows()[0].label == "BELLS"
        assert not one.refresh()

    def test_what_is_held_is_let_go_when_another_program_removes_it(self, opened: Opener, bench_folder: Path) -> None:
        one = opened()
        one.enter(".red !4 @b1")
        one.write_up("T-03")
        with BenchFolder.open(bench_folder).documents.edit() as draft:
            del draft.shades["red"], draft.targets["T-03"], draft.bins[2]
        one.refresh()
        assert (one.held.shade, one.held.rgb, one.held.bin, one.held.target) == ("", "", "", "")
        assert one.held.grade is Grade.G4

    def test_keeping_the_pads_hides_no_change_of_another_program(self, opened: Opener, bench_folder: Path) -> None:
        one = opened()
        with BenchFolder.open(bench_folder).documents.edit() as draft:
            draft.parts["bell"] = Part("bell", "bell")
        one.keep(lambda draft: draft.pads.update({"pad:red": {}}))
        assert one.refresh()
        assert "bell" in one.catalogue.parts

    def test_a_damaged_log_of_another_sitting_is_told_and_nothing_taken_in(self, opened: Opener) -> None:
        one, other = opened(), opened()
        counted(other, "tile 2x2 white")
        one.refresh()
        counted(other, "tile 2x2 white")
        log = next(path for path in one.folder.tallies.glob("*.jsonl"))
        whole = log.read_bytes()
        log.write_bytes(whole[:-9] + b"00000000\n")
        with pytest.raises(BenchError, match=r"sortbench check"):
            one.refresh()
        assert one.picture.ledger.pieces == 1
        log.write_bytes(whole)
        assert one.refresh()
        assert one.picture.ledger.pieces == 2


class TestDiskRefuses:
    @pytest.fixture
    def full(self, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
        def fill_up(call: str) -> None:
            def refuse(*_: object) -> int:
                raise OSError(errno.ENOSPC, "No space left on device")

            monkeypatch.setattr(f"sortbench.store.durable.os.{call}", refuse)

        return fill_up

    @pytest.mark.skipif(not hasattr(os, "fdatasync"), reason="the system has no fdatasync")
    @pytest.mark.parametrize("call", ["write", "fdatasync"])
    def test_nothing_is_counted_and_nothing_shown_changes(
        self, opened: Opener, full: Callable[[str], None], monkeypatch: pytest.MonkeyPatch, call: str
    ) -> None:
        bench = opened()
        kept = counted(bench, "plate 2x4 red *3")
        bench.put_aside(Fate.WASH)
        counted(bench, "tile 2x2 white")
        bench.undo()
        before, held = shown(bench), bench.held
        full(call)
        for change in (
            lambda: bench.enter("tile 2x2 white"),
            lambda: bench.enter(""),
            lambda: bench.count_coarse("B1"),
            lambda: bench.undo(),
            lambda: bench.redo(),
            lambda: bench.regrade(down=True) if bench.picture.ledger.counts else None,
            lambda: bench.put_aside(Fate.OUT),
            lambda: bench.void(next(row.id for row in bench.recent(9) if row.what is What.MOVE)),
        ):
            with pytest.raises((WriteError, DataError)) as refused:
                change()
            assert isinstance(refused.value, WriteError) or "carried on" in str(refused.value)
            assert shown(bench) == before
            assert bench.held == held
        monkeypatch.undo()
        again = opened()
        assert again.picture.ledger.holds(kept.record)
        assert (again.picture.ledger.pieces, again.picture.ledger.counts) == (3, bench.picture.ledger.counts)
        if call == "fdatasync":  # nor was it confirmed that the log was cut back, so nobody writes on behind that
            with pytest.raises(WriteError, match=r"closed to further writing.*open the bench again"):
                bench.redo()
            assert shown(bench) == before
        else:
            assert "tile" in bench.redo().text
            assert counted(bench, "").kind == TILE
            again.refresh()
        counted(again, "tile 2x2 white")
        assert opened().picture.ledger.pieces == (4 if call == "fdatasync" else 6)

    def test_a_bench_that_cannot_be_written_from_the_start_shows_nothing_counted(
        self, bench: Bench, full: Callable[[str], None], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        full("write")
        with pytest.raises(WriteError, match="Nothing was counted"):
            bench.enter("plate 2x4 red")
        assert bench.recent(9) == ()
        assert bench.picture.ledger.pieces == 0
        monkeypatch.undo()
        assert counted(bench, "plate 2x4 red").total == 1

    def test_a_part_that_cannot_be_kept_is_not_added(self, bench: Bench, full: Callable[[str], None]) -> None:
        full("write")
        with pytest.raises(WriteError):
            bench.enter("+ trough 2x4 red")
        assert "trough-2x4" not in bench.catalogue.parts
        assert bench.picture.ledger.pieces == 0
