"""What ``sortbench import`` shows: for people on standard error, for programs as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from sortbench.cli.context import FORMAT
from sortbench.desks.intake import FileIntake, IntakePreview, IntakeResult
from sortbench.model.text import shown

_LONGEST_VALUE = 60
_MOST_KEYS = 12


def narrator() -> Console:
    """The console for people: standard error, nothing in a text interpreted."""
    return Console(stderr=True, markup=False, emoji=False, highlight=False)


def show(console: Console, seen: IntakePreview, skip_bad: bool) -> None:
    """Show column matches, errors, what would be created and what would change."""
    for file in seen.files:
        _show_columns(console, file)
    for error in seen.errors:
        at = f"{error.file}:{error.line}"
        _say(console, "  ".join(part for part in (at, error.column, _quoted(error.value), error.reason) if part), "red")
    if skip_bad and seen.errors and not seen.unreadable:
        count = sum(file.refused_rows for file in seen.files)
        _say(console, f"{count} bad {'row' if count == 1 else 'rows'} would be left out.", "bold")
    plan = seen.plan
    sizes = {
        **{each.code: (each.name, len(each.lines), sum(line.quantity for line in each.lines)) for each in plan.targets},
        **{each.code: (each.name, len(each.lines), each.pieces) for each in plan.library},
    }
    _show_table(
        console,
        f"Parts to create ({len(plan.created_parts)})",
        ("code", "name", "family"),
        [(part.code, part.name, part.family) for part in plan.created_parts],
    )
    if plan.created_shades:
        count = len(plan.created_shades)
        _say(console, f"Shades to create ({count}): {'; '.join(shade.name for shade in plan.created_shades)}")
    _show_keys(console, f"New {_things(seen)}", [_sized(key, sizes) for key in plan.new])
    _show_table(
        console,
        f"Changed {_things(seen)} ({len(plan.changed)})",
        (_things(seen).removesuffix("s"), "field", "now", "then"),
        [(change.key, field.field, field.old, field.new) for change in plan.changed for field in change.fields],
    )
    if plan.unchanged:
        _say(console, f"Unchanged {_things(seen)}: {len(plan.unchanged)}")
    _show_keys(console, "Taken off the list", plan.removed)
    for note in plan.notes:
        _say(console, f"Note: {note}", "italic")


def _things(seen: IntakePreview) -> str:
    return "lists" if seen.what == "library" else seen.what


def _sized(key: str, sizes: Mapping[str, tuple[str, int, int]]) -> str:
    """A new list with its length: a wrong column of quantities is seen before anything is written."""
    if key not in sizes:
        return key
    called, lines, pieces = sizes[key]
    name = key if called == key else f"{key} {called}"
    return f"{name}, {lines:,} lines, {pieces:,} pieces"


def to_json(seen: IntakePreview, result: IntakeResult | None) -> str:
    """The same as an object, with what was done; ASCII only, so that no name can steer a terminal."""
    plan = seen.plan
    return json.dumps(
        {
            "format": FORMAT,
            "what": seen.what,
            "files": [_file_object(file) for file in seen.files],
            "create": {
                "parts": [{"code": p.code, "name": p.name, "family": p.family} for p in plan.created_parts],
                "shades": [{"name": shade.name} for shade in plan.created_shades],
            },
            "new": list(plan.new),
            "changed": [
                {"key": change.key, "field": field.field, "old": field.old, "new": field.new}
                for change in plan.changed
                for field in change.fields
            ],
            "unchanged": list(plan.unchanged),
            "removed": list(plan.removed),
            "notes": list(plan.notes),
            "same": seen.same,
            "written": bool(result and result.written),
            "refused": [shown(str(path)) for path in result.refused] if result else [],
        },
        indent=2,
    )


def _file_object(file: FileIntake) -> dict[str, Any]:
    return {
        "file": shown(str(file.path)),
        "encoding": file.table.encoding,
        "delimiter": file.table.delimiter,
        "rows": len(file.table.rows),
        "columns": [
            {"field": guess.field.name, "header": guess.header or None, "sure": guess.sure, "why": guess.why}
            for guess in file.match.guesses
        ],
        "unused": list(file.match.unused),
        "errors": [
            {"line": error.line, "column": error.column, "value": error.value, "reason": error.reason}
            for error in file.errors
        ],
    }


def _show_columns(console: Console, file: FileIntake) -> None:
    delimiter = {"\t": "tab"}.get(file.table.delimiter, file.table.delimiter)
    rows = f"{len(file.table.rows)} {'row' if len(file.table.rows) == 1 else 'rows'}"
    _say(console, f"{file.path}: {rows}, {file.table.encoding}, cells parted by {delimiter}", "bold")
    found = [g for g in file.match.guesses if g.index >= 0]
    rows_found = [(g.field.label, g.header, f"{g.sure} %", g.why) for g in found]
    _show_table(console, "", ("field", "column", "sure", "why"), rows_found)
    absent = [f"{g.field.label} ({g.field.name})" for g in file.match.guesses if g.index < 0]
    if absent:
        _say(console, f"Without a column: {', '.join(absent)}")
    if file.match.unused:
        _say(console, f"Columns not used: {', '.join(file.match.unused)}")


def _show_keys(console: Console, title: str, keys: Sequence[str]) -> None:
    if keys:
        more = f"; and {len(keys) - _MOST_KEYS} more" if len(keys) > _MOST_KEYS else ""
        _say(console, f"{title} ({len(keys)}): {'; '.join(keys[:_MOST_KEYS])}{more}")


def _show_table(console: Console, title: str, headers: Iterable[str], rows: Sequence[Sequence[str]]) -> None:
    if not rows:
        return
    table = Table(title=Text(title) if title else None, title_justify="left", box=None, pad_edge=False)
    for header in headers:
        table.add_column(Text(header), overflow="fold")
    for row in rows:
        table.add_row(*(Text(shown(cell)) for cell in row))
    console.print(table)


def _say(console: Console, text: str, style: str = "") -> None:
    console.print(Text(shown(text), style=style), soft_wrap=True)


def _quoted(value: str) -> str:
    if not value:
        return ""
    return f'"{value[:_LONGEST_VALUE]}…"' if len(value) > _LONGEST_VALUE else f'"{value}"'
