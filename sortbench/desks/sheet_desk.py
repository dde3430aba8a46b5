"""The count sheet of a bench: worked out and written. How one is read back in says ``sheet_intake``."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from sortbench.bench import Bench
from sortbench.desks.tally_rows import TallyRows
from sortbench.engine.fill import TargetFill
from sortbench.engine.reconciling.places import Deal, deal
from sortbench.model.bins import Bin
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
    TargetRow,
)
from sortbench.model.sheet_cells import grade_label, join_flaws
from sortbench.model.sheet_sharing import AllocationRow, ShortfallRow, SpareRow
from sortbench.model.sheet_stand_ins import ReservedRow, StandInRow
from sortbench.model.tally import Cell, Fate
from sortbench.sitting import utc_now
from sortbench.store.count_sheet import require_room as require_room
from sortbench.store.count_sheet import write_count_sheet
from sortbench.store.log_reading import no_garbage_collection

# Rows


def count_rows(bench: Bench) -> tuple[CountRow, ...]:
    """Every heap: bins in their order, then crates, then what lies in neither; within these by shade and part."""
    places = {each.label: place for place, each in enumerate(bench.picture.bins)}
    catalogue = bench.catalogue

    def order(item: tuple[Cell, int]) -> tuple[Any, ...]:
        cell = item[0]
        crated = cell.fate is Fate.CRATE
        place = (2 if crated else 1 if cell.bin else 3, 0)
        if not crated and cell.bin in places:
            place = (0, places[cell.bin])
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
    return tuple(TargetRow.of(fill.target, _lines(fill), fill.waiting) for fill in bench.picture.fill.all())


def allocation_rows(bench: Bench, dealt: Deal | None = None) -> tuple[AllocationRow, ...]:
    """Which pieces each line has: lines as in :func:`fill_rows`, the best pieces of each first.

    Args:
        dealt: the pieces as they are dealt now, where that is worked out already.
    """
    dealt = dealt or deal(bench.picture)
    rows: dict[AllocationRow, int] = {}
    for fill in bench.picture.fill.all():
        for number, line in enumerate(fill.lines, 1):
            shares = {share.piece: share for share in line.shares}
            for piece, cell, quantity in dealt.lines.get((fill.target.code, number), ()):
                share, crated = shares[piece], cell.fate is Fate.CRATE
                row = AllocationRow(
                    fill.target.code,
                    number,
                    *line.line.kind,
                    *piece.kind,
                    grade_label(piece.grade),
                    join_flaws(piece.flaws),
                    "" if crated else cell.bin,
                    cell.fate.value,
                    bool(piece.only) and not crated,
                    0,
                    share.cost,
                    share.standard,
                    PERIODS[share.period],
                )
                rows[row] = rows.get(row, 0) + quantity
    return tuple(row._replace(quantity=quantity) for row, quantity in rows.items())


def shortfall_rows(bench: Bench) -> tuple[ShortfallRow, ...]:
    """Lines that lack pieces or have some below standard, as in :func:`fill_rows`; without those of parked targets."""
    return tuple(
        ShortfallRow(row.target, row.line, row.part, row.shade, row.lowest, row.short, row.present - row.to_standard)
        for fill in bench.picture.fill.all()
        if not fill.target.parked
        for row in _lines(fill)
        if row.short or row.present > row.to_standard
    )


def spare_rows(bench: Bench, dealt: Deal | None = None) -> tuple[SpareRow, ...]:
    """Pieces that no line has, by kind, the best first.

    Args:
        dealt: the pieces as they are dealt now, where that is worked out already.
    """
    rows: dict[SpareRow, int] = {}
    for piece, cell, quantity in (dealt or deal(bench.picture)).spares:
        row = SpareRow(
            *piece.kind,
            bench.catalogue.family(piece.kind.part),
            0,
            grade_label(piece.grade),
            join_flaws(piece.flaws),
            "" if cell.fate is Fate.CRATE else cell.bin,
            cell.fate.value,
            piece.only,
        )
        rows[row] = rows.get(row, 0) + quantity
    return tuple(row._replace(quantity=quantity) for row, quantity in rows.items())


def stand_in_rows(bench: Bench) -> tuple[StandInRow, ...]:
    """The rules of the catalogue, then what the lists of the targets name and what is refused on them."""
    rows = [StandInRow.of_rule(swap) for swap in bench.picture.swaps]
    for target in bench.picture.targets:
        for number, line in enumerate(target.lines, 1):
            rows += [StandInRow.of_line(target.code, number, line.kind, other) for other in line.stand_ins]
        rows += [StandInRow.of_refusal(target.code, *pair) for pair in target.refused]
    return tuple(rows)


def reserved_rows(bench: Bench) -> tuple[ReservedRow, ...]:
    """Pieces that are set aside by hand and not yet in a crate, target by target."""
    ledger = bench.picture.ledger
    rows = [
        ReservedRow.of(code, Cell("", kind.part, kind.shade, "", grade, flaws), quantity)
        for kind in ledger.reserved_kinds
        for (grade, flaws), by_target in ledger.reserved(kind).items()
        for code, quantity in by_target.items()
    ]
    return tuple(sorted(rows))


def bin_rows(bench: Bench) -> tuple[BinRow, ...]:
    """Every bin in the order of its rule, then those that tallies name but nobody set up."""
    set_up = {each.label: (place, each) for place, each in enumerate(bench.picture.bins, 1)}
    rows = []
    for row in bench.bin_rows():
        place, found = set_up.get(row.label, (None, Bin(row.label)))
        rows.append(BinRow.of(found, place, row.pieces))
    return tuple(rows)


def count_sheet(bench: Bench) -> CountSheet:
    """Everything that can be said of a bench at this moment."""
    dealt = deal(bench.picture)
    return CountSheet(
        counts=count_rows(bench),
        fills=fill_rows(bench),
        allocation=allocation_rows(bench, dealt),
        shortfall=shortfall_rows(bench),
        spares=spare_rows(bench, dealt),
        tallies=TallyRows(bench),
        targets=target_rows(bench),
        bins=bin_rows(bench),
        parts=tuple(PartRow.of(part) for part in bench.catalogue.parts.values()),
        shades=tuple(ShadeRow.of(shade) for shade in bench.catalogue.shades.values()),
        stand_ins=stand_in_rows(bench),
        reserved=reserved_rows(bench),
    )


def sound_sheet(bench: Bench) -> CountSheet:
    """The count sheet, to be written.

    Raises:
        DataError: a heap holds fewer than no pieces.
    """
    with no_garbage_collection():
        sheet = count_sheet(bench)
    for row in sheet.counts:
        if row.quantity < 0:
            place = f"The crate of {row.target}" if row.target else f"Bin {row.bin or '(none)'}"
            raise DataError(
                f"{place} comes to {row.quantity} of {row.part or row.family} in {row.shade}: "
                "pieces were carried on whose tally is void or lies in a log that is not here.",
                "Bring the missing log into the bench, or void the carrying: `sortbench log` shows both.",
            )
    return sheet


def write_sheet(
    sheet: CountSheet,
    folder: Path,
    *,
    overwrite: bool = False,
    progress: Callable[[int, int], None] = lambda done, whole: None,
) -> None:
    """Write a count sheet of now into a folder.

    Args:
        sheet: of a bench that is still open, for the rows of its log are made as they are written.
        folder: made if missing.
        overwrite: write even where the folder holds something else.
        progress: told rows written so far and rows to be written.

    Raises:
        UsageError: the folder holds something else.
        WriteError: the disk refused.
    """
    with no_garbage_collection():
        write_count_sheet(folder, sheet, created=utc_now(), overwrite=overwrite, progress=progress)


def export(bench: Bench, folder: Path, *, overwrite: bool = False) -> CountSheet:
    """Write the count sheet of a bench into a folder.

    Raises:
        DataError: as `sound_sheet`.
        UsageError, WriteError: as `write_sheet`.
    """
    require_room(folder, overwrite)
    sheet = sound_sheet(bench)
    write_sheet(sheet, folder, overwrite=overwrite)
    return sheet
