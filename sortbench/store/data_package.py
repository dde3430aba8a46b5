"""What a count sheet says of itself: the descriptor of a tabular data package.

Data Package, Tabular Data Resource and Table Schema, version 1 (https://specs.frictionlessdata.io), which readers of
version 2 accept too.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime
from typing import Any

from sortbench import __version__
from sortbench.model.sheet_cells import FORMAT
from sortbench.model.sheet_tables import TABLES, Column, Table

NAME = "sortbench-count-sheet"


class Passing:
    """Bytes on their way into a file: counted, and their digest taken as they pass.

    Attributes:
        bytes: how many passed.
    """

    def __init__(self) -> None:
        self.bytes = 0
        self._hash = hashlib.sha256()

    def through(self, content: Iterable[bytes]) -> Iterator[bytes]:
        """Some content, as it is."""
        for data in content:
            self.bytes += len(data)
            self._hash.update(data)
            yield data

    @property
    def digest(self) -> str:
        """SHA-256 of what passed, as the standard writes it: algorithm, colon, hex digits."""
        return "sha256:" + self._hash.hexdigest()


def describe(contents: Mapping[str, Passing], created: datetime) -> dict[str, Any]:
    """The descriptor of a count sheet.

    Args:
        contents: what passed into every table's file, by table name.
        created: with a time zone.
    """
    return {
        "profile": "tabular-data-package",
        "name": NAME,
        "title": "Count sheet",
        "description": (
            "Pieces counted at a sorting bench, how far each target is filled, and the log behind the figures. "
            "A text that a spreadsheet would run as a formula has an apostrophe before it."
        ),
        "created": created.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "sortbench": {"format": FORMAT, "version": __version__},
        "resources": [
            {
                "profile": "tabular-data-resource",
                "name": table.name,
                "title": table.title,
                "path": f"{table.name}.csv",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "bytes": contents[table.name].bytes,
                "hash": contents[table.name].digest,
                "dialect": {
                    "delimiter": ",",
                    "lineTerminator": "\r\n",
                    "quoteChar": '"',
                    "doubleQuote": True,
                    "skipInitialSpace": False,
                    "header": True,
                },
                "schema": _schema(table),
            }
            for table in TABLES
        ],
    }


def _schema(table: Table) -> dict[str, Any]:
    schema: dict[str, Any] = {
        "fields": [_field(name, table.columns[name]) for name in table.headers],
        "missingValues": [""],
    }
    if table.key:
        schema["primaryKey"] = list(table.key)
    if table.refers:
        schema["foreignKeys"] = [
            {"fields": field, "reference": {"resource": resource, "fields": other}}
            for field, (resource, other) in table.refers.items()
        ]
    return schema


def _field(name: str, column: Column) -> dict[str, Any]:
    constraints: dict[str, Any] = {}
    if column.required:
        constraints["required"] = True
    if column.minimum is not None:
        constraints["minimum"] = column.minimum
    if column.maximum is not None:
        constraints["maximum"] = column.maximum
    if column.choices:
        constraints["enum"] = list(column.choices)
    if column.pattern:
        constraints["pattern"] = column.pattern
    field: dict[str, Any] = {"name": name, "type": column.type, "description": column.meaning}
    if constraints:
        field["constraints"] = constraints
    return field


def digest(content: bytes) -> str:
    """SHA-256 of a file's content, as `Passing.digest` has it."""
    passing = Passing()
    for _ in passing.through((content,)):
        pass
    return passing.digest
