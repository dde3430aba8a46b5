"""Copies of a bench merged in any order, as often as one likes, come to the same counts."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from small_bench import ARCH, BRICK, PLATE, TILE, make_folder

from sortbench.bench import Bench
from sortbench.desks.merge_desk import look, merge
from sortbench.engine.ledger import Ledger
from sortbench.model.tally import Cell, Record
from sortbench.store.folder import BenchFolder
from sortbench.store.log_reading import read_log

NOW = datetime(2026, 3, 1, tzinfo=UTC)
KINDS = (PLATE, BRICK, TILE, ARCH)

# What one sitting does: count some of a kind, undo, or throw out the last.
steps = st.lists(st.tuples(st.sampled_from(["count", "undo"]), st.sampled_from(KINDS), st.integers(1, 9)), max_size=5)
# Who does what: a copy counts, or takes in another, again and again.
deeds = st.lists(
    st.one_of(
        st.tuples(st.just("sit"), st.integers(0, 2), steps),
        st.tuples(st.just("merge"), st.integers(0, 2), st.integers(0, 2)),
    ),
    max_size=8,
)


def sit(folder: Path, doings: Sequence[tuple[str, object, int]]) -> None:
    with Bench.open(folder) as bench:
        for what, kind, quantity in doings:
            if what == "count":
                bench.count(kind, quantity)  # type: ignore[arg-type]
            elif bench.has_last:
                bench.undo()


def bring(folder: Path, other: Path) -> None:
    if folder != other:
        merge(look(folder, other), NOW)


def records(folder: Path) -> dict[str, Record]:
    return {str(record.id): record for log in BenchFolder.open(folder).logs() for record in read_log(log).records}


@settings(max_examples=25, deadline=None)
@given(deeds, st.permutations([(0, 1), (1, 2), (2, 0), (1, 0), (2, 1), (0, 2)]))
def test_any_order_and_doubling_of_merges_comes_to_the_fold_of_all_records(
    done: list[tuple[str, int, object]], last: list[tuple[int, int]]
) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        first = make_folder(Path(scratch) / "0")
        folders = [first, *(Path(shutil.copytree(first, Path(scratch) / str(number))) for number in (1, 2))]
        for what, who, how in done:
            if what == "sit":
                sit(folders[who], how)  # type: ignore[arg-type]
            else:
                bring(folders[who], folders[how])  # type: ignore[call-overload]
        everything: dict[str, Record] = {}
        for folder in folders:
            everything |= records(folder)
        for who, other in (*last, *last):
            bring(folders[who], folders[other])
        expected: dict[Cell, int] = dict(Ledger(everything.values()).counts)
        for folder in folders:
            with Bench.open(folder) as bench:
                assert dict(bench.picture.ledger.counts) == expected
            assert records(folder) == everything
            assert BenchFolder.open(folder).check() == []
