"""What each bin carries: pieces, mass and kinds, kept up to date heap by heap."""

from __future__ import annotations

from dataclasses import dataclass, field

from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Catalogue
from sortbench.model.tally import Cell

_MICRO = 1_000_000


@dataclass(slots=True)
class Load:
    """The load of one bin.

    Attributes:
        pieces: pieces in it.
        micrograms: their mass as far as known; whole numbers, so that the order of tallies makes no difference.
        unknown: pieces whose mass is not known.
        kinds: heaps by what lies in them, whatever their condition.
    """

    pieces: int = 0
    micrograms: int = 0
    unknown: int = 0
    kinds: dict[tuple[str, str, str], int] = field(default_factory=dict)

    @property
    def grams(self) -> float:
        """Known mass in grams."""
        return self.micrograms / _MICRO


class Loads:
    """The loads of all bins; each is summed up when first asked for, then follows every change.

    Args:
        catalogue: knows the masses, each taken to the nearest microgram.
        ledger: knows what lies where.
    """

    def __init__(self, catalogue: Catalogue, ledger: Ledger) -> None:
        self._catalogue = catalogue
        self._ledger = ledger
        self._loads: dict[str, Load] = {}

    def __getitem__(self, label: str) -> Load:
        """The load of a bin; an empty one for a label nothing was counted into."""
        load = self._loads.get(label)
        if load is None:
            load = self._loads[label] = Load()
            for cell, quantity in self._ledger.in_bin(label).items():
                self._shift(load, cell, quantity, 1)
        return load

    def change(self, cell: Cell, before: int, after: int) -> None:
        """A heap went from one number of pieces to another."""
        load = self._loads.get(cell.bin)
        if load is not None:
            self._shift(load, cell, after - before, (after != 0) - (before != 0))

    def _shift(self, load: Load, cell: Cell, pieces: int, heaps: int) -> None:
        load.pieces += pieces
        mass = self._catalogue.mass_g(cell.part) if cell.part else None
        if mass is None:
            load.unknown += pieces
        else:
            load.micrograms += round(mass * _MICRO) * pieces
        if heaps:
            kind = (cell.part, cell.shade, cell.family)
            left = load.kinds.get(kind, 0) + heaps
            if left:
                load.kinds[kind] = left
            else:
                load.kinds.pop(kind, None)
