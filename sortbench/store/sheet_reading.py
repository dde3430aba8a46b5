"""Tables of a count sheet read back, row by row; each cell that stands in a column again and again is read once."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator
from operator import itemgetter
from pathlib import Path

from sortbench.model.errors import DataError
from sortbench.model.sheet import Row
from sortbench.model.sheet_cells import Value
from sortbench.model.sheet_tables import Column, Table
from sortbench.store.sheet_columns import MOST_KNOWN, Hashes, require, require_once
from sortbench.store.tables import unguard


def decoded(table: Table, content: bytes, path: Path, form: int) -> Iterator[Row]:
    """The rows of a table; columns that its format did not have yet are left at their defaults.

    Args:
        content: of the file.
        path: of the file, for errors.
        form: format of the sheet.

    Raises:
        DataError: not UTF-8 or no CSV, other columns, or a row breaks the schema; rows that were given before are then
            not to be used.
    """
    keys = Hashes()
    key_of = itemgetter(*map(table.headers.index, table.key)) if table.key else None
    for _, row in _rows(table, content, path, form):
        if key_of is not None:
            keys.add(key_of(row))
        yield row
    if keys.doubled():
        seen: dict[tuple[Value, ...], int] = {}
        for line, row in _rows(table, content, path, form):
            require_once(table, row, line, seen, f"{path}, line {line}")


def _rows(table: Table, content: bytes, path: Path, form: int) -> Iterator[tuple[int, Row]]:
    """Every row, and the line on which it begins."""
    reader = csv.reader(io.TextIOWrapper(io.BytesIO(content), "utf-8-sig", newline=""), strict=True)
    try:
        headers = tuple(next(reader, ()))
        wanted = tuple(name for name in table.headers if table.columns[name].since <= form)
        if headers != wanted:
            raise DataError(
                f"{path}, line 1: the columns are not those of this table.", f"They are: {', '.join(wanted)}."
            )
        columns = [_Values(table.columns[name]) for name in headers]
        line = reader.line_num + 1
        for cells in reader:
            if len(cells) != len(headers):
                raise DataError(
                    f"{path}, line {line}: {len(cells)} cells where {len(headers)} belong.", "Mend the row."
                )
            try:
                values = [column[cell] for column, cell in zip(columns, cells, strict=True)]
            except DataError:
                for name, cell in zip(headers, cells, strict=True):
                    _value(table.columns[name], cell, f"{path}, line {line}, column {name}")
                raise
            yield line, table.row(*values)  # type: ignore[arg-type]  # the columns say which type stands where
            line = reader.line_num + 1
    except csv.Error as error:
        raise DataError(f"{path}, line {reader.line_num}: {error}.", "Save the table as plain CSV.") from error
    except UnicodeDecodeError:
        raise _not_utf8(content, path) from None


def _not_utf8(content: bytes, path: Path) -> DataError:
    """The error for a file that is not in UTF-8; where, only the whole of it tells."""
    try:
        content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return DataError(f"{path}, byte {error.start}: not UTF-8.", "Save the table as CSV in UTF-8.")
    raise AssertionError("a part of it was not")


class _Values(dict[str, Value]):
    """The values of a column by their cells.

    Raises:
        DataError: by looking one up: the column does not allow it. Where it stands is not said.
    """

    def __init__(self, column: Column) -> None:
        super().__init__()
        self._column = column

    def __missing__(self, cell: str) -> Value:
        if len(self) > MOST_KNOWN:
            self.clear()
        value = self[cell] = _value(self._column, cell, "")
        return value


def _value(column: Column, cell: str, where: str) -> Value:
    """What a cell says.

    Raises:
        DataError: its column does not allow it.
    """
    value: Value
    try:
        if column.type == "string":
            value = unguard(cell)
        elif cell == "":
            value = None
        elif column.type == "integer":
            if not re.fullmatch(r"-?[0-9]{1,18}", cell):
                raise ValueError
            value = int(cell)
        elif column.type == "number":
            value = float(cell)
            if not math.isfinite(value):
                raise ValueError
        elif column.type == "boolean":
            value = {"true": True, "false": False}[cell.lower()]
        else:
            value = cell
    except (ValueError, KeyError):
        raise DataError(f"{where}: {cell[:40]!r} is no {column.type}.", "Mend the cell.") from None
    require(column, value, where)
    return value
