"""What a sharing says: how far targets are filled, what lines want and gain, and which lines are shared together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from sortbench.engine.sharing.asks import Ask
from sortbench.engine.sharing.shares import LineFill
from sortbench.model.target import Target


class TargetFill:
    """How far one target is filled; kept up to date line by line.

    Attributes:
        target: what is to be completed.
        lines: its lines, in the order of its list.
        need, present, standard: pieces asked for, present, to standard.
        stand_ins: pieces present that stand in for what is asked for.
        lines_complete: lines that lack nothing.
        period_unknown: pieces present whose years nobody has told.
    """

    __slots__ = ("lines", "lines_complete", "need", "period_unknown", "present", "stand_ins", "standard", "target")

    def __init__(self, target: Target, lines: list[LineFill]) -> None:
        self.target = target
        self.lines = lines
        self.need = self.present = self.standard = self.stand_ins = self.lines_complete = self.period_unknown = 0

    def sum_up(self) -> None:
        """Work the figures out from the lines, once these are there; from then on :meth:`put` keeps them."""
        for line, present, standard, stand_ins, unknown, _, _ in self.lines:
            self.need += line.quantity
            self.present += present
            self.standard += standard
            self.stand_ins += stand_ins
            self.lines_complete += present == line.quantity
            self.period_unknown += unknown

    @property
    def short(self) -> int:
        """Pieces still missing."""
        return self.need - self.present

    @property
    def waiting(self) -> int:
        """Pieces present that still wait for a wash. Worked out anew each time: nothing on the bench asks for it."""
        return sum(share.quantity for line in self.lines for share in line.shares if not share.piece.ready)

    @property
    def complete(self) -> bool:
        """Whether nothing is missing; an empty list is never complete."""
        return self.need > 0 and self.present >= self.need

    def put(self, index: int, line: LineFill) -> None:
        """Exchange one line's figures."""
        old = self.lines[index]
        self.present += line.present - old.present
        self.standard += line.standard - old.standard
        self.stand_ins += line.stand_ins - old.stand_ins
        self.lines_complete += (line.short == 0) - (old.short == 0)
        self.period_unknown += line.unknown - old.unknown
        self.lines[index] = line


class Want(NamedTuple):
    """A line that still asks for a kind. ``number`` counts lines from 1, as the list does."""

    target: Target
    number: int
    short: int


class Gain(NamedTuple):
    """What one line gained (or lost, below 0) when pieces were shared anew.

    Attributes:
        target: whose line.
        number: which line, from 1.
        present: pieces present more than before.
        taken: pieces of the kind in question more than before: where they go, even if they only take the place of
            another piece.
    """

    target: Target
    number: int
    present: int
    taken: int


class Home(NamedTuple):
    """Where a piece goes: a line of a target, numbered from 1."""

    target: Target
    number: int


class Part(NamedTuple):
    """Lines whose pieces are shared together, and nobody else's.

    Attributes:
        lines: where they stand, the first rank first.
        asks: what decides the sharing.
        fills: what they have.
        needs: pieces that each target which shares its rank asks for in all, by code.
    """

    lines: tuple[Home, ...]
    asks: tuple[Ask, ...]
    fills: tuple[LineFill, ...]
    needs: Mapping[str, int]
