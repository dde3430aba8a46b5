"""The reconcile screen's lines of a target, the pieces that fill one, and the heaps that are spare."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from sortbench.tui.drawing.bench_rows import FULL
from sortbench.tui.drawing.crate_rows import TO
from sortbench.tui.drawing.list_rows import holds_words, searchable, wrapped
from sortbench.tui.drawing.marks import Mark
from sortbench.tui.drawing.target_rows import PERIODS
from sortbench.tui.drawing.words import condition, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, columns

if TYPE_CHECKING:
    from sortbench.engine.reconciling.reconcile_board import (
        AcceptRow,
        PlaceRow,
        ReconcileLine,
        ShareRow,
        SpareHeap,
    )
    from sortbench.model.catalogue import Kind

STANDS_IN = "≈"
REFUSED = "✗"
_MOST_WORDS = 6
"""Lines that one thing to improve may take where the panel is narrow."""


class LinePair(NamedTuple):
    """One line of a target as it is kept, and as it would be with what is being tried out."""

    before: ReconcileLine
    after: ReconcileLine


class Filling(NamedTuple):
    """One row of what fills a line: pieces it has, or a stand-in it has none of."""

    kind: Kind
    share: ShareRow | None
    accept: AcceptRow | None
    """The stand-in; None for the kind that is asked for."""


# -- lines


def lines_in_view(lines: Sequence[LinePair], words: str, only_short: bool) -> tuple[LinePair, ...]:
    """The lines that hold all the words; only those with pieces missing, before or after, where that is wanted."""
    return tuple(
        line
        for line in lines
        if (line.after.short or line.before.short or not only_short) and (not words or holds_words(_text(line), words))
    )


def _text(pair: LinePair) -> str:
    line = pair.after
    shares = [word for share in line.shares for word in (share.name, share.kind.shade, *_labels(share.places))]
    return searchable(line.name, line.kind.part, line.kind.shade, *shares)


def _labels(places: Iterable[PlaceRow]) -> list[str]:
    return [place.words for place in places]


def line_layout(lines: Sequence[LinePair]) -> tuple[Column, ...]:
    """Columns as wide as the figures in them need."""

    def widest(texts: Iterable[str], least: int) -> int:
        return max((cell_len(text) for text in texts), default=least)

    return (
        Column(1),
        Column(1),
        Column(widest((f"{line.after.number}" for line in lines), 1), align="right"),
        Column(1),
        Column(8, 48),
        Column(6, 18, drop=2),
        Column(widest((_words(_have(line)) for line in lines), 3), align="right"),
        Column(widest((_words(_short(line)) for line in lines), 1), align="right"),
        Column(widest((f"{line.after.standard:,}" for line in lines), 1), align="right", drop=1),
        Column(widest((_words(_stand_ins(line)) for line in lines), 1), drop=3),
    )


def line_title(name: str, shown: int, width: int) -> Row:
    """The name on the rim, and what the figures under it are."""
    names = "have/of · short · to standard" if width >= 60 else "have/of · short"
    return ((f"{name} ", "title"), (names if shown else "", "quiet"))


def line_row(layout: tuple[Column, ...], pair: LinePair, mark: Mark, width: int) -> Row:
    """One line of a target; where what is tried changes it, what it has is shown before and after."""
    line = pair.after
    look = mark.look()
    below = line.standard < line.present
    cells: list[str | Span | Row] = [
        mark.pointer,
        (" " if line.short else FULL, "good"),
        (f"{line.number}", "quiet"),
        (swatch(line.rgb, line.kind.shade),),
        (line.name, look),
        (line.kind.shade, look),
        _have(pair),
        _short(pair),
        (f"{line.standard:,}", "warning" if below else "text"),
        _stand_ins(pair),
    ]
    return columns(layout, cells, width)


def _have(pair: LinePair) -> Row:
    before, after = pair.before.present, pair.after.present
    if before == after:
        return ((f"{after:,}/{pair.after.need:,}", "text"),)
    look = "good" if after > before else "warning"
    return ((f"{before:,}", "quiet"), (f"{TO}{after:,}", look), (f"/{pair.after.need:,}", "text"))


def _short(pair: LinePair) -> Row:
    short = pair.after.short
    return ((f"{short:,}", "wanted") if short else ("–", "quiet"),)


def _stand_ins(pair: LinePair) -> Row:
    count = pair.after.stand_ins
    return ((f"{STANDS_IN}{count:,}", "present"),) if count else ((" ", "text"),)


def _words(row: Row) -> str:
    return "".join(text for text, _ in row)


def line_words(pair: LinePair, year: int | None) -> str:
    """A line in full, for where its columns find no room."""
    line = pair.after
    was = f" ({pair.before.present:,} as kept)" if pair.before.present != line.present else ""
    stand_ins = f", {line.stand_ins:,} of them standing in" if line.stand_ins else ""
    return (
        f"line {line.number}: {line.name} · {line.kind.shade}: have {line.present:,} of {line.need:,}{was}{stand_ins}, "
        f"short {line.short:,}; {line.standard:,} to standard (grade {line.lowest.label} and better); "
        f"period {PERIODS[line.period]}" + (f" for {year}" if year else "")
    )


# -- what fills a line


def fillings_of(line: ReconcileLine) -> tuple[Filling, ...]:
    """The pieces that a line has, then the stand-ins it has none of."""
    accepts = {accept.kind: accept for accept in line.accepts}
    rows = [Filling(share.kind, share, accepts.get(share.kind)) for share in line.shares]
    used = {share.kind for share in line.shares}
    rows += [Filling(accept.kind, None, accept) for accept in line.accepts if accept.kind not in used]
    return tuple(rows)


def stand_in_at(fillings: Sequence[Filling], cursor: int | None) -> Kind | str:
    """The stand-in that the cursor is on, or why there is none to try.

    Args:
        cursor: index of the row; None while the cursor is on the line, where a single stand-in is meant without
            pointing at it.
    """
    stand_ins = [filling.kind for filling in fillings if filling.accept is not None]
    if not stand_ins:
        return "Nothing stands in on this line: neither its list nor a rule of the bench says so."
    if cursor is None:
        return stand_ins[0] if len(stand_ins) == 1 else "Which stand-in? Right goes to what fills the line."
    if fillings[cursor].accept is None:
        return "This is the kind that the line asks for, not a stand-in."
    return fillings[cursor].kind


def filling_layout(line: ReconcileLine, fillings: Sequence[Filling]) -> tuple[Column, ...]:
    """Columns as wide as what stands in them needs; what the pieces are has the rest."""
    shares = [filling.share for filling in fillings if filling.share is not None]

    def fitted(texts: Iterable[str], least: int, most: int, drop: int = 0) -> Column:
        width = min(max((cell_len(text) for text in texts), default=least), most)
        return Column(min(width, least), width, drop=drop)

    return (
        Column(1),
        Column(max((len(f"{share.quantity:,}") for share in shares), default=1), align="right"),
        Column(1),
        Column(10, 44),
        fitted((condition(share.grade, share.flaws) for share in shares), 5, 18),
        fitted((_judged(line, share) for share in shares), 9, 16, drop=2),
        fitted((place_words(share.places, share.held) for share in shares), 8, 40, drop=1),
    )


def fillings_title(line: ReconcileLine, words: str = "what fills") -> Row:
    """The name on the rim over what fills a line."""
    return ((f"{words} line {line.number} ", "title"), (f"{line.name} · {line.kind.shade}", "quiet"))


def filling_row(layout: tuple[Column, ...], line: ReconcileLine, filling: Filling, mark: Mark, width: int) -> Row:
    """Pieces that a line has and where they lie; or a stand-in it has none of, and whether it is allowed."""
    share, accept = filling.share, filling.accept
    look = mark.look()
    if share is None:
        assert accept is not None, "what has no pieces is a stand-in"
        state: Span = (f"{REFUSED} refused", "warning") if accept.refused else (f"allowed, cost {accept.cost}", "quiet")
        unused = (
            mark.pointer,
            ("–", "quiet"),
            (swatch(accept.rgb, accept.kind.shade),),
            _stand_in(accept, look),
            state,
        )
        return columns((*layout[:4], Column(len("allowed, cost 9"))), [*unused], width)
    what: Row = ((share.kind.shade if share.cost else "as asked for", look),)
    if share.cost:
        what = _named(share.name, share.kind, look)
    cells: list[str | Span | Row] = [
        mark.pointer,
        (f"{share.quantity:,}", "strong"),
        (swatch(share.rgb, share.kind.shade),),
        what,
        (condition(share.grade, share.flaws), "text" if share.standard else "warning"),
        (_judged(line, share), "quiet" if share.standard else "warning"),
        (place_words(share.places, share.held), "key"),
    ]
    return columns(layout, cells, width)


def _stand_in(accept: AcceptRow, look: str) -> Row:
    return _named(accept.name, accept.kind, "quiet" if accept.refused and look == "text" else look)


def _named(name: str, kind: Kind, look: str) -> Row:
    return ((f"{STANDS_IN} ", "present"), (f"{name} · {kind.shade}", look))


def _judged(line: ReconcileLine, share: ShareRow) -> str:
    """To standard, or the first thing that keeps pieces from it."""
    if share.standard:
        return "to standard"
    if share.period is not True:
        return f"period {PERIODS[share.period]}"
    if not share.ready:
        return "to be washed"
    if share.flaws:
        return "flawed"
    return "not graded" if share.grade is None else f"below grade {line.lowest.label}"


def place_words(places: Sequence[PlaceRow], held: str = "") -> str:
    """Where pieces lie, most first, and whether they are held for the target."""
    found = sorted(places, key=lambda place: (-place.quantity, place.bin))
    words = ", ".join(f"{place.words} {place.quantity:,}" for place in found)
    return f"{words} ({held})" if held and not all(place.crated for place in places) else words


def filling_words(line: ReconcileLine, filling: Filling, keys: Keymap = OWN_KEYS) -> str:
    """A row of what fills a line in full."""
    share, accept = filling.share, filling.accept
    if accept is None:
        assert share is not None, "only a stand-in may have no pieces"
        what = f"{plural(share.quantity, 'piece')} as asked for"
    else:
        many = plural(share.quantity, "piece") + " of " if share else ""
        what = f"{many}{accept.name} · {accept.kind.shade}, which stands in at a cost of {accept.cost} of 9"
        if share is None:
            way = (
                "refused; {reconcile.stand-in} allows it again"
                if accept.refused
                else "none is used; {reconcile.stand-in} refuses it"
            )
            return f"{what}: {keys.said(way)}"
    judged = [f"grade {condition(share.grade, share.flaws)}", _judged(line, share)]
    return "; ".join([what, *judged, where_words(share.places, share.held)])


def where_words(places: Sequence[PlaceRow], held: str = "") -> str:
    """Where pieces lie, with the place of each bin on the table."""
    found = [f"{place.words}{f' ({place.place})' if place.place else ''} {place.quantity:,}" for place in places]
    return ", ".join(found) + (f"; {held}" if held else "")


def better_rows(line: ReconcileLine, width: int) -> tuple[Row, ...]:
    """What would improve a line."""
    rows: list[Row] = []
    for place, words in enumerate(line.better):
        lead = "better: " if not place else "        "
        for text in wrapped(words, "text", max(width - len(lead), 8), _MOST_WORDS):
            rows.append(((lead, "title"), *text))
            lead = "        "
    return tuple(rows)


# -- spares

_SPARE = (
    Column(1),
    Column(1, 6, align="right"),
    Column(1),
    Column(8, None),
    Column(6, 18, drop=1),
    Column(5, 18),
    Column(8, 30, drop=2),
)

NO_SPARES: tuple[Row, ...] = (
    (("Nothing is spare: pieces counted at the bench ({bench}) that no line needs come here.", "text"),),
)
"""What to say where nothing is spare."""


def spares_title(heaps: Sequence[SpareHeap]) -> Row:
    """The name on the rim over the spares."""
    pieces = sum(heap.quantity for heap in heaps)
    return (("spares ", "title"), (f"{plural(pieces, 'piece')} that no line has", "quiet"))


def spares_in_view(heaps: Sequence[SpareHeap], words: str) -> tuple[SpareHeap, ...]:
    """The spare heaps that hold all the words."""
    if not words:
        return tuple(heaps)
    return tuple(
        heap
        for heap in heaps
        if holds_words(
            searchable(
                heap.name, heap.kind.part, heap.kind.shade, condition(heap.grade, heap.flaws), *_labels(heap.places)
            ),
            words,
        )
    )


def spare_row(heap: SpareHeap, mark: Mark, width: int) -> Row:
    """Like pieces that no line has."""
    look = mark.look()
    cells: list[str | Span | Row] = [
        mark.pointer,
        (f"{heap.quantity:,}", "strong"),
        (swatch(heap.rgb, heap.kind.shade),),
        (heap.name, look),
        (heap.kind.shade, look),
        (condition(heap.grade, heap.flaws), "quiet"),
        (place_words(heap.places), "key"),
    ]
    return columns(_SPARE, cells, width)


def spare_words(heap: SpareHeap) -> str:
    """Spare pieces in full."""
    only = f"; set aside for {heap.only}" if heap.only else ""
    return (
        f"{plural(heap.quantity, 'piece')} spare: {heap.name} · {heap.kind.shade}, "
        f"grade {condition(heap.grade, heap.flaws)}{only}; {where_words(heap.places)}"
    )


def heap_rows(heap: SpareHeap) -> tuple[Row, ...]:
    """Where spare pieces lie, place by place."""
    return tuple(
        (
            (f"{place.quantity:>6,} ", "strong"),
            (place.words, "key"),
            (f"  {place.place}" if place.place else "", "quiet"),
        )
        for place in heap.places
    )


# -- why


def why_title(kind: Kind, name: str) -> Row:
    """The name on the rim over an explanation."""
    return (("why ", "title"), (f"{name} · {kind.shade}", "quiet"))


def why_rows(sentences: Sequence[str], width: int) -> tuple[Row, ...]:
    """An explanation, a sentence a paragraph."""
    return tuple(row for sentence in sentences for row in wrapped(sentence, "text", max(width, 8), _MOST_WORDS * 2))
