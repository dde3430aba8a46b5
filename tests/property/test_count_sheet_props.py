"""Counts in = counts out, whatever the names."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime
from pathlib import Path

import frictionless
from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade, flaws_of
from sortbench.model.sheet import CountRow, CountSheet, TallyRow
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
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
)
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


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(cells, st.integers(0, 99_999), names, names, st.booleans()), max_size=8))
def test_the_log_comes_back_record_for_record(said: list[tuple[Cell, int, str, str, bool]]) -> None:
    rows = []
    for number, (cell, quantity, target, way, holds) in enumerate(said, 1):
        voids = RecordId("before/this", number) if number % 2 else None
        record = Record(
            RecordId("s", number),
            "2026-03-01T00:00:00Z",
            What.TALLY,
            cell,
            quantity,
            target=target,
            voids=voids,
            way=way,
        )
        rows.append((record, holds))
    with tempfile.TemporaryDirectory() as folder:
        back = _round(CountSheet(tallies=tuple(TallyRow.of(*row) for row in rows)), Path(folder) / "out")
    assert [(row.record, row.holds) for row in back.tallies] == rows


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
