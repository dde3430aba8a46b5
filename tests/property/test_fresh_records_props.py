"""Records that pile up in a long sitting are packed as they come, and nothing is different for it."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sortbench.engine.folding import fresh_records
from sortbench.engine.folding.fresh_records import FreshRecords
from sortbench.engine.folding.packed_ids import PackedIds
from sortbench.engine.folding.packed_records import PackedRecords
from sortbench.engine.folding.packing import pack
from sortbench.engine.ledger import Ledger
from sortbench.model.tally import Record, RecordId
from tests.property.test_fold_props import everything, timed_records

KEPT = settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(autouse=True)
def small_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a handful of records is many."""
    monkeypatch.setattr(fresh_records, "BATCH", 2)


@given(given_records=timed_records(), huge=st.booleans(), data=st.data())
@KEPT
def test_records_added_one_by_one_are_those_of_a_plain_dict(
    given_records: list[Record], huge: bool, data: st.DataObject
) -> None:
    stirred = data.draw(st.permutations(given_records))
    if huge:
        stirred[0] = stirred[0]._replace(quantity=1 << 40)  # no column holds it
    loose = data.draw(st.integers(0, len(stirred)))
    fresh, plain = FreshRecords(), {record.id: record for record in stirred}
    fresh.loose.update((record.id, record) for record in stirred[:loose])
    for record in stirred[loose:]:
        assert record.id not in fresh
        fresh.add(record)
        assert fresh[record.id] == record
    assert dict(fresh) == plain and len(fresh) == len(plain)
    assert sorted(fresh.values()) == sorted(plain.values())
    assert RecordId("missing", 1) not in fresh and fresh.get(RecordId("a", 99)) is None
    assert len(fresh.loose) <= loose + 4 + huge, "the others are packed"


@given(given_records=timed_records(), cut=st.integers(0, 14))
@KEPT
def test_a_ledger_says_the_same_however_its_records_came(given_records: list[Record], cut: int) -> None:
    at_once = everything(Ledger(given_records))
    one_by_one, later = Ledger(), Ledger((), PackedRecords(pack(Ledger(given_records[:cut]))))
    for record in given_records:
        one_by_one.apply(record)
        later.apply(record)
        assert not one_by_one.apply(record)
    assert everything(one_by_one) == everything(later) == at_once


@given(
    ids=st.lists(st.builds(RecordId, st.sampled_from("ab"), st.integers(1, 3) | st.integers(1, 2**62))),
    cut=st.slices(5),
)
def test_ids_in_runs_are_those_of_a_plain_list(ids: list[RecordId], cut: slice) -> None:
    packed = PackedIds(ids[:2])
    for rid in ids[2:]:
        packed.append(rid)
    assert list(packed) == ids and list(reversed(packed)) == ids[::-1] and len(packed) == len(ids)
    assert packed[cut] == ids[cut]
    assert [packed[-1 - place] for place in range(len(ids))] == ids[::-1]
    with pytest.raises(IndexError):
        packed[len(ids)]
