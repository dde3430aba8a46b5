"""What pasted lines would do, one by one, before any of them is taken."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sortbench.engine.board import PastedRow, Results
from sortbench.engine.entry import parse
from sortbench.model.errors import DataError

HELD = "held for the lines below"
AS_ABOVE = "of the line above"


def pasted_rows(lines: Sequence[str], search: Callable[[str], Results]) -> tuple[PastedRow, ...]:
    """What each line means as things are now; nothing is said where a line above changes what is held or in hand.

    Args:
        lines: the pasted lines, none of them blank.
        search: what a line finds. Never raises.
    """
    rows: list[PastedRow] = []
    held = False
    for line in lines:
        row, holds = _row(line, first=not rows, held=held, search=search)
        rows.append(row)
        held = held or holds
    return tuple(rows)


def _row(line: str, first: bool, held: bool, search: Callable[[str], Results]) -> tuple[PastedRow, bool]:
    """A line's row, and whether it changes what is held."""
    if line.strip().startswith("@"):
        return PastedRow(line, HELD), True
    try:
        entry = parse(line)
    except DataError as error:
        return PastedRow(line, str(error), wrong=True), False
    found = search(line)
    if entry.hold:
        return PastedRow(line, found.error or HELD, bool(found.error)), not found.error
    if not entry.words and not first:
        return PastedRow(line, f"{entry.quantity or 1} more {AS_ABOVE}"), False
    if held:
        return PastedRow(line, ""), False
    if found.rows:
        best = found.rows[0]
        return PastedRow(line, f"{entry.quantity or 1} × {best.name} · {best.kind.shade}"), False
    return PastedRow(line, found.error or found.enter or found.note, bool(found.error)), False
