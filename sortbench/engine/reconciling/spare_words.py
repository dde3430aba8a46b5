"""Why pieces are spare: what every line that accepts them has instead."""

from __future__ import annotations

from collections.abc import Iterator

from sortbench.engine.fill import Home, Part
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.why_words import condition_words, home_words, kind_words
from sortbench.engine.sharing.asks import Ask
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.shares import LineFill, Share
from sortbench.engine.sharing.stand_ins import Swaps, stand_ins_of
from sortbench.model.target import Target

_MOST_LINES = 6
"""Lines that are told one by one."""

_Rank = tuple[bool, bool, bool, int, int]
"""What counts on one line, the weightiest first: set aside, to standard, the kind asked for, cost, quality."""


def spare_words(picture: Picture, part: Part, piece: Piece, quantity: int) -> str:
    """Why some pieces are spare.

    Args:
        part: the lines that hang together with their kind.
    """
    told = list(_told(picture, part, piece))
    words = f"{quantity:,} ({condition_words(piece)}) {'is' if quantity == 1 else 'are'} spare."
    if piece.only:
        owner = next((target.name for target in picture.targets if target.code == piece.only), piece.only)
        words += f" Set aside for {owner} or in its crate, so no other target may have it."
    if not told:
        return f"{words} No line asks for such a piece or lets it stand in."
    more = len(told) - _MOST_LINES
    return " ".join((words, *told[:_MOST_LINES])) + (f" So it is with {more:,} more." if more > 0 else "")


def _told(picture: Picture, part: Part, piece: Piece) -> Iterator[str]:
    for home, ask, fill in zip(part.lines, part.asks, part.fills, strict=True):
        if piece.kind in ask.accepts and piece.only in ("", ask.target):
            yield _instead(picture, home, ask, fill, piece)
    swaps = Swaps(picture.swaps)
    for target in picture.targets:
        if piece.only in ("", target.code):
            yield from _shut_out(picture, target, swaps, piece)


def _instead(picture: Picture, home: Home, ask: Ask, fill: LineFill, piece: Piece) -> str:
    """What a line has instead: its weakest piece, and what that is ahead in."""
    cost = ask.accepts[piece.kind]
    standard = ask.right(piece.kind) is True and piece.level >= ask.line.lowest
    own: _Rank = bool(piece.only), standard, not cost, -cost, piece.quality
    weakest = min(fill.shares, key=_rank)
    theirs = _rank(weakest)
    has = f"{home_words(home)} has {fill.present:,} of {ask.line.quantity:,}"
    if theirs <= own:
        return f"{has}, as good as this."
    ahead = next(place for place, pair in enumerate(zip(theirs, own, strict=True)) if pair[0] != pair[1])
    reason = (
        "set aside for it",
        "to standard there, which this would not be",
        f"of the {kind_words(picture.catalogue, ask.line.kind)} it asks for, which this would only stand in for",
        f"with no stand-in that costs more than {weakest.cost}, where this costs {cost}",
        f"none worse than {condition_words(weakest.piece)}",
    )[ahead]
    return f"{has}, {reason}."


def _rank(share: Share) -> _Rank:
    piece = share.piece
    return bool(piece.only), share.standard, not share.cost, -share.cost, piece.quality


def _shut_out(picture: Picture, target: Target, swaps: Swaps, piece: Piece) -> Iterator[str]:
    """Lines that would take the piece if their target were not parked or did not refuse it."""
    free = target._replace(refused=())
    for number, line in enumerate(target.lines, 1):
        stand_ins = {each.kind for each in stand_ins_of(free, line, swaps)}
        if piece.kind != line.kind and piece.kind not in stand_ins:
            continue
        home = home_words(Home(target, number))
        if target.parked:
            yield f"{home} might take it, but is parked."
        elif (line.kind, piece.kind) in target.refused:
            yield f"{home} refuses it as a stand-in for {kind_words(picture.catalogue, line.kind)}."
