"""The records screen: sittings, the course of one, and beside them plots and ways of entry."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.cells import cell_len

from sortbench.papers.plots import blocks, plot, top_of
from sortbench.papers.record_words import (
    Figures,
    checks_rule,
    checks_table,
    moment,
    rate,
    rate_range,
    share,
    span,
    ways_table,
)
from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings, wrapped
from sortbench.tui.drawing.words import plural
from sortbench.tui.widgets.rows import EMPTY, STANDARD, Column, Row, bar_cells, clip, columns, pad, row_width, widths

if TYPE_CHECKING:
    from sortbench.desks.records_desk import CheckFigures, Interval, SittingFigures, WorkRecords

_NAMES = ("", "began (UTC)", "at work", "tallies", "pieces", "a minute", "95 %", "put right", "course")
_SITTING = (
    Column(1),
    Column(16),
    Column(8, align="right"),
    Column(7, align="right", drop=3),
    Column(7, align="right"),
    Column(8, align="right"),
    Column(12, 16, drop=2),
    Column(9, align="right", drop=4),
    Column(6, 40, drop=1),
)
_COURSE_NAMES = ("", "from", "to", "pieces", "a minute", "")
_COURSE = (
    Column(1),
    Column(8, align="right"),
    Column(8, align="right"),
    Column(8, align="right"),
    Column(8, align="right"),
    Column(4, None, drop=1),
)
_LEAST_PLOT, _MOST_PLOT = 6, 14
"""Lines below which a plot says too little, and above which it says no more; its figures stand in the list."""
_WAYS_DROP = ("at work", "tallies", "put right")
_CHECKS_DROP = ("drawn", "share", "stands", "looked at")
_RULE_LINES = 5
_INDENT: Row = (("  ", "text"),)

READING: tuple[Row, ...] = ((("Reading the whole log …", "present"),),)
NO_RECORDS: tuple[Row, ...] = (
    (("No pieces of the pile were counted yet.", "text"),),
    (("{bench}", "key"), (" leads to the bench; what is counted there is timed here,", "quiet")),
    (("a line for each sitting: time at work, pieces a minute, how it went.", "quiet"),),
)
NO_COURSE: tuple[Row, ...] = ((("Nothing was timed in this sitting.", "text"),),)


def head_row(records: WorkRecords, sitting: SittingFigures | None, width: int, left: str = "Left") -> Row:
    """How many sittings there are, or whose course it is; ``left`` is the key that leads back to all."""
    if sitting is not None:
        at = moment(sitting.began) or sitting.sitting
        return clip((("course of the sitting of ", "title"), (at, "strong"), (f"; {left} shows all", "quiet")), width)
    return clip((("records  ", "title"), (plural(len(records.sittings), "sitting"), "strong")), width)


def sitting_headings(width: int) -> Row:
    """What the columns of sittings are called."""
    return headings(_SITTING, _NAMES, width)


def sitting_row(figures: SittingFigures, chosen: bool, width: int) -> Row:
    """One sitting, or all of them together, on one line."""
    look = "chosen" if chosen else "text"
    course = blocks([each.per_minute for each in figures.course], widths(_SITTING, width)[-1])
    cells = (
        (POINTER if chosen else " ", "key"),
        (moment(figures.began) or figures.sitting if figures.sitting else "all together", look),
        (span(figures.work_s), look),
        (f"{figures.entries:,}", "quiet"),
        (f"{figures.pieces:,}", "text"),
        (rate(figures.rate), "strong" if figures.rate.per_minute is not None else "quiet"),
        (rate_range(figures.rate), "quiet"),
        (share(figures.touched, figures.entries), "quiet"),
        (course, "standard"),
    )
    return columns(_SITTING, cells, width)


def course_headings(width: int) -> Row:
    """What the columns of a course are called."""
    return headings(_COURSE, _COURSE_NAMES, width)


def course_row(each: Interval, top: float, chosen: bool, width: int) -> Row:
    """One stretch of time at work; its bar begins at nought and is full at ``top`` pieces a minute."""
    room = max(0, width - sum(column.least for column in _COURSE[:-1]) - len(_COURSE) + 1)
    full = bar_cells(round(1000 * each.per_minute), round(1000 * top), room)
    look = "chosen" if chosen else "text"
    cells = (
        (POINTER if chosen else " ", "key"),
        (span(each.from_s), look),
        (span(each.to_s), look),
        (f"{each.pieces:.1f}", "text"),
        (f"{each.per_minute:.1f}", "strong"),
        ((STANDARD * full, "standard"), (EMPTY * (room - full), "empty")),
    )
    return columns(_COURSE, cells, width)


def course_top(course: Sequence[Interval]) -> float:
    """What a full bar of a course stands for, in pieces a minute."""
    return top_of([each.per_minute for each in course])


def plot_rows(figures: SittingFigures, width: int, height: int) -> tuple[Row, ...]:
    """The course of a sitting as a plot under its title; none where there is too little room, or nothing to show."""
    if not figures.course or height < _LEAST_PLOT:
        return ()
    whole = figures.course[-1].to_s
    rows = plot(
        [each.per_minute for each in figures.course],
        width - row_width(_INDENT),
        min(height, _MOST_PLOT) - 1,
        (span(0), span(whole)),
        [pause.after_s / whole for pause in figures.pauses],
    )
    title: Row = (("pieces a minute over the time at work", "quiet"),)
    drawn: list[Row] = [((row, "quiet" if at >= len(rows) - 2 else "standard"),) for at, row in enumerate(rows)]
    return _indented([title, *drawn], width) if rows else ()


def detail_rows(
    figures: SittingFigures, checks: Sequence[CheckFigures], together: CheckFigures | None, width: int, height: int
) -> tuple[Row, ...]:
    """What stands beside the sittings: ways of entry, spot checks where all are meant, else pauses, and a plot if there
    is room."""
    room = width - row_width(_INDENT)
    rows = list(table_rows(ways_table(figures.ways), room, _WAYS_DROP))
    if not figures.sitting:
        none: Row = (("No spot check of the counts is on record.", "quiet"),)
        rows += [(), *(table_rows(checks_table(checks, together), room, _CHECKS_DROP) if checks else (none,))]
        if rule := checks_rule(checks, together):
            rows += wrapped(rule, "quiet", room, _RULE_LINES)
        return _indented(rows, width)
    if figures.pauses:
        rows.append(((pause_words(figures), "quiet"),))
    drawn = plot_rows(figures, width, height - len(rows) - 1)
    return (*_indented(rows, width), (), *drawn) if drawn else _indented(rows, width)


def _indented(rows: Sequence[Row], width: int) -> tuple[Row, ...]:
    return tuple(clip((*_INDENT, *row), width) if row else () for row in rows)


def table_rows(figures: Figures, width: int, drop: Sequence[str]) -> tuple[Row, ...]:
    """A table with its headings: each column as wide as what stands in it.

    Args:
        width: cells it may have; what is wider still is for the caller to clip.
        drop: headings of columns that are left out where there is too little room, the first of them first.
    """
    lines = [figures.headings, *figures.rows]
    room = [max(cell_len(line[at]) for line in lines) for at in range(len(figures.headings))]
    kept = list(range(len(room)))
    for heading in drop:
        if sum(room[at] + 1 for at in kept) - 1 > width:
            kept.remove(figures.headings.index(heading))
    rows: list[Row] = []
    for place, line in enumerate(lines):
        cells = [pad(line[at], room[at], "right" if figures.numbers[at] else "left") for at in kept]
        look = "text" if place else "quiet"
        rows.append(((" ".join(cells).rstrip(), look),))
    return tuple(rows)


def pause_words(figures: SittingFigures) -> str:
    """The pauses of a sitting in words, with the mark that they have in a plot."""
    longest = max(figures.pauses, key=lambda pause: pause.length_s)
    words = "a pause" if len(figures.pauses) == 1 else f"{len(figures.pauses)} pauses, the longest"
    return f"┴ {words} of {span(longest.length_s)} after {span(longest.after_s)} at work"


def interval_words(each: Interval) -> str:
    """One stretch in full."""
    return f"{span(each.from_s)} to {span(each.to_s)} at work: {each.pieces:.1f} pieces, {each.per_minute:.1f} a minute"
