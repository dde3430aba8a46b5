"""The targets screen: one target's head and its lines."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.engine.board import LineRow, TargetRow
from sortbench.tui.drawing.bench_rows import FULL, POINTER
from sortbench.tui.drawing.list_rows import headings, holds_words, searchable
from sortbench.tui.drawing.words import joined, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns, fill_bar

ASIDE = "set aside"
PERIODS = {True: "right", False: "wrong", None: "not known"}

_LINE = (
    Column(1),
    Column(1),
    Column(3, 4, align="right"),
    Column(1),
    Column(10, None),
    Column(6, 18, drop=1),
    Column(7, 11, align="right"),
    Column(7, 11, align="right"),
    Column(11, drop=3, align="right"),
    Column(9, drop=4),
    Column(8, 32, drop=2),
)
_NAMES = ("", "", "line", "", "part", "shade", "have/of", "short", "to standard", "period", "lies in")

EMPTY_TARGETS: tuple[Row, ...] = (
    (("No target yet: a target is a set that somebody wants to complete.", "text"),),
    (
        ("{targets.new}", "key"),
        (" makes one here, and ", "quiet"),
        ("{targets.write-up}", "key"),
        (" writes up its list at the bench.", "quiet"),
    ),
    (("{targets.add}", "key"), (" brings a list in from a file, or begins one from a manual.", "quiet")),
)
"""What to say where there are no targets."""


def head_rows(target: TargetRow, place: int, of: int, width: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """Which target it is, and how far it has got.

    Args:
        place: its place among the targets, from 0.
        of: how many targets there are.
    """
    year = f"{target.year}" if target.year else "year not known"
    top: Row = (
        ("‹ " if place else "  ", "key"),
        (target.code, "key"),
        (f" {target.name} ", "title"),
        (f"· {year} · rank {target.rank} · {place + 1} of {of}", "quiet"),
        (" ›" if place + 1 < of else "", "key"),
    )
    if not target.need:
        mend = keys.said("no list yet: {targets.write-up} writes it up at the bench")
        return clip(top, width), clip(((mend, "warning"),), width)
    room = max(min(width - 54, 40), 0)
    parts: list[Row] = [
        fill_bar(target.standard, target.present, target.need, room, target.possible) if room else (),
        ((f"{target.present:,}/{target.need:,}", "strong"),),
        ((f"short {target.short:,}", "text") if target.short else (f"{FULL} complete", "good"),),
        ((f"{target.standard:,} to standard", "text"),),
        ((f"{target.lines_complete}/{target.lines} lines", "quiet"),),
    ]
    return clip(top, width), clip(joined(parts), width)


def period_words(target: TargetRow) -> str:
    """Why pieces that are present are not to standard where nobody knows the years, and how to mend it."""
    if not target.period_unknown:
        return ""
    here = f"{plural(target.period_unknown, 'piece')} not to standard because"
    if target.year is None:
        return f"{here} the target's year is not known: import its list again with a year column."
    return f"{here} years are not known: import them with the parts and the shades."


def lines_in_view(lines: Sequence[LineRow], words: str, only_short: bool) -> tuple[LineRow, ...]:
    """The lines that hold all the words; only those with pieces missing where that is wanted."""
    return tuple(
        line
        for line in lines
        if (line.short or not only_short)
        and (not words or holds_words(searchable(line.name, line.kind.part, line.kind.shade, _places(line)), words))
    )


def line_headings(width: int) -> Row:
    """What the columns are called."""
    return headings(_LINE, _NAMES, width)


def line_row(line: LineRow, chosen: bool, width: int) -> Row:
    """One line of a target."""
    look = "chosen" if chosen else "text"
    below = line.standard < line.present
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (" " if line.short else FULL, "good"),
        (f"{line.number}", "quiet"),
        (swatch(line.rgb, line.kind.shade),),
        (line.name, look),
        (line.kind.shade, look),
        f"{line.present:,}/{line.need:,}",
        (f"{line.short:,}", "wanted") if line.short else ("–", "quiet"),
        (f"{line.standard:,}", "warning" if below else "text"),
        (PERIODS[line.period], "quiet" if line.period else "warning"),
        (_places(line) or "–", "key" if line.places else "quiet"),
    ]
    return columns(_LINE, cells, width)


def line_words(line: LineRow, year: int | None) -> str:
    """A line in full, for where its columns find no room."""
    year_words = f" for {year}" if year else ""
    return (
        f"line {line.number}: {line.name} · {line.kind.shade}: have {line.present:,} of {line.need:,}, "
        f"short {line.short:,}; {line.standard:,} to standard (grade {line.lowest.label} and better); "
        f"period {PERIODS[line.period]}{year_words}; " + (f"lies in {_places(line)}" if line.places else "none counted")
    )


def _places(line: LineRow) -> str:
    return ", ".join(f"{label or ASIDE} {pieces:,}" for label, pieces in line.places)
