"""Sharing a component by counting, where that is surely the best sharing there is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sortbench.engine.sharing.asks import Ask
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.plain import is_unmistakable, share_kind
from sortbench.engine.sharing.shares import LineFill, Share, line_fill
from sortbench.model.catalogue import Kind
from sortbench.model.target import Policy

_Stock = Mapping[Kind, Mapping[Piece, int]]


def counted_out(
    asks: Sequence[Ask],
    fills: Sequence[LineFill],
    stock: _Stock,
    asking: Mapping[Kind, Sequence[int]],
    policy: Policy,
) -> list[LineFill] | None:
    """The one best sharing of a component, or None where counting does not show it.

    Args:
        asks: the lines, the first rank first.
        fills: the same; only ``line`` and ``period`` are read.
        stock: the pieces by kind.
        asking: places of the lines by the kinds that they accept.
        policy: which criteria come first.
    """
    if any(ask.shared for ask in asks):
        return None
    if len(asks) == 1:
        return _one_line(asks[0], fills[0], stock)
    shared = [line_fill((fill.line, 0, 0, 0, 0, fill.period, ())) for fill in fills]
    places: dict[Kind, list[int]] = {}
    for place, ask in enumerate(asks):
        places.setdefault(ask.line.kind, []).append(place)
    for kind, pieces in stock.items():
        if not pieces:
            continue
        if not is_unmistakable(pieces):
            return None
        exact = places.get(kind, ())
        if len({asks[place].target for place in exact}) < len(exact):
            return None
        for place, line in zip(exact, share_kind(pieces, [fills[place] for place in exact], policy), strict=True):
            shared[place] = line
    # A kind that no line would give up for a stand-in at hand is shared by itself. So is one of which all lines have as
    # many as they ask for, all to standard: no stand-in is better than that.
    movable = {
        asks[place].line.kind
        for kind, pieces in stock.items()
        if pieces
        for place in asking.get(kind, ())
        if asks[place].line.kind != kind
    }
    for kind in movable:
        for place in places[kind]:
            if shared[place].standard < shared[place].line.quantity:
                return None
    return shared


def _one_line(ask: Ask, fill: LineFill, stock: _Stock) -> list[LineFill] | None:
    """A single line takes what is best for it, piece by piece."""
    found: list[tuple[tuple[bool, bool, bool, int, int], Share]] = []
    for kind, pieces in stock.items():
        cost, period = ask.accepts.get(kind), ask.right(kind)
        if cost is None:
            continue
        for piece, quantity in pieces.items():
            if piece.only in ("", ask.target):
                good = period is True and piece.level >= ask.line.lowest
                rank = (not piece.only, not good, cost > 0, cost, -piece.quality)
                found.append((rank, Share(piece, quantity, cost, good, period)))
    if len({rank for rank, _ in found}) < len(found):
        return None
    found.sort()
    left = ask.line.quantity
    taken = []
    present = standard = stand_ins = unknown = 0
    for _, share in found:
        units = share.quantity if share.quantity < left else left
        if not units:
            break
        left -= units
        present += units
        standard += units if share.standard else 0
        stand_ins += units if share.cost else 0
        unknown += units if share.period is None else 0
        taken.append(share if units == share.quantity else share._replace(quantity=units))
    taken.sort(key=Share.order)
    return [line_fill((fill.line, present, standard, stand_ins, unknown, fill.period, tuple(taken)))]
