"""The count sheet on disk: a tabular data package, written whole and read back strictly.

The tables are CSV as RFC 4180 has it, in UTF-8. All are written aside before the first takes its place.
``datapackage.json`` holds size and SHA-256 of every table and takes its place last, so that a sheet whose writing was
cut short is found out.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from sortbench.model.bins import Bin
from sortbench.model.errors import DataError, UsageError, WriteError
from sortbench.model.sheet import BinRow, CountRow, CountSheet, PartRow, Row, ShadeRow, TallyRow, TargetRow
from sortbench.model.sheet_cells import FORMAT
from sortbench.model.sheet_tables import TABLES, Table
from sortbench.model.target import MAX_RANK, Target
from sortbench.store.data_package import NAME, Passing, describe, digest
from sortbench.store.durable import clear_leftovers, looking, replace_files
from sortbench.store.log_reading import no_garbage_collection
from sortbench.store.sheet_columns import encoded
from sortbench.store.sheet_reading import decoded

DESCRIPTOR = "datapackage.json"
_LARGEST_TABLE = 1 << 28  # bytes; a damaged or foreign file must not fill the memory

_LONGEST_WRITING_S = 3_600
"""What an export that was killed left behind is as old at least; a younger file may be on its way from another one."""


def write_count_sheet(
    folder: Path,
    sheet: CountSheet,
    *,
    created: datetime,
    overwrite: bool = False,
    progress: Callable[[int, int], None] = lambda done, whole: None,
) -> list[Path]:
    """Write a count sheet.

    Args:
        folder: made if missing. An earlier count sheet in it is replaced, other files are left as they are.
        sheet: what to write. Parts, shades, bins and targets that are spoken of but not listed are added to its lists.
        created: time of writing, with a time zone.
        overwrite: write even where the folder holds something else.
        progress: told rows written so far and rows to be written.

    Returns:
        The files written.

    Raises:
        UsageError: the folder holds something else, is a bench, or a symbolic link stands in the way.
        DataError: a row breaks the schema; nothing is written then.
        WriteError: the disk refused.
    """
    require_room(folder, overwrite)
    sheet = _completed(sheet)
    passing = {table.name: Passing() for table in TABLES}
    done, whole = 0, sum(len(_rows(sheet, table)) for table in TABLES)

    def told(rows: int) -> None:
        nonlocal done
        done += rows
        progress(done, whole)

    def contents() -> Iterator[tuple[Path, Iterable[bytes]]]:
        for table in TABLES:
            content = encoded(table, _rows(sheet, table), told)
            yield folder / f"{table.name}.csv", passing[table.name].through(content)
        yield folder / DESCRIPTOR, _described(passing, created)

    try:
        with _made(folder):
            replace_files(contents())
    except OSError as error:
        raise WriteError(
            f"The count sheet could not be written to {folder}: {error.strerror or error}.",
            "Make room or choose another folder, then export again; the bench itself is untouched.",
        ) from error
    names = [*(f"{table.name}.csv" for table in TABLES), DESCRIPTOR]
    clear_leftovers(folder, names, created.timestamp() - _LONGEST_WRITING_S)
    return [folder / name for name in names]


def _rows(sheet: CountSheet, table: Table) -> Sequence[Row]:
    rows: Sequence[Row] = getattr(sheet, table.name)
    return rows


def _described(passing: Mapping[str, Passing], created: datetime) -> Iterator[bytes]:
    """The descriptor; it is asked for when all tables have passed."""
    yield (json.dumps(describe(passing, created), indent=2, ensure_ascii=False) + "\n").encode()


@contextmanager
def _made(folder: Path) -> Iterator[None]:
    """Make a folder, with those that it lies in; if what is done in it fails, those that were made go again."""
    made = [each for each in (folder, *folder.parents) if not each.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        yield
    except BaseException:
        for each in made:
            with suppress(OSError):
                each.rmdir()  # only if it is empty
        raise


def read_count_sheet(folder: Path, *, changed: bool = False, whole_log: bool = True) -> CountSheet:
    """Read a count sheet back.

    Args:
        folder: where it lies.
        changed: also take tables that were changed since the export.
        whole_log: keep every row of the log; without it they are looked at all the same, and the earliest of each
            sitting are kept.

    Raises:
        DataError: no count sheet, of a newer format, changed, or a row breaks the schema; names file, line and column.
    """
    descriptor = _read_descriptor(folder)
    resources = descriptor.get("resources")
    listed = [each for each in resources if isinstance(each, dict)] if isinstance(resources, list) else []
    recorded = {str(resource.get("name")): resource for resource in listed}
    form = descriptor["sortbench"]["format"]
    tables: dict[str, Any] = {}
    for table in (table for table in TABLES if table.since <= form):
        path = folder / f"{table.name}.csv"
        if table.name not in recorded:
            raise DataError(f"{folder / DESCRIPTOR} names no table {table.name!r}.", "Export the count sheet again.")
        content = _read(path)
        if not changed and recorded[table.name].get("hash") != digest(content):
            raise DataError(
                f"{path} is not the table that was exported: it was changed, or an export was cut short.",
                "Export again, or say --changed if the change is meant.",
            )
        with no_garbage_collection():
            rows = decoded(table, content, path, form)
            tables[table.name] = tuple(rows if whole_log or table.row is not TallyRow else _earliest(rows))
    return CountSheet(**tables, format=form)


def _earliest(rows: Iterable[Any]) -> Iterable[TallyRow]:
    """Of the rows of a log the earliest of each sitting."""
    found: dict[str, TallyRow] = {}
    for row in rows:
        held = found.get(row.sitting)
        if held is None or row.at < held.at:
            found[row.sitting] = row
    return found.values()


def is_count_sheet(folder: Path) -> bool:
    """Whether a count sheet of ours, whole or not, lies in a folder."""
    try:
        return bool(_read_descriptor(folder))
    except DataError:
        return False


def _completed(sheet: CountSheet) -> CountSheet:
    """With a bare row for each part, shade, bin and target that is spoken of but not listed, so that every reference
    holds.
    """
    spoken: dict[str, set[Any]] = {"parts": set(), "shades": set(), "bins": set(), "targets": set()}
    for table in TABLES:
        for name, (other, _) in (table.refers or {}).items():
            spoken[other].update(getattr(row, name) for row in getattr(sheet, table.name))
    parts = spoken["parts"] - {row.code for row in sheet.parts} - {""}
    shades = spoken["shades"] - {row.name for row in sheet.shades} - {""}
    bins = spoken["bins"] - {row.bin for row in sheet.bins} - {""}
    targets = spoken["targets"] - {row.target for row in sheet.targets} - {""}
    return replace(
        sheet,
        parts=sheet.parts + tuple(PartRow(code, "", "", "", None, None, None, "") for code in sorted(parts)),
        shades=sheet.shades + tuple(ShadeRow(name, "", None, None, "") for name in sorted(shades)),
        bins=sheet.bins + tuple(_bare_bin(label, sheet.counts) for label in sorted(bins)),
        targets=sheet.targets + tuple(TargetRow.of(Target(code, "", rank=MAX_RANK), ()) for code in sorted(targets)),
    )


def _bare_bin(label: str, counts: Sequence[CountRow]) -> BinRow:
    pieces = sum(row.quantity for row in counts if row.bin == label)
    return BinRow.of(Bin(label), None, pieces)


@looking()
def _read_descriptor(folder: Path) -> dict[str, Any]:
    path = folder / DESCRIPTOR
    if not path.is_file():
        raise DataError(f"{folder} holds no count sheet: {DESCRIPTOR} is missing.", "Name the folder of an export.")
    try:
        found = json.loads(_read(path).decode("utf-8-sig"))
        form = found["sortbench"]["format"]
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise DataError(f"{path} does not describe a count sheet.", "Name the folder of an export.") from error
    if found.get("name") != NAME or type(form) is not int or form < 1:
        raise DataError(f"{path} does not describe a count sheet.", "Name the folder of an export.")
    if form > FORMAT:
        raise DataError(f"{path} has format {form}; this program reads up to {FORMAT}.", "Install a newer version.")
    return dict(found)


# The folder


@looking()
def require_room(folder: Path, overwrite: bool) -> None:
    """Make sure that a count sheet may be written into a folder.

    Raises:
        UsageError: it holds something else, is a bench, or a symbolic link stands in the way.
    """
    if folder.is_symlink():
        raise UsageError(f"{folder} is a symbolic link.", "Name the folder that it points to.")
    if not folder.exists():
        return
    if not folder.is_dir():
        raise UsageError(f"{folder} is a file.", "Name a folder.")
    if (folder / "bench.json").exists():
        raise UsageError(f"{folder} is a bench.", "Export into a folder of its own, for instance one inside it.")
    for name in (*(f"{table.name}.csv" for table in TABLES), DESCRIPTOR):
        path = folder / name
        if path.is_symlink() or (path.exists() and not path.is_file()):
            raise UsageError(f"{path} is not a plain file.", "Remove it or choose another folder.")
    held = next((entry.name for entry in folder.iterdir() if not entry.name.startswith(".")), None)
    if held is not None and not overwrite and not is_count_sheet(folder):
        raise UsageError(
            f"{folder} holds other things ({held[:40]}).", "Choose another folder, or say --overwrite to write into it."
        )


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(_LARGEST_TABLE + 1)
    except OSError as error:
        raise DataError(f"{path} cannot be read: {error.strerror or error}.", "Check the path.") from error
    if len(content) > _LARGEST_TABLE:
        raise DataError(f"{path} is larger than {_LARGEST_TABLE >> 20} MiB.", "This is no count sheet.")
    return content
