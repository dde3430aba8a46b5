"""Delimited tables in and out: CSV files as people have them, and as RFC 4180 writes them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from sortbench.model.errors import DataError, WriteError
from sortbench.model.text import shown
from sortbench.store.durable import replace_file
from sortbench.store.encoding import decode

MAX_BYTES = 64 * 1024 * 1024
"""Largest file read, in bytes: some hundred thousand rows; above it a wrong file is likelier than a list."""

MAX_COLUMNS = 300
"""Most columns read; lists of pieces have a dozen or two, and each is held against all that a column may mean."""

DELIMITERS = (",", ";", "\t", "|")
"""Delimiters told apart by themselves; any other one is named by a first line ``sep=`` and the character."""

_SNIFFED_RECORDS = 60
_SEP_LINE = re.compile(r"sep=([^\w\s\"']|\t)(?:\r\n|\r|\n)")
# Characters that start a formula in a spreadsheet, full-width forms included (OWASP, "CSV Injection").
_FORMULA = re.compile("'*[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
_PLAIN_HEADER = re.compile(r"(?!sep=)[\w .()-]*")


class Row(NamedTuple):
    """One record of a table.

    Attributes:
        number: the line of the file on which it starts, from 1; a quoted line break makes a record span several.
        cells: as written, formula guards undone; may be fewer or more than the headers.
    """

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A file taken apart.

    Attributes:
        headers: the first record, outer blanks dropped, each different from all others and none empty.
        rows: the records after it; those without a single filled cell are left out.
        encoding: ``utf-8``, ``utf-8 with mark``, ``utf-16-le``, ``utf-16-be`` or ``windows-1252``.
        delimiter: the character between cells.
    """

    headers: tuple[str, ...]
    rows: tuple[Row, ...]
    encoding: str
    delimiter: str


def guard_formula(cell: str) -> str:
    """The cell with an apostrophe before it where a spreadsheet would run it as a formula.

    A cell that already reads like a guarded one gets one more, so that `unguard` brings back every text.
    """
    return f"'{cell}" if _FORMULA.match(cell) else cell


def unguard(cell: str) -> str:
    """The cell as it was before `guard_formula`."""
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def read_table(path: Path) -> Table:
    """Read a file of delimited text; encoding and delimiter are found out.

    Raises:
        DataError: not readable, too large, not text, no header, or quoted in a way that RFC 4180 does not know.
    """
    return parse_table(_read_bytes(path), shown(path.name))


def parse_table(data: bytes, name: str) -> Table:
    """As `read_table`, from bytes.

    Args:
        data: the content of the file.
        name: what the errors call it.

    Raises:
        DataError: as `read_table`.
    """
    text, encoding = decode(data, name)
    first_line = 1
    named = _SEP_LINE.match(text)
    if named:
        delimiter, text, first_line = named.group(1), text[named.end() :], 2
    else:
        delimiter = _sniff(text)
    records = _records(text, delimiter, name, first_line)
    header = next(records, None)
    if header is None:
        raise DataError(f"{name} holds no header line.", "The first line must name the columns.")
    if len(header.cells) > MAX_COLUMNS:
        raise DataError(
            f"{name}, line {header.number}: {len(header.cells):,} columns; at most {MAX_COLUMNS} are read.",
            "Check the path: this is hardly a list of pieces.",
        )
    return Table(_tell_apart(header.cells), tuple(records), encoding, delimiter)


def write_table(path: Path, headers: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Write a table as `table_bytes` has it; the old file stands until the new one is whole and on disk.

    Raises:
        DataError: as `table_bytes`.
        WriteError: the disk refused.
        BenchError: the path is a link.
    """
    data = table_bytes(headers, rows)
    try:
        replace_file(path, data)
    except OSError as error:
        raise WriteError(f"{shown(str(path))} cannot be written: {error.strerror or error}.") from error


def table_bytes(headers: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """A table as RFC 4180 has it (CRLF, comma, UTF-8), formulas guarded; `parse_table` brings every cell back.

    Raises:
        DataError: a cell holds a NUL or half a surrogate pair, which no reader of text would take.
    """
    text = io.StringIO(newline="")
    # A quoted header leaves no doubt which of its characters is the delimiter.
    plain = all(map(_PLAIN_HEADER.fullmatch, headers))
    csv.writer(text, quoting=csv.QUOTE_MINIMAL if plain else csv.QUOTE_ALL).writerow(map(guard_formula, headers))
    csv.writer(text).writerows(map(guard_formula, row) for row in rows)
    whole = text.getvalue()
    if "\0" in whole:
        raise DataError("A cell holds a NUL character, which cannot be written.", "Remove it.")
    try:
        return whole.encode()
    except UnicodeEncodeError as error:
        code = ord(whole[error.start])
        raise DataError(
            f"A cell holds U+{code:04X}, which is no character and cannot be written.", "Remove it."
        ) from None


def _read_bytes(path: Path) -> bytes:
    name = shown(str(path))
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise DataError(f"There is no file {name}.", "Check the path.") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise DataError(f"{name} cannot be read: {reason}.") from None
    if len(data) > MAX_BYTES:
        raise DataError(f"{name} is larger than {MAX_BYTES // 1024 // 1024} MiB.", "Split it, or check the path.")
    return data


def _records(text: str, delimiter: str, name: str, first_line: int = 1) -> Iterator[Row]:
    """Records with at least one filled cell, each with the line it starts on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    while True:
        start = reader.line_num + first_line
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise DataError(f"{name}, line {start}: {_plainly(error, delimiter)}.", _MEND_QUOTES) from None
        if cells is None:
            return
        # The csv module has such a limit too, but any library may have lifted it for the whole process.
        if any(len(cell) > MAX_CELL for cell in cells):
            raise DataError(f"{name}, line {start}: {_TOO_LONG}.", _MEND_QUOTES)
        if any(cell.strip() for cell in cells):
            yield Row(start, tuple(map(unguard, cells)))


MAX_CELL = 131_072
"""Longest cell, in characters: a quote mark that is never closed swallows the rest of the file."""
_TOO_LONG = f"a cell is longer than {MAX_CELL} characters, or its quote mark is never closed"
_MEND_QUOTES = "A cell that holds a quote mark is put in quote marks and its own are doubled."


def _plainly(error: csv.Error, delimiter: str) -> str:
    text = str(error)
    if "unexpected end" in text:
        return "a quoted cell that starts in this record is never closed"
    if "field limit" in text:
        return _TOO_LONG
    if "expected after" in text:
        return f"after a closing quote mark comes neither {delimiter!r} nor the end of the line"
    return shown(text)


def _sniff(text: str) -> str:
    """The delimiter that splits the first records most alike; a comma where none splits the header at all.

    A delimiter must stand in the header. Records as wide as the header speak for it, shorter ones half, longer ones not
    at all; among equals the one that makes more columns wins, then the order of `DELIMITERS`. A delimiter that breaks
    the quoting is out, unless all do.
    """
    for strict in (True, False):
        scored = [(score, -order) for order, mark in enumerate(DELIMITERS) if (score := _alike(text, mark, strict))]
        if scored:
            return DELIMITERS[-max(scored)[1]]
    return ","


def _alike(text: str, delimiter: str, strict: bool) -> tuple[float, int] | None:
    """How alike the records are (0 to 1) and how wide the header; None if the delimiter cannot be the one."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=strict)
    widths: list[int] = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                widths.append(len(cells))
            if len(widths) > _SNIFFED_RECORDS:
                break
    except csv.Error:
        return None
    if not widths or widths[0] == 1:
        return None
    header, *rest = widths
    alike = sum(1.0 if width == header else 0.5 if 1 < width < header else 0.0 for width in rest)
    return (alike / len(rest) if rest else 1.0), header


def _tell_apart(cells: Sequence[str]) -> tuple[str, ...]:
    """Headers made different: a blank one gets its place for a name, a second ``Name`` becomes ``Name (2)``."""
    wanted = [" ".join(cell.split()) or f"column {place}" for place, cell in enumerate(cells, 1)]
    headers: dict[str, None] = {}
    for header in wanted:
        name, turn = header, 2
        while name in headers or (turn > 2 and name in wanted):
            name, turn = f"{header} ({turn})", turn + 1
        headers[name] = None
    return tuple(headers)
