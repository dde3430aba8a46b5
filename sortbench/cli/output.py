"""Answers on standard output: JSON for programs, tables for people."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from itertools import islice
from typing import Any, NamedTuple

from sortbench.cli.context import FORMAT
from sortbench.cli.say import say
from sortbench.model.sheet import Row
from sortbench.model.text import shown

_BATCH = 256  # rows written at once
_MOST_KNOWN = 1 << 16  # texts remembered


class Heading(NamedTuple):
    """A column of a table for people; numbers stand to the right, ``wide`` ones give way on a narrow terminal."""

    title: str
    number: bool = False
    wide: bool = False


def answer_json(what: str, rows: Iterable[Row]) -> None:
    """Print rows as ``--json`` has them: an object with a format, what the rows are, and the rows by column name."""
    write(f'{{\n "format": {FORMAT},\n "what": {json.dumps(what)},\n "rows": [')
    texts = _Texts()
    left, between = iter(rows), ""
    while batch := list(islice(left, _BATCH)):  # a log may have a million rows: too many to be held
        write(between + ",".join([_as_json(row, texts) for row in batch]))
        between = ","
        if len(texts) > _MOST_KNOWN:
            texts.clear()
    write("\n ]\n}\n" if between else "]\n}\n")


class _Texts(dict[str, str]):
    """Texts of cells as JSON has them; most of them stand in row after row."""

    def __missing__(self, text: str) -> str:
        found = self[text] = json.dumps(text or None)
        return found


def _as_json(row: Row, texts: _Texts) -> str:
    """A row as `json.dumps` would write `as_mapping` of it in its place."""
    fields = [
        f'   "{name}": {texts[value] if isinstance(value, str) else json.dumps(value) if value is not None else "null"}'
        for name, value in zip(row._fields, row, strict=True)
    ]
    return "\n  {\n" + ",\n".join(fields) + "\n  }"


def answer_mappings(what: str, rows: Sequence[dict[str, Any]]) -> None:
    """As `answer_json`, for rows that are no rows of the count sheet."""
    # ASCII only: what a terminal would take for a command reaches it escaped.
    write(json.dumps({"format": FORMAT, "what": what, "rows": rows}, indent=1) + "\n")


def write(text: str) -> None:
    """Data on standard output, as it is."""
    sys.stdout.write(text)


def answer_table(headings: Sequence[Heading], rows: Sequence[Sequence[str]], nothing: str) -> None:
    """Print a table: Rich on a terminal, plain aligned text elsewhere; ``nothing`` is said where there are no rows."""
    if not rows:
        say(nothing)
        return
    safe = [[shown(cell) for cell in row] for row in rows]
    if sys.stdout.isatty():
        _rich(headings, safe)
    else:
        _plain(headings, safe)


def _rich(headings: Sequence[Heading], rows: Sequence[Sequence[str]]) -> None:
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=SIMPLE_HEAD, pad_edge=False, header_style="bold")
    for heading in headings:
        table.add_column(
            Text(heading.title),
            justify="right" if heading.number else "left",
            no_wrap=not heading.wide,
            overflow="fold" if heading.wide else "ellipsis",
        )
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    Console(file=sys.stdout, highlight=False, markup=False, emoji=False).print(table)


def _plain(headings: Sequence[Heading], rows: Sequence[Sequence[str]]) -> None:
    from rich.cells import cell_len

    lines = [[heading.title for heading in headings], *rows]
    widths = [max(cell_len(line[column]) for line in lines) for column in range(len(headings))]
    for line in lines:
        cells = []
        for cell, width, heading in zip(line, widths, headings, strict=True):
            blank = " " * (width - cell_len(cell))
            cells.append(blank + cell if heading.number else cell + blank)
        write("  ".join(cells).rstrip() + "\n")


def number(value: float | None) -> str:
    """A figure for a table: empty for none, whole numbers without a point."""
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
