"""Whatever is counted, set aside, picked, put back, undone and brought back: nothing is lost, and the logs agree."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from small_bench import BRICK, PLATE, make_folder, ticking

from sortbench.bench import Bench
from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.tally import Fate, What
from sortbench.store.folder import BenchFolder
from sortbench.store.tally_log import read_log

Step = tuple[str, Kind, int, str, Grade]
ACTS: dict[str, Callable[[Bench, Kind, int, str, Grade], object]] = {
    "count": lambda bench, kind, n, target, grade: bench.count(kind, n + 2, grade),
    "reserve": lambda bench, kind, n, target, grade: bench.crates.reserve(kind, n, target, grade),
    "release": lambda bench, kind, n, target, grade: bench.crates.release(kind, n, target, grade),
    "pick": lambda bench, kind, n, target, grade: bench.crates.pick(kind, n, target, grade, (), bin_of(kind)),
    "put back": lambda bench, kind, n, target, grade: bench.crates.put_back(kind, n, target, grade),
    "undo": lambda bench, *_: bench.undo(),
    "redo": lambda bench, *_: bench.redo(),
}
steps = st.tuples(
    st.sampled_from([*ACTS, "count", "reserve", "pick"]),
    st.sampled_from([PLATE, BRICK]),
    st.integers(1, 4),
    st.sampled_from(["T-01", "T-02"]),
    st.sampled_from([Grade.G5, Grade.G4]),
)


def bin_of(kind: Kind) -> str:
    return "B1" if kind == PLATE else "B2"


def state(ledger: Ledger) -> tuple[object, ...]:
    kinds = sorted({*ledger.kinds, *ledger.reserved_kinds})
    crates = {code: dict(ledger.in_crate(code)) for code in ledger.crates}
    return dict(ledger.counts), crates, {kind: ledger.reserved(kind) for kind in kinds if ledger.reserved(kind)}


def counted_pieces(ledger: Ledger) -> int:
    """Pieces of all tallies that hold: moves and reserves make none and lose none."""
    records = ledger.records.values()
    return sum(record.quantity for record in records if record.what is What.TALLY and ledger.holds(record.id))


@settings(max_examples=120, deadline=None)
@given(st.lists(steps, max_size=25), st.integers(0, 10**6))
def test_whatever_is_done_nothing_is_lost_and_the_logs_agree_in_any_order(given_steps: list[Step], seed: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = make_folder(Path(folder) / "bench")
        with Bench.open(path, ticking()) as bench:
            ledger = bench.picture.ledger
            for act, *about in given_steps:
                before, refused = state(ledger), True
                with suppress(DataError):
                    ACTS[act](bench, *about)  # type: ignore[arg-type]
                    refused = False
                assert not refused or state(ledger) == before
                if not refused and act in ("reserve", "release"):
                    kind, quantity, target, grade = about
                    change = quantity if act == "reserve" else -quantity
                    was, now = before[2].get(kind, {}), ledger.reserved(kind)  # type: ignore[attr-defined]
                    before_it, after_it = (held.get((grade, ()), {}).get(target, 0) for held in (was, now))
                    assert after_it - before_it == change
                assert not ledger.impossible()
                assert ledger.pieces == counted_pieces(ledger) == sum(ledger.counts.values())
                in_crates = sum(sum(ledger.in_crate(code).values()) for code in ledger.crates)
                assert in_crates == ledger.of_fate(Fate.CRATE)
                assert sum(row.pieces for row in bench.bin_rows()) == ledger.pieces - in_crates
            after = state(ledger)
        records = [record for log in BenchFolder(path).logs() for record in read_log(log).records]
        random.Random(seed).shuffle(records)
        assert state(Ledger(records)) == after


@settings(max_examples=60, deadline=None)
@given(st.lists(steps, max_size=12))
def test_undo_then_redo_changes_nothing_and_undoing_all_leaves_nothing(given_steps: list[Step]) -> None:
    with tempfile.TemporaryDirectory() as folder, Bench.open(make_folder(Path(folder) / "bench"), ticking()) as bench:
        ledger = bench.picture.ledger
        for act, *about in given_steps:
            with suppress(DataError):
                ACTS[act](bench, *about)  # type: ignore[arg-type]
        before = state(ledger)
        if any(ledger.holds(rid) for rid in bench.sitting.history):
            bench.undo()
            bench.redo()
        assert state(ledger) == before
        while True:
            try:
                bench.undo()
            except DataError as error:
                assert "nothing left" in error.message
                break
        assert state(ledger) == ({}, {}, {})


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.booleans(), st.integers(1, 3)), max_size=12))
def test_what_is_set_aside_is_what_was_said_less_what_was_let_go(said: list[tuple[bool, int]]) -> None:
    with tempfile.TemporaryDirectory() as folder, Bench.open(make_folder(Path(folder) / "bench"), ticking()) as bench:
        bench.count(PLATE, 99)
        held = 0
        for more, quantity in said:
            if more:
                bench.crates.reserve(PLATE, quantity, "T-02", Grade.G5)
                held += quantity
            elif quantity <= held:
                bench.crates.release(PLATE, quantity, "T-02", Grade.G5)
                held -= quantity
            there = bench.picture.ledger.reserved(PLATE).get((Grade.G5, ()), {})
            assert there.get("T-02", 0) == held
