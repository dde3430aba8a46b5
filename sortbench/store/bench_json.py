"""The text of a bench file: TinyDB's layout, tables of numbered documents, one document a line."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sortbench.model.errors import BenchError, DataError

Tables = dict[str, dict[str, Any]]
"""Table name -> document number -> document."""

_ENCODE = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(", ", ": ")).encode
_SURROGATE = re.compile("[\ud800-\udfff]")


def parse_tables(path: Path, text: bytes) -> Tables:
    """The tables in the bytes of a bench file: table name -> document id -> document.

    Raises:
        BenchError: it is no such file.
    """
    try:
        tables = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise unreadable(path, f"it is no JSON ({error})") from error
    if not isinstance(tables, dict):
        raise unreadable(path, "it holds no tables")
    for name, table in tables.items():
        if not isinstance(table, dict) or not all(isinstance(document, dict) for document in table.values()):
            raise unreadable(path, f"the table {name[:40]!r} holds something else than documents")
        if not all(number.isascii() and number.isdecimal() for number in table):
            raise unreadable(path, f"the table {name[:40]!r} has a document without a number")
    return tables


def unreadable(path: Path, reason: str) -> BenchError:
    """The error for a bench file that cannot be understood."""
    return BenchError(
        f"{path} cannot be read: {reason}.",
        "Put a good copy of it in its place; the tallies lie in files of their own and are not touched by this.",
    )


def json_text(value: Any) -> str:
    """A value as JSON in one line.

    Raises:
        DataError: a value that JSON does not have.
    """
    try:
        return _ENCODE(value)
    except (TypeError, ValueError, RecursionError) as error:  # ValueError covers not-a-number
        raise DataError(f"The bench cannot be written: {error}.", "Nothing was changed.") from error


def rows_text(table: Mapping[Any, Any]) -> str:
    """A table as JSON with one document a line: quick to write, and a change shows as the lines that changed.

    Raises:
        DataError: a value that JSON does not have, or a lone surrogate, which is no character.
    """
    rows = ",\n".join(f"{json_text(str(number))}: {json_text(document)}" for number, document in table.items())
    if _SURROGATE.search(rows):
        raise DataError("The bench cannot be written: a text holds a lone surrogate.", "Nothing was changed.")
    return f"{{\n{rows}\n}}" if rows else "{}"
