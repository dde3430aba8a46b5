"""The wash screen: batches as trays on their way, the scrub list, the pull list, and what is told of each line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from rich.cells import cell_len

from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings, holds_words, searchable, wrapped
from sortbench.tui.drawing.words import condition, joined, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns

if TYPE_CHECKING:
    from sortbench.engine.washing.pull_list import PullList, PullRow
    from sortbench.engine.washing.scrub import ScrubRow
    from sortbench.engine.washing.wash_clock import Due, DueLine, EntryRow, StageMark

VIEWS = ("batches", "scrub", "pull")
"""What the screen shows one at a time."""
_VIEW_NAMES = {"batches": ("b", "batches"), "scrub": ("c", "scrub list"), "pull": ("p", "pull list")}

PRESSING = ("!", "●", "○", " ", " ")
"""A batch's mark by how much it presses: overdue, due now, due soon, later, nothing due."""
_LOOKS = ("over", "warning", "wanted", "text", "quiet")
_BEEN, _HERE, _NOT = "■", "▣", "□"
OUT, THEN = "✗", "→"
"""A part that stays out of the tub, and one that goes in and needs a hand afterwards."""

_BATCH_NAMES = ("", "", "", "what", "soak to dry", "stage", "due")
_SCRUB = (
    Column(1),
    Column(1),
    Column(6, align="right"),
    Column(1),
    Column(10, 40),
    Column(6, 18),
    Column(5, 18),
    Column(8, None, drop=1),
)
_SCRUB_NAMES = ("", "", "pieces", "", "part", "shade", "grade", "for")
_PULL = (Column(1), Column(1), Column(6, align="right"), Column(10, 34), Column(10, 26), Column(8, None, drop=1))
_PULL_NAMES = ("", "", "pieces", "part", "because", "shades")

NO_BATCHES: tuple[Row, ...] = (
    (("No batch yet: {wash.new} begins one with its soak.", "text"),),
    (("Before that, {wash.pull}: what must not go into the tub.", "quiet"),),
)
NO_SCRUB: tuple[Row, ...] = (
    (("Nothing waits for a wash.", "text"),),
    (("{bench.wash} at the bench sets the last piece aside for one.", "quiet"),),
)
NO_PULL: tuple[Row, ...] = (
    (("No part that the targets ask for is known to need care at the tub.", "text"),),
    (("Marks in the list of parts tell: `sortbench import parts FILE`, with a column of care.", "quiet"),),
)
NO_MATCH: tuple[Row, ...] = ((("No line holds these words; {wash.back} shows all.", "text"),),)


@lru_cache(maxsize=64)
def due_title(line: DueLine, width: int) -> Row:
    """The rim's title over the bins, with what the wash waits for: the shorter words where the longer find no room."""
    words = line.words if len(line.words) + len("bins · ") <= width - 8 else line.short
    return ("bins", "title"), (" · ", "quiet"), (words, "warning" if line.presses else "quiet")


def head_row(view: str, batches: int, waiting: int, pull: PullList | None, width: int) -> Row:
    """The views, the one in sight marked, and what it comes to."""
    parts: list[Row] = [(("wash", "title"),)]
    for name, (key, words) in _VIEW_NAMES.items():
        figure = {"batches": f" {batches:,}", "scrub": f" {waiting:,}"}.get(name, "")
        parts.append(((key, "key"), (f" {words}{figure} ", "held" if name == view else "quiet")))
    if view == "pull" and pull is not None:
        parts.append(((f"{pull.out:,} stay out, {pull.by_hand:,} need a hand, {pull.others:,} go in", "text"),))
    return clip(joined(parts), width)


def heading_row(view: str, due: Sequence[Due], width: int) -> Row:
    """What the columns of a view are called."""
    if view == "batches":
        return headings(batch_layout(due), _BATCH_NAMES, width)
    return headings(_SCRUB, _SCRUB_NAMES, width) if view == "scrub" else headings(_PULL, _PULL_NAMES, width)


# -- batches


def batch_layout(rows: Sequence[Due]) -> tuple[Column, ...]:
    """Columns as wide as what stands in them needs; what is due has the rest."""

    def fitted(texts: Iterable[str], least: int, most: int) -> int:
        return max(least, min(max((cell_len(text) for text in texts), default=0), most))

    return (
        Column(1),
        Column(1),
        Column(fitted((row.code for row in rows), 2, 8)),
        Column(6, fitted((row.name for row in rows), 6, 26)),
        Column(11, drop=2),
        Column(fitted(map(_stage, rows), 5, 18), drop=1),
        Column(14, None),
    )


def _stage(due: Due) -> str:
    return f"{due.stage.value} {due.lasted}" if due.stage else "not begun"


def batch_row(layout: tuple[Column, ...], due: Due, chosen: bool, width: int) -> Row:
    """One batch: how much it presses, its way through the stages, what is due."""
    look = _LOOKS[due.urgency]
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (PRESSING[due.urgency], look),
        (due.code, "chosen" if chosen else "key"),
        (due.name, "chosen" if chosen else "text"),
        _track(due.track),
        (_stage(due), "quiet"),
        (due.short, look),
    ]
    return columns(layout, cells, width)


def _track(track: Sequence[StageMark]) -> Row:
    spans: list[Span] = []
    for mark in track:
        if spans:
            spans.append(("─", "rule"))
        if mark.here:
            spans.append((_HERE, "strong"))
        else:
            spans.append((_BEEN, "good") if mark.at else (_NOT, "quiet"))
    return tuple(spans)


def entry_row(entry: EntryRow, chosen: bool, width: int, keys: Keymap = OWN_KEYS) -> Row:
    """Something noted of a batch; what was struck is crossed and says so."""
    look = "chosen" if chosen else ("quiet" if entry.struck else "text")
    net = f" · {entry.net_g:,.6g} g of pieces" if entry.net_g is not None else ""
    struck = keys.said(" · struck, {wash.strike} brings it back") if entry.struck else ""
    return clip(
        (
            (POINTER if chosen else " ", "key"),
            ("✗ " if entry.struck else "  ", "quiet"),
            (f"{entry.clock:>9}  ", "quiet"),
            (entry.words, look),
            (net + struck, "quiet"),
        ),
        width,
    )


def told_rows(sentences: Iterable[str], cautions: Iterable[str], step: str, width: int) -> tuple[Row, ...]:
    """What the trays say, then what to mind at a step: cautions, then what they rest on."""
    rows: list[Row] = []
    for sentence in sentences:
        rows += wrapped(sentence, "text", width, 8)
    rows.append(((f"to mind: {step}", "title"),))
    for line in cautions:
        rows += wrapped(line, "text" if line.startswith("- ") else "quiet", width, 12)
    return tuple(clip(row, width) for row in rows)


def told_title(due: Due) -> Row:
    """The title over what is told of a batch."""
    return (f"{due.code} ", "title"), (due.name, "title")


# -- pieces to clean


def scrub_in_view(rows: Sequence[ScrubRow], words: str) -> tuple[ScrubRow, ...]:
    """The rows that hold all the words."""
    return tuple(row for row in rows if not words or holds_words(_scrub_text(row), words))


def _scrub_text(row: ScrubRow) -> str:
    names = [f"{each.code} {each.name}" for each in row.targets]
    return searchable(row.name, row.shade, condition(row.grade, row.flaws), *names)


def scrub_row(row: ScrubRow, chosen: bool, width: int) -> Row:
    """Pieces that wait for a wash, and who waits for them."""
    look = "chosen" if chosen else "text"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (OUT if row.out else " ", "warning"),
        (f"{row.quantity:,}", "strong"),
        (swatch(row.rgb, row.shade),),
        (row.name, look),
        (row.shade, look),
        (condition(row.grade, row.flaws), "quiet"),
        (", ".join(each.name for each in row.targets) or "spare", "wanted" if row.targets else "quiet"),
    ]
    return columns(_SCRUB, cells, width)


def scrub_told(row: ScrubRow, cautions: Iterable[str], width: int) -> tuple[Row, ...]:
    """How to clean pieces, and who waits for them."""
    where = f"{OUT} not into the tub: {row.how}" if row.out else row.how
    waits = [f"{each.name} ({each.code}) waits for {each.quantity:,}" for each in row.targets]
    return told_rows([where, *waits], cautions, "scrub", width)


# -- before the tub


def pull_in_view(rows: Sequence[PullRow], words: str) -> tuple[PullRow, ...]:
    """The rows that hold all the words."""
    return tuple(row for row in rows if not words or holds_words(_pull_text(row), words))


def _pull_text(row: PullRow) -> str:
    return searchable(row.name, row.part, row.family, *row.reasons, *(shade.shade for shade in row.shades))


def pull_row(row: PullRow, chosen: bool, width: int) -> Row:
    """A part to look out for."""
    shades: list[Row] = [
        (swatch(shade.rgb, shade.shade), (f" {shade.shade} {shade.quantity:,}", "quiet")) for shade in row.shades
    ]
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (OUT, "warning") if row.out else (THEN, "quiet"),
        (f"{row.quantity:,}", "strong"),
        (row.name, "chosen" if chosen else "text"),
        (", ".join(row.reasons), "warning" if row.out else "quiet"),
        joined(shades),
    ]
    return columns(_PULL, cells, width)


def pull_told(row: PullRow, found: PullList, cautions: Iterable[str], width: int) -> tuple[Row, ...]:
    """Why a part needs care, how it is cleaned, and what the list does not know."""
    where = "stays out of the tub" if row.out else "goes into the tub, and then"
    sentences = [
        f"{row.name} {where}: {row.how}",
        f"because {'; '.join(row.why)} ({row.source})",
        f"asked for by {', '.join(row.targets)}" if row.targets else "",
        f"{plural(found.unweighed, 'part')} without a mass: whether small is not known" if found.unweighed else "",
        f"{plural(found.unknown, 'part')} not in the catalogue: nothing is known" if found.unknown else "",
    ]
    return told_rows(filter(None, sentences), cautions, "before the tub", width)


def pull_words(row: PullRow) -> str:
    """A row of the pull list in full."""
    shades = ", ".join(f"{shade.shade} {shade.quantity:,}" for shade in row.shades)
    return f"{row.name}: {', '.join(row.reasons)}; {row.how} · {shades}"
