"""How alike in colour the pieces are that each target has of a shade.

Two pieces that were both measured differ by CIEDE2000 between their readings: of a kind in one condition the mean of
what was read on such pieces, each reading counting for as many pieces as it was taken for. Any other two differ by
what the standard gives their grades: the CIELAB difference of each grade from an unaged piece (ISO 105-A02:1994, clause
2.4), one less the other, as if all had aged in one direction. The two are not the same measure, so every difference
says which it is. A piece that was neither graded nor measured is told of, and compared with nothing.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import Lab
from sortbench.engine.condition.grade_steps import NOMINAL
from sortbench.engine.fill import TargetFill
from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade

NOMINAL_OF = dict(NOMINAL)
"""The CIELAB difference of each grade from an unaged piece, 0 to 13.6."""


class Look(NamedTuple):
    """What is known of the colour of pieces: a mean reading, a grade, both or neither."""

    lab: Lab | None
    grade: Grade | None


class Tint(NamedTuple):
    """Like pieces of one kind that a target has.

    Attributes:
        kind, grade, flaws: what they are.
        quantity: pieces.
        lab: the mean of what was read on such pieces, None where nothing was.
    """

    kind: Kind
    grade: Grade | None
    flaws: Flaws
    quantity: int
    lab: Lab | None

    @property
    def look(self) -> Look:
        """What is known of their colour."""
        return Look(self.lab, self.grade)


class Pair(NamedTuple):
    """Two tints and how far apart they are.

    Attributes:
        better, worse: of two, the one of the better grade first.
        difference: CIEDE2000 where ``measured``, else the CIELAB difference that their grades stand for.
        measured: whether both were measured.
    """

    better: Tint
    worse: Tint
    difference: float
    measured: bool


class SpreadRow(NamedTuple):
    """The pieces that one target has in one shade.

    Attributes:
        target, name: its code and its name.
        shade, rgb: the shade; its sRGB value, empty if not known.
        pieces: how many it has.
        measured: those among them of whose kind and condition there is a reading.
        unknown: those that were neither graded nor measured.
        worst: the two that differ most; None where no two can be compared.
    """

    target: str
    name: str
    shade: str
    rgb: str
    pieces: int
    measured: int
    unknown: int
    worst: Pair | None

    @property
    def spread(self) -> float:
        """How far the worst two are apart, 0 where no two can be compared."""
        return self.worst.difference if self.worst else 0.0


def difference(one: Look, other: Look) -> float | None:
    """How far apart two colours are, in the measure that the module tells; None where it cannot be told."""
    if one.lab is not None and other.lab is not None:
        return ciede2000(one.lab, other.lab)
    if one.grade is not None and other.grade is not None:
        return abs(NOMINAL_OF[one.grade] - NOMINAL_OF[other.grade])
    return None


def mean_reading(ledger: Ledger, kind: Kind, grade: Grade | None, flaws: Flaws) -> Lab | None:
    """The mean of what was read on pieces of a kind in one condition, by pieces; None where nothing was."""
    read = ledger.readings(kind).get((grade, flaws), ())
    pieces = sum(quantity for quantity, _ in read)
    if not pieces:
        return None
    lightness, a, b = (sum(quantity * lab[place] for quantity, lab in read) / pieces for place in range(3))
    return Lab(lightness, a, b)


def worst_pair(tints: Sequence[Tint]) -> Pair | None:
    """The two tints that differ most, the first of several; None where no two can be compared."""
    looks: dict[Look, Tint] = {}
    for tint in tints:
        looks.setdefault(tint.look, tint)
    found: Pair | None = None
    shown = list(looks.items())
    for place, (look, tint) in enumerate(shown):
        for other_look, other in shown[place:]:
            apart = difference(look, other_look)
            if apart is not None and (found is None or apart > found.difference):
                better, worse = sorted((tint, other), key=lambda each: -(each.grade or 0))
                measured = look.lab is not None and other_look.lab is not None
                found = Pair(better, worse, apart, measured)
    return found


def tints_of(ledger: Ledger, fill: TargetFill) -> dict[str, list[Tint]]:
    """The pieces that a target has, by shade, like ones together; in the order in which its list names them."""
    pieces: dict[tuple[Kind, Grade | None, Flaws], int] = {}
    for line in fill.lines:
        for share in line.shares:
            key = share.piece.kind, share.piece.grade, share.piece.flaws
            pieces[key] = pieces.get(key, 0) + share.quantity
    found: dict[str, list[Tint]] = {}
    for (kind, grade, flaws), quantity in pieces.items():
        lab = mean_reading(ledger, kind, grade, flaws)
        found.setdefault(kind.shade, []).append(Tint(kind, grade, flaws, quantity, lab))
    return found


def spreads(picture: Picture, codes: Iterable[str] = ()) -> tuple[SpreadRow, ...]:
    """How alike the pieces of each target and shade are: targets by rank, within each the widest spread first.

    Args:
        codes: only these targets; all where none is named.
    """
    chosen = set(codes)
    rows: list[SpreadRow] = []
    for fill in picture.fill.all():
        if not chosen or fill.target.code in chosen:
            found = [_row(picture, fill, shade, tints) for shade, tints in tints_of(picture.ledger, fill).items()]
            rows += sorted(found, key=lambda row: (-row.spread, row.shade))
    return tuple(rows)


def _row(picture: Picture, fill: TargetFill, shade: str, tints: Sequence[Tint]) -> SpreadRow:
    return SpreadRow(
        target=fill.target.code,
        name=fill.target.name,
        shade=shade,
        rgb=picture.rgb(shade),
        pieces=sum(tint.quantity for tint in tints),
        measured=sum(tint.quantity for tint in tints if tint.lab is not None),
        unknown=sum(tint.quantity for tint in tints if tint.lab is None and tint.grade is None),
        worst=worst_pair(tints),
    )
