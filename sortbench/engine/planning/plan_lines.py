"""What the plan needs of the picture of a bench, taken at one moment: it does not change any more.

Taking it is quick, so that the question may then be put together in a thread of its own while pieces are counted.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.places import deal
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.shares import LineFill
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.target import Target

LineKey = tuple[str, int]
"""A line by the code of its target and its number from 1."""


class SeenLine(NamedTuple):
    """A line of a target that is not parked.

    Attributes:
        target, number: which line; numbers count from 1.
        fill: what it has.
        accepts: kinds that may fill it, and what each costs in correctness.
        ordered: pieces of those it lacks that are on order.
    """

    target: Target
    number: int
    fill: LineFill
    accepts: Mapping[Kind, int]
    ordered: int = 0

    @property
    def key(self) -> LineKey:
        """Which line of which target."""
        return self.target.code, self.number

    @property
    def need(self) -> int:
        """Pieces that are to be settled: all it asks for but those on order."""
        return self.fill.line.quantity - self.ordered


class Seen(NamedTuple):
    """What was seen of the bench.

    Attributes:
        catalogue: parts and shades.
        lines: of all targets that are not parked, the first rank first.
        spares: pieces that no line has, and how many; empty where nobody asked.
    """

    catalogue: Catalogue
    lines: tuple[SeenLine, ...]
    spares: Mapping[Piece, int]


def seen_of(picture: Picture, ordered: Mapping[LineKey, int] = MappingProxyType({}), spares: bool = False) -> Seen:
    """What the plan needs of the picture as it is now.

    Args:
        picture: the counts and how they are shared.
        ordered: pieces on order, by the line that waits for them.
        spares: whether the pieces that no line has are wanted too; that looks at every heap.
    """
    accepts = picture.fill.accepts
    lines = tuple(
        SeenLine(each.target, number, line, accepts(each.target, number), ordered.get((each.target.code, number), 0))
        for each in picture.fill.all()
        if not each.target.parked
        for number, line in enumerate(each.lines, 1)
    )
    found: dict[Piece, int] = {}
    if spares:
        for dealt in deal(picture).spares:
            found[dealt.piece] = found.get(dealt.piece, 0) + dealt.quantity
    return Seen(picture.catalogue, lines, found)
