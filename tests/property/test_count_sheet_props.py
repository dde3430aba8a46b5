"""Counts in = counts out, whatever the names."""

from __future__ import annotations

import tempfile
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

import frictionless
from hypothesis import given, settings
from hypothesis import strategies as st
from small_bench import BRICK, PLATE, make_folder, ticking

from sortbench.bench import Bench
from sortbench.desks.reconcile_desk import keep
from sortbench.desks.sheet_desk import count_sheet, export
from sortbench.desks.sheet_intake import preview_sheet, take_in
from sortbench.engine.reconciling.what_if import WhatIf
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade, flaws_of
from sortbench.model.sheet import CountRow, CountSheet, TallyRow
from sortbench.model.sheet_stand_ins import ReservedRow, StandInRow
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.model.target import StandIn, Swap, SwapOf
from sortbench.model.text import clean_name
from sortbench.store.count_sheet import read_count_sheet, write_count_sheet

NOW = datetime(2026, 3, 1, tzinfo=UTC)


def _cleaned(text: str) -> str:
    try:
        return clean_name(text)
    except DataError:
        return ""


odd = st.sampled_from(
    ["=1+1", "'=x", "''", "-", "+a", "@b", "a,b", '"', 'a"b"', "a | b", "nan", "true", "1e5", "[/red]"]
)
names = odd | st.text(max_size=30).map(_cleaned)
cells = st.builds(
    Cell,
    bin=names,
    part=names,
    shade=names,
    family=st.just(""),
    grade=st.none() | st.sampled_from(Grade),
    flaws=st.lists(st.sampled_from(Flaw), max_size=3).map(flaws_of),
    fate=st.sampled_from(Fate),
).filter(lambda cell: cell.bin or cell.fate is not Fate.CRATE)
heaps = st.dictionaries(cells, st.integers(1, 10**9), max_size=12)


def _round(sheet: CountSheet, folder: Path) -> CountSheet:
    write_count_sheet(folder, sheet, created=NOW)
    return read_count_sheet(folder)


@settings(max_examples=80, deadline=None)
@given(heaps)
def test_counts_in_are_counts_out(counts: dict[Cell, int]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        back = _round(
            CountSheet(counts=tuple(CountRow.of(cell, n) for cell, n in counts.items())), Path(folder) / "out"
        )
    assert {row.cell: row.quantity for row in back.counts} == counts


said_of_pieces = st.tuples(
    st.sampled_from([What.TALLY, What.LINE, What.RESERVE, What.MOVE, What.RECOUNT]),
    cells,
    st.integers(0, 99_999),
    names,
    names,
    st.booleans(),
)


@settings(max_examples=40, deadline=None)
@given(st.lists(said_of_pieces, max_size=8))
def test_the_log_comes_back_record_for_record(said: list[tuple[What, Cell, int, str, str, bool]]) -> None:
    rows = []
    for number, (what, cell, quantity, target, way, holds) in enumerate(said, 1):
        voids = RecordId("before/this", number) if number % 2 else None
        picked = what is What.MOVE
        record = Record(
            RecordId("s", number),
            "2026-03-01T00:00:00Z",
            what,
            cell,
            quantity,
            to_bin=target if picked else "",
            target=target,
            voids=voids,
            way=way,
            to_fate=Fate.CRATE if picked else Fate.KEPT,
        )
        rows.append((record, holds))
    with tempfile.TemporaryDirectory() as folder:
        back = _round(CountSheet(tallies=tuple(TallyRow.of(*row) for row in rows)), Path(folder) / "out")
    assert [(row.record, row.holds) for row in back.tallies] == rows


codes = names.map(lambda text: text or "T-07")
kinds = st.builds(Kind, codes, codes)
swaps = st.builds(Swap, st.sampled_from(SwapOf), codes, codes, st.integers(1, 9)).filter(
    lambda swap: swap.wanted != swap.instead
)
set_aside = st.dictionaries(st.tuples(codes, kinds, st.sampled_from(Grade)), st.integers(1, 99_999), max_size=6)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(swaps, max_size=4),
    st.lists(st.tuples(codes, kinds, kinds, st.integers(1, 99), st.integers(1, 9)), max_size=4),
    set_aside,
)
def test_rules_refusals_and_what_is_set_aside_come_back(
    rules: list[Swap], pairs: list[tuple[str, Kind, Kind, int, int]], reserved: dict[tuple[str, Kind, Grade], int]
) -> None:
    stand_ins = [StandInRow.of_rule(swap) for swap in rules]
    stand_ins += [StandInRow.of_line(code, n, wanted, StandIn(other, cost)) for code, wanted, other, n, cost in pairs]
    stand_ins += [StandInRow.of_refusal(code, wanted, other) for code, wanted, other, _, _ in pairs]
    rows = tuple(
        ReservedRow.of(code, Cell("", *kind, "", grade, ()), quantity)
        for (code, kind, grade), quantity in reserved.items()
    )
    with tempfile.TemporaryDirectory() as folder:
        back = _round(CountSheet(stand_ins=tuple(stand_ins), reserved=rows), Path(folder) / "out")
    assert [row.rule for row in back.stand_ins if not row.target] == rules
    assert [(row.target, *row.kinds) for row in back.stand_ins if row.refused] == [pair[:3] for pair in pairs]
    assert back.stand_ins == tuple(stand_ins)
    assert {(r.target, Kind(r.part, r.shade), r.cell.grade): r.quantity for r in back.reserved} == reserved


ACTS = st.tuples(
    st.sampled_from(["count", "count", "reserve", "pick", "put back", "undo", "park", "refuse"]),
    st.sampled_from([PLATE, BRICK]),
    st.integers(1, 5),
    st.sampled_from(["T-01", "T-02"]),
)


def _act(bench: Bench, act: str, kind: Kind, quantity: int, code: str) -> None:
    label = "B1" if kind == PLATE else "B2"
    match act:
        case "count":
            bench.count(kind, quantity)
        case "reserve":
            bench.crates.reserve(kind, quantity, code, Grade.G5)
        case "pick":
            bench.crates.pick(kind, quantity, code, Grade.G5, bin_label=label)
        case "put back":
            bench.crates.put_back(kind, quantity, code, Grade.G5)
        case "undo":
            bench.undo()
        case "park":
            keep(bench, WhatIf().with_parked(code, quantity > 2))
        case _:
            keep(bench, WhatIf().with_stand_in(code, kind, Kind(kind.part, "white"), quantity <= 2))


@settings(max_examples=30, deadline=None)
@given(st.lists(ACTS, max_size=14))
def test_whatever_was_done_at_a_bench_another_one_says_the_same(acts: list[tuple[str, Kind, int, str]]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with Bench.open(make_folder(folder / "one"), ticking()) as one, Bench.create(folder / "two") as two:
            rule = Swap(SwapOf.SHADE, "red", "white")
            with one.folder.documents.edit() as draft:
                draft.swaps[rule.key] = rule
            one.reload()
            for act in acts:
                with suppress(DataError):
                    _act(one, *act)
            export(one, folder / "out")
            take_in(two, preview_sheet(two, folder / "out"))
            said, heard = count_sheet(one), count_sheet(two)
    for table in ("fills", "spares", "targets", "stand_ins", "reserved"):
        assert getattr(heard, table) == getattr(said, table), table
    assert sorted(heard.counts) == sorted(said.counts)


@settings(max_examples=8, deadline=None)
@given(heaps)
def test_the_reference_implementation_agrees_on_odd_names(counts: dict[Cell, int]) -> None:
    """frictionless, the reference implementation of the standard, finds the same number of pieces and no fault."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out"
        sheet = CountSheet(counts=tuple(CountRow.of(cell, n) for cell, n in counts.items()))
        write_count_sheet(out, sheet, created=NOW)
        report = frictionless.validate(str(out / "datapackage.json"))
        assert report.valid, [error.message for task in report.tasks for error in task.errors]
        resource = frictionless.Package(str(out / "datapackage.json")).get_resource("counts")
        assert sum(row["quantity"] for row in resource.read_rows()) == sum(counts.values())
