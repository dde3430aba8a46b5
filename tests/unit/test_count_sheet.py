"""The count sheet: valid by the public standard, harmless in a spreadsheet, whole or not there at all."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import frictionless
import pytest

from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Care, Kind, Part, Shade, Years
from sortbench.model.errors import DataError, UsageError, WriteError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.sheet import (
    BinRow,
    CountRow,
    CountSheet,
    FillRow,
    PartRow,
    ShadeRow,
    TallyRow,
    TargetRow,
    as_mapping,
)
from sortbench.model.sheet_cells import FORMAT
from sortbench.model.sheet_sharing import AllocationRow, ShortfallRow, SpareRow
from sortbench.model.sheet_stand_ins import ReservedRow, StandInRow
from sortbench.model.sheet_tables import TABLES, table
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.model.target import Line, StandIn, Swap, SwapOf, Target
from sortbench.store import durable
from sortbench.store.count_sheet import is_count_sheet, read_count_sheet, write_count_sheet

NOW = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
GLASSHOUSE = Target(
    "T-02",
    "Glasshouse",
    1988,
    1,
    (Line(Kind("plate-2x4", "white"), 12), Line(Kind("pane", "clear"), 6)),
    value=120,
    parked=True,
)
PLATE = Part("plate-2x4", "plate 2x4", "plate", ("flat 2x4", "2x4 flat"), 1.05, Years(1963), (Care.PRINT, Care.FOLIAGE))
WHITE = Shade("white", "f4f4f0", Years(1949, None))
CRACKED = Cell("B1", "plate-2x4", "white", "", Grade.G4_5, (Flaw.CRACKED, Flaw.WORN))
CRATED = Cell("T-02", "plate-2x4", "white", "", Grade.G5, (), Fate.CRATE)
LATE = Swap(SwapOf.SHADE, "white", "grey, late", 2)
OTHER = Kind("pane", "grey, late")
COARSE = Cell("B2", "", "grey, late", "plate", None, ())
MOVE = Record(
    RecordId("20260301T093000Z-k3f9", 4), "2026-03-01T09:31:00Z", What.MOVE, CRACKED, 2, to_bin="", to_fate=Fate.WASH
)
FILLS = (
    FillRow("T-02", 1, "plate-2x4", "white", "3", 12, 7, 0, 5, "right"),
    FillRow("T-02", 2, "pane", "clear", "3", 6, 0, 0, 6, "unknown"),
)

ON_LINE_1 = ("T-02", 1, "plate-2x4", "white", "plate-2x4", "white")


def sheet() -> CountSheet:
    tally = Record(RecordId("20260301T093000Z-k3f9", 2), "2026-03-01T09:30:04.512Z", What.TALLY, CRACKED, 7, way="pad")
    return CountSheet(
        counts=(CountRow.of(CRACKED, 7, "plate"), CountRow.of(COARSE, 31), CountRow.of(CRATED, 2, "plate")),
        fills=FILLS,
        spares=(
            SpareRow("plate-2x4", "grey, late", "plate", 3, "4", "cracked | worn print", "B2", "kept"),
            SpareRow("plate-2x4", "grey, late", "plate", 1, "4", "cracked | worn print", "", "in a crate", "T-02"),
        ),
        allocation=(
            AllocationRow(*ON_LINE_1, "4-5", "cracked", "B1", "kept", False, 6, 0, False, "right"),
            AllocationRow(*ON_LINE_1, "4-5", "cracked", "B1", "kept", True, 1, 0, False, "right"),
        ),
        shortfall=(
            ShortfallRow("T-02", 1, "plate-2x4", "white", "3", 5, 7),
            ShortfallRow("T-02", 2, "pane", "clear", "3", 6, 0),
        ),
        tallies=(
            TallyRow.of(Record(RecordId("20260301T093000Z-k3f9", 1), "2026-03-01T09:30:00Z", What.OPEN), True),
            TallyRow.of(tally, False),
            TallyRow.of(
                Record(RecordId("20260301T093000Z-k3f9", 3), "2026-03-01T09:30:05Z", What.VOID, voids=tally.id), True
            ),
            TallyRow.of(MOVE, True),
        ),
        targets=(TargetRow.of(GLASSHOUSE, FILLS),),
        bins=(
            BinRow.of(Bin("B1", Rule(shades=("white",), lowest=Grade.G3), 200, 450.5, "row 1"), 1, 7),
            BinRow.of(Bin("B2"), 2, 31),
        ),
        parts=(
            PartRow.of(PLATE),
            PartRow.of(Part("pane", "pane 1x2x3", "window")),
        ),
        shades=(
            ShadeRow.of(WHITE),
            ShadeRow.of(Shade("clear")),
            ShadeRow.of(Shade("grey, late", "a0a5a9", aliases=("cold grey",))),
        ),
        stand_ins=(
            StandInRow.of_rule(LATE),
            StandInRow.of_rule(Swap(SwapOf.PART, "plate-2x4", "pane")),
            StandInRow.of_line("T-02", 2, Kind("pane", "clear"), StandIn(OTHER, 3)),
            StandInRow.of_refusal("T-02", Kind("pane", "clear"), OTHER),
        ),
        reserved=(
            ReservedRow.of("T-02", CRACKED, 3),
            ReservedRow.of("T-02", CRACKED._replace(grade=None, flaws=()), 1),
        ),
    )


def as_first_format(folder: Path) -> Path:
    """A sheet as format 1 had it: fewer tables and columns."""
    found = descriptor(folder)
    found["sortbench"]["format"] = 1
    new = {
        "counts": {"target"},
        "targets": {"value", "parked", "waiting"},
        "spares": {"grade", "flaw", "bin", "fate", "target"},
        "tallies": {"to_grade", "to_flaw", "lab_l", "lab_a", "lab_b"},
    }
    for name in ("stand_ins", "reserved", "allocation", "shortfall"):
        (folder / f"{name}.csv").unlink()
        found["resources"] = [resource for resource in found["resources"] if resource["name"] != name]
    for resource in found["resources"]:
        path = folder / resource["path"]
        with path.open(encoding="utf-8", newline="") as file:
            header, *rows = csv.reader(file)
        kept = [place for place, name in enumerate(header) if name not in new.get(resource["name"], ())]
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([row[place] for place in kept] for row in (header, *rows))
        resource["hash"] = "sha256:" + hashlib.sha256(path.read_bytes()).hexdigest()
    (folder / "datapackage.json").write_text(json.dumps(found), "utf-8")
    return folder


def write(folder: Path, rows: CountSheet | None = None, **options: Any) -> Path:
    write_count_sheet(folder, rows or sheet(), created=NOW, **options)
    return folder


def descriptor(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "datapackage.json").read_text("utf-8"))
    return found


def problems(folder: Path) -> list[str]:
    """What the reference implementation of the standard finds wrong."""
    report = frictionless.validate(str(folder / "datapackage.json"))
    return [f"{error.type}: {error.message}" for task in report.tasks for error in task.errors] + [
        f"{error.type}: {error.message}" for error in report.errors
    ]


def test_comes_back_as_it_went_out(tmp_path: Path) -> None:
    assert read_count_sheet(write(tmp_path / "out")) == sheet()


def test_heaps_and_records_come_back_as_model_values(tmp_path: Path) -> None:
    back = read_count_sheet(write(tmp_path / "out"))
    assert [(row.cell, row.quantity) for row in back.counts] == [(CRACKED, 7), (COARSE, 31), (CRATED, 2)]
    assert (back.targets[0].value, back.targets[0].parked) == (120, True)
    assert [row.rule for row in back.stand_ins[:2]] == [LATE, Swap(SwapOf.PART, "plate-2x4", "pane")]
    assert [row.kinds for row in back.stand_ins[2:]] == [(Kind("pane", "clear"), OTHER)] * 2
    assert back.reserved[0].cell == CRACKED._replace(bin="")
    assert back.tallies[1].record.cell == CRACKED
    assert back.tallies[2].record.voids == RecordId("20260301T093000Z-k3f9", 2)
    assert back.tallies[0].record.cell is None
    assert back.tallies[3].record == MOVE
    assert back.parts[0].part == PLATE
    assert back.shades[0].shade == WHITE


def test_a_sheet_of_the_first_format_is_read(tmp_path: Path) -> None:
    without = replace(sheet(), counts=sheet().counts[:2], spares=sheet().spares[:1])
    back = read_count_sheet(as_first_format(write(tmp_path / "out", without)))
    assert back.format == 1
    assert back.counts == without.counts
    assert back.targets == (without.targets[0]._replace(value=None, parked=False),)
    assert (back.stand_ins, back.reserved, back.tallies) == ((), (), without.tallies)
    assert (back.allocation, back.shortfall) == ((), ())
    assert back.spares == (SpareRow("plate-2x4", "grey, late", "plate", 3),)


@pytest.mark.parametrize(
    "row",
    [
        StandInRow("", None, "", "", "", "", 1, False),
        StandInRow("", None, "a", "", "", "", 1, False),
        StandInRow("", None, "a", "", "a", "", 1, False),
        StandInRow("", None, "a", "white", "b", "", 1, False),
        StandInRow("", None, "", "white", "b", "", 1, False),
        StandInRow("", None, "a", "", "b", "", 1, True),
        StandInRow("", None, "a", "", "b", "", 0, False),
        StandInRow("", None, "a", "", "b", "", 10, False),
        StandInRow("", None, "a", "", "b", "", None, False),
    ],
)
def test_a_rule_that_cannot_be_meant_is_refused(row: StandInRow) -> None:
    with pytest.raises(DataError, match="stand-in rule"):
        _ = row.rule


@pytest.mark.parametrize(
    "row",
    [
        CountRow("", "p", "s", "", "5", "", "in a crate", 1),
        CountRow("B1", "p", "s", "", "5", "", "in a crate", 1, "T-02"),
        CountRow("B1", "p", "s", "", "5", "", "kept", 1, "T-02"),
    ],
)
def test_pieces_lie_in_a_crate_or_in_a_bin(row: CountRow) -> None:
    with pytest.raises(DataError, match="name its target and no bin"):
        _ = row.cell


def test_reference_implementation_finds_nothing_wrong(tmp_path: Path) -> None:
    """Validated by frictionless, the reference implementation of Data Package and Table Schema."""
    assert problems(write(tmp_path / "out")) == []


def test_reference_implementation_reads_the_same_values(tmp_path: Path) -> None:
    package = frictionless.Package(str(write(tmp_path / "out") / "datapackage.json"))
    for resource in package.resources:
        rows = [row.to_dict() for row in resource.read_rows()]
        ours = [as_mapping(row) for row in getattr(sheet(), resource.name)]
        for theirs in rows:
            if "at" in theirs:
                theirs["at"] = theirs["at"].astimezone(UTC).replace(tzinfo=None)
            for name, value in theirs.items():
                theirs[name] = float(value) if type(value).__name__ == "Decimal" else value
        for mine in ours:
            if "at" in mine:
                mine["at"] = datetime.fromisoformat(str(mine["at"])).replace(tzinfo=None)  # type: ignore[assignment]
        assert rows == ours, resource.name


def test_what_a_killed_export_left_behind_goes_with_the_next(tmp_path: Path) -> None:
    names = {
        ".counts.csv.0a1b2c3d.tmp": 3_601,
        ".datapackage.json.deadbeef.tmp": 86_400,
        ".tallies.csv.00000000.tmp": 3_599,  # may be on its way
        ".notes.csv.0a1b2c3d.tmp": 86_400,  # none of ours
        ".counts.csv.tmp": 86_400,
    }
    for name, age_s in names.items():
        (tmp_path / name).write_bytes(b"half")
        os.utime(tmp_path / name, (NOW.timestamp() - age_s,) * 2)
    write_count_sheet(tmp_path, CountSheet(), created=NOW)
    left = {path.name for path in tmp_path.iterdir() if path.name.startswith(".")}
    assert left == {".tallies.csv.00000000.tmp", ".notes.csv.0a1b2c3d.tmp", ".counts.csv.tmp"}


def test_an_empty_bench_gives_a_valid_sheet(tmp_path: Path) -> None:
    folder = write(tmp_path / "out", CountSheet())
    assert problems(folder) == []
    assert read_count_sheet(folder) == CountSheet()


def test_descriptor_meets_the_published_profiles(tmp_path: Path) -> None:
    """Rules of the version 1 JSON Schemas (specs.frictionlessdata.io: data-package, tabular-data-package).

    At least one resource; each has a name of ``[-a-z0-9._/]``, a relative path and, in the tabular profile, a schema
    whose fields all have names; ``created`` is an RFC 3339 time; ``hash`` is ``algorithm:hex``.
    """
    found = descriptor(write(tmp_path / "out"))
    assert found["profile"] == "tabular-data-package"
    assert re.fullmatch(r"[-a-z0-9._/]+", found["name"])
    assert found["created"] == "2026-03-01T09:30:00Z"
    assert len(found["resources"]) >= 1
    for resource in found["resources"]:
        assert re.fullmatch(r"[-a-z0-9._/]+", resource["name"])
        assert re.fullmatch(r"[^./~][^/]*", resource["path"])
        assert re.fullmatch(r"[^:]+:[a-fA-F0-9]+", resource["hash"])
        assert all(field["name"] for field in resource["schema"]["fields"])
        content = (tmp_path / "out" / resource["path"]).read_bytes()
        assert resource["bytes"] == len(content)
        assert resource["hash"] == "sha256:" + hashlib.sha256(content).hexdigest()


def _spoil(folder: Path, edit: str) -> None:
    """Break a sound sheet as the published cases break theirs, with size and hash put right again."""
    found = descriptor(folder)
    bins = next(resource for resource in found["resources"] if resource["name"] == "bins")
    path = folder / "bins.csv"
    lines = path.read_bytes().split(b"\r\n")
    if edit == "no_name":
        del bins["name"]
    elif edit == "bad_name":
        bins["name"] = "Bins X"
    elif edit == "field_no_name":
        del bins["schema"]["fields"][0]["name"]
    elif edit == "missing_column":
        lines = [line.rpartition(b",")[0] for line in lines if line]
    elif edit == "blank_required":
        lines[1] = b"," + lines[1].partition(b",")[2]
    elif edit == "negative":
        lines[1] = lines[1].rpartition(b",")[0] + b",-1"
    elif edit == "blank_row":
        lines.insert(2, b"")
    elif edit == "bad_created":
        found["created"] = "not-a-date"
    path.write_bytes(b"\r\n".join(lines))
    bins["bytes"], bins["hash"] = path.stat().st_size, "sha256:" + hashlib.sha256(path.read_bytes()).hexdigest()
    (folder / "datapackage.json").write_text(json.dumps(found), "utf-8")


@pytest.mark.parametrize(
    ("edit", "kinds"),
    [
        ("no_name", {"resource-error"}),
        ("bad_name", {"resource-error"}),
        ("field_no_name", {"field-error"}),
        ("missing_column", {"missing-label"}),
        ("blank_required", {"constraint-error", "primary-key"}),
        ("negative", {"constraint-error"}),
        ("blank_row", {"blank-row", "primary-key"}),
        ("bad_created", {"package-error"}),
    ],
)
def test_broken_sheets_are_found_out_by_both(tmp_path: Path, edit: str, kinds: set[str]) -> None:
    """Cases and error types of Data Package / Table Schema as frictionless 5.21 reports them, played on our sheet.

    It shows that the schema we publish has teeth; our own reader refuses whatever concerns the rows as well.
    """
    folder = write(tmp_path / "out")
    _spoil(folder, edit)
    found = problems(folder)
    assert kinds <= {problem.partition(":")[0] for problem in found}, found
    if edit not in {"field_no_name", "bad_created"}:
        with pytest.raises(DataError, match=r"bins|datapackage"):
            read_count_sheet(folder)


@pytest.mark.parametrize("name", ["=1+2", "+x", "-x", "@sum", "'quoted", "=HYPERLINK(1)", "＝1", "|", "a;b", 'in "it"'])
def test_names_that_a_spreadsheet_would_run_are_guarded_and_come_back(tmp_path: Path, name: str) -> None:
    rows = CountSheet(
        counts=(CountRow(name, name, name, name, "", "", "kept", 1),), bins=(BinRow.of(Bin(name), None, 1),)
    )
    folder = write(tmp_path / "out", rows)
    with (folder / "counts.csv").open(encoding="utf-8", newline="") as file:
        cell = next(csv.DictReader(file))["part"]
    assert cell[0] not in "=+-@\t\r\uff1d"
    assert read_count_sheet(folder).counts == rows.counts
    assert problems(folder) == []


def test_whatever_is_spoken_of_is_listed(tmp_path: Path) -> None:
    rows = replace(sheet(), parts=(), shades=(), bins=(), targets=())
    folder = write(tmp_path / "out", rows)
    assert problems(folder) == []
    back = read_count_sheet(folder)
    assert {row.code for row in back.parts} == {"plate-2x4", "pane"}
    assert [(row.bin, row.order, row.quantity) for row in back.bins] == [("B1", None, 7), ("B2", None, 31)]
    assert [(row.target, row.name, row.lines) for row in back.targets] == [("T-02", "", 0)]
    assert back.counts == rows.counts


def test_times_are_given_in_utc(tmp_path: Path) -> None:
    write_count_sheet(tmp_path / "out", sheet(), created=NOW.astimezone(timezone(timedelta(hours=5, minutes=30))))
    assert descriptor(tmp_path / "out")["created"] == "2026-03-01T09:30:00Z"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (CountRow("B1", "p", "s", "", "", "", "kept", 0), "row 1, column quantity: 0 is out of bounds"),
        (CountRow("B1", "p", "s", "", "6", "", "kept", 1), "column grade: '6' is none of"),
        (CountRow("B1", "p", "s", "", "", "", "", 1), "column fate: the cell is empty"),
    ],
)
def test_a_row_that_breaks_the_schema_is_never_written(tmp_path: Path, row: CountRow, says: str) -> None:
    with pytest.raises(DataError, match=re.escape(says)):
        write(tmp_path / "out", CountSheet(counts=(row,)))
    assert not (tmp_path / "out").exists()


def test_the_same_key_twice_is_refused(tmp_path: Path) -> None:
    twice = CountSheet(spares=(SpareRow("p", "s", "", 1), SpareRow("p", "s", "", 2)))
    with pytest.raises(DataError, match="row 2: p, s stands already in 1"):
        write(tmp_path / "out", twice)


class TestFolder:
    def test_is_made_with_its_parents(self, tmp_path: Path) -> None:
        folder = write(tmp_path / "a" / "b")
        assert sorted(path.name for path in folder.iterdir()) == sorted(
            [f"{table.name}.csv" for table in TABLES] + ["datapackage.json"]
        )

    def test_earlier_sheet_is_replaced_and_strangers_stay(self, tmp_path: Path) -> None:
        folder = write(tmp_path / "out")
        (folder / "notes.txt").write_text("mine")
        write(folder, CountSheet())
        assert read_count_sheet(folder) == CountSheet()
        assert (folder / "notes.txt").read_text() == "mine"

    def test_foreign_folder_is_left_alone_unless_told(self, tmp_path: Path) -> None:
        (tmp_path / "counts.csv").write_text("mine")
        with pytest.raises(UsageError, match=r"holds other things \(counts\.csv\)") as caught:
            write(tmp_path)
        assert "--overwrite" in caught.value.mend
        assert (tmp_path / "counts.csv").read_text() == "mine"
        assert read_count_sheet(write(tmp_path, overwrite=True)) == sheet()

    @pytest.mark.parametrize("text", ["{}", "[]", "null", "{", '{"name": "other", "sortbench": {"format": 1}}'])
    def test_foreign_package_is_not_taken_for_ours(self, tmp_path: Path, text: str) -> None:
        (tmp_path / "datapackage.json").write_text(text)
        assert not is_count_sheet(tmp_path)
        with pytest.raises(UsageError):
            write(tmp_path)

    def test_bench_is_never_written_into(self, tmp_path: Path) -> None:
        (tmp_path / "bench.json").write_text("{}")
        with pytest.raises(UsageError, match="is a bench"):
            write(tmp_path, overwrite=True)

    def test_file_in_the_way(self, tmp_path: Path) -> None:
        (tmp_path / "out").write_text("mine")
        with pytest.raises(UsageError, match="is a file"):
            write(tmp_path / "out", overwrite=True)

    def test_linked_folder_is_refused(self, tmp_path: Path) -> None:
        (tmp_path / "real").mkdir()
        (tmp_path / "link").symlink_to(tmp_path / "real")
        with pytest.raises(UsageError, match="symbolic link"):
            write(tmp_path / "link", overwrite=True)
        assert list((tmp_path / "real").iterdir()) == []

    @pytest.mark.parametrize("name", ["counts.csv", "datapackage.json"])
    def test_linked_file_is_refused(self, tmp_path: Path, name: str) -> None:
        outside = tmp_path / "outside"
        outside.write_text("mine")
        (tmp_path / "out").mkdir()
        (tmp_path / "out" / name).symlink_to(outside)
        with pytest.raises(UsageError, match="not a plain file"):
            write(tmp_path / "out", overwrite=True)
        assert outside.read_text() == "mine"

    @pytest.mark.parametrize("failing", range(len(TABLES) + 1))
    def test_disk_that_fills_up_leaves_the_old_sheet(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int
    ) -> None:
        folder = write(tmp_path / "out", CountSheet())
        _fail(monkeypatch, "fsync", failing)
        with pytest.raises(WriteError, match="No space left"):
            write(folder)
        monkeypatch.undo()
        assert not [path for path in folder.iterdir() if path.name.startswith(".")]
        assert read_count_sheet(folder) == CountSheet()
        assert read_count_sheet(write(folder)) == sheet()

    def test_disk_that_fills_up_leaves_no_new_folder(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        _fail(monkeypatch, "fsync", len(TABLES))
        with pytest.raises(WriteError, match="No space left"):
            write(tmp_path / "new" / "out")
        assert list(tmp_path.iterdir()) == []

    def test_disk_that_does_not_confirm_is_told_of_and_all_is_in_place(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        folder = write(tmp_path / "out", CountSheet())
        _fail(monkeypatch, "fsync", len(TABLES) + 1)
        with pytest.raises(WriteError, match="did not confirm it"):
            write(folder)
        assert read_count_sheet(folder) == sheet()

    @pytest.mark.parametrize("failing", range(len(TABLES) + 1))
    def test_tables_that_do_not_get_into_their_places_leave_a_sheet_known_as_broken_or_the_old_one(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int
    ) -> None:
        folder = write(tmp_path / "out", CountSheet())
        _fail(monkeypatch, "replace", failing)
        with pytest.raises(WriteError, match="No space left"):
            write(folder)
        monkeypatch.undo()
        assert not [path for path in folder.iterdir() if path.name.startswith(".")]
        if failing == 0:
            assert read_count_sheet(folder) == CountSheet()
        else:
            with pytest.raises(DataError, match="cut short"):
                read_count_sheet(folder)
        assert read_count_sheet(write(folder)) == sheet()


def _fail(monkeypatch: pytest.MonkeyPatch, name: str, failing: int) -> None:
    """Let one call of a function of ``os`` fail as on a full disk; the first is number 0."""
    calls = iter(range(1000))
    real = getattr(durable.os, name)

    def full(*args: Any) -> None:
        if next(calls) == failing:
            raise OSError(28, "No space left on device")
        real(*args)

    monkeypatch.setattr(durable.os, name, full)


class TestReading:
    def test_no_sheet(self, tmp_path: Path) -> None:
        with pytest.raises(DataError, match="holds no count sheet"):
            read_count_sheet(tmp_path)

    def test_newer_format(self, tmp_path: Path) -> None:
        folder = write(tmp_path / "out")
        found = descriptor(folder)
        found["sortbench"]["format"] = FORMAT + 1
        (folder / "datapackage.json").write_text(json.dumps(found))
        with pytest.raises(DataError, match=f"reads up to {FORMAT}"):
            read_count_sheet(folder)

    def test_changed_table_is_taken_only_when_told(self, tmp_path: Path) -> None:
        folder = write(tmp_path / "out")
        path = folder / "counts.csv"
        path.write_bytes(path.read_bytes().replace(b",31,\r\n", b",32,\r\n"))
        with pytest.raises(DataError, match="is not the table that was exported"):
            read_count_sheet(folder)
        assert read_count_sheet(folder, changed=True).counts[1].quantity == 32

    @pytest.mark.parametrize(
        ("old", "new", "says"),
        [
            (b",31,", b",3.5,", "line 3, column quantity: '3.5' is no integer"),
            (b",31,", b",-3,", "line 3, column quantity: -3 is out of bounds"),
            (b",31,", b",1e3,", "line 3, column quantity: '1e3' is no integer"),
            (b",31,", b",,", "line 3, column quantity: the cell is empty"),
            (b",31,", b",31", "line 3: 8 cells where 9 belong"),
            (b",4-5,", b",5 Apr,", "line 2, column grade: '5 Apr' is none of"),
            (b"kept,31", b"eaten,31", "line 3, column fate: 'eaten' is none of"),
            (b"bin,part", b"box,part", "line 1: the columns are not those"),
            (b"B2,", b'"B2,', "line 3: ',' expected"),
            (b"B2,", b"\xff,", "not UTF-8"),
        ],
    )
    def test_damage_is_named_with_its_place(self, tmp_path: Path, old: bytes, new: bytes, says: str) -> None:
        folder = write(tmp_path / "out")
        path = folder / "counts.csv"
        content = path.read_bytes()
        assert old in content
        path.write_bytes(content.replace(old, new))
        with pytest.raises(DataError) as caught:
            read_count_sheet(folder, changed=True)
        assert says in caught.value.message
        assert "counts.csv" in caught.value.message
        assert caught.value.mend

    def test_of_the_log_the_earliest_row_of_each_sitting_where_that_is_enough(self, tmp_path: Path) -> None:
        late, early, other = (
            TallyRow.of(Record(RecordId(sitting, number), f"2026-03-01T09:{minute}:00Z", What.OPEN), True)
            for sitting, number, minute in (("s-1", 1, 40), ("s-1", 2, 20), ("s-2", 1, 30))
        )
        folder = write(tmp_path / "out", replace(sheet(), tallies=(late, other, early)))
        assert set(read_count_sheet(folder, whole_log=False).tallies) == {early, other}
        path = folder / "tallies.csv"
        path.write_bytes(path.read_bytes().replace(b",open,", b",opened,", 1))
        with pytest.raises(DataError, match=r"line 2, column what: 'opened' is none of"):
            read_count_sheet(folder, changed=True, whole_log=False)

    def test_missing_table(self, tmp_path: Path) -> None:
        folder = write(tmp_path / "out")
        (folder / "fills.csv").unlink()
        with pytest.raises(DataError, match=r"fills\.csv cannot be read"):
            read_count_sheet(folder)


def test_columns_of_the_counts_are_the_agreed_ones() -> None:
    agreed = ("bin", "part", "shade", "family", "grade", "flaw", "fate", "quantity")
    assert table("counts").headers == (*agreed, "target")


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_column_is_described(table: Any) -> None:
    assert set(table.columns) == set(table.headers)
    assert all(column.meaning for column in table.columns.values())


def test_counting_fates() -> None:
    assert CountRow.of(Cell("", "p", "s", "", None, (), Fate.OUT), 1).cell.fate is Fate.OUT
