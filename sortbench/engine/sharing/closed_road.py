"""What would be if one piece less went to a line: the sharing again, with that road closed to one of them.

The pieces that may not go there are given a kind of their own, a twin, which every line accepts that accepts theirs,
but for that one. All but the pieces that the line has, less one, become twins; so the line can have one fewer at most,
and all else is as free as before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sortbench.engine.fill import Part
from sortbench.engine.picture import Picture
from sortbench.engine.sharing.asks import Ask, Right
from sortbench.engine.sharing.component import Component
from sortbench.engine.sharing.pieces import Piece, pieces_of
from sortbench.engine.sharing.shares import LineFill
from sortbench.model.catalogue import Kind

_MARK = "\0"  # no part's code has it


class ClosedRoads:
    """The lines that hang together with a kind, shared again with one road or another closed.

    Args:
        picture: the counts and the sharing.
        kind: whose roads may be closed.

    Attributes:
        part: the lines, and how they are filled with all roads open.
        stock: pieces of the kind.
    """

    def __init__(self, picture: Picture, kind: Kind) -> None:
        self.part: Part = picture.fill.part_of(kind)
        self._kind = kind
        self._policy = picture.policy
        ledger = picture.ledger
        kinds = {kind, *(accepted for ask in self.part.asks for accepted in ask.accepts)}
        # Sorted, so that of equal sharings it is always the same that is found.
        self._stock = {
            each: pieces
            for each in sorted(kinds)
            if (pieces := pieces_of(each, ledger.of_kind(each), ledger.reserved(each)))
        }
        self.stock: Mapping[Piece, int] = self._stock.get(kind, {})
        self._component: Component | None = None

    def without_one(self, place: int, piece: Piece) -> tuple[LineFill, ...]:
        """What the lines would have if one of these pieces did not go to a line that has some.

        Args:
            place: the line, by its place in ``part``.
            piece: one that the line has.
        """
        component = self._component or self._shared()
        self._component = None
        fewer = pieces_in(self.part.fills[place])[piece] - 1
        twin = piece._replace(kind=self._twin(place))
        component.update(twin.kind, {twin: self.stock[piece] - fewer})
        component.update(self._kind, {**self.stock, piece: fewer} if fewer else _without(self.stock, piece))
        found = tuple(self._plain(fill) for fill in component.fills)
        component.update(self._kind, self.stock)
        component.update(twin.kind, {})
        # Of equal sharings another may have come back; the next question starts from the one that holds.
        if all(pieces_in(now) == pieces_in(fill) for now, fill in zip(component.fills, self.part.fills, strict=True)):
            self._component = component
        return found

    def _shared(self) -> Component:
        kept = {place: pieces_in(fill) for place, fill in enumerate(self.part.fills) if fill.shares}
        closed = [place for place, fill in enumerate(self.part.fills) if self._has_kind(fill)]
        asks = [self._with_twins(place, ask, closed) for place, ask in enumerate(self.part.asks)]
        component = Component(asks, self.part.fills, self._policy, self.part.needs)
        component.load(self._stock, kept)
        return component

    def _has_kind(self, fill: LineFill) -> bool:
        return any(share.piece.kind == self._kind for share in fill.shares)

    def _with_twins(self, place: int, ask: Ask, closed: Sequence[int]) -> Ask:
        if self._kind not in ask.accepts:
            return ask
        twins = {self._twin(each): ask.accepts[self._kind] for each in closed if each != place}
        return ask._replace(accepts={**ask.accepts, **twins}, right=self._right(ask.right))

    def _right(self, right: Right) -> Right:
        return lambda kind: right(self._kind if _MARK in kind.part else kind)

    def _twin(self, place: int) -> Kind:
        return Kind(f"{self._kind.part}{_MARK}{place}", self._kind.shade)

    def _plain(self, fill: LineFill) -> LineFill:
        """A line's figures with twins as what they are."""
        if not any(_MARK in share.piece.kind.part for share in fill.shares):
            return fill
        shares = tuple(
            share._replace(piece=share.piece._replace(kind=self._kind)) if _MARK in share.piece.kind.part else share
            for share in fill.shares
        )
        return fill._replace(shares=shares)


def _without(stock: Mapping[Piece, int], piece: Piece) -> dict[Piece, int]:
    return {each: quantity for each, quantity in stock.items() if each != piece}


def pieces_in(fill: LineFill) -> dict[Piece, int]:
    """What a line has, like pieces together."""
    found: dict[Piece, int] = {}
    for share in fill.shares:
        found[share.piece] = found.get(share.piece, 0) + share.quantity
    return found
