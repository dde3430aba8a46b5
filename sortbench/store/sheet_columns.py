"""Tables of a count sheet as CSV: values held against their columns, and written as cells.

Most values of a column stand in it again and again, so each is looked at and put into its cell once, as long as there
are not too many; and rows are written a batch at a time, column by column, so that a long log is never held whole.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from itertools import islice

from sortbench.model.errors import DataError
from sortbench.model.sheet import Row
from sortbench.model.sheet_cells import Value
from sortbench.model.sheet_tables import Column, Table
from sortbench.store.tables import guard_formula

_BATCH = 4096  # rows; some 500 kB of a log
MOST_KNOWN = 1 << 16
"""Values that are remembered of one column."""
_UNSOUND = re.compile("[\0\ud800-\udfff]")  # NUL, and halves of surrogate pairs, which UTF-8 cannot hold
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z")
_QUOTE = '"'
_QUOTED = re.compile('[",\r\n]')  # RFC 4180, 2.6
_HASHES = "q"  # 64 bits, with a sign


def encoded(table: Table, rows: Collection[Row], progress: Callable[[int], None]) -> Iterator[bytes]:
    """The file of a table, bit by bit.

    Args:
        table: what its columns hold.
        rows: gone through once; once more where one is not as it must be, to say which.
        progress: told after each batch how many rows that was.

    Raises:
        DataError: a row breaks the schema; what was given before is then not to be used.
    """
    columns = [_Cells(table.columns[name]) for name in table.headers]
    keys, places = Hashes(), [table.headers.index(name) for name in table.key]
    yield _lines([table.headers])
    left = iter(rows)
    while batch := list(islice(left, _BATCH)):
        by_column: list[tuple[Value, ...]] = list(zip(*batch, strict=True))
        try:
            cells = [column.of(values) for column, values in zip(columns, by_column, strict=True)]
        except DataError:
            _look_closely(table, rows)
            raise
        if places:
            keys.add_all(zip(*(by_column[place] for place in places), strict=True))
        yield _lines(zip(*cells, strict=True))
        progress(len(batch))
    if keys.doubled():
        _look_closely(table, rows)


def require(column: Column, value: Value, where: str) -> None:
    """Hold a value against its column.

    Raises:
        DataError: the column does not allow it.
    """
    if value is None or value == "":
        if column.required:
            raise DataError(f"{where}: the cell is empty.", "It must be filled.")
        return
    if column.choices and value not in column.choices:
        hint = "A spreadsheet turns 4-5 into a date; read the column as text." if "4-5" in column.choices else ""
        raise DataError(
            f"{where}: {str(value)[:40]!r} is none of {', '.join(column.choices)}.", hint or "Use one of these."
        )
    if column.pattern and not re.fullmatch(column.pattern, str(value)):
        raise DataError(f"{where}: {str(value)[:40]!r} is not of the form wanted.", f"Wanted is {column.pattern}.")
    if column.type == "string" and _UNSOUND.search(str(value)):
        raise DataError(f"{where}: a character that does not belong into a text.", "Remove it.")
    if column.type == "datetime" and not _TIME.fullmatch(str(value)):
        raise DataError(f"{where}: {str(value)[:40]!r} is no time in UTC.", "Write it as 2026-03-01T09:30:00Z.")
    if isinstance(value, int | float) and not isinstance(value, bool):
        low = column.minimum is not None and not value >= column.minimum
        if low or (column.maximum is not None and not value <= column.maximum):
            bounds = f"{column.minimum} or more" if low else f"{column.maximum} at most"
            raise DataError(f"{where}: {value} is out of bounds.", f"It must be {bounds}.")


def require_once(table: Table, row: Row, number: int, seen: dict[tuple[Value, ...], int], where: str) -> None:
    """Make sure that no row had the key of this one.

    Args:
        number: of the row, as errors give it.
        seen: numbers of the rows up to here by their keys; this row's is added.

    Raises:
        DataError: one had.
    """
    if not table.key:
        return
    key = tuple(getattr(row, name) for name in table.key)
    if key in seen:
        named = ", ".join(str(value) for value in key if value not in ("", None))
        raise DataError(f"{where}: {named} stands already in {seen[key]}.", "Each may stand once.")
    seen[key] = number


def _look_closely(table: Table, rows: Iterable[Row]) -> None:
    """Find the first row that breaks the schema, one by one: slow, and needed only for the words of the error."""
    seen: dict[tuple[Value, ...], int] = {}
    for number, row in enumerate(rows, 1):
        where = f"{table.title}, row {number}"
        for name, value in zip(table.headers, row, strict=True):
            require(table.columns[name], value, f"{where}, column {name}")
        require_once(table, row, number, seen, where)


def _lines(rows: Iterable[Sequence[str]]) -> bytes:
    return "".join([f"{','.join(row)}\r\n" for row in rows]).encode()


class _Cells(dict[Value, str]):
    """The cells of one column by their values; one that is not known yet is held against the column first.

    Raises:
        DataError: by looking one up: the column does not allow it. Where it stands is not said.
    """

    def __init__(self, column: Column) -> None:
        super().__init__()
        self._column = column
        # 1 and 1.0 are one key, and so are 0.0 and -0.0, but no two of them are written alike.
        self._looked_up = column.type != "number"

    def of(self, values: Iterable[Value]) -> Iterable[str]:
        """The cells of some values."""
        if not self._looked_up:
            required = self._column.required
            return ["" if value is None and not required else self.__missing__(value) for value in values]
        if len(self) > MOST_KNOWN:
            self.clear()
        return list(map(self.__getitem__, values))

    def __missing__(self, value: Value) -> str:
        require(self._column, value, "")
        found = _cell(value)
        if self._looked_up:
            self[value] = found
        return found


def _cell(value: Value) -> str:
    """A value as RFC 4180 writes it, formulas guarded."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str):
        return repr(value)
    text = guard_formula(value)
    return f'"{text.replace(_QUOTE, 2 * _QUOTE)}"' if _QUOTED.search(text) else text


class Hashes:
    """Whether a key stands twice, told by the hashes of all keys: 8 bytes a row, where the keys would be 200."""

    def __init__(self) -> None:
        self._hashes = array(_HASHES)

    def add(self, key: object) -> None:
        """Take in one more key."""
        self._hashes.append(hash(key))

    def add_all(self, keys: Iterable[object]) -> None:
        """Take in more of them."""
        self._hashes.extend(map(hash, keys))

    def doubled(self) -> bool:
        """Whether it may be that one does: two of a million keys have the same hash once in 37 million times."""
        in_order = sorted(self._hashes)
        return any(map(int.__eq__, in_order, islice(in_order, 1, None)))
