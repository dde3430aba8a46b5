"""Clocks that run ahead, behind and backward: no count hangs on them."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from small_bench import PLATE, TILE

from sortbench.bench import Bench
from sortbench.desks.merge_desk import look, merge
from sortbench.store.folder import BenchFolder

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)


class _Clock:
    """Tells the times it is given, over and over the last."""

    def __init__(self, *offsets: timedelta) -> None:
        self._times: Iterator[datetime] = iter([NOW + offset for offset in offsets])
        self._last = NOW

    def __call__(self) -> datetime:
        self._last = next(self._times, self._last)
        return self._last


DAY = timedelta(days=1)


@pytest.mark.parametrize(
    "skew", [365 * DAY, -365 * DAY, timedelta(0), timedelta(milliseconds=-1)], ids=["ahead", "behind", "same", "a hair"]
)
def test_laptops_whose_clocks_differ_come_to_the_same_counts(
    bench_folder: Path, tmp_path: Path, skew: timedelta
) -> None:
    with Bench.open(bench_folder, _Clock(timedelta(0))) as ada:
        ada.count(PLATE, 3)
    other = Path(shutil.copytree(bench_folder, tmp_path / "other"))
    with Bench.open(other, _Clock(skew)) as ben:
        ben.count(TILE, 2)
        # What the first sitting counted can be taken back here, though it may lie in the future.
        first = next(
            record for record in ben.picture.ledger.records if record.sitting != ben.sitting.id and record.seq > 1
        )
        ben.void(first)
    with Bench.open(bench_folder, _Clock(timedelta(0))) as ada:
        ada.count(PLATE, 1)
    merge(look(bench_folder, other), NOW)
    merge(look(other, bench_folder), NOW)
    for folder in (bench_folder, other):
        with Bench.open(folder, _Clock(-skew)) as bench:
            assert bench.picture.ledger.of_kind(PLATE) and sum(bench.picture.ledger.of_kind(PLATE).values()) == 1
            assert sum(bench.picture.ledger.of_kind(TILE).values()) == 2
        assert BenchFolder.open(folder).check() == []


def test_a_clock_that_is_put_back_in_the_midst_of_a_sitting_does_no_harm(bench_folder: Path) -> None:
    with Bench.open(bench_folder, _Clock(timedelta(0), DAY, -DAY, timedelta(seconds=1), -2 * DAY)) as bench:
        for _ in range(4):
            bench.count(PLATE)
        bench.undo()
        assert bench.picture.ledger.pieces == 3
        pace = bench.pace()
        assert pace.counted >= 0 and (pace.per_minute is None or pace.per_minute > 0)
    with Bench.open(bench_folder, _Clock(timedelta(0))) as bench:
        assert bench.picture.ledger.pieces == 3
        assert [row.holds for row in bench.recent(9)].count(True) == 3
