"""Rows of the log: made from columns or from records, they say the same."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from small_bench import BRICK, PLATE, TILE, counted, make_folder, ticking

from sortbench.bench import Bench
from sortbench.cli.context import FORMAT
from sortbench.cli.output import answer_json
from sortbench.desks import tally_rows
from sortbench.desks.tally_rows import TallyRows
from sortbench.model.grade import Grade
from sortbench.model.sheet import TallyRow, as_mapping
from sortbench.model.tally import What


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A bench with records of every sort, most of them packed, some of a later sitting that takes back earlier ones."""
    path: Path = make_folder(tmp_path / "bench")
    with Bench.open(path, ticking()) as first:
        counted(first, "plate 2x4 red *5")
        counted(first, "brick 2x4 red *2 !4")
        first.undo()
        counted(first, "tile 2x2 white #crack *3")
        first.correct(first.recent(1)[0].id, "*2 !4")
        first.write_up("T-03")
        counted(first, "plate 1x2 red *4")
        first.write_up("")
        first.crates.reserve(PLATE, 2, "T-02", Grade.G5)
        first.crates.pick(PLATE, 1, "T-01", Grade.G5, bin_label="B1")
        heap = next(cell for cell in first.picture.ledger.counts if cell.kind == PLATE)
        first.sitting.rejudge(heap, 1, (Grade.G3, ()), (61.5, -2.0, 11.25))
        assert first.logs.pack(first.sitting.id, first.sitting.take_in, at_least=0)
    later = Bench.open(path, ticking(datetime(2026, 3, 2, 9, tzinfo=UTC)))
    later.undo()
    later.undo()
    counted(later, "brick 2x4 red *7")
    later.count(TILE, 1)
    return later


def plainly(bench: Bench) -> list[TallyRow]:
    """Every record on its own, in the order of their times."""
    ledger = bench.picture.ledger
    records = sorted(ledger.records.values(), key=lambda record: (record.at, record.id))
    return [TallyRow.of(record, ledger.holds(record.id)) for record in records]


def test_they_are_the_records_one_by_one(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tally_rows, "_MOST_HEAPS", 1)
    assert bench.picture.ledger.packed is not None
    expected = plainly(bench)
    assert {row.what for row in expected} == {what.value for what in What} - {"recount"}
    assert {row.holds for row in expected} == {True, False}
    rows = TallyRows(bench)
    assert list(rows) == expected
    assert len(rows) == len(expected)
    assert [rows[place] for place in range(-3, 3)] == expected[-3:] + expected[:3]
    assert rows[2:5] == expected[2:5]


def test_a_part_of_them(bench: Bench) -> None:
    rows, expected = TallyRows(bench), plainly(bench)
    own = [row for row in expected if row.sitting.startswith("20260302")]
    assert list(rows.of_sittings("20260302")) == own
    assert rows.last(3) == expected[-3:]
    assert rows.last(2, "20260301") == [row for row in expected if row not in own][-2:]
    assert rows.last(100) == expected
    assert rows.last(1, "none") == list(rows.of_sittings("none")) == []


def test_they_do_not_grow_with_what_is_counted_later(bench: Bench) -> None:
    rows = TallyRows(bench)
    before = list(rows)
    bench.count(BRICK, 1)
    assert list(rows) == before


@pytest.mark.parametrize("many", [0, 1, None])
def test_as_json_they_are_what_the_standard_library_writes(
    bench: Bench, capsys: pytest.CaptureFixture[str], many: int | None
) -> None:
    """json.dumps is the reference; rows are written one after the other, and it would need them all at once."""
    rows = list(TallyRows(bench))[:many]
    answer_json("tallies", iter(rows))
    whole = {"format": FORMAT, "what": "tallies", "rows": [as_mapping(row) for row in rows]}
    assert capsys.readouterr().out == json.dumps(whole, indent=1) + "\n"
