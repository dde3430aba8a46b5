"""How large the pile is: said by the user, or worked out from its weight or from scoops, and kept with the bench."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, hypot
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.pace import Pile
from sortbench.engine.weighing.pile_size import PileFrom as PileFrom
from sortbench.engine.weighing.pile_size import PileSize as PileSize
from sortbench.engine.weighing.pile_size import pile_by_handfuls, pile_by_scoops, pile_by_tallies
from sortbench.engine.weighing.unit_mass import OnScale, net_u
from sortbench.model.errors import DataError
from sortbench.model.tally import PARCEL, What
from sortbench.model.weighing import Handful, Load, checked_handful, checked_load

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desk import Desk

_NOT_SCOOPED = ("sheet", PARCEL.strip())
"""How ways of tallies begin whose pieces did not come out of the pile one hand at a time."""


class Estimate(NamedTuple):
    """A pile that was estimated.

    Attributes:
        left: what is not counted yet, as it was weighed or scooped.
        counted: pieces counted out of the pile before.
        unknown: tallied pieces whose mass nobody knows; they say nothing of the rest. 0 where masses play no part.
        listed: pieces whose mass is the catalogue's, of which nobody knows how sure it is.
        pile: both together, as it is kept.
    """

    left: PileSize
    counted: int
    unknown: int
    listed: int
    pile: Pile


def set_pile(bench: Desk, pieces: int | None, low: int | None = None, high: int | None = None) -> None:
    """Say how many pieces the whole pile has, counted ones included, and between which ends; None forgets it.

    Raises:
        DataError: not from 1 to 10,000,000, or the ends lie on the wrong sides.
        BenchError: another program writes the documents.
        WriteError: the disk refused.
    """
    ends = [pieces if low is None else low, pieces if high is None else high]
    if pieces is not None and not 1 <= (ends[0] or 0) <= pieces <= (ends[1] or 0) <= 10_000_000:
        raise DataError(f"A pile of {pieces} pieces is not plausible.", "Give 1 to 10,000,000, low to high.")
    with bench.folder.documents.edit() as draft:
        for name, value in (("pile", pieces), ("pile_range", ends if ends[0] != ends[1] else None)):
            draft.settings.pop(name, None)
            if pieces is not None and value is not None:
                draft.settings[name] = value
    bench.reload()


class PileDesk:
    """The size of one bench's pile.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench

    @property
    def counted(self) -> int:
        """Pieces that were counted out of the pile."""
        return self._bench.picture.ledger.of_pile

    def by_weight(self, loads: Sequence[Load], handfuls: Sequence[Handful] = ()) -> Estimate:
        """The pile by what the uncounted rest of it weighs.

        Args:
            loads: the rest, in as many cups as it takes.
            handfuls: scooped out of it, counted and weighed; none goes by the pieces counted so far.

        Raises:
            DataError: the scale is not known, too little says what a piece weighs, or a figure cannot be.
        """
        scale = self._bench.weighing.scale
        net_g = sum(checked_load(load).net_g for load in loads)
        u_g = hypot(*[net_u(scale)] * len(loads))
        unknown = listed = 0
        if handfuls:
            left = pile_by_handfuls(net_g, u_g, [OnScale(checked_handful(each), scale) for each in handfuls])
        else:
            tallies, unknown, listed = self._tallies()
            left = pile_by_tallies(net_g, u_g, tallies)
        return self._with_counted(left, unknown, listed)

    def by_scoops(self, scoops: int, counted: Sequence[int]) -> Estimate:
        """The pile by scoops of one size that the uncounted rest of it fills, and the pieces in some of them.

        Raises:
            DataError: too few were counted, or a number that cannot be.
        """
        return self._with_counted(pile_by_scoops(scoops, counted), 0, 0)

    def keep(self, estimate: Estimate) -> None:
        """Keep an estimate with the bench.

        Raises:
            BenchError, WriteError: see :meth:`Desk.keep`.
        """
        set_pile(self._bench, *estimate.pile)

    def _with_counted(self, left: PileSize, unknown: int, listed: int) -> Estimate:
        counted = self.counted
        pieces = max(1, counted + round(left.pieces))
        pile = Pile(pieces, min(pieces, max(1, counted + floor(left.low))), max(pieces, counted + ceil(left.high)))
        return Estimate(left, counted, unknown, listed, pile)

    def _tallies(self) -> tuple[list[tuple[int, float]], int, int]:
        """Pieces and grams of each tally of known mass; pieces of unknown mass, and of a mass that is only listed."""
        bench, desk = self._bench, self._bench.weighing
        ledger, masses = bench.picture.ledger, {each.part: each.mass.mass_g for each in desk.masses()}
        found, unknown, listed = [], 0, 0
        for record in ledger.records.values():
            cell = record.cell
            if record.what is not What.TALLY or cell is None or not ledger.holds(record.id):
                continue
            if record.way.startswith(_NOT_SCOOPED):
                continue
            mass = masses.get(cell.part) or bench.catalogue.mass_g(cell.part)
            if mass is None:
                unknown += record.quantity
                continue
            listed += record.quantity if cell.part not in masses else 0
            found.append((record.quantity, record.quantity * mass))
        return found, unknown, listed
