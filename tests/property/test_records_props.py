"""Records of the work against the ledger and the live meter: whatever was counted, taken back and put right."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sortbench.engine.ledger import Ledger
from sortbench.engine.pace import PaceMeter
from sortbench.engine.records.sittings import figures_of
from sortbench.engine.records.steps import steps_of
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.papers.plots import dots

START = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
SITTINGS = ("20260301T093000Z-aaaaaa", "20260302T093000Z-bbbbbb")
PLATE = Cell("B1", "plate-2x4", "white", "", Grade.G5, ())
ACTS = st.lists(
    st.tuples(
        st.sampled_from(["count", "void", "correct", "bring back", "parcel"]),
        st.integers(0, 1),  # which sitting writes it
        st.integers(0, 30),  # which earlier record it names
        st.integers(1, 40),  # pieces
        st.integers(-50_000, 300_000),  # milliseconds since the record before
    ),
    max_size=60,
)


def history(acts: list[tuple[str, int, int, int, int]]) -> list[Record]:
    """Records that honest programs could have written: a void names a record that holds, a redo a void that does."""
    ledger = Ledger()
    records: list[Record] = []
    now, seqs = 0, [0, 0]
    for act, who, named, pieces, gap in acts:
        now += gap
        seqs[who] += 1
        rid = RecordId(SITTINGS[who], seqs[who])
        at = (START + timedelta(milliseconds=now)).isoformat().replace("+00:00", "Z")
        wanted = What.VOID if act == "bring back" else What.TALLY
        able = [record for record in records if record.what is wanted and ledger.holds(record.id)]
        if act in ("count", "parcel"):
            record = Record(rid, at, What.TALLY, PLATE, pieces, way="pad" if act == "count" else "parcel P1/1")
        elif not able:
            seqs[who] -= 1
            continue
        else:
            other = able[named % len(able)]
            if act == "correct":
                record = Record(rid, at, What.TALLY, PLATE, pieces, voids=other.id, way=other.way)
            else:
                record = Record(rid, at, What.VOID, voids=other.id, way="undo")
        records.append(record)
        ledger.apply(record)
    return records


@given(ACTS)
def test_pieces_are_those_of_the_ledger_and_time_is_shared_out_whole(
    acts: list[tuple[str, int, int, int, int]],
) -> None:
    records = history(acts)
    ledger = Ledger(records)
    steps = steps_of(reversed(records), ledger.holds)
    each, both = figures_of(steps)
    assert sum(figures.pieces for figures in each) == both.pieces == ledger.of_pile
    assert both.entries == sum(r.what is What.TALLY and r.voids is None and r.way == "pad" for r in records)
    assert sum(way.pieces for way in both.ways) == both.pieces
    for figures, found in zip(each, steps.values(), strict=True):
        timed = [step for step in found if step.is_entry and step.gap_s is not None]
        assert figures.rate.timed == len(timed)
        if figures.work_s:
            assert figures.course[0].from_s == 0
            assert figures.course[-1].to_s == pytest.approx(figures.work_s)
            assert all(a.to_s == b.from_s for a, b in zip(figures.course, figures.course[1:], strict=False))
            assert all(interval.from_s < interval.to_s and interval.pieces >= 0 for interval in figures.course)
            assert sum(interval.pieces for interval in figures.course) == pytest.approx(
                sum(step.pieces for step in timed)
            )
        assert sum(way.work_s for way in figures.ways) + figures.backward_s <= figures.work_s + 1e-6


@given(st.lists(st.tuples(st.integers(-5_000, 200_000), st.integers(1, 40)), max_size=80))
def test_plain_counting_has_the_rate_of_the_live_meter(tallies: list[tuple[int, int]]) -> None:
    assume(sum(gap for gap, _ in tallies[1:] if 0 <= gap <= 120_000) != 10_000)  # at the border rounding decides
    meter, now = PaceMeter(), 0
    records = []
    for seq, (gap, pieces) in enumerate(tallies, 1):
        now += gap
        moment = START + timedelta(milliseconds=now)
        meter.add(moment.timestamp(), pieces)
        at = moment.isoformat().replace("+00:00", "Z")
        records.append(Record(RecordId(SITTINGS[0], seq), at, What.TALLY, PLATE, pieces, way="pad"))
    live = meter.pace()
    figures = figures_of(steps_of(records, Ledger(records).holds))[1]
    if live.per_minute is None:
        assert figures.rate.per_minute is None
    else:
        told = figures.rate.per_minute, figures.rate.low, figures.rate.high
        assert told == pytest.approx((live.per_minute, live.per_minute_low, live.per_minute_high), rel=1e-6)
    assert (figures.jumps, figures.pieces) == (meter.jumps, meter.counted)


@given(
    st.lists(st.one_of(st.none(), st.floats(0, 1e6)), min_size=1, max_size=50),
    st.integers(1, 30),
    st.integers(1, 5),
)
def test_dots_keep_to_their_room(values: list[float | None], width: int, height: int) -> None:
    rows = dots(values, width, height, 1e6)
    assert len(rows) == height
    assert {len(row) for row in rows} == {len(rows[0])} and 1 <= len(rows[0]) <= width
    assert all(0x2800 <= ord(character) <= 0x28FF for row in rows for character in row)
