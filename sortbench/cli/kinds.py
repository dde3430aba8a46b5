"""Kinds as they are named on a command line: in words, as on an entry line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.board import ResultRow

TELL_APART = "Type more of what tells them apart"


def find_kind(bench: Bench, text: str) -> Kind:
    """The kind that words mean.

    Raises:
        DataError: nothing is called so, or two kinds match alike.
    """
    rows = bench.search(text).rows
    if not rows:
        raise DataError(f"Nothing is called {text[:60]!r}.", "Name part and shade, as in: plate 2x4 white")
    if len(rows) > 1 and rows[0].tie:
        raise DataError(either(rows[0], rows[1]), f"{TELL_APART}.")
    return rows[0].kind


def either(one: ResultRow, other: ResultRow) -> str:
    """Two kinds that match alike; by code where their names are the same."""
    if (one.name, one.kind.shade) == (other.name, other.kind.shade):
        return f"{one.name} in {one.kind.shade} could be part {one.kind.part} or part {other.kind.part}."
    return f"Could be {one.name} in {one.kind.shade} or {other.name} in {other.kind.shade}."
