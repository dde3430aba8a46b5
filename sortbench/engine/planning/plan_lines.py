"""What the plan needs of the picture of a bench, taken at one moment: it does not change any more.

Taking it is quick, so that the question may then be put together in a thread of its own while pieces are counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from sortbench.engine.finishing.orders import OrderState
from sortbench.engine.finishing.standing import Coming
from sortbench.engine.picture import Picture
from sortbench.engine.sharing.pieces import Piece, pieces_of
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
        ordered: pieces on order for it: of those it lacks, and then in place of aged ones, flawed ones and stand-ins.
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
    def replaceable(self) -> int:
        """Pieces that are below standard or stand in, so that others may be on order in their place."""
        lowest = self.fill.line.lowest
        return sum(
            share.quantity
            for share in self.fill.shares
            if share.cost or share.piece.flaws or (share.piece.grade is not None and share.piece.grade < lowest)
        )

    @property
    def need(self) -> int:
        """Pieces that are to be settled: all it asks for but those on order."""
        return self.fill.line.quantity - self.ordered


class Seen(NamedTuple):
    """What was seen of the bench.

    Attributes:
        catalogue: parts and shades.
        lines: of all targets that are not parked, the first rank first.
        spares: pieces that no line has and that are set aside for none, and how many; empty where nobody asked.
    """

    catalogue: Catalogue
    lines: tuple[SeenLine, ...]
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
    if states := tuple(states):
        lines = _awaiting(lines, states)
    return Seen(picture.catalogue, lines, _spares(picture, lines) if spares else {})


def _awaiting(lines: Sequence[SeenLine], states: Iterable[OrderState]) -> tuple[SeenLine, ...]:
    """The lines with what is on order for them: for holes as the standing list has it, then to replace pieces."""
    coming = Coming(states)
    own = [[(kind, line.target.code) for kind in line.accepts] for line in lines]
    found = [coming.take(keys, line.fill.short) for keys, line in zip(own, lines, strict=True)]
    for place, line in enumerate(lines):
        found[place] += coming.take(coming.of_kind(line.fill.line.kind), line.fill.short - found[place])
    for place, line in enumerate(lines):
        found[place] += coming.take(own[place], line.replaceable)
    return tuple(line._replace(ordered=some) for line, some in zip(lines, found, strict=True))


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
