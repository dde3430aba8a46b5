"""The screen of sets in the lot: what was counted, what to look for next, and a row for each likely set."""

from __future__ import annotations

from collections.abc import Callable

from sortbench.engine.identify.lot_view import (
    NOTHING_SEEN,
    LotView,
    Standing,
    complete_words,
    evidence_words,
    percent,
    sought_words,
)
from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings, holds_words, searchable, wrapped
from sortbench.tui.drawing.words import joined, plural
from sortbench.tui.widgets.rows import Column, Row, Span, bar, clip, columns

_LIKELY, _DOUBTFUL = 0.9, 0.1
_BAR = 8
_WIDE = 100  # columns from which there is room for more than one kind to look for
_LAYOUT = (
    Column(1),
    Column(5, 12),
    Column(10, 28),
    Column(7, 7, align="right"),
    Column(_BAR, _BAR, drop=2),
    Column(14, 16, align="right"),
    Column(10, 14, align="right", drop=1),
    Column(9, 14, align="right", drop=3),
    Column(20, None, drop=4),
)
_NAMES = ("", "set", "name", "chance", "", "complete", "lines seen", "pieces", "what tells")

READING: tuple[Row, ...] = ((("Holding what was counted against the lists …", "present"),),)
NO_LISTS: tuple[Row, ...] = (
    (("There is no list to hold the pile against.", "warning"),),
    (("`sortbench import library FILE` brings lists of sets in; {targets.add} on the", "text"),),
    (("targets screen ({targets}) a set that is to be completed.", "text"),),
)
NOTHING_YET: tuple[Row, ...] = (
    ((NOTHING_SEEN, "warning"),),
    (("{sets.filter} and words show lists of the library all the same.", "text"),),
)
NO_MATCH: tuple[Row, ...] = ((("No set is so.", "warning"),),)


def by_words(words: str) -> Callable[[str, str], bool] | None:
    """Whether a set of a code and a name holds all the words; None where there are none."""
    return (lambda code, name: holds_words(searchable(code, name), words)) if words else None


def head_rows(view: LotView | None, name_of: Callable[[str], str], width: int) -> list[Row]:
    """What was counted and held against what, and what to look for next."""
    title: Row = (("which sets are in the lot", "title"),)
    if view is None:
        return [title]
    counted = plural(view.counted, "piece") + " counted"
    of = f" of {view.pile:,}" if view.pile is not None else ""
    parts: list[Row] = [
        title,
        ((f"{counted}{of}", "strong"),),
        ((f"{plural(view.lists, 'list')}", "text"),),
    ]
    if view.counted and view.lists:
        parts.append(((f"{view.unlisted:,} of no list's kind, about {view.foreign:,.0f} more foreign", "quiet"),))
    rows = [clip(joined(parts), width)]
    if view.pile is None and view.standings:
        told = "How complete the sets are is told once `sortbench pile` knows how large the pile is."
        rows += wrapped(told, "warning", width, 2)
    for place, sought in enumerate(view.sought[: 3 if width >= _WIDE else 1]):
        rows += wrapped(f"look for {sought_words(sought, name_of)}", "text" if place else "present", width, 2)
    if view.standings and not view.sought:
        rows.append((("no single kind would decide more", "quiet"),))
    return rows


def heading_row(width: int) -> Row:
    """What the columns are called."""
    return headings(_LAYOUT, _NAMES, width)


def set_row(each: Standing, is_target: bool, name_of: Callable[[str], str], chosen: bool, width: int) -> Row:
    """One set."""
    look = "chosen" if chosen else "text"
    remains = each.remains >= 0.5
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (each.key, "held" if is_target else "quiet"),
        (each.name, look),
        ("remains", "quiet") if remains else (percent(each.chance), _style(each.chance)),
        bar(0 if remains else round(each.chance * _BAR), _BAR, _BAR),
        complete_words(each.complete) or ("–", "quiet"),
        f"{each.lines_seen:,} of {each.lines:,}",
        f"{each.found:,.0f} of {each.pieces:,}",
        (evidence_words(each, name_of), "quiet"),
    ]
    return columns(_LAYOUT, cells, width)


def _style(chance: float) -> str:
    return "good" if chance >= _LIKELY else "text" if chance >= _DOUBTFUL else "quiet"


def set_words(each: Standing, is_target: bool, name_of: Callable[[str], str]) -> str:
    """A row in full."""
    here = "a target; " if is_target else ""
    chance = f"in the pile with {percent(each.chance)}"
    remains = f", remains of it with {percent(each.remains)}" if each.remains >= 0.005 else ""
    complete = f"; complete to {complete_words(each.complete)} if it is" if each.complete is not None else ""
    evidence = evidence_words(each, name_of)
    bare = "nothing of it was counted" + (" that other lists do not have as well" if each.lines_seen else " yet")
    tells = f"; {evidence or bare}"
    return f"{each.name}: {here}{chance}{remains}{complete}{tells}"
