"""All of a bench in figures: what was counted and where it goes, how far targets and bins are filled, what is short.

Named tuples, and annotations not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Callable, Hashable, Iterable
from typing import NamedTuple, TypeVar

from sortbench.engine.board import BinRow
from sortbench.engine.picture import Picture
from sortbench.engine.receipts import split_words
from sortbench.engine.reconciling.reconcile import spares_of, targets_of
from sortbench.engine.reconciling.reconcile_board import ReconcileTarget, SpareHeap
from sortbench.engine.sharing.fill_figures import TargetFill
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate

_Key = TypeVar("_Key", bound=Hashable)


class ShadePieces(NamedTuple):
    """Pieces of one shade; ``shade`` is empty where nobody looked at it, ``rgb`` where it is not known."""

    shade: str
    rgb: str
    pieces: int


class BinFigures(NamedTuple):
    """One bin: its row, the pieces in it by shade (most first), and how to split it where it overflows."""

    row: BinRow
    shades: tuple[ShadePieces, ...]
    proposal: str


class LackRow(NamedTuple):
    """A line that lacks pieces, or has some that are not to standard.

    Attributes:
        number: from 1, in the order of the list.
        name, shade, rgb: what is asked for.
        lowest: the lowest grade to standard.
        need, present, short, below: pieces; ``below`` are present and not to standard.
    """

    number: int
    name: str
    shade: str
    rgb: str
    lowest: Grade
    need: int
    present: int
    short: int
    below: int


class TargetFigures(NamedTuple):
    """One target: how far it is filled, pieces in its crate, pieces of unknown years, and lines that lack something."""

    row: ReconcileTarget
    crated: int
    period_unknown: int
    lacks: tuple[LackRow, ...]


class Whereabouts(NamedTuple):
    """Every counted piece, once.

    Attributes:
        standard, below: present on a line of a target, to standard and not.
        spare: on no line.
        coarse: counted without a look at its size, so on no line yet.
        out: counted and discarded.
    """

    standard: int
    below: int
    spare: int
    coarse: int
    out: int


class BenchFigures(NamedTuple):
    """All of a bench.

    Attributes:
        pieces: counted and not discarded.
        kinds: how many kinds these are of; coarse ones are of none.
        whereabouts: where all that was counted goes.
        waiting: pieces that wait for a wash.
        targets: the first rank first.
        bins: in their order.
        shades: kept pieces by shade, most first.
        grades: kept pieces by grade, the best first; None for those that nobody graded.
        flaws: kept pieces that have a flaw, flaw by flaw; a piece with two counts at both.
        flawed: kept pieces that have any.
        spares: pieces that no line has.
        impossible: heaps that come to fewer than no pieces, in words. They are in none of the figures above but
            ``pieces`` and those of bins.
    """

    pieces: int
    kinds: int
    whereabouts: Whereabouts
    waiting: int
    targets: tuple[TargetFigures, ...]
    bins: tuple[BinFigures, ...]
    shades: tuple[ShadePieces, ...]
    grades: tuple[tuple[Grade | None, int], ...]
    flaws: tuple[tuple[Flaw, int], ...]
    flawed: int
    spares: tuple[SpareHeap, ...]
    impossible: tuple[str, ...]


def figures_of(picture: Picture) -> BenchFigures:
    """Work out all figures of a bench; 20,000 pieces and 6,000 lines take about a quarter of a second."""
    ledger = picture.ledger
    heaps = [(cell, quantity) for cell, quantity in ledger.counts.items() if quantity > 0]
    kept = [(cell, quantity) for cell, quantity in heaps if cell.fate is not Fate.OUT]
    fills = picture.fill.all()
    spares = spares_of(picture)
    present, standard = sum(fill.present for fill in fills), sum(fill.standard for fill in fills)
    by_flaw = [(flaw, quantity) for cell, quantity in kept for flaw in cell.flaws]
    return BenchFigures(
        pieces=ledger.pieces,
        kinds=len({cell.kind for cell, _ in kept} - {None}),
        whereabouts=Whereabouts(
            standard=standard,
            below=present - standard,
            spare=sum(heap.quantity for heap in spares),
            coarse=sum(quantity for cell, quantity in kept if cell.kind is None),
            out=sum(quantity for cell, quantity in heaps if cell.fate is Fate.OUT),
        ),
        waiting=sum(quantity for cell, quantity in kept if cell.fate is Fate.WASH),
        targets=tuple(
            TargetFigures(
                row,
                sum(each for each in ledger.in_crate(row.code).values() if each > 0),
                fill.period_unknown,
                _lacks(picture, fill),
            )
            for row, fill in zip(targets_of(picture), fills, strict=True)
        ),
        bins=tuple(
            BinFigures(
                row,
                _by_shade(picture, picture.content(row.label).items()),
                split_words(picture, row.label) if row.overflowing else "",
            )
            for row in picture.bin_rows()
        ),
        shades=_by_shade(picture, kept),
        grades=tuple(_summed(((cell.grade, quantity) for cell, quantity in kept), lambda grade: -(grade or 0))),
        flaws=tuple(_summed(by_flaw, lambda flaw: flaw.value)),
        flawed=sum(quantity for cell, quantity in kept if cell.flaws),
        spares=spares,
        impossible=tuple(
            f"{picture.name(cell)} {cell.shade}".rstrip() + f": {ledger.counts[cell]:,}" for cell in ledger.impossible()
        ),
    )


def _lacks(picture: Picture, fill: TargetFill) -> tuple[LackRow, ...]:
    rows = []
    for number, each in enumerate(fill.lines, 1):
        below = each.present - each.standard
        if each.short or below:
            line = each.line
            rows.append(
                LackRow(
                    number,
                    picture.catalogue.part_name(line.kind.part),
                    line.kind.shade,
                    picture.rgb(line.kind.shade),
                    line.lowest,
                    line.quantity,
                    each.present,
                    each.short,
                    below,
                )
            )
    return tuple(rows)


def _by_shade(picture: Picture, heaps: Iterable[tuple[Cell, int]]) -> tuple[ShadePieces, ...]:
    found = dict(_summed(((cell.shade, quantity) for cell, quantity in heaps if quantity > 0), str))
    order = sorted(found, key=lambda shade: (-found[shade], shade))
    return tuple(ShadePieces(shade, picture.rgb(shade), found[shade]) for shade in order)


def _summed(pairs: Iterable[tuple[_Key, int]], order: Callable[[_Key], str | int]) -> list[tuple[_Key, int]]:
    found: dict[_Key, int] = {}
    for key, quantity in pairs:
        found[key] = found.get(key, 0) + quantity
    return sorted(found.items(), key=lambda item: order(item[0]))
