"""Pieces set aside for a target and carried into its crate, by kind, grade, flaws and bin."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.engine.board import Notice
from sortbench.engine.reconciling.crates import checked_put_back
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Fate, What

if TYPE_CHECKING:
    from sortbench.desk import Desk


class CrateDesk:
    """What goes into the crates of one bench. Everything it does is a record: undo, redo and void work as for tallies.

    Quantities are pieces, 1 to ``MAX_QUANTITY``; a grade of None means pieces that nobody graded.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench

    def reserve(self, kind: Kind, quantity: int, target: str, grade: Grade | None, flaws: Flaws = ()) -> Notice:
        """Set pieces aside for a target while they stay where they lie; see :meth:`Sitting.reserve`."""
        return self._bench.sitting.reserve(_cell(kind, grade, flaws), quantity, target)

    def release(self, kind: Kind, quantity: int, target: str, grade: Grade | None, flaws: Flaws = ()) -> Notice:
        """Let pieces that were set aside for a target go again; see :meth:`Sitting.release`."""
        return self._bench.sitting.release(_cell(kind, grade, flaws), quantity, target)

    def pick(
        self,
        kind: Kind,
        quantity: int,
        target: str,
        grade: Grade | None,
        flaws: Flaws = (),
        bin_label: str = "",
        fate: Fate = Fate.KEPT,
    ) -> Notice:
        """Carry pieces from a bin into the crate of a target; see :meth:`Sitting.carry`.

        Args:
            bin_label: where they lie; empty for pieces in no bin.
            fate: ``WASH`` for pieces that were put aside for a wash.
        """
        return self._bench.sitting.carry(_cell(kind, grade, flaws, bin_label, fate), quantity, target)

    def put_back(
        self,
        kind: Kind,
        quantity: int,
        target: str,
        grade: Grade | None,
        flaws: Flaws = (),
        bin_label: str = "",
    ) -> Notice:
        """Carry pieces from the crate of a target back into a bin.

        Args:
            bin_label: which bin, in any case; without it the bins' rules say.

        Raises:
            DataError: fewer such pieces lie in the crate, or no bin is labelled so.
            WriteError: the disk refused; nothing is carried.
        """
        bench = self._bench
        cell = _cell(kind, grade, flaws, target, Fate.CRATE)
        checked_put_back(bench.picture, cell, quantity)
        label = bench.bin_label(bin_label) or bench.picture.router.route(kind.part, kind.shade, grade, flaws)
        receipt = bench.sitting.record(What.MOVE, cell, quantity, to_bin=label, way="put back")
        return Notice(bench.sitting.words(receipt.record))


def _cell(kind: Kind, grade: Grade | None, flaws: Flaws, label: str = "", fate: Fate = Fate.KEPT) -> Cell:
    return Cell(label, kind.part, kind.shade, "", grade, flaws, fate)
