"""What a sitting did to the bench: how far targets and bins were before it, and how far they are after it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.board import BinRow
from sortbench.engine.picture import Picture

if TYPE_CHECKING:
    from sortbench.engine.records.sittings import SittingFigures


class Stand(NamedTuple):
    """How far a bench is at one moment.

    Attributes:
        present: pieces on the lines of each target, by its code.
        over: labels of bins that overflow.
    """

    present: Mapping[str, int]
    over: frozenset[str]


class Filled(NamedTuple):
    """A target on whose lines more pieces are than before.

    Attributes:
        code, name: which it is.
        before, now: pieces on its lines.
        need: how many its list asks for.
    """

    code: str
    name: str
    before: int
    now: int
    need: int

    @property
    def complete(self) -> bool:
        """Whether nothing is missing now."""
        return self.now == self.need


class SittingSummary(NamedTuple):
    """What a sitting did.

    Attributes:
        figures: what was counted, and how fast.
        filled: targets that have more than before, complete ones first, then as they are ranked. Their lists are those
            of now.
        overflowed: bins that overflow now and did not before, as they are set up now.
    """

    figures: SittingFigures
    filled: tuple[Filled, ...]
    overflowed: tuple[BinRow, ...]


def stand_of(picture: Picture) -> Stand:
    """How far a bench is now."""
    return Stand(
        {each.target.code: each.present for each in picture.fill.all()},
        frozenset(row.label for row in picture.bin_rows() if row.overflowing),
    )


def summed_up(figures: SittingFigures, before: Stand, after: Picture) -> SittingSummary:
    """What a sitting did, from how far the bench was before it and is after it.

    Args:
        figures: of the sitting.
        before: a target that was not there then had nothing.
        after: the bench at the end of the sitting.
    """
    filled = [
        Filled(each.target.code, each.target.name, had, each.present, each.need)
        for each in after.fill.all()
        if each.present > (had := before.present.get(each.target.code, 0))
    ]
    return SittingSummary(
        figures,
        tuple(sorted(filled, key=lambda each: not each.complete)),
        tuple(row for row in after.bin_rows() if row.overflowing and row.label not in before.over),
    )
