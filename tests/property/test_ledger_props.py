"""The ledger against a fold worked out another way: any order, any doubling, any mixture of sittings."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Condition, Fate, Reading, Record, RecordId, What

AT = "2026-03-01T09:30:00Z"
CELLS = (
    Cell("B1", "plate-2x4", "red", "", Grade.G5, ()),
    Cell("B2", "plate-2x4", "red", "", Grade.G3, ()),
    Cell("B2", "tile-2x2", "white", "", Grade.G5, ()),
    Cell("B1", "", "white", "tile", None, ()),
)
# A target may be called like a bin: its crate is another thing.
PLACES = (("B9", Fate.KEPT, ""), ("", Fate.WASH, ""), ("", Fate.OUT, ""), *[("B2", Fate.CRATE, t) for t in ("", "B2")])
CONDITIONS = ((Grade.G5, ()), (Grade.G3, ()), (None, (Flaw.RESIDUE,)))
LABS = st.sampled_from([None, None, (88.1, -1.2, 14.0), (60.0, 0.0, 0.0)])
Reserved = dict[tuple[Kind, Grade | None, str], int]


@st.composite
def records(draw: st.DrawFn) -> list[Record]:
    """Records of two sittings; whatever voids, voids any of them: an earlier one, a later one, itself, in a ring."""
    size = draw(st.integers(1, 14))
    ids = [RecordId(draw(st.sampled_from("ab")), seq) for seq in range(1, size + 1)]
    any_id = st.sampled_from([*ids, RecordId("missing", 1)])
    made = []
    for rid in ids:
        what = draw(
            st.sampled_from(
                [*[What.TALLY, What.MOVE, What.REGRADE, What.RESERVE, What.VOID] * 2, What.LINE, What.RECOUNT]
            )
        )
        cell, quantity = draw(st.sampled_from(CELLS)), draw(st.integers(1, 9))
        if what is What.VOID:
            made.append(Record(rid, AT, what, voids=draw(any_id)))
        elif what is What.MOVE:
            to_bin, fate, target = draw(st.sampled_from(PLACES))
            cell = draw(st.sampled_from([cell, cell._replace(bin="B2", fate=Fate.CRATE)]))
            made.append(Record(rid, AT, what, cell, quantity, to_bin=to_bin, to_fate=fate, target=target))
        elif what is What.REGRADE:
            cell = draw(st.sampled_from([cell, cell._replace(bin="", fate=Fate.WASH)]))
            became, voids = draw(st.sampled_from(CONDITIONS)), draw(st.none() | st.none() | any_id)
            made.append(Record(rid, AT, what, cell, quantity, voids=voids, became=became, lab=draw(LABS)))
        elif what is What.RESERVE:
            target, voids = draw(st.sampled_from(["B2", "T-08"])), draw(st.none() | st.none() | any_id)
            made.append(Record(rid, AT, what, cell._replace(bin=""), quantity, target=target, voids=voids))
        elif what is What.RECOUNT:
            made.append(Record(rid, AT, what, cell, quantity, voids=draw(st.none() | any_id), way="recount R-1"))
        elif what is What.LINE:
            made.append(Record(rid, AT, what, cell, quantity, target="T-07", voids=draw(st.none() | any_id)))
        else:
            voids = draw(st.none() | st.none() | any_id)
            made.append(Record(rid, AT, what, cell, quantity, voids=voids, lab=draw(LABS)))
    return made


def verdicts(given_records: Sequence[Record]) -> dict[RecordId, bool]:
    """Which records hold, straight from the definition: rings found by walking, then one question asked of another."""
    by_id = {record.id: record for record in given_records}
    names = {rid: record.voids for rid, record in by_id.items() if record.voids in by_id}
    for start in by_id:
        path: list[RecordId] = []
        at: RecordId | None = start
        while at is not None and at not in path:
            path.append(at)
            at = names.get(at)
        if at == start:
            del names[min(path)]
    naming = defaultdict(list)
    for rid, named in names.items():
        naming[named].append(rid)

    def is_void(rid: RecordId) -> bool:
        return by_id[rid].what is What.VOID

    def cancelled(rid: RecordId) -> bool:
        return any(alive(other) for other in naming[rid] if is_void(other) or is_void(rid))

    def replaced(rid: RecordId) -> bool:
        return any(alive(other) for other in naming[rid] if not is_void(other)) and not is_void(rid)

    def alive(rid: RecordId) -> bool:
        return replaced(rid) or not cancelled(rid)

    return {rid: not cancelled(rid) and not replaced(rid) for rid in by_id}


def worked_out(given_records: Sequence[Record]) -> tuple[dict[Cell, int], dict[Kind, int], Reserved]:
    """Counts, the written list of T-07 and what is set aside, summed record by record."""
    holding = verdicts(given_records)
    counts: Counter[Cell] = Counter()
    written: Counter[Kind] = Counter()
    reserved: Counter[tuple[Kind, Grade | None, str]] = Counter()
    for record in given_records:
        cell = record.cell
        if cell is None or not holding[record.id]:
            continue
        if record.what is What.TALLY:
            counts[cell] += record.quantity
        elif record.what is What.MOVE:
            counts[cell] -= record.quantity
            counts[cell._replace(bin=record.to_bin, fate=record.to_fate)] += record.quantity
            if record.target and cell.kind is not None:
                reserved[cell.kind, cell.grade, record.target] -= record.quantity
        elif record.what is What.REGRADE and record.became is not None:
            counts[cell] -= record.quantity
            counts[cell._replace(grade=record.became[0], flaws=record.became[1])] += record.quantity
        elif cell.kind is not None and record.what is What.RESERVE:
            reserved[cell.kind, cell.grade, record.target] += record.quantity
        elif cell.kind is not None and record.what is What.LINE:
            written[cell.kind] += record.quantity
    return {cell: n for cell, n in counts.items() if n}, dict(written), dict(+reserved)


def measured(given_records: Sequence[Record]) -> dict[tuple[Kind, Condition], list[tuple[int, Reading]]]:
    """Readings of what holds, by kind and condition, in the order of the records."""
    holding, found = verdicts(given_records), defaultdict(list)
    for record in sorted(given_records):
        if holding[record.id] and record.lab is not None and record.cell is not None and record.cell.kind is not None:
            condition = record.became or (record.cell.grade, record.cell.flaws)
            found[record.cell.kind, condition].append((record.quantity, record.lab))
    return dict(found)


def read_on(ledger: Ledger) -> dict[tuple[Kind, Condition], list[tuple[int, Reading]]]:
    """What a ledger says was measured."""
    kinds = {kind for record in ledger.records.values() if record.cell and (kind := record.cell.kind)}
    return {(kind, state): list(some) for kind in kinds for state, some in ledger.readings(kind).items()}


def set_aside(ledger: Ledger) -> Reserved:
    """What a ledger says is set aside."""
    return {
        (kind, grade, code): n
        for kind in ledger.reserved_kinds
        for (grade, _), by_target in ledger.reserved(kind).items()
        for code, n in by_target.items()
    }


def state(ledger: Ledger) -> tuple[object, ...]:
    """All that a ledger answers, the order of heaps aside."""
    return (
        dict(ledger.counts),
        {label: dict(ledger.in_bin(label)) for label in sorted([*ledger.bins, ""])},
        {kind: dict(ledger.of_kind(kind)) for kind in sorted(ledger.kinds)},
        {code: dict(ledger.in_crate(code)) for code in sorted(ledger.crates)},
        set_aside(ledger),
        read_on(ledger),
        list(ledger.written("T-07").items()),
        [ledger.of_fate(fate) for fate in Fate],
        {rid: ledger.holds(rid) for rid in sorted(ledger.records)},
        sorted(ledger.impossible(), key=repr),
    )


@settings(max_examples=300, deadline=None)
@given(records(), st.randoms(use_true_random=False))
def test_counts_are_those_of_the_definition_in_any_order_and_however_often(given_records: list[Record], random) -> None:  # type: ignore[no-untyped-def]
    shuffled = given_records + random.choices(given_records, k=len(given_records) // 2)
    random.shuffle(shuffled)
    ledger = Ledger()
    for record in shuffled:
        ledger.apply(record)
    counts, written, reserved = worked_out(given_records)
    assert dict(ledger.counts) == counts
    assert set_aside(ledger) == reserved
    assert read_on(ledger) == measured(given_records)
    assert dict(ledger.written("T-07")) == written
    assert {rid: ledger.holds(rid) for rid in ledger.records} == verdicts(given_records)
    assert state(ledger) == state(Ledger(given_records))


@settings(max_examples=150, deadline=None)
@given(records(), st.randoms(use_true_random=False), st.integers(0, 14))
def test_taking_in_many_at_once_is_taking_them_in_one_by_one(given_records: list[Record], random, cut: int) -> None:  # type: ignore[no-untyped-def]
    at_once = Ledger([*given_records, *given_records[:cut]])
    in_parts = Ledger(given_records[:cut])
    for record in random.sample(given_records, len(given_records)):
        in_parts.apply(record)
    assert state(at_once) == state(in_parts)


@settings(max_examples=150, deadline=None)
@given(records())
def test_counts_agree_with_each_other(given_records: list[Record]) -> None:
    ledger = Ledger(given_records)
    assert sum(ledger.counts.values()) == sum(ledger.of_fate(fate) for fate in Fate)
    assert 0 not in ledger.counts.values()
    assert ledger.pieces == sum(n for cell, n in ledger.counts.items() if cell.fate is not Fate.OUT)
    labels = {cell.bin for cell in ledger.counts}
    in_bins = {cell: n for label in labels for cell, n in ledger.in_bin(label).items()}
    in_crates = {cell: n for code in ledger.crates for cell, n in ledger.in_crate(code).items()}
    assert in_bins | in_crates == dict(ledger.counts)
    assert {cell.fate is Fate.CRATE for cell in in_crates} <= {True}
    assert {cell.fate is Fate.CRATE for cell in in_bins} <= {False}
    assert {cell for kind in ledger.kinds for cell in ledger.of_kind(kind)} == {c for c in ledger.counts if c.kind}
