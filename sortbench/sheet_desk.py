"""The count sheet of a bench: worked out, written, and read back in."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sortbench.bench import Bench
from sortbench.engine.fill import TargetFill
from sortbench.model.bins import Bin
from sortbench.model.catalogue import Part, Shade
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.sheet import (
    PERIODS,
    BinRow,
    CountRow,
    CountSheet,
    FillRow,
    PartRow,
    ShadeRow,
    SpareRow,
    TallyRow,
    TargetRow,
)
from sortbench.model.tally import Cell, What
from sortbench.model.target import MAX_QUANTITY
from sortbench.sitting import utc_now
from sortbench.store.count_sheet import read_count_sheet, write_count_sheet

# Rows


def count_rows(bench: Bench) -> tuple[CountRow, ...]:
    """Every heap: bins in their order, then shade and part."""
    places = {each.label: place for place, each in enumerate(bench.picture.bins)}
    catalogue = bench.catalogue

    def order(item: tuple[Cell, int]) -> tuple[Any, ...]:
        cell = item[0]
        place = (1 if cell.bin else 2, 0) if cell.bin not in places else (0, places[cell.bin])
        return place, cell.bin, cell.shade, cell.part, cell.family, -(cell.grade or Grade.G1), cell.flaws, cell.fate

    cells = sorted(bench.picture.ledger.counts.items(), key=order)
    return tuple(CountRow.of(cell, quantity, catalogue.family(cell.part)) for cell, quantity in cells)


def fill_rows(bench: Bench, code: str = "") -> tuple[FillRow, ...]:
    """Every line of every target, the highest-ranked first, or of one.

    Raises:
        DataError: no such target.
    """
    if code and code not in bench.documents.targets:
        known = ", ".join(list(bench.documents.targets)[:12])
        raise DataError(f"No target has the code {code!r}.", f"Known are: {known}." if known else "Import targets.")
    return tuple(
        row for fill in bench.picture.fill.all() if not code or fill.target.code == code for row in _lines(fill)
    )


def _lines(fill: TargetFill) -> tuple[FillRow, ...]:
    return tuple(
        FillRow(
            fill.target.code,
            number,
            line.line.kind.part,
            line.line.kind.shade,
            line.line.lowest.label,
            line.line.quantity,
            line.present,
            line.standard,
            line.short,
            PERIODS[line.period],
        )
        for number, line in enumerate(fill.lines, 1)
    )


def target_rows(bench: Bench) -> tuple[TargetRow, ...]:
    """Every target, the highest-ranked first."""
    return tuple(TargetRow.of(fill.target, _lines(fill)) for fill in bench.picture.fill.all())


def spare_rows(bench: Bench) -> tuple[SpareRow, ...]:
    """Kinds of which there are more pieces than all targets together need."""
    picture = bench.picture
    rows = []
    for kind in sorted(picture.ledger.kinds):
        spare = picture.fill.spare(kind, picture.ledger.of_kind(kind))
        if spare:
            rows.append(SpareRow(kind.part, kind.shade, bench.catalogue.family(kind.part), spare))
    return tuple(rows)


def bin_rows(bench: Bench) -> tuple[BinRow, ...]:
    """Every bin in the order of its rule, then those that tallies name but nobody set up."""
    set_up = {each.label: (place, each) for place, each in enumerate(bench.picture.bins, 1)}
    rows = []
    for row in bench.bin_rows():
        place, found = set_up.get(row.label, (None, Bin(row.label)))
        rows.append(BinRow.of(found, place, row.pieces))
    return tuple(rows)


def tally_rows(bench: Bench) -> tuple[TallyRow, ...]:
    """Every record of the log, oldest first."""
    ledger = bench.picture.ledger
    records = sorted(ledger.records.values(), key=lambda record: (record.at, record.id))
    return tuple(TallyRow.of(record, ledger.holds(record.id)) for record in records)


def count_sheet(bench: Bench) -> CountSheet:
    """Everything that can be said of a bench at this moment."""
    return CountSheet(
        counts=count_rows(bench),
        fills=fill_rows(bench),
        spares=spare_rows(bench),
        tallies=tally_rows(bench),
        targets=target_rows(bench),
        bins=bin_rows(bench),
        parts=tuple(PartRow.of(part) for part in bench.catalogue.parts.values()),
        shades=tuple(ShadeRow.of(shade) for shade in bench.catalogue.shades.values()),
    )


def export(bench: Bench, folder: Path, *, overwrite: bool = False) -> CountSheet:
    """Write the count sheet into a folder.

    Raises:
        DataError: a heap holds fewer than no pieces.
        UsageError: the folder holds something else.
        WriteError: the disk refused.
    """
    sheet = count_sheet(bench)
    for row in sheet.counts:
        if row.quantity < 0:
            raise DataError(
                f"Bin {row.bin or '(none)'} comes to {row.quantity} of {row.part or row.family} in {row.shade}: "
                "pieces were carried on whose tally is void or lies in a log that is not here.",
                "Bring the missing log into the bench, or void the carrying: `sortbench log` shows both.",
            )
    write_count_sheet(folder, sheet, created=utc_now(), overwrite=overwrite)
    return sheet


# Reading back


@dataclass(frozen=True, slots=True)
class SheetIntake:
    """What reading a count sheet in would do.

    Attributes:
        cells: pieces still to be counted, heap by heap.
        parts, shades: what the catalogue lacks.
        known: pieces of the sheet that are counted here already, from an earlier reading of the same counts.
        way: how its tallies are marked in the log.
    """

    cells: Mapping[Cell, int]
    parts: tuple[Part, ...]
    shades: tuple[Shade, ...]
    known: int
    way: str

    @property
    def pieces(self) -> int:
        """Pieces still to be counted."""
        return sum(self.cells.values())


def preview_sheet(bench: Bench, folder: Path, *, changed: bool = False) -> SheetIntake:
    """Work out what reading a count sheet in would do; nothing is written.

    Pieces are marked with a digest of the counts they came from, so that reading the same sheet again adds nothing, and
    reading one whose reading was cut short adds what is missing.

    Args:
        changed: also take tables that were changed since the export.

    Raises:
        DataError: no sound count sheet, or one that was exported from this very bench.
    """
    sheet = read_count_sheet(folder, changed=changed)
    ledger = bench.picture.ledger
    sittings = {rid.sitting for rid in ledger.records}
    if any(row.sitting in sittings for row in sheet.tallies):
        raise DataError(
            f"{folder} was exported from this bench: its pieces are counted here already.",
            "Read it into another bench, one made with `sortbench new`.",
        )
    way = "sheet " + hashlib.sha256("\n".join(map(repr, sorted(sheet.counts))).encode()).hexdigest()[:12]
    wanted: dict[Cell, int] = {}
    for row in sheet.counts:
        wanted[row.cell] = wanted.get(row.cell, 0) + row.quantity
    known = 0
    for record in ledger.records.values():
        if record.way == way and record.what is What.TALLY and record.cell and ledger.holds(record.id):
            wanted[record.cell] = wanted.get(record.cell, 0) - record.quantity
            known += record.quantity
    catalogue = bench.catalogue
    spoken_parts = {row.part for row in sheet.counts}
    spoken_shades = {row.shade for row in sheet.counts}
    return SheetIntake(
        {cell: quantity for cell, quantity in wanted.items() if quantity > 0},
        tuple(row.part for row in sheet.parts if row.code in spoken_parts and row.code not in catalogue.parts),
        tuple(row.shade for row in sheet.shades if row.name in spoken_shades and row.name not in catalogue.shades),
        known,
        way,
    )


def take_in(bench: Bench, intake: SheetIntake, progress: Callable[[int, int], None] = lambda done, whole: None) -> None:
    """Count what a sheet says, heap by heap into the bins it names.

    Args:
        progress: told pieces counted so far and pieces to be counted.

    Raises:
        WriteError: the disk refused; what was counted up to then stands, and reading again adds the rest.
    """
    if intake.parts or intake.shades:
        with bench.folder.documents.edit() as draft:
            for part in intake.parts:
                draft.parts.setdefault(part.code, part)
            for shade in intake.shades:
                draft.shades.setdefault(shade.name, shade)
        bench.reload()
    done = 0
    for cell, quantity in intake.cells.items():
        left = quantity
        while left:
            some = min(left, MAX_QUANTITY)
            bench.sitting.record(What.TALLY, cell, some, way=intake.way)
            left -= some
            done += some
            progress(done, intake.pieces)
