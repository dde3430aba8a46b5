"""Pieces of one kind shared among lines that ask for just that kind: worked out by counting, without a network.

Standards are nested (who takes a 4 takes a 5), so how many pieces can come to standard follows from counting: for each
grade, the lines that ask for it or better can have no more than the pieces of that grade or better (the condition of
P. Hall, On representatives of subsets, J. London Math. Soc. 10 (1935) 26-30, for nested sets). What one target may take
without another losing its standard is bounded in the same nested way, and for such bounds taking the best piece first
gives the best sum.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.shares import LineFill, Share, line_fill
from sortbench.model.grade import Flaws, Grade
from sortbench.model.target import Policy


def is_unmistakable(pieces: Mapping[Piece, int]) -> bool:
    """Whether there is just one best sharing: nothing is set aside by hand, and no two pieces are equally good."""
    if len(pieces) <= 1:
        return not any(piece.only for piece in pieces)
    return not any(piece.only for piece in pieces) and len({piece.quality for piece in pieces}) == len(pieces)


def share_kind(
    pieces: Mapping[Piece, int], fills: Sequence[LineFill], policy: Policy = Policy.COMPLETE
) -> list[LineFill]:
    """Share the pieces of one kind among lines of different targets, none of which share a rank.

    Args:
        pieces: each heap above 0; see :func:`is_unmistakable`.
        fills: the lines, the first rank first; only ``line`` and ``period`` are read.
        policy: with *showpiece* the first takes the best pieces there are, whatever the next needs.

    Returns:
        The same lines with what they get, best by the criteria of :mod:`sortbench.engine.sharing.criteria`.
    """
    if len(pieces) <= 1:
        return _share_alike(next(iter(pieces.items()), None), fills)
    heaps = [_Heap(piece, quantity) for piece, quantity in pieces.items()]
    heaps.sort(key=_best_first)
    if policy is Policy.SHOWPIECE:
        return [_laid(fill, [_take(heaps, fill.line.quantity)]) for fill in fills]
    slack = [0] * (Grade.G5 + 1)
    for heap in heaps:
        slack[heap.level] += heap.left
    for grade in range(Grade.G5 - 1, -1, -1):
        slack[grade] += slack[grade + 1]
    left, counts = slack[0], []
    for fill in fills:
        line = fill.line
        got = line.quantity if line.quantity < left else left
        left -= got
        good = 0
        if got and fill.period:
            lowest = line.lowest
            good = min(got, *slack[1 : lowest + 1])
            if good:
                for grade in range(1, lowest + 1):
                    slack[grade] -= good
        counts.append((got, good))
    shared = []
    for fill, (got, good) in zip(fills, counts, strict=True):
        taken = []
        if good:
            taken.append(_take(heaps, good, fill.line.lowest, slack))
        if got > good:
            taken.append(_take(heaps, got - good, 0, slack))
        shared.append(_laid(fill, taken))
    return shared


class _Heap:
    """Like pieces not yet given to a line."""

    __slots__ = ("left", "level", "piece", "quality")

    def __init__(self, piece: Piece, quantity: int) -> None:
        self.piece = piece
        self.left = quantity
        self.level = piece.level
        self.quality = piece.quality


def _laid(fill: LineFill, taken: Sequence[Sequence[tuple[_Heap, int]]]) -> LineFill:
    line, _, _, _, _, period, _ = fill
    lowest = line.lowest
    present = standard = 0
    shares = []
    for part in taken:
        for heap, quantity in part:
            good = period is True and heap.level >= lowest
            present += quantity
            if good:
                standard += quantity
            shares.append(_share((heap.piece, quantity, 0, good, period)))
    return line_fill((line, present, standard, 0, present if period is None else 0, period, tuple(shares)))


_share = partial(tuple.__new__, Share)


def _share_alike(found: tuple[Piece, int] | None, fills: Sequence[LineFill]) -> list[LineFill]:
    """The common case: all pieces are alike, so only their number is to be shared."""
    piece, left = found or (None, 0)
    level = piece.level if piece else 0
    shared = []
    for line, _, _, _, _, period, _ in fills:
        got = line.quantity if line.quantity < left else left
        left -= got
        if piece is None or not got:
            shared.append(line_fill((line, 0, 0, 0, 0, period, ())))
        else:
            good = period is True and level >= line.lowest
            share = Share(piece, got, 0, good, period)
            unknown = got if period is None else 0
            shared.append(line_fill((line, got, got if good else 0, 0, unknown, period, (share,))))
    return shared


def _best_first(heap: _Heap) -> tuple[int, Flaws, bool]:
    return (-heap.quality, heap.piece.flaws, not heap.piece.ready)


def _take(
    heaps: Sequence[_Heap], wanted: int, lowest: int = 0, slack: list[int] | None = None
) -> list[tuple[_Heap, int]]:
    """Take ``wanted`` pieces of at least ``lowest`` (0: whatever there is), best first, but none that a later line
    needs.

    ``slack[g]`` is how many pieces of grade g or better no line needs for its standard; None: nothing is needed.
    """
    taken = []
    for heap in heaps:
        n, level = heap.left, heap.level
        if level < lowest:
            break
        if n > wanted:
            n = wanted
        if slack is not None and level > lowest:
            n = min(n, *slack[lowest + 1 : level + 1])
            if n > 0:
                for grade in range(lowest + 1, level + 1):
                    slack[grade] -= n
        if n > 0:
            heap.left -= n
            taken.append((heap, n))
            wanted -= n
            if not wanted:
                break
    return taken
