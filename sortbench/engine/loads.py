"""What each bin carries: pieces, mass and kinds, kept up to date heap by heap."""

from __future__ import annotations

from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Catalogue
from sortbench.model.tally import Cell, Fate

_CRATE = Fate.CRATE
_MICRO = 1_000_000


class Load:
    """The load of one bin.

    Attributes:
        pieces: pieces in it.
        micrograms: their mass as far as known; whole numbers, so that the order of tallies makes no difference.
        unknown: pieces whose mass is not known.
        kinds: heaps by what lies in them, whatever their condition.
    """

    __slots__ = ("kinds", "micrograms", "pieces", "unknown")

    def __init__(self) -> None:
        self.pieces = self.micrograms = self.unknown = 0
        self.kinds: dict[tuple[str, str, str], int] = {}

    @property
    def grams(self) -> float:
        """Known mass in grams."""
        return self.micrograms / _MICRO


class _Micrograms(dict[str, int | None]):
    """Mass of one piece by part code, None where not known; looked up when first asked for."""

    def __init__(self, catalogue: Catalogue) -> None:
        super().__init__()
        self._catalogue = catalogue

    def __missing__(self, part: str) -> int | None:
        mass = self._catalogue.mass_g(part) if part else None
        found = self[part] = None if mass is None else round(mass * _MICRO)
        return found


class Loads:
    """The loads of all bins; each is summed up when first asked for, then follows every change.

    Args:
        catalogue: knows the masses, each taken to the nearest microgram.
        ledger: knows what lies where.
    """

    def __init__(self, catalogue: Catalogue, ledger: Ledger) -> None:
        self._micrograms = _Micrograms(catalogue)
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
        """A heap went from one number of pieces to another; a crate is no bin, whatever it is called."""
        load = self._loads.get(cell.bin)
        if load is not None and cell.fate is not _CRATE:
            self._shift(load, cell, after - before, (after != 0) - (before != 0))

    def _shift(self, load: Load, cell: Cell, pieces: int, heaps: int) -> None:
        _, part, shade, family, _, _, _ = cell
        load.pieces += pieces
        mass = self._micrograms[part]
        if mass is None:
            load.unknown += pieces
        else:
            load.micrograms += mass * pieces
        if heaps:
            kind = (part, shade, family)
            left = load.kinds.get(kind, 0) + heaps
            if left:
                load.kinds[kind] = left
            else:
                load.kinds.pop(kind, None)
