"""What a bench means by dry and by very small: figures for the user to set, kept with the bench."""

from __future__ import annotations

from sortbench.desk import Desk
from sortbench.engine.board import Notice
from sortbench.engine.washing.constant_mass import CRITERIA, DEFAULT, Criterion, find_criterion, own_criterion
from sortbench.engine.washing.pull_list import SMALL_G
from sortbench.model.errors import DataError

_CRITERION, _SMALL = "dry criterion", "very small g"
"""Settings of the bench: figures of the criterion of constant mass, and grams below which a piece is very small."""


class WashSettings:
    """The criterion of constant mass, and the mass of a very small piece.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench

    @property
    def criterion(self) -> Criterion:
        """What counts as dry at this bench."""
        kept = self._bench.documents.settings.get(_CRITERION)
        try:
            if isinstance(kept, str):
                return find_criterion(kept)
            if isinstance(kept, list) and len(kept) == 3:
                return own_criterion(float(kept[0]), float(kept[1]), int(kept[2]))
        except (DataError, TypeError, ValueError):
            pass  # what an older or newer version kept, or a hand wrote: the default is shown with its figures
        return DEFAULT

    @property
    def criteria(self) -> tuple[Criterion, ...]:
        """All there are to choose from, and the one with figures of the bench's own if that is chosen."""
        here = self.criterion
        return CRITERIA if here in CRITERIA else (*CRITERIA, here)

    def choose_criterion(self, code: str) -> Notice:
        """Let another criterion decide what is dry.

        Raises:
            DataError: none has that code.
            BenchError, WriteError: the documents cannot be written.
        """
        found = find_criterion(code)
        return self._decide_by(found, found.code)

    def choose_own_criterion(self, change_pct: float, interval_h: float, weighings: int = 2) -> Notice:
        """Let figures of one's own decide what is dry; see :func:`own_criterion`.

        Raises:
            DataError: a figure out of range.
            BenchError, WriteError: the documents cannot be written.
        """
        found = own_criterion(change_pct, interval_h, weighings)
        return self._decide_by(found, [change_pct, interval_h, weighings])

    def _decide_by(self, criterion: Criterion, kept: object) -> Notice:
        self._bench.keep(lambda draft: draft.settings.update({_CRITERION: kept}))
        return Notice(f"dry is from now on: {criterion.words} ({criterion.source})", held=True)

    @property
    def small_g(self) -> float:
        """Grams below which a piece is very small."""
        kept = self._bench.documents.settings.get(_SMALL)
        return float(kept) if isinstance(kept, int | float) and 0 <= kept <= 100 else SMALL_G

    def choose_small(self, grams: float) -> None:
        """Let another mass decide what is very small, 0 to 100 g.

        Raises:
            DataError: out of range.
            BenchError, WriteError: the documents cannot be written.
        """
        if not 0 <= grams <= 100:
            raise DataError(f"Pieces under {grams:g} g cannot all be very small.", "Give 0 to 100 g.")
        self._bench.keep(lambda draft: draft.settings.update({_SMALL: grams}))
