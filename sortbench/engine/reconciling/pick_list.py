"""The pick list of a target: which pieces to take from where, and what lies in its crate already.

A row is one heap, whatever number of lines it serves, so that rows and their numbers stay as they are while the list is
worked off: what was picked still stands in the row of the heap it came from.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

import hashlib
from collections.abc import Iterable
from typing import NamedTuple

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.origins import origins
from sortbench.engine.reconciling.places import Dealt, bin_order, deal
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Fate

_MARK = 4  # hex digits: one of 65,536 other lists would pass for this one


class Use(NamedTuple):
    """What pieces of a row are for.

    Attributes:
        line: number of the line on the target's list, from 1.
        quantity: pieces.
        wanted: the kind that the line asks for.
        wanted_name: the name of its part.
        cost: what it costs in correctness that they only stand in, 0 for the kind that is asked for.
        standard: whether grade, flaws and period are all right there.
    """

    line: int
    quantity: int
    wanted: Kind
    wanted_name: str
    cost: int
    standard: bool


class PickRow(NamedTuple):
    """Pieces of one heap that a target has.

    Attributes:
        number: from 1, in the order of the list.
        cell: the heap that they lie in, or lay in before they were picked. For pieces that were counted right into the
            crate it is the heap there.
        place: where the bin stands on the table; empty where nobody said.
        kind, name, rgb: what they are; the name is the part's. A kind without a part if nobody looked at it.
        grade: None where nobody graded them.
        flaws: what else is wrong with them.
        quantity: pieces that the target's lines have of it, picked or not.
        left: pieces of these that are still to be picked.
        picked: pieces in the crate that came from there.
        uses: which lines they are for; together ``quantity`` pieces.
    """

    number: int
    cell: Cell
    place: str
    kind: Kind
    name: str
    rgb: str
    grade: Grade | None
    flaws: Flaws
    quantity: int
    left: int
    picked: int
    uses: tuple[Use, ...]

    @property
    def ticked(self) -> bool:
        """Whether nothing of it is left to pick."""
        return not self.left

    @property
    def surplus(self) -> int:
        """Pieces in the crate that no line of the target needs."""
        return self.picked + self.left - self.quantity

    @property
    def stands_in(self) -> bool:
        """Whether any of them stands in for another kind."""
        return any(use.cost for use in self.uses)

    @property
    def where(self) -> str:
        """Where they lie, or lay, in a word or two."""
        if self.cell.fate is Fate.CRATE:
            return "the crate"
        words = [self.cell.bin] if self.cell.bin else []
        if self.cell.fate is Fate.WASH:
            words.append("to wash")
        return ", ".join(words) or "no bin"


class PickList(NamedTuple):
    """All that a target has, row by row: bins in their order, then what lies in none.

    Attributes:
        code, name, year: the target.
        parked: whether it takes nothing for now.
        short: pieces that its lines lack, and that nobody can pick therefore.
        rows: what it has.
        mark: tells whether another list has the same rows; picking from it and putting back change nothing of it.
    """

    code: str
    name: str
    year: int | None
    parked: bool
    short: int
    rows: tuple[PickRow, ...]
    mark: str

    @property
    def quantity(self) -> int:
        """Pieces that its lines have, picked or not."""
        return sum(row.quantity for row in self.rows)

    @property
    def left(self) -> int:
        """Pieces still to be picked."""
        return sum(row.left for row in self.rows)

    @property
    def picked(self) -> int:
        """Pieces in the crate."""
        return sum(row.picked for row in self.rows)

    @property
    def surplus(self) -> int:
        """Pieces in the crate that no line needs."""
        return sum(row.surplus for row in self.rows)


def pick_list(picture: Picture, code: str) -> PickList:
    """The pick list of a target.

    Raises:
        KeyError: no such target.
    """
    fill = picture.fill[code]
    crate = picture.ledger.in_crate(code)
    kinds = {share.piece.kind for line in fill.lines for share in line.shares}
    kinds |= {kind for cell in crate if (kind := cell.kind) is not None}
    dealt = deal(picture, kinds).lines
    order = bin_order(picture)
    picked = origins(picture.ledger, code, order)
    rows: dict[Cell, _Row] = {}
    for number, line in enumerate(fill.lines, 1):
        costs = {share.piece: (share.cost, share.standard) for share in line.shares}
        for each in dealt.get((code, number), ()):
            wanted = line.line.kind
            use = Use(number, 0, wanted, picture.catalogue.part_name(wanted.part), *costs[each.piece])
            for heap, quantity in _taken_from(each, picked):
                row = rows.setdefault(heap, _Row())
                row.uses[number, use.cost, use.standard] = use._replace(
                    quantity=quantity + row.uses.get((number, use.cost, use.standard), use).quantity
                )
                row.left += 0 if each.in_crate else quantity
                row.picked += quantity if each.in_crate else 0
    for remaining in picked.values():
        for heap, quantity in remaining:
            rows.setdefault(heap, _Row()).picked += quantity

    def key(cell: Cell) -> tuple[object, ...]:
        return order(cell), cell.shade, picture.name(cell), cell.part, -(cell.grade or 0), cell.flaws

    heaps = sorted(rows, key=key)
    listed = tuple(_listed(picture, number, heap, rows[heap]) for number, heap in enumerate(heaps, 1))
    target = fill.target
    return PickList(code, target.name, target.year, target.parked, fill.short, listed, _mark(code, listed))


class _Row:
    """A row while it is put together."""

    __slots__ = ("left", "picked", "uses")

    def __init__(self) -> None:
        self.left = self.picked = 0
        self.uses: dict[tuple[int, int, bool], Use] = {}


def _taken_from(dealt: Dealt, picked: dict[Cell, list[tuple[Cell, int]]]) -> Iterable[tuple[Cell, int]]:
    """The heaps that dealt pieces lie in, or came from; those that came from somewhere are used up."""
    if not dealt.in_crate:
        yield dealt.cell, dealt.quantity
        return
    left, heaps = dealt.quantity, picked[dealt.cell]
    while left:
        heap, there = heaps.pop(0)
        taken = min(left, there)
        left -= taken
        if there > taken:
            heaps.insert(0, (heap, there - taken))
        yield heap, taken


def _listed(picture: Picture, number: int, cell: Cell, row: _Row) -> PickRow:
    found = None if cell.fate is Fate.CRATE else picture.bin(cell.bin)
    uses = tuple(sorted(row.uses.values()))
    return PickRow(
        number=number,
        cell=cell,
        place=found.place if found else "",
        kind=Kind(cell.part, cell.shade),
        name=picture.name(cell),
        rgb=picture.rgb(cell.shade),
        grade=cell.grade,
        flaws=cell.flaws,
        quantity=sum(use.quantity for use in uses),
        left=row.left,
        picked=row.picked,
        uses=uses,
    )


def _mark(code: str, rows: Iterable[PickRow]) -> str:
    told = [code, *(repr((row.cell, row.quantity)) for row in rows)]
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:_MARK]
