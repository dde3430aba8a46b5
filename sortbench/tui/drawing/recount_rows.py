"""The recount screen: what a second person noted, and once that is ended both counts side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.desks.recount_desk import entries_words
from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings
from sortbench.tui.drawing.words import condition, joined, plural, swatch
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns

if TYPE_CHECKING:
    from sortbench.desks.recount_desk import Compared, Comparison
    from sortbench.model.spot_check import Recount
    from sortbench.model.tally import Record

_NOTE = (Column(1), Column(6, align="right"), Column(1), Column(10, None), Column(6, 18, drop=2), Column(8, 22, drop=1))
_BOTH = (
    Column(1),
    Column(7, align="right"),
    Column(9, align="right"),
    Column(14),
    Column(1),
    Column(10, None),
    Column(6, 18, drop=2),
    Column(6, 22, drop=1),
)
_BOTH_NAMES = ("", "counted", "recounted", "", "", "part", "shade", "condition")

NOTED: Row = (("noted", "title"),)
NO_NOTES: tuple[Row, ...] = (
    (("Nothing is noted yet.", "text"),),
    (("{recount.note}", "key"), (" types what lies in the bin, for instance ", "quiet"), ("pl 2x4 red *3", "key")),
    (("The first count is not shown before the end.", "quiet"),),
)
NOT_BEGUN: tuple[Row, ...] = (
    (("A second person counts the bin without seeing the first count.", "text"),),
    (("Then both are compared, heap by heap and record by record.", "text"),),
    (("{recount.begin}", "key"), (" begins.", "text")),
)


def head_row(label: str, recount: Recount | None, pieces: int, comparison: Comparison | None, width: int) -> Row:
    """Which recount it is, and how it stands.

    Args:
        pieces: noted so far.
        comparison: both counts, once it is ended.
    """
    parts: list[Row] = [
        ((f"{recount.id} " if recount else "", "key"), ("recount of ", "quiet"), (label, "title")),
        ((f"by {recount.by}", "quiet"),) if recount and recount.by else (),
    ]
    if recount is not None and comparison is None:
        parts.append(((f"{plural(pieces, 'piece')} noted", "strong"),))
    if comparison is not None:
        differ = len(comparison.differing)
        parts += [
            ((f"{plural(comparison.agreeing, 'piece')} agree", "good"),),
            ((f"{plural(differ, 'heap')} differ" + ("s" if differ == 1 else ""), "warning"),) if differ else (),
            (("taken over", "held"),) if recount and recount.taken else (),
        ]
    return clip(joined(parts, " · "), width)


def note_row(record: Record, name: str, rgb: str, chosen: bool, width: int) -> Row:
    """Pieces that the second person noted."""
    cell = record.cell
    assert cell is not None, "records of a recount speak of pieces"
    look = "chosen" if chosen else "text"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (f"{record.quantity:,}", look),
        (swatch(rgb, cell.shade),),
        (name, look),
        (cell.shade, look),
        (condition(cell.grade, cell.flaws), "quiet"),
    ]
    return columns(_NOTE, cells, width)


def both_headings(width: int) -> Row:
    """What the columns of both counts are called."""
    return headings(_BOTH, _BOTH_NAMES, width)


def both_row(row: Compared, name: str, rgb: str, chosen: bool, width: int) -> Row:
    """One heap by both counts."""
    apart = bool(row.short or row.over)
    look = "chosen" if chosen else "text"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (f"{row.first:,}", look),
        (f"{row.second:,}", look),
        (row.held.value, "warning" if apart else "good"),
        (swatch(rgb, row.cell.shade),),
        (name, look),
        (row.cell.shade, look),
        (condition(row.cell.grade, row.cell.flaws), "quiet"),
    ]
    return columns(_BOTH, cells, width)


def both_words(row: Compared, name: str) -> str:
    """One heap in full, record by record."""
    what = f"{name}, {row.cell.shade}, {condition(row.cell.grade, row.cell.flaws)}"
    words = f"{what}: tallies {entries_words(row.of_first) or 'none'}; notes {entries_words(row.of_second) or 'none'}"
    if not all(entry.like for entry in (*row.of_first, *row.of_second)):
        words += " (?: none like it in the other count)"
    if (row.short or row.over) and row.kind_agrees:
        words += "; as many of the kind in both, so its condition differs"
    return words
