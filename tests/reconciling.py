"""Pictures of a few heaps, for the tests of reconciling."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.model.bins import Bin
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade, Years
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.model.target import Policy, Swap, Target

BINS = (Bin("B2", place="shelf"), Bin("B1", place="row 1"))
"""Not in the order of their labels, so that a test can tell the bins' own order from it."""

MADE = Years(1980, 1999)
PLATE, BRICK, TILE = Kind("plate-2x4", "red"), Kind("brick-2x4", "red"), Kind("tile-2x2", "red")
LATE = Kind("plate-2x4", "red, late")
CATALOGUE = Catalogue(
    {
        "plate-2x4": Part("plate-2x4", "plate 2x4", "plate", years=MADE),
        "brick-2x4": Part("brick-2x4", "brick 2x4", "brick", years=MADE),
        "tile-2x2": Part("tile-2x2", "tile 2x2", "tile", years=MADE),
    },
    {"red": Shade("red", years=MADE), "red, late": Shade("red, late", years=Years(1992, 1999))},
)

_AT = "2026-03-01T09:30:00Z"


def heap(kind: Kind, grade: Grade | None = Grade.G5, flaws: Flaws = (), label: str = "B1") -> Cell:
    """Kept pieces in a bin."""
    return Cell(label, *kind, "", grade, flaws)


def crated(kind: Kind, code: str, grade: Grade | None = Grade.G5) -> Cell:
    """Pieces in the crate of a target."""
    return Cell(code, *kind, "", grade, (), Fate.CRATE)


def picture(
    targets: Sequence[Target],
    heaps: Mapping[Cell, int],
    *,
    swaps: Sequence[Swap] = (),
    policy: Policy = Policy.COMPLETE,
    reserved: Iterable[tuple[Cell, int, str]] = (),
    catalogue: Catalogue = CATALOGUE,
    bins: Sequence[Bin] = BINS,
) -> Picture:
    """A picture of counted heaps; ``reserved`` names a heap, pieces of it and the target they are set aside for."""
    entries = [(What.TALLY, cell, quantity, "") for cell, quantity in heaps.items()]
    entries += [
        (What.RESERVE, cell._replace(bin="", fate=Fate.KEPT), quantity, code) for cell, quantity, code in reserved
    ]
    ledger = Ledger(
        Record(RecordId("s", seq), _AT, what, cell, quantity, target=code)
        for seq, (what, cell, quantity, code) in enumerate(entries, 1)
    )
    return Picture(catalogue, targets, bins, ledger, swaps=swaps, policy=policy)
