"""What lines get: which pieces, how many, and how good they are there."""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from sortbench.engine.sharing.pieces import Piece
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws
from sortbench.model.target import Line


class Share(NamedTuple):
    """Like pieces that one line gets.

    Attributes:
        piece: which.
        quantity: how many.
        cost: what the stand-in costs in correctness, 0 for the kind that is asked for.
        standard: whether grade, flaws and period are all right.
        period: whether the piece's own kind is right for the target's year; None where years are not known.
    """

    piece: Piece
    quantity: int
    cost: int
    standard: bool
    period: bool | None

    def order(self) -> tuple[int, int, Kind, Flaws, bool, str]:
        """Where it stands among the shares of a line: the kind asked for first, then the best."""
        piece = self.piece
        return (self.cost, -piece.quality, piece.kind, piece.flaws, not piece.ready, piece.only)


class LineFill(NamedTuple):
    """How far one line is filled. A tuple, for there are thousands and a start of the app waits until each is made.

    Attributes:
        line: what is asked for.
        present: pieces of any grade, stand-ins among them.
        standard: pieces whose grade, flaws and period are all right.
        stand_ins: pieces that stand in for the kind asked for.
        unknown: pieces whose years nobody has told.
        period: whether the kind asked for is right for the target's year; None where years are not known.
        shares: which pieces, best first, the kind asked for before stand-ins.
    """

    line: Line
    present: int = 0
    standard: int = 0
    stand_ins: int = 0
    unknown: int = 0
    period: bool | None = None
    shares: tuple[Share, ...] = ()

    @property
    def short(self) -> int:
        """Pieces still missing."""
        return self.line.quantity - self.present


line_fill = partial(tuple.__new__, LineFill)
"""A line fill from all its fields at once: half the time that calling the class takes."""
