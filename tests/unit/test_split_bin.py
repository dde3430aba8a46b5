"""Splitting a bin that overflows: a new bin before it, the pieces carried over, and all of it taken back at once."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sortbench.bench import Bench
from sortbench.model.errors import DataError


def overflowing(bench: Bench) -> dict[str, int]:
    """Seven red plates of two kinds and two grades in a bin for five; pieces by bin."""
    for line in ("plate 2x4 red *2", "plate 2x4 red *1 !4", "plate 1x2 red *4"):
        bench.enter(line)
    assert bench.bin_rows()[2].over == 2
    return loads(bench)


def loads(bench: Bench) -> dict[str, int]:
    return {row.label: row.pieces for row in bench.bin_rows() if row.pieces}


def test_the_new_bin_comes_first_and_takes_what_its_rule_says(bench: Bench) -> None:
    before = overflowing(bench)
    assert bench.split_proposal("B1")
    notice = bench.split("B1")
    labels = [row.label for row in bench.bin_rows()]
    new = labels[labels.index("B1") - 1]
    assert new not in before and new in notice.text
    after = loads(bench)
    assert after["B1"] + after[new] == before["B1"] and max(after["B1"], after[new]) <= 5
    for heap in bench.heaps(new):
        assert bench.picture.router.route(heap.cell.part, heap.cell.shade, heap.cell.grade, heap.cell.flaws) == new
    for heap in bench.heaps("B1"):
        assert bench.picture.router.route(heap.cell.part, heap.cell.shade, heap.cell.grade, heap.cell.flaws) == "B1"


def test_a_split_is_undone_and_brought_back_as_one(bench: Bench) -> None:
    before = overflowing(bench)
    bench.split("B1")
    after = loads(bench)
    assert "pieces carried from B1" in bench.undo().text or "carried to" in bench.undo().text
    assert loads(bench) == before
    assert "carried" in bench.redo().text
    assert loads(bench) == after
    bench.undo()
    assert "plate 1x2" in bench.undo().text, "the next undo is the tally before the split"


def test_a_split_is_undone_after_a_restart(opened: Callable[[], Bench]) -> None:
    bench = opened()
    before = overflowing(bench)
    bench.split("B1")
    bench.close()
    again = opened()
    again.undo()
    assert loads(again) == before


def test_a_bin_that_does_not_overflow_is_not_split(bench: Bench) -> None:
    bench.enter("plate 2x4 red")
    with pytest.raises(DataError, match="nothing to split in B1"):
        bench.split("B1")
    with pytest.raises(DataError, match="No bin is labelled 'B99'"):
        bench.split("B99")
