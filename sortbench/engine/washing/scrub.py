"""The scrub list: pieces that were set aside for another wash. They are present, but not ready.

How a piece is cleaned is told by the marks of its part: see :mod:`sortbench.engine.washing.pull_list`.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from typing import NamedTuple

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.places import deal
from sortbench.engine.washing.pull_list import SMALL_G, pull_list
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Fate

HOW = "back into the tub, or by hand with a soft brush"
"""How a piece without a mark is cleaned: common practice, no source."""


class Waiting(NamedTuple):
    """Pieces of a heap that a target has in its fill: its code and name, the pieces."""

    code: str
    name: str
    quantity: int


class ScrubRow(NamedTuple):
    """One heap that waits for a wash.

    Attributes:
        cell: the heap, for whoever takes pieces off the list.
        kind: None for pieces whose part nobody looked at.
        name: the part in words; for a coarse heap what is known of it.
        rgb: sRGB value of the shade, empty if not known.
        grade: None where nobody graded them.
        flaws: what else is wrong with them.
        quantity: pieces, 1 or more.
        out: whether they stay out of the tub.
        how: how to clean them.
        targets: which targets have them in their fill, the first rank first; empty: they are spare.
    """

    cell: Cell
    kind: Kind | None
    name: str
    rgb: str
    grade: Grade | None
    flaws: Flaws
    quantity: int
    out: bool
    how: str
    targets: tuple[Waiting, ...]

    @property
    def shade(self) -> str:
        """The name of the shade."""
        return self.cell.shade


def scrub_list(picture: Picture, small_g: float = SMALL_G) -> tuple[ScrubRow, ...]:
    """All that waits for a wash: what the first target waits for before what others do, then what nobody needs.

    Args:
        small_g: grams below which a piece counts as very small.
    """
    heaps = {cell: n for cell, n in picture.ledger.in_bin("").items() if cell.fate is Fate.WASH and n > 0}
    kinds = {kind: quantity for cell, quantity in heaps.items() if (kind := cell.kind) is not None}
    waiting = _waiting(picture, kinds)
    advice = {row.part: row for row in pull_list(picture.catalogue, kinds, {}, small_g).rows}
    order = {target.code: place for place, target in enumerate(picture.targets)}
    rows = []
    for cell, quantity in heaps.items():
        told = advice.get(cell.part)
        rows.append(
            ScrubRow(
                cell=cell,
                kind=cell.kind,
                name=picture.name(cell),
                rgb=picture.rgb(cell.shade),
                grade=cell.grade,
                flaws=cell.flaws,
                quantity=quantity,
                out=told is not None and told.out,
                how=told.how if told else HOW,
                targets=waiting.get(cell, ()),
            )
        )
    return tuple(sorted(rows, key=lambda row: _first_wanted(row, order)))


def _waiting(picture: Picture, kinds: dict[Kind, int]) -> dict[Cell, tuple[Waiting, ...]]:
    """For each heap the targets that have pieces of it, the first rank first."""
    names = {target.code: target.name for target in picture.targets}
    found: dict[Cell, dict[str, int]] = {}
    for (code, _), dealt in (deal(picture, kinds).lines if kinds else {}).items():
        for _, cell, quantity in dealt:
            if cell.fate is Fate.WASH:
                by_target = found.setdefault(cell, {})
                by_target[code] = by_target.get(code, 0) + quantity
    return {
        cell: tuple(Waiting(code, names[code], quantity) for code, quantity in by_target.items())
        for cell, by_target in found.items()
    }


def _first_wanted(row: ScrubRow, order: dict[str, int]) -> tuple[int, str, str, int, Flaws, Cell]:
    place = order[row.targets[0].code] if row.targets else len(order)
    # Cells compare by grade last, where None stands for not judged: what goes before it tells any two heaps apart.
    return (place, row.name, row.shade, -(row.grade or 0), row.flaws, row.cell._replace(grade=Grade.G1))
