"""The reconcile screen's crates: every target by rank as it is and as it would be, and at the end what is spare."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from sortbench.tui.drawing.bench_rows import FULL
from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.drawing.marks import Mark
from sortbench.tui.drawing.words import joined, plural
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns, fill_bar, row_width, widths

if TYPE_CHECKING:
    from sortbench.engine.reconciling.reconcile_board import ReconcileTarget

TO = "→"
PARKED = "∥"


class CrateRow(NamedTuple):
    """One target as it is kept, and as it would be with what is being tried out."""

    before: ReconcileTarget
    after: ReconcileTarget


EMPTY_LINES = 6
"""Lines that may be needed to say what to do where there are no targets."""


def empty_rows(width: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """What to say where there are no targets."""
    hints = (
        ("No target yet: what is counted is reconciled with the sets that somebody wants to complete.", "text"),
        (keys.said("{targets.add} on the targets screen ({targets}) brings one in from a file,"), "quiet"),
        ("or begins its list from a manual.", "quiet"),
    )
    return tuple(row for words, style in hints for row in wrapped(words, style, max(width, 8), EMPTY_LINES))


def head_row(rows: Sequence[CrateRow], spare: int, policy: str, width: int) -> Row:
    """How far all targets together have got, with what is being tried out."""
    need = sum(row.after.need for row in rows)
    done = sum(_complete(row.after) for row in rows)
    parts: list[Row] = [
        (("reconcile", "title"),),
        ((f"{sum(row.after.present for row in rows):,}/{need:,}", "strong"), (" present", "text")),
        ((f"{sum(row.after.standard for row in rows):,} to standard", "text"),),
        ((f"{done}/{len(rows)} complete", "good" if done else "text"),),
        ((f"{spare:,} spare", "text"),),
        (("policy ", "quiet"), (policy, "key")),
    ]
    whole = joined(parts)
    # Which screen it is can be seen; where the line is short, that goes first.
    return clip(whole if row_width(whole) <= width else joined(parts[1:]), width)


def trial_row(words: str, working: bool, width: int, keys: Keymap = OWN_KEYS) -> Row:
    """What is being tried out, or how to try something.

    Args:
        words: what is tried, empty if nothing is.
        working: whether what comes of it is still being worked out.
    """
    if not words:
        ranks = "{reconcile.higher} {reconcile.lower} rank  {reconcile.level} same rank  {reconcile.park} park"
        hint = f"tried out before it is kept: {ranks}  {{reconcile.stand-in}} stand-in  {{reconcile.policy}} policy"
        return clip(((keys.said(hint), "quiet"),), width)
    # What can be done about it stands first: the words may be longer than the line.
    state: Span = (" working it out:", "quiet") if working else ("", "quiet")
    ways = keys.said(" {reconcile.keep} keeps it, {reconcile.back} lets it go ")
    return clip(((ways, "held"), state, (f" {words}", "warning")), width)


def crate_layout(rows: Sequence[CrateRow]) -> tuple[Column, ...]:
    """Columns as wide as the figures in them need: the figures say most, so they are never cut."""

    def widest(*texts: str) -> int:
        return max((cell_len(text) for text in texts), default=1)

    return (
        Column(1),
        Column(1),
        Column(widest("1", *(_text(_rank(row)) for row in rows)), align="right"),
        Column(12, 28),
        Column(6, None, drop=4),
        Column(widest("0/0", *(_text(_present(row)) for row in rows)), align="right"),
        Column(widest("0", *(_text(_standard(row)) for row in rows)), align="right", drop=2),
        Column(widest("–", *(_text(_short(row)) for row in rows)), align="right", drop=3),
    )


def crate_title(layout: tuple[Column, ...], width: int) -> Row:
    """The name on the rim, and what the figures under it are."""
    shown = widths(layout, width)
    names = ["have/of"] + ["to standard"] * bool(shown[6]) + ["short"] * bool(shown[7])
    return (("crates ", "title"), (" · ".join(names), "quiet"))


def crate_row(layout: tuple[Column, ...], row: CrateRow, mark: Mark, width: int) -> Row:
    """One target: rank, bar and figures; where what is tried changes one, it is shown before and after."""
    after = row.after
    room = widths(layout, width)[4]
    state: Span = (PARKED, "quiet") if after.parked else (FULL if _complete(after) else " ", "good")
    bar = fill_bar(after.standard, after.present, after.need, room, after.possible) if room and after.need else ()
    cells: list[str | Span | Row] = [
        mark.pointer,
        state,
        _rank(row),
        (after.name, mark.look("quiet" if after.parked else "text")),
        bar,
        _present(row),
        _standard(row),
        _short(row),
    ]
    return columns(layout, cells, width)


def spares_row(layout: tuple[Column, ...], before: int, after: int, mark: Mark, width: int) -> Row:
    """The tray at the end: pieces that no target needs."""
    cells: list[str | Span | Row] = [
        mark.pointer,
        " ",
        "",
        ("spares", mark.look()),
        (*_change(before, after, more_is_good=None), (" spare", "quiet")),
    ]
    wide = (*layout[:3], Column(6, 28), Column(6, None, align="right"))
    return columns(wide, cells, width)


def crate_words(row: CrateRow, keys: Keymap = OWN_KEYS) -> str:
    """A target in full, for where its columns find no room."""
    before, after = row.before, row.after
    if not after.need:
        mend = keys.said("{targets.write-up} on the targets screen ({targets}) writes it up")
        return f"{after.code} {after.name}: no list yet; {mend}"
    words = [
        f"{after.code} {after.name}, {after.year or 'year not known'}, rank {_both(before.rank, after.rank)}"
        + (", parked: it takes nothing" if after.parked else ""),
        f"{_both(before.present, after.present)} of {after.need:,} present",
        f"{_both(before.standard, after.standard)} to standard",
        f"{_both(before.stand_ins, after.stand_ins)} standing in",
        f"{_both(before.lines_complete, after.lines_complete)} of {plural(after.lines, 'line')} complete",
    ]
    if after.waiting:
        words.append(f"{after.waiting:,} of those present {'wait' if after.waiting > 1 else 'waits'} for a wash")
    if after.possible > after.present:
        words.append(f"{after.possible:,} if pieces not looked at turn out right")
    if after.value is not None:
        words.append(f"worth {after.value:,}")
    return "; ".join(words)


def _complete(target: ReconcileTarget) -> bool:
    return target.need > 0 and not target.short


def _both(before: int, after: int) -> str:
    return f"{after:,}" if before == after else f"{before:,} {TO} {after:,}"


def _rank(row: CrateRow) -> Row:
    before, after = row.before.rank, row.after.rank
    if before == after:
        return ((f"{after}", "quiet"),)
    return ((f"{before}", "quiet"), (f"{TO}{after}", "held"))


def _present(row: CrateRow) -> Row:
    before, after = row.before, row.after
    if not after.need:
        return (("no list", "quiet"),)
    if after.parked:
        gone: Row = () if before.parked else ((f"{before.present:,}{TO}", "quiet"),)
        return (*gone, ("parked", "quiet" if before.parked else "warning"))
    return (*_change(before.present, after.present), (f"/{after.need:,}", "text"))


def _standard(row: CrateRow) -> Row:
    if not row.after.need or (row.before.parked and row.after.parked):
        return ()
    return _change(row.before.standard, row.after.standard, "quiet")


def _short(row: CrateRow) -> Row:
    before, after = row.before, row.after
    if not after.need or after.parked:
        return ()
    if before.short == after.short:
        return ((f"{after.short:,}", "wanted") if after.short else ("–", "quiet"),)
    return _change(before.short, after.short, more_is_good=False)


def _change(before: int, after: int, same: str = "text", more_is_good: bool | None = True) -> Row:
    """A figure; where it changes, before and after, in the style of a gain or a loss."""
    if before == after:
        return ((f"{after:,}", same),)
    look = "strong" if more_is_good is None else ("good" if (after > before) is more_is_good else "warning")
    return ((f"{before:,}", "quiet"), (f"{TO}{after:,}", look))


def _text(row: Row) -> str:
    return "".join(text for text, _ in row)
