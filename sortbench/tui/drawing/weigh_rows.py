"""The weighing screen: what lies on the scale, how many that is, and earlier weighings of the part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings, local_time, wrapped
from sortbench.tui.drawing.words import condition, joined, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns

if TYPE_CHECKING:
    from sortbench.desks.weigh_hand import WeighingRow, WeighView

_ROW = (
    Column(1),
    Column(3, 5),
    Column(16, drop=4),
    Column(8, None, drop=2),
    Column(8, 10, align="right"),
    Column(9, align="right"),
    Column(7, align="right"),
    Column(6, 10, drop=1),
)
_NAMES = ("", "", "when", "handfuls", "load", "by weight", "by hand", "")
_LABEL = 9
_ALL_FIELDS = 7
"""Lines from which on all of it is told."""

NO_WEIGHINGS: tuple[Row, ...] = ((("No earlier weighing of this part.", "quiet"),),)
NO_PIECE: tuple[Row, ...] = (
    (("{weigh.piece}", "key"), (" names the pieces, as on the entry line: plate 2x4 white", "quiet")),
    (
        ("{weigh.handful}", "key"),
        (" notes a handful counted by hand, ", "quiet"),
        ("{weigh.load}", "key"),
        (" puts on what is to be counted", "quiet"),
    ),
    (("The number comes with an interval that holds the truth in 95 of 100.", "quiet"),),
)
"""What to say where nothing was weighed, and where nothing is named."""


def about_rows(view: WeighView, width: int, most: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """What lies on the scale and how many that is, on at most so many lines."""
    short = most < _ALL_FIELDS and bool(view.name)  # what is found comes before what it was found from
    rows: list[Row] = [_head(view, width)]
    if not (short and view.scale):
        unknown = keys.said("not known: {weigh.scale} tells its smallest step")
        rows.append(_field("scale", view.scale or unknown, width, not view.scale))
    if view.name:
        load = view.load or (
            f"nothing yet; cup {view.cup_g:g} g" if view.cup_g else keys.said("nothing yet: {weigh.load} puts it on")
        )
        rows.append(_field("load", load, width, not view.load))
    if view.name and not short:
        if view.handfuls:
            rows.append(_field("handfuls", view.handfuls, width))
        mass = view.mass.replace(" g a piece", " g", 1)
        unknown = keys.said("not known: {weigh.handful} notes a handful")
        rows.append(_field("a piece", mass or unknown, width, not mass))
    told = _answer(view, width, keys)
    return (*rows, *told[: max(1, most - len(rows))])


def _head(view: WeighView, width: int) -> Row:
    if not view.name:
        return clip(joined([(("count by weight", "title"),), (("no piece named yet", "quiet"),)]), width)
    parts: list[Row] = [
        (("count by weight", "title"),),
        (swatch(view.rgb, view.shade), (f" {view.name} · {view.shade}", "strong")),
    ]
    if view.grade or view.flaws:
        parts.append(((f"grade {condition(view.grade, view.flaws)}", "text"),))
    if view.bin:
        parts.append(((f"into {view.bin}", "text"),))
    return clip(joined(parts), width)


def _field(label: str, words: str, width: int, missing: bool = False) -> Row:
    return clip(((label.ljust(_LABEL), "quiet"), (words, "quiet" if missing else "text")), width)


def _answer(view: WeighView, width: int, keys: Keymap) -> list[Row]:
    answer = view.answer
    if answer is None:
        missing = keys.told(view.missing) if view.name and view.missing else ""
        return list(wrapped(missing, "quiet", width, 2)) if missing else []
    look = "good" if answer.is_exact else "warning"
    rows: list[Row] = [clip(((answer.headline, look),), width)]
    rows += wrapped(view.figures, "text", width, 1)
    for line in answer.advice:
        rows += wrapped(line, "text", width, 2)
    for line in answer.assumed:
        rows += wrapped(line, "quiet", width, 2)
    if view.shares:
        rows += wrapped(f"The uncertainty comes from: {view.shares}.", "quiet", width, 2)
    return rows


def weighing_headings(width: int) -> Row:
    """What the columns of earlier weighings are called."""
    return headings(_ROW, _NAMES, width)


def weighing_row(each: WeighingRow, chosen: bool, width: int) -> Row:
    """One earlier weighing."""
    look = "chosen" if chosen else ("text" if each.holds else "quiet")
    state = "struck" if each.struck else "" if each.holds else "taken back"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (each.id, look),
        (local_time(each.at)[:16], "quiet"),
        (each.handfuls, look),
        (each.load, look),
        (each.by_weight, look),
        ("" if each.by_hand is None else f"{each.by_hand:,}", look),
        (state, "warning"),
    ]
    return columns(_ROW, cells, width)


def weighing_words(each: WeighingRow) -> str:
    """A weighing in full, for where its columns find no room."""
    words = [each.id]
    if each.handfuls:
        words.append(f"handfuls {each.handfuls}")
    if each.load:
        words.append(f"load {each.load}, by weight {each.by_weight}")
    if each.by_hand is not None:
        words.append(f"by hand {each.by_hand:,}")
    if each.struck:
        words.append("struck")
    elif not each.holds:
        words.append("its tally does not hold")
    return "; ".join(words)
