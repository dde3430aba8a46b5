"""What a count sheet says of the sharing: every piece once, whatever the case; sheets of several benches together."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import frictionless
import pytest
from picture_of import bench_of
from random_sharing import random_case
from reference_sharing import Case

from sortbench.desks.sheet_desk import count_sheet, export
from sortbench.desks.sheet_intake import preview_sheet, take_in
from sortbench.model.catalogue import Kind
from sortbench.model.sheet import CountSheet
from sortbench.model.tally import Cell, Fate

Heaps = dict[tuple[str, ...], int]


def counted(sheet: CountSheet) -> Heaps:
    """Pieces of every heap that was not thrown out."""
    found: Heaps = {}
    for row in sheet.counts:
        if row.fate != Fate.OUT:
            key = row.bin, row.target, row.part, row.shade, row.grade, row.flaw, row.fate
            found[key] = found.get(key, 0) + row.quantity
    return found


def shared(sheet: CountSheet) -> Heaps:
    """Pieces of every heap that some line has, or that are spare."""
    found: Heaps = {}
    for row in (*sheet.allocation, *sheet.spares):
        crate = row.target if row.fate == Fate.CRATE else ""
        key = row.bin, crate, row.part, row.shade, row.grade, row.flaw, row.fate
        found[key] = found.get(key, 0) + row.quantity
    return found


@pytest.mark.parametrize("seed", range(60))
def test_every_piece_is_allocated_or_spare_and_the_lines_agree(seed: int, tmp_path: Path) -> None:
    with bench_of(random_case(seed, small=seed % 3 > 0), tmp_path / "b") as bench:
        sheet = count_sheet(bench)
        parked = {target.code for target in bench.picture.targets if target.parked}
    assert shared(sheet) == counted(sheet)
    short = {(row.target, row.line): (row.short, row.below_standard) for row in sheet.shortfall}
    for line in sheet.fills:
        rows = [row for row in sheet.allocation if (row.target, row.line) == (line.target, line.line)]
        assert sum(row.quantity for row in rows) == line.present
        assert sum(row.quantity for row in rows if row.to_standard) == line.to_standard
        assert {(row.asked_part, row.asked_shade) for row in rows} <= {(line.part, line.shade)}
        assert all((row.cost == 0) == ((row.part, row.shade) == (line.part, line.shade)) for row in rows)
        lacking = line.short, line.present - line.to_standard
        expected = None if line.target in parked or lacking == (0, 0) else lacking
        assert short.get((line.target, line.line)) == expected
    assert len(short) == len(sheet.shortfall)
    reserved = {(row.target, row.part, row.shade, row.grade, row.flaw): row.quantity for row in sheet.reserved}
    for row in sheet.allocation:
        if row.set_aside:
            assert reserved[row.target, row.part, row.shade, row.grade, row.flaw] >= row.quantity


@pytest.mark.parametrize("seed", [0, 1, 3, 5])
def test_the_reference_implementation_of_the_standard_finds_nothing_wrong(seed: int, tmp_path: Path) -> None:
    with bench_of(random_case(seed, small=False), tmp_path / "b") as bench:
        sheet = export(bench, tmp_path / "out")
    assert sheet.allocation and sheet.shortfall and sheet.spares
    report = frictionless.validate(str(tmp_path / "out" / "datapackage.json"))
    assert report.valid, [error.message for task in report.tasks for error in task.errors]


def filled(sheet: CountSheet) -> tuple[dict[str, int], dict[int, int]]:
    """Pieces present of each target, and to standard of all targets of each rank."""
    standard: dict[int, int] = {}
    for row in sheet.targets:
        standard[row.rank] = standard.get(row.rank, 0) + row.to_standard
    return {row.target: row.present for row in sheet.targets}, standard


def parts_of(case: Case, chance: random.Random, number: int) -> list[Case]:
    """The pieces of a case dealt out at random to several benches that know no targets; nothing is set aside there."""
    piles: list[dict[Kind, dict[Cell, int]]] = [{} for _ in range(number)]
    for kind, cells in case.cells.items():
        for cell, quantity in cells.items():
            for _ in range(quantity):
                heap = chance.choice(piles).setdefault(kind, {})
                heap[cell] = heap.get(cell, 0) + 1
    return [replace(case, targets=(), cells=pile, reserved={}) for pile in piles]


@pytest.mark.parametrize("seed", range(12))
def test_sheets_of_several_benches_reconcile_as_if_all_was_counted_at_one(seed: int, tmp_path: Path) -> None:
    case = replace(random_case(seed), reserved={})
    crateless = {
        kind: {cell: n for cell, n in cells.items() if cell.fate is not Fate.CRATE}
        for kind, cells in case.cells.items()
    }
    case = replace(case, cells=crateless)
    with bench_of(case, tmp_path / "one") as one:
        expected = count_sheet(one)
    for number, pile in enumerate(parts_of(case, random.Random(seed), 3)):
        with bench_of(pile, tmp_path / f"b{number}") as bench:
            export(bench, tmp_path / f"s{number}")
    with bench_of(replace(case, cells={}), tmp_path / "all") as together:
        for number in (2, 0, 1):
            take_in(together, preview_sheet(together, tmp_path / f"s{number}"))
        found = count_sheet(together)
    assert counted(found) == counted(expected) == shared(found)
    # Of equally good sharings each bench has the one nearest to what it had before, so lines may differ.
    assert filled(found) == filled(expected)
