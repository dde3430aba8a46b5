"""What the plan needs of the picture of a bench, taken at one moment: it does not change any more.

Taking it is quick, so that the question may then be put together in a thread of its own while pieces are counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sortbench.engine.finishing.orders import OrderState
from sortbench.engine.picture import Picture
from sortbench.engine.sharing.pieces import Piece, pieces_of
from sortbench.engine.sharing.shares import LineFill
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.target import Target

LineKey = tuple[str, int]
"""A line by the code of its target and its number from 1."""


class SeenLine(NamedTuple):
    """A line of a target that is not parked.

    Attributes:
        target, number: which line; numbers count from 1.
        fill: what it has.
        accepts: kinds that may fill it, and what each costs in correctness.
    """

    target: Target
    number: int
    fill: LineFill
    accepts: Mapping[Kind, int]

    @property
    def key(self) -> LineKey:
        """Which line of which target."""
        return self.target.code, self.number

    @property
    def need(self) -> int:
        """Pieces that are to be settled."""
        return self.fill.line.quantity


class Awaited(NamedTuple):
    """Like pieces that are on order.

    Attributes:
        kind, grade, flaws: as the seller describes them; no grade where nobody said.
        target: code of the target they were ordered for; empty for none in particular.
    """

    kind: Kind
    grade: Grade | None
    flaws: Flaws
    target: str


class Seen(NamedTuple):
    """What was seen of the bench.

    Attributes:
        catalogue: parts and shades.
        lines: of all targets that are not parked, the first rank first.
        awaited: pieces on order, and how many.
        spares: pieces that no line has and that are set aside for none, and how many; empty where nobody asked.
    """

    catalogue: Catalogue
    lines: tuple[SeenLine, ...]
    awaited: Mapping[Awaited, int]
    spares: Mapping[Piece, int]


def seen_of(picture: Picture, states: Iterable[OrderState] = (), spares: bool = False) -> Seen:
    """What the plan needs of the picture as it is now.

    Args:
        picture: the counts and how they are shared.
        states: all orders as they stand.
        spares: whether the pieces that no line has are wanted too; that looks at every heap.
    """
    accepts = picture.fill.accepts
    lines = tuple(
        SeenLine(each.target, number, line, accepts(each.target, number))
        for each in picture.fill.all()
        if not each.target.parked
        for number, line in enumerate(each.lines, 1)
    )
    awaited: dict[Awaited, int] = {}
    for state in states:
        for each in state.lines:
            if each.awaited:
                key = Awaited(each.line.kind, each.line.grade, each.line.flaws, each.line.target)
                awaited[key] = awaited.get(key, 0) + each.awaited
    return Seen(picture.catalogue, lines, awaited, _spares(picture, lines) if spares else {})


def _spares(picture: Picture, lines: Iterable[SeenLine]) -> dict[Piece, int]:
    """Pieces that no line has, by kind; those set aside for a target, and coarse ones, are none."""
    ledger = picture.ledger
    used: dict[Piece, int] = {}
    for line in lines:
        for piece, quantity, _, _, _ in line.fill.shares:
            used[piece] = used.get(piece, 0) + quantity
    return {
        piece: left
        for kind in sorted(ledger.kinds)
        for piece, quantity in pieces_of(kind, ledger.of_kind(kind), ledger.reserved(kind)).items()
        if not piece.only and (left := quantity - used.get(piece, 0)) > 0
    }
