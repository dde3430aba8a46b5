"""Pieces as sharing sees them: what tells one apart from another, and how good it is."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Flaws, Grade
from sortbench.model.tally import Cell, Condition, Fate

_KEPT, _WASH, _OUT, _CRATE = Fate.KEPT, Fate.WASH, Fate.OUT, Fate.CRATE  # looked up once: enum members are slow
_FLAWS = len(Flaw)
_BEST = int(Grade.G5)

MAX_QUALITY = (_FLAWS + 1) * (2 * _BEST + 1) + _FLAWS
"""The quality of a piece of grade 5 with nothing wrong."""

Reserved = Mapping[Condition, Mapping[str, int]]
"""Pieces of one kind set aside by hand: by condition, then by the code of the target they are meant for."""


class Piece(NamedTuple):
    """Like pieces of one kind, wherever they lie.

    Attributes:
        kind: the part and its shade.
        grade: None where nobody graded it.
        flaws: what else is wrong with it.
        ready: whether it is washed; one put aside for a wash is not.
        only: code of the one target that may have it, for it was set aside for that by hand or lies in its crate; empty
            where any target may.
    """

    kind: Kind
    grade: Grade | None
    flaws: Flaws
    ready: bool
    only: str = ""

    @property
    def level(self) -> int:
        """The grade's value (half steps, 2 to 10) if nothing else is wrong with the piece, else 0: never to
        standard."""
        return _worth(self.grade, self.flaws, self.ready)[0]

    @property
    def quality(self) -> int:
        """How good it is, 0 to MAX_QUALITY: a sound and washed piece before any other, then by grade, then by flaws."""
        return _worth(self.grade, self.flaws, self.ready)[1]


@cache
def _worth(grade: Grade | None, flaws: Flaws, ready: bool) -> tuple[int, int]:
    """Level and quality; there are few conditions and many pieces."""
    value = int(grade) if grade is not None else 0
    is_sound = ready and not flaws
    quality = (_FLAWS + 1) * ((_BEST + 1 if is_sound else 0) + value) + _FLAWS - len(flaws)
    return value if is_sound else 0, quality


def pieces_of(kind: Kind, cells: Mapping[Cell, int], reserved: Reserved) -> dict[Piece, int]:
    """The pieces of a kind that can be shared: all but those thrown out.

    Args:
        kind: which kind.
        cells: all its heaps.
        reserved: pieces set aside by hand. Where more are set aside than lie in the bins, targets of the smaller code
            have theirs first; washed pieces are taken before others.
    """
    pieces: dict[Piece, int] = {}
    for (label, _, _, _, grade, flaws, fate), quantity in cells.items():
        if fate is not _OUT and quantity > 0:
            piece = Piece(kind, grade, flaws, fate is not _WASH, label if fate is _CRATE else "")
            pieces[piece] = pieces.get(piece, 0) + quantity
    for (grade, flaws), by_target in reserved.items():
        for code, quantity in sorted(by_target.items()):
            left = quantity
            for ready in (True, False):
                loose = Piece(kind, grade, flaws, ready)
                if left > 0 and (taken := min(left, pieces.get(loose, 0))):
                    left -= taken
                    held = loose._replace(only=code)
                    pieces[held] = pieces.get(held, 0) + taken
                    pieces[loose] -= taken
                    if not pieces[loose]:
                        del pieces[loose]
    return pieces
