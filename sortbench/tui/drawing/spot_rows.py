"""The spot check screen: the plan of a check, the numbers that were drawn, what was found, the verdict."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from sortbench.desks.spot_desk import percent, rate_words
from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings, wrapped
from sortbench.tui.drawing.words import condition, joined, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns

if TYPE_CHECKING:
    from sortbench.desks.spot_desk import Point, SamplingPlan, Verdict
    from sortbench.model.spot_check import Find, SpotCheck
    from sortbench.model.tally import Cell

NameOf = Callable[["Cell"], str]
"""A heap's name, without its shade."""

_FIND = (
    Column(1),
    Column(1),
    Column(6, align="right"),
    Column(1),
    Column(10, None),
    Column(6, 18, drop=2),
    Column(8, 22, drop=1),
)
_POINT = (Column(1), Column(16, align="right"), Column(9, align="right"), Column(12, align="right"))
_POINT_NAMES = ("", "wrong in the bin", "share", "accepted")
MOST_FAULTS = 4
"""Lines of wrong pieces told above the list; what is left is told by number."""

FOUND: Row = (("looked at", "title"),)
NO_FINDS: tuple[Row, ...] = (
    (("Nothing is noted yet.", "text"),),
    (("{spot.note}", "key"), (" types what a piece is, for instance ", "quiet"), ("pl 2x4 red *3", "key")),
    (("Say what you see; the count is not shown, so that it cannot lead you.", "quiet"),),
)
SCOOPED: tuple[Row, ...] = (
    (("No numbers are drawn for a scoop: stir the bin well, and take", "text"),),
    (("the pieces out at once, without looking.", "text"),),
)


def plan_rows(label: str, plan: SamplingPlan, drawing: str, width: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """What is planned, before anything is drawn."""
    sample = "every piece" if plan.whole else plural(plan.sample, "piece")
    parts: list[Row] = [
        (("spot check of ", "quiet"), (label, "title")),
        ((plural(plan.lot, "piece"), "strong"),),
        ((keys.label("spot.level"), "key"), (f" level {plan.level}", "text")),
        ((keys.label("spot.limit"), "key"), (f" limit {plan.aql}", "text")),
        ((keys.label("spot.drawing"), "key"), (f" {drawing}", "text")),
    ]
    said = (
        ("look at ", "text"),
        (sample, "strong"),
        (f", accept with {plan.accept:,} wrong, recount with {plan.reject:,}", "text"),
        (keys.said("   {spot.draw} draws"), "key"),
    )
    return clip(joined(parts, " · "), width), clip(said, width)


def check_rows(
    check: SpotCheck, verdict: Verdict, place: str, changed: bool, name_of: NameOf, width: int
) -> tuple[Row, ...]:
    """A check: which, how it stands, what is wrong.

    Args:
        place: which of the bin's checks it is, in words.
        changed: whether the bin's count is another now.
    """
    look = {"accepted": "good", "recount the bin": "error"}.get(verdict.standing.value, "wanted")
    word = "struck" if check.struck else verdict.standing.value
    head: list[Row] = [
        ((f"{check.id} ", "key"), ("spot check of ", "quiet"), (check.bin, "title")),
        ((f"level {check.level} · limit {check.aql} · {check.drawing}", "text"),),
        ((f"by {check.by}", "quiet"),) if check.by else (),
        ((place, "quiet"),) if place else (),
    ]
    stands: list[Row] = [
        ((f"{verdict.looked:,} of {plural(verdict.plan.sample, 'piece')} looked at", "text"),),
        ((f"{verdict.faults:,} wrong", "warning" if verdict.faults else "text"),),
        ((f"{verdict.left_over:,} left over", "warning"),) if verdict.left_over else (),
        ((word, "quiet" if check.struck else look),),
        ((rate_words(verdict), "quiet"),) if verdict.error else (),
    ]
    rows = [clip(joined(head, " · "), width), clip(joined(stands, " · "), width)]
    for each in verdict.wrong[:MOST_FAULTS]:
        what = (
            f"{name_of(each.cell)}, {each.cell.shade}, {condition(each.cell.grade, each.cell.flaws)}"
            if each.cell
            else ""
        )
        rows.append(
            clip((("✗ ", "error"), (f"{each.fault.value}: {each.quantity:,} ", "warning"), (what, "text")), width)
        )
    if len(verdict.wrong) > MOST_FAULTS:
        left = sum(each.quantity for each in verdict.wrong[MOST_FAULTS:])
        rows.append(clip(((f"✗ and {left:,} more wrong", "warning"),), width))
    if changed:
        rows.append(
            clip((("The bin's count has changed since; the verdict is about the count then.", "warning"),), width)
        )
    return tuple(rows)


def find_row(find: Find, name_of: NameOf, rgb: str, chosen: bool, width: int) -> Row:
    """Pieces that were looked at."""
    look = "quiet" if find.struck else "chosen" if chosen else "text"
    cell = find.cell
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        ("✗" if find.struck else " ", "quiet"),
        (f"{find.quantity:,}", look),
        (swatch(rgb, cell.shade),) if cell else " ",
        (name_of(cell) if cell else "left over" if find.left_over else "not there", look),
        (cell.shade if cell else "", look),
        (condition(cell.grade, cell.flaws) if cell else "", "quiet"),
    ]
    return columns(_FIND, cells, width)


def number_rows(numbers: Sequence[int], width: int) -> tuple[Row, ...]:
    """The drawn numbers over as many lines as they take."""
    words = ("Take all pieces out one by one; look at those of these numbers:", "quiet")
    if not numbers:
        return SCOOPED
    return (clip((words,), width), *wrapped(" ".join(map(str, numbers)), "strong", width, 1_000))


def point_headings(width: int) -> Row:
    """What the columns of the chances are called."""
    return headings(_POINT, _POINT_NAMES, width)


def point_row(point: Point, chosen: bool, width: int) -> Row:
    """One point of the operating characteristic."""
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (f"{point.wrong:,}", "chosen" if chosen else "text"),
        (percent(point.share), "text"),
        (percent(point.accepted), "strong"),
    ]
    return columns(_POINT, cells, width)


def point_words(point: Point, lot: int) -> str:
    """One point in full."""
    return (
        f"A count with {point.wrong:,} of {plural(lot, 'piece')} wrong is accepted in {percent(point.accepted)} of "
        "such checks."
    )
