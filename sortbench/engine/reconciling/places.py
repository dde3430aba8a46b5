"""Where the pieces lie that each line has: heaps dealt out to the lines, piece by piece.

Sharing knows like pieces wherever they lie; hands need to know the bin. Lines take turns in rank order, and each takes
from the bins in their order, so that the same counts always give the same answer. No piece is dealt twice, and what no
line has is dealt to the spares.
"""

from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from typing import NamedTuple

from sortbench.engine.picture import Picture
from sortbench.engine.sharing.pieces import Piece, pieces_of
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Fate


class Dealt(NamedTuple):
    """Pieces that lie in one heap, and that one line has or none.

    Attributes:
        piece: what they are.
        cell: the heap; its bin and fate say where it lies.
        quantity: how many of it, 1 or more.
    """

    piece: Piece
    cell: Cell
    quantity: int

    @property
    def in_crate(self) -> bool:
        """Whether they lie in a target's crate already."""
        return self.cell.fate is Fate.CRATE


class Deal(NamedTuple):
    """All pieces of some kinds, each dealt once.

    Attributes:
        lines: by the target's code and the number of its line, from 1; lines that have nothing are left out.
        spares: what no line has.
    """

    lines: Mapping[tuple[str, int], tuple[Dealt, ...]]
    spares: tuple[Dealt, ...]


class _All(Container[Kind]):
    def __contains__(self, kind: object) -> bool:
        return True


def deal(picture: Picture, kinds: Container[Kind] = _All()) -> Deal:
    """Deal the pieces of some kinds, or of all, to the lines that have them.

    Coarse pieces, whose kind nobody looked at, are no line's and are left out.
    """
    heaps = _Heaps(picture)
    lines: dict[tuple[str, int], tuple[Dealt, ...]] = {}
    for fill in picture.fill.all():
        code = fill.target.code
        for number, line in enumerate(fill.lines, 1):
            if line.shares:
                found: list[Dealt] = []
                for piece, quantity, _, _, _ in line.shares:
                    if piece.kind in kinds:
                        found += heaps.take(piece, quantity)
                if found:
                    lines[code, number] = tuple(found)
    return Deal(lines, tuple(heaps.rest(kind for kind in sorted(picture.ledger.kinds) if kind in kinds)))


_Condition = tuple[Grade | None, Flaws, bool]
"""Grade, flaws, and whether a piece is washed."""
_Heap = list[tuple[Cell, int]]
"""Heaps of like pieces with what is left of each, the last one to be taken from first."""


class _OfKind(NamedTuple):
    """The heaps of one kind.

    Attributes:
        left: pieces not dealt yet.
        loose: heaps outside the crates.
        crated: heaps in crates, by condition and target.
    """

    left: dict[Piece, int]
    loose: dict[_Condition, _Heap]
    crated: dict[tuple[_Condition, str], _Heap]


class _Heaps:
    """The heaps of a picture, taken from until nothing is left."""

    def __init__(self, picture: Picture) -> None:
        self._ledger = picture.ledger
        self._order = bin_order(picture)
        self._kinds: dict[Kind, _OfKind] = {}

    def take(self, piece: Piece, quantity: int) -> Iterator[Dealt]:
        """Take pieces; those in the crate before those set aside in the bins."""
        of_kind = self._of(piece.kind)
        of_kind.left[piece] -= quantity
        condition = piece.grade, piece.flaws, piece.ready
        for heap in (of_kind.crated.get((condition, piece.only)), of_kind.loose.get(condition)):
            while heap and quantity:
                cell, there = heap.pop()
                taken = min(there, quantity)
                quantity -= taken
                if there > taken:
                    heap.append((cell, there - taken))
                yield Dealt(piece, cell, taken)
        assert not quantity, "the sharing deals in pieces that lie somewhere"

    def rest(self, kinds: Iterable[Kind]) -> Iterator[Dealt]:
        """Take all that is left, the best of a kind first."""
        for kind in kinds:
            # What is set aside has the first choice of the bins, as it has in the sharing.
            for piece, quantity in sorted(self._of(kind).left.items(), key=_best_first):
                if quantity:
                    yield from self.take(piece, quantity)

    def _of(self, kind: Kind) -> _OfKind:
        found = self._kinds.get(kind)
        if found is None:
            cells = self._ledger.of_kind(kind)
            found = self._kinds[kind] = _OfKind(pieces_of(kind, cells, self._ledger.reserved(kind)), {}, {})
            for cell in sorted(cells, key=self._order, reverse=True):
                if cell.fate is not Fate.OUT and (quantity := cells[cell]) > 0:
                    condition = cell.grade, cell.flaws, cell.fate is not Fate.WASH
                    if cell.fate is Fate.CRATE:
                        found.crated.setdefault((condition, cell.bin), []).append((cell, quantity))
                    else:
                        found.loose.setdefault(condition, []).append((cell, quantity))
        return found


def _best_first(item: tuple[Piece, int]) -> tuple[int, Flaws, bool, str]:
    piece = item[0]
    return (-piece.quality, piece.flaws, not piece.ready, piece.only)


def bin_order(picture: Picture) -> Callable[[Cell], tuple[int, int, str, str]]:
    """A key that sorts heaps by where they lie: bins in their order, bins that are not set up, no bin, the wash, and
    last the crates."""
    places = {each.label: place for place, each in enumerate(picture.bins)}
    unknown = len(places)

    def key(cell: Cell) -> tuple[int, int, str, str]:
        label, fate = cell.bin, cell.fate
        if fate is Fate.CRATE:
            return 3, 0, label, cell.family
        if fate is Fate.WASH:
            return 2, 0, label, cell.family
        return (0 if label else 1), places.get(label, unknown), label, cell.family

    return key
