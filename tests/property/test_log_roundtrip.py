"""Any record that can be kept comes back the same, in one line, whatever its texts hold."""

from __future__ import annotations

import json
import zlib
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.model.grade import Flaw, Grade, flaws_of
from sortbench.model.tally import MAX_CHROMA, Cell, Fate, Record, RecordId, What, reading_of
from sortbench.model.target import MAX_QUANTITY
from sortbench.store.log_repair import examine, repair
from sortbench.store.record_codec import Gap, encode, encode_gap
from sortbench.store.record_decoding import Decoder
from sortbench.store.tally_log import read_log

SITTING = "20260301T093000Z-k3f9xq"

# Plain words, what JSON escapes, what other line readers take for a line end, and anything else that UTF-8 has.
texts = st.one_of(
    st.sampled_from(
        ["", "plate-2x4", "grey, late", '","crc":"00000000"}', '{"seq":9', "\\", "\r\n", "\x85\u2028", "\0"]
    ),
    st.text(max_size=20),
)
grades = st.none() | st.sampled_from(Grade)
flaws = st.lists(st.sampled_from(Flaw)).map(flaws_of)
cells = st.builds(
    Cell,
    texts,
    texts,
    texts,
    texts,
    grades,
    flaws,
    st.sampled_from(Fate),
)
chromas = st.floats(-MAX_CHROMA, MAX_CHROMA)
labs = st.none() | st.builds(reading_of, st.floats(0, 100), chromas, chromas)
quantities = st.integers(1, MAX_QUANTITY)
others = st.builds(RecordId, st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_-]{0,30}", fullmatch=True), st.integers(1, 10**9))


@st.composite
def records(draw: st.DrawFn, seq: int | None = None) -> Record:
    """A record that the log takes, of any sort but the opening one."""
    number = RecordId(SITTING, draw(st.integers(2, 10**12)) if seq is None else seq)
    what = draw(st.sampled_from([what for what in What if what is not What.OPEN]))
    at, to_bin, way = draw(texts), draw(texts), draw(texts)
    if what is What.VOID:
        return Record(number, at, what, None, 0, to_bin, draw(texts), draw(others), way)
    target = draw(texts.filter(bool)) if what in (What.LINE, What.RESERVE) else draw(texts)
    to_fate = draw(st.sampled_from(Fate)) if what is What.MOVE else Fate.KEPT
    cell = draw(cells.filter(lambda cell: cell.bin or cell.fate is not Fate.CRATE))
    if what is What.MOVE:
        to_bin = draw(texts.filter(bool)) if to_fate is Fate.CRATE else to_bin
        target = draw(st.sampled_from(["", to_bin])) if to_fate is Fate.CRATE else ""
    if what is What.RESERVE:
        cell = Cell("", draw(texts.filter(bool)), draw(texts.filter(bool)), "", cell.grade, cell.flaws)
    became = None
    if what is What.RECOUNT:
        to_bin, target, cell = "", "", cell._replace(bin=draw(texts.filter(bool)), fate=Fate.KEPT)
    if what is What.REGRADE:
        to_bin, target, became = "", "", draw(st.tuples(grades, flaws))
    lab = draw(labs) if what in (What.TALLY, What.REGRADE) else None
    voids = draw(st.none() | others)
    return Record(number, at, what, cell, draw(quantities), to_bin, target, voids, way, to_fate, became, lab)


@given(records())
def test_record_round_trip(record: Record) -> None:
    line = encode(record)
    assert line.count(b"\n") == 1 and line.endswith(b"\n")
    assert Decoder(SITTING).one(line[:-1]) == record
    assert Decoder(SITTING).many(line) == [record]


@given(st.lists(records(), max_size=30))
def test_many_at_once_is_one_by_one(drawn: list[Record]) -> None:
    lines = [encode(record) for record in drawn]
    decoder = Decoder(SITTING)
    assert decoder.many(b"".join(lines)) == [decoder.one(line[:-1]) for line in lines] == drawn


def respelled(line: bytes) -> bytes:
    """The same record as another program might write it: blanks between, everything but ASCII escaped."""
    fields = json.loads(line)
    fields.pop("crc")
    body = json.dumps(fields, separators=(", ", ": "))[:-1].encode()
    return b'%b,"crc":"%08x"}\n' % (body, zlib.crc32(body, zlib.crc32(SITTING.encode())))


@given(st.lists(st.tuples(records(), st.sampled_from(["as written", "respelled", "after a gap"])), max_size=30))
def test_lines_of_all_sorts_at_once_are_one_by_one(drawn: list[tuple[Record, str]]) -> None:
    lines = []
    for record, way in drawn:
        if way == "after a gap":
            lines.append(encode_gap(SITTING, Gap(1, record.id.seq)))
        lines.append(respelled(encode(record)) if way == "respelled" else encode(record))
    decoder = Decoder(SITTING)
    entries = decoder.many(b"".join(lines))
    assert entries == [decoder.one(line[:-1]) for line in lines]
    assert [entry for entry in entries if isinstance(entry, Record)] == [record for record, _ in drawn]


@st.composite
def logs(draw: st.DrawFn) -> list[Record]:
    count = draw(st.integers(1, 8))
    first = Record(RecordId(SITTING, 1), draw(texts), What.OPEN)
    return [first, *(draw(records(seq)) for seq in range(2, count + 2))]


@settings(max_examples=60, deadline=None)
@given(logs(), st.data())
def test_repair_after_any_damage_keeps_what_was_not_touched(written: list[Record], data: st.DataObject) -> None:
    """One run of bytes overwritten, cut out or put in: every record whose line was not touched is still there."""
    lines = [encode(record) for record in written]
    whole = b"".join(lines)
    start = data.draw(st.integers(0, len(whole)))
    stop = data.draw(st.integers(start, min(len(whole), start + 200)))
    noise = data.draw(st.binary(max_size=60))
    touched, offset = set(), 0
    for record, line in zip(written, lines, strict=True):
        if offset < stop and start < offset + len(line):
            touched.add(record.id)
        offset += len(line)
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"{SITTING}.jsonl"
        path.write_bytes(whole[:start] + noise + whole[stop:])
        repair(path)
        kept = read_log(path).records
        assert examine(path) == []
        assert repair(path).changed is False
    assert {record.id for record in written} - touched <= {record.id for record in kept}
    assert set(kept) <= set(written)
