"""The plan screen: what the plan comes to, and a row for each choice on each line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sortbench.model.money import as_amount
from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings, holds_words, searchable, wrapped
from sortbench.tui.drawing.words import joined, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns

if TYPE_CHECKING:
    from sortbench.desks.planning_desk import Choice, PlanLine, PlanTotals, PlanView, SpareRow

LOCKED = "◆"
_NOTE_LINES = 2
_LAYOUT = (
    Column(1),
    Column(1),
    Column(4, 8),
    Column(3, 4, align="right"),
    Column(1),
    Column(9, 20),
    Column(5, 14, drop=2),
    Column(10),
    Column(3, 6, align="right"),
    Column(6, 9, align="right", drop=1),
    Column(8, 16, drop=3),
    Column(24, None, drop=4),
)
_NAMES = ("", "", "in", "line", "", "part", "shade", "choice", "pcs", "price", "seller", "why")
_LOOKS = {"leave open": "wanted", "treat": "present", "keep": "text"}

_SPARE_LAYOUT = (
    Column(1),
    Column(1),
    Column(9, 20),
    Column(5, 14, drop=2),
    Column(8, 18, drop=3),
    Column(4, 7, align="right"),
    Column(6, 9, align="right", drop=1),
    Column(6, 10, align="right"),
    Column(12, None, drop=4),
)
_SPARE_NAMES = ("", "", "part", "shade", "condition", "pcs", "each", "together", "why")

NO_MATCH: tuple[Row, ...] = ((("No line is so.", "warning"),),)
NO_SPARES: tuple[Row, ...] = ((("No piece is spare.", "text"),),)
NOTHING: tuple[Row, ...] = (
    (("Nothing is to be planned: no target lacks a piece, or has one below its standard.", "good"),),
)
_NO_OFFERS = "No offers: {plan.sellers} brings sellers in from a table, then {plan.offers} their offers"


def lines_in_view(lines: Sequence[PlanLine], words: str, only: Choice | None) -> tuple[PlanLine, ...]:
    """The rows of one choice, all where none is given, that hold all the words."""
    return tuple(
        line
        for line in lines
        if (only is None or line.choice is only)
        and (
            not words
            or holds_words(
                searchable(
                    line.target, line.name, line.kind.part, line.kind.shade, line.choice, line.seller, line.what
                ),
                words,
            )
        )
    )


def head_rows(view: PlanView, width: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """How sure the plan is or how the search goes, and what it comes to."""
    title = "which are worth finishing" if view.worth else "plan"
    found = [clip(((title, "title"), ("  ", "text"), *_state(view, keys)), width)]
    if view.totals is not None:
        found += [clip(row, width) for row in _totals(view, view.totals)]
    if view.finished:
        found.append(clip(_finished(view), width))
    return tuple(found)


def _finished(view: PlanView) -> Row:
    """Which targets are worth finishing, and which are not."""
    told = {True: "finish ", False: "not worth finishing "}
    parts: list[Row] = []
    for done, words in told.items():
        codes = [code for code, finished in view.finished.items() if finished is done]
        if codes:
            row: Row = ((words, "quiet"), (", ".join(codes), "good" if done else "wanted"))
            worth = _money(view.totals.value, view.currency) if view.totals else ""
            parts.append((*row, (f" for {worth}", "text")) if done else row)
    if view.totals is not None:
        parts.append(((f"spares bring {_money(view.totals.spares, view.currency)}", "text"),))
    return joined(parts)


def _state(view: PlanView, keys: Keymap) -> Row:
    totals = view.totals
    if view.failure:
        return (("no plan", "error"),)
    if view.working:
        if view.told is None:
            return ((keys.said("looking for the cheapest plan … {plan.back} takes the best so far"), "present"),)
        best, bound = (_money(units, view.currency) for units in (view.told.best, view.told.bound))
        least = f", none below {bound}, gap {view.told.gap:.1%}" if view.told.gap < 1 else ""
        return ((f"looking … best {best}{least} · {keys.label('plan.back')} takes it", "present"),)
    if totals is None:
        return ()
    sure: Span = ("proven: no plan costs less", "good")
    if not totals.proven:
        stopped = "stopped by hand: " if totals.cancelled else ""
        sure = (f"{stopped}at most {totals.gap:.1%} from the best; {keys.label('plan.again')} looks longer", "warning")
    locked = f" · {len(view.locks)} locked" if view.locks else ""
    return sure, (locked, "held" if locked else "text")


def _totals(view: PlanView, totals: PlanTotals) -> tuple[Row, Row]:
    def money(units: int) -> str:
        return _money(units, view.currency)

    most, parcels = view.limits
    of = "" if parcels is None else f" of at most {parcels}"
    budget = "no budget" if most is None else f"budget {most:,}"
    paid: list[Row] = [
        (("buy ", "quiet"), (plural(totals.pieces, "piece"), "strong")),
        (
            (f"{money(totals.goods)} + {money(totals.shipping)} shipping = ", "quiet"),
            (f"{money(totals.goods + totals.shipping)} {view.currency} paid", "strong"),
        ),
        ((f"{plural(totals.parcels, 'parcel')}{of}", "text"),),
        ((budget, "quiet" if most is None else "text"),),
    ]
    costs: list[Row] = [
        ((f"holes {money(totals.holes)}", "wanted" if totals.holes else "quiet"),),
        ((f"treating {money(totals.treating)}", "text" if totals.treating else "quiet"),),
        ((f"blemishes and doubt {money(totals.blemishes)}", "text" if totals.blemishes else "quiet"),),
        ((f"all in all {money(totals.cost)} {view.currency}", "strong"),),
    ]
    return joined(paid), joined(costs)


def note_rows(view: PlanView, only: Choice | None, shown: int, width: int, keys: Keymap = OWN_KEYS) -> list[Row]:
    """What stands in the way, what is out of date, and what is shown of it."""
    rows: list[Row] = []
    if view.stale and not view.working:
        words = keys.said("The bench changed since this was worked out: {plan.again} plans anew.")
        rows.append(clip(((words, "warning"),), width))
    if not view.offers:
        rows += wrapped(keys.said(_NO_OFFERS), "warning", width, _NOTE_LINES)
    rows += wrapped(" ".join(view.notes), "warning", width, _NOTE_LINES)
    if only is not None:
        rows.append(
            ((f"only {only}: {shown:,} of {len(view.lines):,} rows; {keys.label('plan.show.all')} shows all", "text"),)
        )
    return rows


def failure_rows(view: PlanView, width: int) -> tuple[Row, ...]:
    """Why there is no plan, and what mends it."""
    return wrapped(view.failure, "warning", width, 4)


def spare_rows(view: PlanView, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """What the spares come to, or what is to be set before anything can be said of that."""
    if not view.finished:
        words = "Spares are listed once it is asked which targets are worth finishing: {plan.worth}."
        return (((keys.said(words), "text"),),)
    told: list[Row] = []
    for rows, words in (
        ([row for row in view.spares if row.target], "become spare"),
        ([row for row in view.spares if not row.target], "spare already"),
    ):
        pieces = plural(sum(row.quantity for row in rows), "piece")
        told.append(((f"{pieces} {words}, {_money(sum(row.all for row in rows), view.currency)}", "text"),))
    return (joined(told),)


def spare_headings(width: int) -> Row:
    """What the columns of the spares are called."""
    return headings(_SPARE_LAYOUT, _SPARE_NAMES, width)


def spare_row(view: PlanView, row: SpareRow, name: str, rgb: str, chosen: bool, width: int) -> Row:
    """Like pieces that nobody needs."""
    look = "chosen" if chosen else "text"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (swatch(rgb, row.piece.kind.shade),),
        (name, look),
        (row.piece.kind.shade, look),
        (row.condition, "quiet"),
        f"{row.quantity:,}",
        _money(row.each, view.currency) if row.each else ("–", "quiet"),
        _money(row.all, view.currency) if row.each else ("–", "quiet"),
        (row.why, "quiet"),
    ]
    return columns(_SPARE_LAYOUT, cells, width)


def spares_in_view(rows: Sequence[SpareRow], words: str) -> tuple[SpareRow, ...]:
    """The spares that hold all the words."""
    return tuple(
        row
        for row in rows
        if not words
        or holds_words(searchable(row.piece.kind.part, row.piece.kind.shade, row.condition, row.why), words)
    )


def heading_row(width: int) -> Row:
    """What the columns are called."""
    return headings(_LAYOUT, _NAMES, width)


def plan_row(view: PlanView, line: PlanLine, chosen: bool, width: int) -> Row:
    """One choice on one line; what it is locked to stands in its place while the plan with it is looked for."""
    lock = view.locks.get(line.key)
    choice: str = line.choice
    if lock is not None and lock.choice is not line.choice and view.working:
        choice = f"→ {lock.choice}"
    look = "chosen" if chosen else "text"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (LOCKED if lock else " ", "key"),
        (line.target, "quiet"),
        (f"{line.number}", "quiet"),
        (swatch(line.rgb, line.kind.shade),),
        (line.name, look),
        (line.kind.shade, look),
        (choice, _LOOKS.get(line.choice, "good")),
        f"{line.quantity:,}",
        _money(line.price, view.currency) if line.price is not None else ("–", "quiet"),
        line.seller or ("–", "quiet"),
        (line.why, "quiet"),
    ]
    return columns(_LAYOUT, cells, width)


def plan_words(view: PlanView, line: PlanLine, keys: Keymap = OWN_KEYS) -> str:
    """A row in full."""
    lock = view.locks.get(line.key)
    now = lock.choice if lock else line.choice
    others = [choice for choice in view.settling.choices.get(line.key, ()) if choice is not now]
    which = f" ({line.what})" if line.what else ""
    costs = f", each costs {_money(line.each, view.currency)} {view.currency} in all" if line.each else ""
    may = f"; {keys.label('plan.next')}: {', '.join(others)}" if others else ""
    number = len(view.settling.offers.get(line.key, ()))
    by = keys.said("{plan.dearer} {plan.cheaper}")
    offers = f"; {by}: {plural(number, 'offer')}" if number else ""
    return f"{line.name} · {line.kind.shade}: {line.choice} {line.quantity:,}{which}{costs}; {line.why}{may}{offers}"


def _money(units: int, currency: str) -> str:
    return f"{as_amount(units, currency):,}"
