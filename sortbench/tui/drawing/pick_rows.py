"""The pick list of a target: what to take from which bin, row by row, with a box to tick."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from rich.cells import cell_len

from sortbench.tui.drawing.bench_rows import FULL, POINTER
from sortbench.tui.drawing.list_rows import headings, holds_words, searchable
from sortbench.tui.drawing.reconcile_rows import STANDS_IN
from sortbench.tui.drawing.words import condition, joined, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, bar, clip, columns

if TYPE_CHECKING:
    from sortbench.engine.reconciling.pick_list import PickList, PickRow, Use

OPEN, PARTLY = "□", "◧"
"""The box of a row of which nothing was picked yet, and of one of which something is left."""
_NAMES = ("", "", "bin", "place", "take", "", "part", "shade", "grade", "line")
_MOST_PLACE = 24
_MOST_LINES = 3
"""Lines named in a row's column; the row told in full names all."""


def head_rows(picks: PickList, place: int, of: int, width: int) -> tuple[Row, ...]:
    """Which target it is, and how far its crate is filled.

    Args:
        place: the target's place among all, from 0.
        of: how many there are.
    """
    top: Row = (
        ("‹ " if place else "  ", "key"),
        (picks.code, "key"),
        (f" {picks.name} ", "title"),
        (f"· pick list · {place + 1} of {of}", "quiet"),
        (" ›" if place + 1 < of else "", "key"),
    )
    if picks.parked and not picks.rows:
        return clip(top, width), clip((("parked: it takes nothing for now", "warning"),), width)
    open_rows = [row for row in picks.rows if row.left]
    bins = len({row.cell.bin for row in open_rows if row.cell.bin})
    room = max(min(width - 60, 40), 0)
    done = picks.quantity - picks.left
    left: Row = ((f"{FULL} all picked", "good"),) if picks.quantity and not picks.left else ()
    if picks.left:
        left = ((f"{plural(picks.left, 'piece')} to take from {plural(bins, 'bin')}", "text"),)
    parts: list[Row] = [
        bar(done, picks.quantity, room) if room and picks.quantity else (),
        ((f"{done:,}/{picks.quantity:,} picked", "strong"),),
        left,
        ((f"{picks.short:,} short", "wanted"),) if picks.short else (),
        ((f"{picks.surplus:,} too many in the crate", "warning"),) if picks.surplus else (),
    ]
    return clip(top, width), clip(joined(parts), width)


def empty_rows(picks: PickList, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """What to say where there is nothing to pick."""
    if picks.parked:
        mend = keys.said("{reconcile.park} on the reconcile screen ({reconcile}) lets it take pieces again.")
        return (((f"{picks.name} is parked: {mend}", "text"),),)
    return (((f"Nothing that was counted so far is for {picks.name}.", "text"),),)


def rows_in_view(rows: Sequence[PickRow], words: str, only_open: bool) -> tuple[PickRow, ...]:
    """The rows that hold all the words; only those with something left to take where that is wanted."""
    return tuple(row for row in rows if (row.left or not only_open) and (not words or holds_words(_text(row), words)))


def _text(row: PickRow) -> str:
    lines = [f"line {use.line}" for use in row.uses]
    return searchable(
        row.name, row.kind.part, row.kind.shade, row.where, row.place, condition(row.grade, row.flaws), *lines
    )


def layout_of(rows: Sequence[PickRow]) -> tuple[Column, ...]:
    """Columns as wide as what stands in them needs; the name of the part has the rest."""

    def fitted(texts: Iterable[str], least: int, most: int) -> int:
        return max(least, min(max((cell_len(text) for text in texts), default=0), most))

    return (
        Column(1),
        Column(1),
        Column(fitted((row.where for row in rows), 3, 14)),
        Column(5, fitted((row.place for row in rows), 5, _MOST_PLACE), drop=2),
        Column(fitted((_take(row) for row in rows), 4, 12), align="right"),
        Column(1),
        Column(8, 44),
        Column(6, 18, drop=1),
        Column(fitted((condition(row.grade, row.flaws) for row in rows), 5, 18)),
        Column(fitted((_lines(row.uses) for row in rows), 4, 16), drop=3),
    )


def pick_headings(layout: tuple[Column, ...], width: int) -> Row:
    """What the columns are called."""
    return headings(layout, _NAMES, width)


def pick_row(layout: tuple[Column, ...], row: PickRow, chosen: bool, width: int) -> Row:
    """One row: its box, the bin, and what to take."""
    look = "chosen" if chosen else ("quiet" if row.ticked else "text")
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (_box(row), "good" if row.ticked else "key"),
        (row.where, "quiet" if row.ticked else "key"),
        (row.place, "quiet"),
        (_take(row), "quiet" if row.ticked else "strong"),
        (swatch(row.rgb, row.kind.shade),),
        ((f"{STANDS_IN} ", "present"), (row.name, look)) if row.stands_in else (row.name, look),
        (row.kind.shade, look),
        (condition(row.grade, row.flaws), "quiet"),
        (_lines(row.uses), "quiet"),
    ]
    return columns(layout, cells, width)


def _box(row: PickRow) -> str:
    if row.ticked:
        return FULL
    return PARTLY if row.picked else OPEN


def _take(row: PickRow) -> str:
    if row.ticked:
        return f"{row.picked:,}"
    return f"{row.left:,} of {row.quantity:,}" if row.picked else f"{row.left:,}"


def _lines(uses: Sequence[Use]) -> str:
    numbers = list(dict.fromkeys(use.line for use in uses))
    return ", ".join(map(str, numbers[:_MOST_LINES])) + ("…" if len(numbers) > _MOST_LINES else "")


def row_words(row: PickRow) -> str:
    """A row in full, for where its columns find no room."""
    place = f" ({row.place})" if row.place else ""
    what = f"{row.name} · {row.kind.shade}, grade {condition(row.grade, row.flaws)}"
    parts = []
    if row.left:
        parts.append(f"take {row.left:,} {what} from {row.where}{place}")
    if row.picked:
        more = "" if row.left else f" {what}"
        parts.append(
            f"{row.picked:,}{more} picked from {row.where}" if row.where != "the crate" else _in_crate(row, more)
        )
    if row.surplus > 0:
        parts.append(f"{row.surplus:,} of them no line needs")
    return "; ".join([*parts, *(_use_words(use) for use in row.uses)])


def _in_crate(row: PickRow, what: str) -> str:
    return f"{row.picked:,}{what} counted into the crate"


def _use_words(use: Use) -> str:
    words = f"{use.quantity:,} for line {use.line}"
    if use.cost:
        words += f", standing in for {use.wanted_name} · {use.wanted.shade}"
    return words if use.standard else f"{words}, not to standard"
