"""A ledger packed into a fold that another start can go on from."""

from __future__ import annotations

from array import array
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import chain, count

from sortbench.engine.folding.in_time import UNDOABLE, InTime, by_time, place_in_time
from sortbench.engine.folding.packed_records import PackedRecords
from sortbench.engine.folding.use import Use, packed_use, use_of
from sortbench.engine.ledger import Ledger
from sortbench.engine.sums import as_kind
from sortbench.model.fold import NO_RECORDS, NUMBERS, TIME_LENGTH, WHOLE, Fold, Manner, Stretch
from sortbench.model.tally import Condition, Fate, Record, RecordId, What

_Said = tuple[What, str, str, str, Fate, Condition | None]
"""A manner as a plain tuple, which equals it."""


def pack(ledger: Ledger, more: Iterable[Record] = ()) -> Fold:
    """The fold of a ledger; records that it was unpacked with are taken over as they are.

    Args:
        ledger: records and what they come to.
        more: records that weigh nothing and that the ledger has not seen: opening ones.
    """
    before = ledger.packed or PackedRecords(NO_RECORDS)
    old = before.fold
    fresh = sorted(chain(ledger.fresh.values(), more), key=lambda record: record.id)
    begin = len(before)
    said = [(r.what, r.to_bin, r.target, r.way, r.to_fate, r.became) for r in fresh]
    spoken = [record.cell for record in fresh]
    manners: dict[_Said, int] = dict(zip(old.manners, count(), strict=False))
    manner_of = array(NUMBERS, [manners.setdefault(manner, len(manners)) for manner in said])
    # Like cells of a log are one object, so most are told apart by where they lie, which is quicker than to hash them.
    distinct = {id(cell): cell for cell in spoken if cell is not None}
    cells = dict(zip(dict.fromkeys(chain(old.cells, distinct.values(), ledger.counts)), count(1), strict=False))
    number_of = {key: cells[cell] for key, cell in distinct.items()}
    number_of[id(None)] = 0
    times, odd_times = _times([record.at for record in fresh], begin)
    fold = NO_RECORDS._replace(
        cells=tuple(cells),
        manners=tuple(map(Manner._make, manners)),
        stretches=(*old.stretches, *_stretches(fresh, begin)),
        manner_of=old.manner_of + manner_of,
        cell_of=old.cell_of + array(NUMBERS, map(number_of.__getitem__, map(id, spoken))),
        quantity_of=old.quantity_of + array(NUMBERS, [record.quantity for record in fresh]),
        times=old.times + times,
        odd_times={**old.odd_times, **odd_times},
        voids={**old.voids, **{place: r.voids for place, r in enumerate(fresh, begin) if r.voids is not None}},
        labs={**old.labs, **{place: r.lab for place, r in enumerate(fresh, begin) if r.lab is not None}},
        heaps=array(WHOLE, [ledger.counts.get(cell, 0) for cell in cells]),
    )
    records, verdicts = PackedRecords(fold), ledger.verdicts
    fold = fold._replace(
        unheld=_places(records, verdicts.unheld),
        dead=_places(records, verdicts.dead),
        ignored=_places(records, verdicts.ignored),
        order=_order(before, records, fresh),
    )
    use = _use(ledger, fold, fresh)
    kinds = {as_kind(cell[1:3]): number for cell, number in cells.items()}
    return fold._replace(
        use_cells=array(NUMBERS, [kinds[kind] for kind in use]),
        use_times=array(NUMBERS, [times for times, _ in use.values()]),
        use_last=array(NUMBERS, [last for _, last in use.values()]),
    )


def _use(ledger: Ledger, fold: Fold, fresh: Sequence[Record]) -> Use:
    """The use of kinds; where nothing was packed before, columns are quicker to look through than records."""
    if ledger.packed is None:
        return packed_use(fold, InTime((), PackedRecords(fold), UNDOABLE).packed_places, set(fold.unheld))
    return use_of(InTime(by_time(fresh), ledger.packed, UNDOABLE), ledger)


def _stretches(fresh: Sequence[Record], begin: int) -> Iterator[Stretch]:
    """Runs of records, sorted by their ids, whose numbers follow each other."""
    first = 0
    for place in range(1, len(fresh) + 1):
        last = fresh[place - 1].id
        if place == len(fresh) or fresh[place].id != (last.sitting, last.seq + 1):
            yield Stretch(last.sitting, fresh[first].id.seq, begin + first, place - first)
            first = place


def _times(texts: list[str], begin: int) -> tuple[bytes, dict[int, str]]:
    """Times as the columns hold them, and those that are of no usual form by their places."""
    odd = {place: text for place, text in enumerate(texts, begin) if len(text) != TIME_LENGTH or not text.isascii()}
    for place in odd:
        texts[place - begin] = " " * TIME_LENGTH
    return "".join(texts).encode(), odd


def _places(records: PackedRecords, ids: Collection[RecordId]) -> array[int]:
    return array(NUMBERS, sorted(place for rid in ids if (place := records.place(rid)) is not None))


def _order(before: PackedRecords, records: PackedRecords, fresh: Sequence[Record]) -> array[int]:
    """Places of all records by time, then id."""
    begin = len(before)
    late = sorted(range(begin, len(records)), key=lambda place: fresh[place - begin].at)  # by id they are sorted
    cut = place_in_time(before, fresh[late[0] - begin] if late else None)
    order = before.fold.order
    if cut < len(order):
        late = sorted([*order[cut:], *late], key=lambda place: (records.time(place), records.id_at(place)))
    return order[:cut] + array(NUMBERS, late)
