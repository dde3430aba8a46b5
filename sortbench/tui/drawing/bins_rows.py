"""The bins screen: every bin in full, what lies in one, and how to split one that overflows."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.engine.board import BinRow, HeapRow
from sortbench.model.bins import Bin
from sortbench.tui.drawing.bench_rows import OVER, POINTER
from sortbench.tui.drawing.words import condition, joined, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns, load_bar, widths

_BIN = (
    Column(1),
    Column(1),
    Column(3, 8),
    Column(6, 16, drop=2),
    Column(9, 13, align="right"),
    Column(10, 15, drop=3, align="right"),
    Column(12, None),
    Column(8, 20, drop=4),
)
_HEAP = (Column(1), Column(6, align="right"), Column(1), Column(10, None), Column(6, 18), Column(8, 20, drop=1))

EMPTY_BINS: tuple[Row, ...] = (
    (("No bin yet: a bin is a container with a rule that says what belongs in it.", "text"),),
    (("{bins.new}", "key"), (" puts one up: type its label and what belongs in it.", "quiet")),
    (("{bins.import}", "key"), (" brings bins in from a table.", "quiet")),
    (("Until then what is counted lies in no bin.", "quiet"),),
)
"""What to say where there are no bins."""


def new_bin_words(new: Bin) -> str:
    """A bin that is not there yet, in words: its label, what belongs in it, what it holds."""
    holds = [f"{new.capacity:,} pieces"] if new.capacity else []
    holds += [f"{new.capacity_g:,.0f} g"] if new.capacity_g else []
    return f"{new.label} for {new.rule}" + (f", which holds {' and '.join(holds)}" if holds else "")


def head_rows(bins: Sequence[BinRow], crated: int, to_wash: int, discarded: int, width: int) -> tuple[Row, ...]:
    """How many bins there are, how many overflow, and what lies in none of them."""
    over = sum(each.overflowing for each in bins)
    parts: list[Row] = [
        (("bins", "title"),),
        ((f"{plural(sum(each.pieces for each in bins), 'piece')} in {plural(len(bins), 'bin')}", "strong"),),
        ((f"{OVER} {plural(over, 'bin')} overflowing", "over"),) if over else (),
        ((f"picked into crates {crated:,}", "text"),) if crated else (),
        ((f"set aside for another wash {to_wash:,}", "text"),) if to_wash else (),
        ((f"discarded {discarded:,}", "text"),) if discarded else (),
    ]
    return (clip(joined(parts), width),)


def bin_row(each: BinRow, chosen: bool, width: int) -> Row:
    """One bin in full; one that overflows says so by glyph, word and number."""
    room = widths(_BIN, width)[3]
    over = each.overflowing
    bar: Row = ()
    if each.capacity:
        bar = load_bar(each.pieces, each.capacity, room)
    elif each.capacity_g:
        bar = load_bar(round(each.grams or 0), round(each.capacity_g), room)
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (OVER, "over") if over else (" ", "text"),
        (each.label, "chosen" if chosen else ("over" if over else "key")),
        bar,
        f"{each.pieces:,}/{each.capacity:,}" if each.capacity else f"{each.pieces:,}",
        (_grams(each), "text"),
        (f"{over_words(each)} · {each.rule}", "over") if over else (each.rule, "text" if chosen else "quiet"),
        (each.place, "quiet"),
    ]
    return columns(_BIN, cells, width)


def over_words(each: BinRow) -> str:
    """By how much a bin is over its rim; empty if it is not."""
    if each.over:
        return f"{each.over:,} over"
    return f"{each.over_g:,.0f} g over" if each.over_g else ""


def _grams(each: BinRow) -> str:
    limit = f"/{each.capacity_g:,.0f}" if each.capacity_g else ""
    if each.grams is None:
        return f"not known{limit}"
    least = "≥ " if each.grams_unknown and each.pieces else ""
    return f"{least}{each.grams:,.0f}{limit} g"


def bin_words(each: BinRow) -> str:
    """A bin in full, for where its columns find no room."""
    words = [f"{each.label}: {each.rule}"]
    if each.place:
        words.append(each.place)
    words.append(f"{_grams(each)} of {plural(each.pieces, 'piece')}")
    if each.grams_unknown:
        words.append(f"mass of {each.grams_unknown:,} not known")
    return "; ".join(words)


def split_words(each: BinRow, proposal: str, keys: Keymap = OWN_KEYS) -> str:
    """What to do about a bin that overflows; empty if it does not."""
    if not each.overflowing:
        return ""
    split = keys.label("bins.split")
    mend = f"{proposal} {split} does it." if proposal else "no rule tells its pieces apart: use a larger bin."
    return f"{OVER} {each.label} overflows, {over_words(each)}: {mend}"


def content_title(each: BinRow) -> Row:
    """The name on the rim of what lies in a bin."""
    return (
        (f"in {each.label} ", "title"),
        (f"{plural(each.pieces, 'piece')} of {plural(each.kinds, 'kind')}", "quiet"),
    )


def heap_row(heap: HeapRow, chosen: bool, width: int) -> Row:
    """One heap of like pieces."""
    look = "chosen" if chosen else "text"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (f"{heap.quantity:,}", "strong"),
        (swatch(heap.rgb, heap.cell.shade),),
        (heap.name, look),
        (heap.cell.shade or "shade not looked at", look),
        (condition(heap.cell.grade, heap.cell.flaws), "quiet"),
    ]
    return columns(_HEAP, cells, width)
