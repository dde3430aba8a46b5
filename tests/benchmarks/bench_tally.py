"""What one durable tally costs beside one SQLite commit, and what reading the logs back costs.

Both append the same records to the same disk, turn and turn about, so that whatever else the machine does hits both.
The reference is SQLite in WAL mode with ``synchronous=FULL``, which syncs the log at each commit
(https://www.sqlite.org/pragma.html#pragma_synchronous).

    python -m tests.benchmarks.bench_tally [--folder FOLDER]
"""

from __future__ import annotations

import argparse
import json
import random
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from sortbench.model.catalogue import Part, Years
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.store.documents import Documents
from sortbench.store.record_codec import encode
from sortbench.store.tally_log import SittingLog, read_log

SITTING = "20260301T093000Z-k3f9xq"
AT = "2026-03-01T09:30:00Z"


def tally(chance: random.Random, seq: int) -> Record:
    """A tally out of 400 kinds, 20 bins, three grades and small quantities."""
    kind = chance.randrange(400)
    cell = Cell(f"B{kind % 20}", f"plate-{kind}", "grey, late", "", chance.choice([Grade.G5, Grade.G4, None]), ())
    return Record(RecordId(SITTING, seq), AT, What.TALLY, cell, chance.choice([1, 1, 1, 2, 5, 12]), way="typed")


def milliseconds(act: Callable[[], object]) -> float:
    """How long a call takes."""
    began = time.perf_counter()
    act()
    return (time.perf_counter() - began) * 1000


def line(name: str, times: list[float]) -> str:
    """Median and 99th percentile of times in milliseconds."""
    p99 = statistics.quantiles(times, n=100)[98] if len(times) > 1 else times[0]
    return f"{name:<44}{statistics.median(times):>10.3f}{p99:>10.3f}"


def bench_append(folder: Path, count: int) -> None:
    """Appends and commits in turn; which goes first changes each time."""
    chance = random.Random(1)
    database = sqlite3.connect(folder / "reference.sqlite", isolation_level=None)
    database.execute("PRAGMA journal_mode=WAL")
    database.execute("PRAGMA synchronous=FULL")
    database.execute("CREATE TABLE tally (seq INTEGER PRIMARY KEY, at, what, n, bin, part, shade, grade, way)")

    def commit(record: Record) -> None:
        cell = record.cell
        assert cell is not None
        grade = None if cell.grade is None else cell.grade.label
        row = (
            record.id.seq,
            record.at,
            record.what,
            record.quantity,
            cell.bin,
            cell.part,
            cell.shade,
            grade,
            record.way,
        )
        database.execute("INSERT INTO tally VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", row)

    ours, theirs = [], []
    with SittingLog(folder, SITTING) as log:
        for number in range(count + 20):
            record = tally(chance, log.next_seq)
            pair = [(ours, log.append), (theirs, commit)]
            for times, act in pair if number % 2 else pair[::-1]:
                times.append(milliseconds(lambda act=act, record=record: act(record)))
    assert len(read_log(log.path).records) == count + 21
    assert database.execute("SELECT count(*) FROM tally").fetchone() == (count + 20,)
    database.close()
    ours, theirs = ours[20:], theirs[20:]
    print(line("one durable tally", ours))
    print(line("one SQLite WAL FULL commit", theirs))
    ratio = statistics.median(ours) / statistics.median(theirs)
    print(f"ratio of medians {ratio:.2f} (aim: at most 1.5)\n")


def bench_replay(folder: Path, count: int) -> None:
    """Reading a log back, beside the plain parsing of the same JSON without any check."""
    chance = random.Random(2)
    path = folder / f"{SITTING}.jsonl"
    opening = encode(Record(RecordId(SITTING, 1), AT, What.OPEN))
    path.write_bytes(opening + b"".join(encode(tally(chance, seq)) for seq in range(2, count + 1)))
    ours, theirs = [], []
    for _ in range(9):
        ours.append(milliseconds(lambda: read_log(path)))
        theirs.append(milliseconds(lambda: [json.loads(text) for text in path.read_bytes().splitlines()]))
    print(line(f"{count:,} records read, checked, built", ours))
    print(line("json.loads of each line, unchecked", theirs))
    print(f"ratio of medians {statistics.median(ours) / statistics.median(theirs):.2f}\n")
    path.unlink()


def bench_documents(folder: Path, count: int) -> None:
    """Writing and loading a catalogue."""
    documents = Documents(folder / "bench.json")
    documents.create()
    writes, loads = [], []
    for turn in range(9):
        parts = [
            Part(f"plate-{n}", f"plate {n}", "plate", (f"flat {n}",), 1.5 + turn, Years(1986, 1993))
            for n in range(count)
        ]

        def write(parts: list[Part] = parts) -> None:
            with documents.edit() as draft:
                draft.parts = {part.code: part for part in parts}

        writes.append(milliseconds(write))
        loads.append(milliseconds(documents.load))
    print(line(f"{count:,} parts: locked, re-read, written", writes[1:]))
    print(line(f"{count:,} parts: loaded and checked", loads[1:]))


def main() -> None:
    """Print all figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path, help="on the disk to measure (default: the temporary folder)")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory(dir=chosen.folder) as scratch:
        folder = Path(scratch)
        print(f"{'milliseconds':<44}{'median':>10}{'p99':>10}")
        bench_append(folder, 3000)
        (folder / f"{SITTING}.jsonl").unlink()
        for count in (10_000, 100_000):
            bench_replay(folder, count)
        bench_documents(folder, 5000)


if __name__ == "__main__":
    main()
