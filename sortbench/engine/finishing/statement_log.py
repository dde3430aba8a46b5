"""What the log and the notes of a bench say of the kinds in a box: treated, washed, counted how.

Records speak of kinds and heaps, never of one piece, so much can only be said within bounds, and is said so.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sortbench.engine.picture import Picture
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Fate, Record, What
from sortbench.model.treatment import Treatment
from sortbench.model.wash import Batch, Stage

TREATED, SCRUBBED = "treated", "scrubbed"
"""The ways of records about pieces that were treated, and about those taken off the scrub list."""

_WAYS = {
    "typed": "typed by name",
    "pad": "on the keypad",
    "again": "as the same again",
    "shell": "from the shell",
    "sheet": "from a count sheet",
    "photo": "on a photograph",
    "judged": "with a colour reading",
    "parcel": "out of a parcel",
    "recount": "on a recount",
    "weighed": "by weight",
}


class TreatedKind(NamedTuple):
    """A kind of which some pieces were treated.

    Attributes:
        kind, name: what it is.
        quantity: pieces of it in the box.
        least, most: how many of these were treated, at least and at most.
    """

    kind: Kind
    name: str
    quantity: int
    least: int
    most: int


class BatchNote(NamedTuple):
    """A batch that was washed.

    Attributes:
        code, name: which; the name is what is in it and may be empty.
        stages: stages noted, in their order in time, none twice.
        dry: the day on which it was noted as dry, as YYYY-MM-DD; empty if it was not.
    """

    code: str
    name: str
    stages: tuple[Stage, ...]
    dry: str


class Washing(NamedTuple):
    """What is noted of washing.

    Attributes:
        batches: all of the bench: which piece was in which is not noted.
        scrubbed: pieces of the kinds in the box that were taken off the scrub list as clean.
    """

    batches: tuple[BatchNote, ...]
    scrubbed: int


class Counting(NamedTuple):
    """How the pieces of the kinds in the box were counted, at the whole bench.

    Attributes:
        tallied: pieces of these kinds that were tallied, whether they are in the box or not.
        ways: in which ways, most pieces first: what is said of the way, and pieces.
        sittings: sittings in which they were tallied.
        first, last: days of the first and the last of these tallies in UTC, as YYYY-MM-DD; empty if there is none.
        corrections: tallies that stand in for an earlier one.
        read: pieces of which a tally or a later judgement has a colour reading.
    """

    tallied: int
    ways: tuple[tuple[str, int], ...]
    sittings: int
    first: str
    last: str
    corrections: int
    read: int


def treated_kinds(
    picture: Picture, kinds: Mapping[Kind, int], treatments: Iterable[Treatment]
) -> tuple[TreatedKind, ...]:
    """Kinds in the box of which pieces were treated, and within which bounds.

    Pieces that came through a treatment are known by number only. One piece may be treated twice, and may be thrown out
    later: surely treated are only as many as came through one treatment at once, less all pieces thrown out.

    Args:
        kinds: pieces of each in the box.
        treatments: all that are noted; struck ones count for nothing.
    """
    baths: dict[Kind, list[int]] = {}
    for each in treatments:
        if not each.struck and each.improved + each.unchanged:
            baths.setdefault(Kind(each.part, each.shade), []).append(each.improved + each.unchanged)
    records: dict[Kind, list[int]] = {}
    for record in _holding(picture, What.REGRADE, kinds):
        if record.way == TREATED and record.cell is not None and record.cell.kind is not None:
            records.setdefault(record.cell.kind, []).append(record.quantity)
    found = []
    for kind, quantity in kinds.items():
        noted = [*baths.get(kind, ()), *records.get(kind, ())]
        if not noted:
            continue
        heaps = picture.ledger.of_kind(kind)
        there = sum(pieces for cell, pieces in heaps.items() if cell.fate is not Fate.OUT and pieces > 0)
        out = sum(pieces for cell, pieces in heaps.items() if cell.fate is Fate.OUT and pieces > 0)
        # A treatment writes both a note and a record; either may be missing, so what says more is taken.
        most = min(quantity, max(sum(baths.get(kind, ())), sum(records.get(kind, ()))))
        sure = max(0, max(noted) - out)
        least = min(most, max(0, quantity - max(0, there - sure)))
        found.append(TreatedKind(kind, picture.catalogue.part_name(kind.part), quantity, least, most))
    return tuple(sorted(found, key=lambda each: (each.name, each.kind)))


def washing_of(picture: Picture, kinds: Mapping[Kind, int], batches: Iterable[Batch]) -> Washing:
    """What is noted of washing: batches with at least one stage, and pieces of some kinds scrubbed."""
    noted = []
    for batch in batches:
        if stages := batch.stages:
            dry = max((each.at for each in stages if each.stage is Stage.DRY), default=None)
            names = tuple(dict.fromkeys(each.stage for each in stages))
            noted.append(BatchNote(batch.code, batch.name, names, f"{dry:%Y-%m-%d}" if dry else ""))
    scrubbed = sum(record.quantity for record in _holding(picture, What.MOVE, kinds) if record.way == SCRUBBED)
    return Washing(tuple(noted), scrubbed)


def counting_of(picture: Picture, kinds: Mapping[Kind, int]) -> Counting:
    """How the pieces of some kinds were counted."""
    ways: dict[str, int] = {}
    sittings: set[str] = set()
    days: list[str] = []
    tallied = corrections = 0
    for record in _holding(picture, What.TALLY, kinds):
        way = way_words(record.way)
        ways[way] = ways.get(way, 0) + record.quantity
        tallied += record.quantity
        corrections += record.voids is not None
        sittings.add(record.id.sitting)
        if record.at:
            days.append(record.at[:10])
    read = sum(pieces for kind in kinds for noted in picture.ledger.readings(kind).values() for pieces, _ in noted)
    return Counting(
        tallied,
        tuple(sorted(ways.items(), key=lambda item: (-item[1], item[0]))),
        len(sittings),
        min(days, default=""),
        max(days, default=""),
        corrections,
        read,
    )


def way_words(way: str) -> str:
    """How a tally came, in words; a way that is not known here is told as it is written."""
    return _WAYS.get(way.partition(" ")[0], f"noted as {way}" if way else "in a way that is not noted")


def _holding(picture: Picture, what: What, kinds: Mapping[Kind, int]) -> Iterable[Record]:
    """Records of one sort that hold and speak of one of some kinds."""
    return picture.ledger.told(lambda told, _: told is what, lambda cell: cell.kind in kinds)
