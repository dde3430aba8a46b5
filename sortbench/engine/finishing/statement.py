"""What can truly be said of a target to somebody who may buy it: only what the counts and the log carry.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sortbench.engine.fill import Fill
from sortbench.engine.finishing.statement_checks import Checking, checking_of
from sortbench.engine.finishing.statement_log import (
    Counting,
    TreatedKind,
    Washing,
    counting_of,
    treated_kinds,
    washing_of,
)
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.origins import origins
from sortbench.engine.reconciling.places import bin_order
from sortbench.engine.sharing.shares import LineFill
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Flaws, Grade
from sortbench.model.spot_check import Recount, SpotCheck
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Target
from sortbench.model.treatment import Treatment
from sortbench.model.wash import Batch


class Pieces(NamedTuple):
    """Like pieces in the box.

    Attributes:
        kind, name: what they are; the name is the part's. A kind without a part if nobody looked at it.
        quantity: pieces, above 0.
        grade: None where nobody graded them.
        flaws: what else was noted of them.
        cost: what it costs in correctness that they only stand in, 0 for the kind that is asked for.
        period: whether the kind was made in the set's year; None where years are not known, or no line has them.
        standard: whether grade, flaws and period are all right for the line.
    """

    kind: Kind
    name: str
    quantity: int
    grade: Grade | None
    flaws: Flaws
    cost: int = 0
    period: bool | None = None
    standard: bool = False


class StatedLine(NamedTuple):
    """One line of the list, and what the box has of it.

    Attributes:
        number: from 1, in the order of the list.
        kind, name: what is asked for.
        need: pieces asked for.
        lowest: lowest grade that meets the list's standard.
        pieces: what is there, the kind asked for before stand-ins.
    """

    number: int
    kind: Kind
    name: str
    need: int
    lowest: Grade
    pieces: tuple[Pieces, ...]

    @property
    def present(self) -> int:
        """Pieces there, stand-ins among them."""
        return sum(each.quantity for each in self.pieces)

    @property
    def short(self) -> int:
        """Pieces missing."""
        return self.need - self.present


class Statement(NamedTuple):
    """All that is said of one target.

    Attributes:
        code, name, year: the target; the year is that in which the set was sold, None if not told.
        on: the day for which it holds, as YYYY-MM-DD.
        as_shared: it speaks of what the target would get if it were picked now, from crate and bins; otherwise of what
            lies in its crate.
        lines: the list, line by line.
        surplus: what lies in the crate and no line asks for.
        waiting: pieces that were put aside for a wash, and of which nothing says that they were washed.
        treated: kinds among whose pieces some were treated.
        washing: what is noted of washing.
        counting: how the pieces of these kinds were counted.
        checking: which of these counts were looked over since.
        impossible: heaps in the crate that come to fewer than no pieces: parts of the log are missing.
    """

    code: str
    name: str
    year: int | None
    on: str
    as_shared: bool
    lines: tuple[StatedLine, ...]
    surplus: tuple[Pieces, ...]
    waiting: tuple[Pieces, ...]
    treated: tuple[TreatedKind, ...]
    washing: Washing
    counting: Counting
    checking: Checking
    impossible: tuple[str, ...]

    @property
    def need(self) -> int:
        """Pieces asked for in all."""
        return sum(line.need for line in self.lines)

    @property
    def present(self) -> int:
        """Pieces that the lines have."""
        return sum(line.present for line in self.lines)

    @property
    def short(self) -> int:
        """Pieces missing in all."""
        return sum(line.short for line in self.lines)

    @property
    def complete(self) -> bool:
        """Whether every line has all its pieces, stand-ins among them; an empty list is never complete."""
        return bool(self.lines) and all(not line.short for line in self.lines)

    @property
    def pieces(self) -> tuple[tuple[StatedLine, Pieces], ...]:
        """What the lines have, each with its line."""
        return tuple((line, each) for line in self.lines for each in line.pieces)

    @property
    def stand_ins(self) -> int:
        """Pieces that stand in for what is asked for."""
        return sum(each.quantity for _, each in self.pieces if each.cost)

    def of_period(self, period: bool | None) -> int:
        """Pieces on lines that are right for the year (True), not right (False), or of which it is not known (None)."""
        return sum(each.quantity for _, each in self.pieces if each.period is period)

    @property
    def below_lowest(self) -> int:
        """Graded pieces on lines whose grade is below the lowest that the list takes."""
        return sum(each.quantity for line, each in self.pieces if each.grade is not None and each.grade < line.lowest)

    @property
    def grades(self) -> tuple[tuple[Grade | None, int], ...]:
        """Pieces on lines by grade, the best first, those that nobody graded last."""
        found: dict[Grade | None, int] = {}
        for _, each in self.pieces:
            found[each.grade] = found.get(each.grade, 0) + each.quantity
        return tuple(sorted(found.items(), key=lambda item: -(item[0] or 0)))

    @property
    def flaws(self) -> tuple[tuple[Flaw, int], ...]:
        """Pieces on lines by flaw; a piece with two flaws is told of twice."""
        found: dict[Flaw, int] = {}
        for _, each in self.pieces:
            for flaw in each.flaws:
                found[flaw] = found.get(flaw, 0) + each.quantity
        return tuple(sorted(found.items()))

    @property
    def flawed(self) -> int:
        """Pieces on lines with at least one flaw noted."""
        return sum(each.quantity for _, each in self.pieces if each.flaws)


def statement_of(
    picture: Picture,
    code: str,
    on: str,
    *,
    batches: Iterable[Batch] = (),
    treatments: Iterable[Treatment] = (),
    spots: Iterable[SpotCheck] = (),
    recounts: Iterable[Recount] = (),
    as_shared: bool = False,
) -> Statement:
    """What can be said of a target.

    What lies in the crate is shared among the target's own lines, so that neither other targets nor its being parked
    change what is in the box.

    Args:
        on: the day for which it holds, as YYYY-MM-DD.
        batches, treatments, spots, recounts: all that is noted at the bench.
        as_shared: speak of what the target gets of crate and bins, as if it were picked now. A parked one gets nothing.

    Raises:
        KeyError: no such target.
    """
    fill = picture.fill[code]
    target, crate = fill.target, picture.ledger.in_crate(code)
    shared = tuple(fill.lines) if as_shared else _shared_crate(picture, target, crate)
    lines = tuple(_line(picture, number, line) for number, line in enumerate(shared, 1))
    surplus = _surplus(picture, crate, shared)
    kinds = _by_kind([each for line in lines for each in line.pieces] + list(surplus))
    return Statement(
        code=code,
        name=target.name,
        year=target.year,
        on=on,
        as_shared=as_shared,
        lines=lines,
        surplus=surplus,
        waiting=_waiting(picture, code, shared),
        treated=treated_kinds(picture, kinds, treatments),
        washing=washing_of(picture, kinds, batches),
        counting=counting_of(picture, kinds),
        checking=checking_of(picture.ledger, kinds, spots, recounts, picture.catalogue.family),
        impossible=tuple(_words(picture, cell) for cell, quantity in crate.items() if quantity < 0),
    )


def _shared_crate(picture: Picture, target: Target, crate: Mapping[Cell, int]) -> tuple[LineFill, ...]:
    """The lines of a target that has its crate and nothing else."""
    heaps: dict[Kind, dict[Cell, int]] = {}
    for cell, quantity in crate.items():
        if cell.kind is not None:
            heaps.setdefault(cell.kind, {})[cell] = quantity
    alone = Fill(
        [target._replace(parked=False)],
        picture.catalogue,
        lambda kind: heaps.get(kind, {}),
        swaps=picture.swaps,
        policy=picture.policy,
    )
    return tuple(alone[target.code].lines)


def _line(picture: Picture, number: int, line: LineFill) -> StatedLine:
    kind = line.line.kind
    # Pieces that are alike for a buyer are told of once, wherever they lie and whoever set them aside.
    alike: dict[Pieces, int] = {}
    for share in line.shares:
        piece = share.piece
        name = picture.catalogue.part_name(piece.kind.part)
        key = Pieces(piece.kind, name, 0, piece.grade, piece.flaws, share.cost, share.period, share.standard)
        alike[key] = alike.get(key, 0) + share.quantity
    pieces = tuple(key._replace(quantity=quantity) for key, quantity in alike.items())
    name = picture.catalogue.part_name(kind.part)
    return StatedLine(number, kind, name, line.line.quantity, line.line.lowest, pieces)


def _surplus(picture: Picture, crate: Mapping[Cell, int], lines: Iterable[LineFill]) -> tuple[Pieces, ...]:
    """What lies in the crate beyond what the lines have of it."""
    used: dict[tuple[Kind, Grade | None, Flaws], int] = {}
    for line in lines:
        for share in line.shares:
            if share.piece.only:
                like = share.piece.kind, share.piece.grade, share.piece.flaws
                used[like] = used.get(like, 0) + share.quantity
    found = []
    for cell, quantity in crate.items():
        kind = Kind(cell.part, cell.shade)
        left = quantity - used.get((kind, cell.grade, cell.flaws), 0)
        if left > 0:
            found.append(_pieces(picture, cell, left))
    return tuple(sorted(found, key=_by_name))


def _waiting(picture: Picture, code: str, lines: Iterable[LineFill]) -> tuple[Pieces, ...]:
    """Pieces that were to be washed when they were picked, and those that the lines would get unwashed."""
    found: dict[Pieces, int] = {}
    for crated, heaps in origins(picture.ledger, code, bin_order(picture)).items():
        for heap, quantity in heaps:
            if heap.fate is Fate.WASH:
                like = _pieces(picture, crated, 0)
                found[like] = found.get(like, 0) + quantity
    for line in lines:
        for share in line.shares:
            piece = share.piece
            if not piece.ready:
                name = picture.catalogue.part_name(piece.kind.part)
                like = Pieces(piece.kind, name, 0, piece.grade, piece.flaws)
                found[like] = found.get(like, 0) + share.quantity
    return tuple(sorted((like._replace(quantity=quantity) for like, quantity in found.items()), key=_by_name))


def _pieces(picture: Picture, cell: Cell, quantity: int) -> Pieces:
    return Pieces(Kind(cell.part, cell.shade), picture.name(cell), quantity, cell.grade, cell.flaws)


def _by_name(pieces: Pieces) -> tuple[object, ...]:
    return pieces.name, pieces.kind, -(pieces.grade or 0), pieces.flaws


def _by_kind(pieces: Iterable[Pieces]) -> dict[Kind, int]:
    found: dict[Kind, int] = {}
    for each in pieces:
        if each.kind.part:
            found[each.kind] = found.get(each.kind, 0) + each.quantity
    return found


def _words(picture: Picture, cell: Cell) -> str:
    return f"{picture.name(cell)}, {cell.shade}"
