"""A bench opened from its snapshot says what one that reads all its logs says, whatever happened to the logs."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.folding.in_time import UNDOABLE, InTime
from sortbench.engine.folding.packed_records import PackedRecords
from sortbench.engine.folding.packing import pack
from sortbench.engine.folding.use import use_of
from sortbench.engine.ledger import Ledger
from sortbench.model.tally import Fate, Record, What
from tests.property.test_ledger_props import records

TIMES = st.sampled_from(
    [
        "2026-03-01T09:30:00.000Z",
        "2026-03-01T09:30:00.001Z",
        "2026-03-02T00:00:00.000Z",
        "2026-03-01T09:30:00Z",
        "ü",
        "",
    ]
)


def everything(ledger: Ledger) -> dict[str, Any]:
    """All that a ledger says."""
    kinds = sorted(
        {
            *ledger.kinds,
            *ledger.reserved_kinds,
            *(r.cell.kind for r in ledger.records.values() if r.cell and r.cell.kind),
        }
    )
    return {
        "records": dict(ledger.records),
        "ids": sorted(ledger.records),
        "holds": {rid for rid in ledger.records if ledger.holds(rid)},
        "voiders": {rid: sorted(ledger.voiders(rid)) for rid in ledger.records},
        "verdicts": [set(each) for each in ledger.verdicts],
        "counts": dict(ledger.counts),
        "pieces": (ledger.pieces, ledger.of_pile, *map(ledger.of_fate, Fate)),
        "bins": {label: dict(ledger.in_bin(label)) for label in ledger.bins},
        "crates": {code: dict(ledger.in_crate(code)) for code in ledger.crates},
        "kinds": {kind: dict(ledger.of_kind(kind)) for kind in ledger.kinds},
        "coarse": dict(ledger.coarse),
        "reserved": {kind: ledger.reserved(kind) for kind in kinds},
        "readings": {kind: ledger.readings(kind) for kind in kinds},
        "written": {code: dict(ledger.written(code)) for code in ledger.written_targets},
        "recounts": {way: ledger.recounted(way) for way in ledger.recounts},
        "impossible": sorted(map(repr, ledger.impossible())),
        "told": sorted(ledger.told(lambda what, _: what is What.MOVE)),
        "told of red": sorted(
            map(repr, ledger.told(lambda what, way: what is What.TALLY, lambda cell: cell.shade == "red"))
        ),
        "in time": list(InTime(ledger.fresh.values(), ledger.packed, list(What))),
        "use": use_of(InTime(ledger.fresh.values(), ledger.packed, UNDOABLE), ledger),
        "moves in time": list(InTime(ledger.fresh.values(), ledger.packed, [What.MOVE])),
    }


@st.composite
def timed_records(draw: st.DrawFn) -> list[Record]:
    """Records of any kind at times that go forward and back."""
    return [record._replace(at=draw(TIMES)) for record in draw(records())]


@given(given_records=timed_records(), cuts=st.lists(st.integers(0, 14), max_size=3), data=st.data())
@settings(max_examples=400, deadline=None)
def test_a_ledger_that_goes_on_from_a_fold_says_what_one_says_that_saw_every_record(
    given_records: list[Record], cuts: list[int], data: st.DataObject
) -> None:
    stirred = data.draw(st.permutations(given_records))
    ledger, begin = Ledger(), 0
    for cut in [*sorted(cuts), len(stirred)]:
        for record in stirred[begin:cut]:
            ledger.apply(record)
        begin = max(begin, cut)
        again = data.draw(st.lists(st.sampled_from(stirred[:begin]), max_size=3)) if stirred[:begin] else []
        ledger = Ledger(again, PackedRecords(pack(ledger)))
    assert everything(ledger) == everything(Ledger(given_records))


@given(given_records=timed_records(), cut=st.integers(0, 14))
@settings(max_examples=200, deadline=None)
def test_records_that_came_after_a_fold_are_taken_in_at_once_or_one_by_one(
    given_records: list[Record], cut: int
) -> None:
    packed = PackedRecords(pack(Ledger(given_records[:cut])))
    one_by_one = Ledger((), packed)
    for record in given_records[cut:]:
        one_by_one.apply(record)
    whole = everything(Ledger(given_records))
    assert everything(Ledger(given_records[cut:], packed)) == everything(one_by_one) == whole
