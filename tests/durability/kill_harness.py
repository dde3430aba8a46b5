"""Kill a writer at random moments and see whether anything it acknowledged is gone.

A child process counts tallies, voids them, and edits and imports documents in one bench folder; after each it writes an
acknowledgement into a pipe, as a screen would show it. The parent kills it (SIGKILL) at a random moment, opens the
bench again and compares. The children are forked from one process that has everything imported, so a trial costs
little more than the life of the child.

    python -m tests.durability.kill_harness --kills 1000
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import filelock  # noqa: F401 - imported before the forks, or each child would pay for it
import tinydb  # noqa: F401 - likewise

from sortbench.model.catalogue import Part
from sortbench.model.errors import BenchError
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.store.folder import BenchFolder, Severity
from sortbench.store.tally_log import SittingLog, new_sitting_id, read_log

AT = "2026-03-01T09:30:00Z"
LONGEST_LIFE_S = 0.03
MOST_AWAITED = 6
"""Acts that are waited for at most before the clock of a life starts."""
TRIALS_A_FOLDER = 12
WEIGHTS = {"tally": 60, "void": 20, "edit": 2, "import": 1}


def parts_at(edits: int) -> dict[str, Part]:
    """The parts after so many edits: from 0 to 400, growing and shrinking, so a mixed-up file cannot pass."""
    size = edits * 149 % 401
    return {f"plate-{number}-{edits}": Part(f"plate-{number}-{edits}", f"plate {number}") for number in range(size)}


def record_for(sitting: str, seq: int, act: str) -> Record:
    """The record that the child appends as number ``seq``; the parent knows it without being told."""
    number = RecordId(sitting, seq)
    if act == "void":
        return Record(number, AT, What.VOID, voids=RecordId(sitting, max(2, seq - 1)))
    return Record(number, AT, What.TALLY, Cell(f"B{seq % 9}", "plate-2x4", "grey, late", "", None, ()), seq % 500 + 1)


def child(folder: Path, pipe: int, seed: int) -> None:
    """Write for ever; tell ``begin`` and ``done`` of every act."""
    choice = random.Random(seed)
    bench = BenchFolder.open(folder)
    log = SittingLog(bench.tallies, new_sitting_id(datetime.now(UTC)))
    os.write(pipe, f"sitting {log.sitting} 0\n".encode())
    while True:
        act = choice.choices(list(WEIGHTS), list(WEIGHTS.values()))[0]
        os.write(pipe, f"begin {act} 0\n".encode())
        if act in ("tally", "void"):
            value = log.next_seq
            log.append(record_for(log.sitting, value, act))
        else:
            with bench.documents.edit() as draft:
                value = draft.settings.get("edits", 0) + 1
                draft.settings["edits"] = value
                draft.parts = parts_at(value)
                if act == "import":
                    draft.columns[f"signature {value % 50}"] = {"code": "Item", "name": "Description"}
        os.write(pipe, f"{act} {value} 1\n".encode())


@dataclass
class Tally:
    """What came out."""

    kills: Counter[str] = field(default_factory=Counter)
    acknowledged: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)
    unreadable: list[str] = field(default_factory=list)
    finished_unseen: int = 0
    torn: int = 0
    leftovers: int = 0


class Trials:
    """One bench folder after another, killed again and again."""

    def __init__(self, scratch: Path, seed: int) -> None:
        self.result = Tally()
        self._scratch = scratch
        self._chance = random.Random(seed)
        self._trial = 0
        self._folder = scratch
        self._expected: dict[str, list[Record]] = {}
        self._edits = 0

    def run(self) -> None:
        """One trial: start, kill, compare; now and then repair and compare again."""
        if self._trial % TRIALS_A_FOLDER == 0:
            if self._trial:
                shutil.rmtree(self._folder)
            self._folder = self._scratch / f"bench-{self._trial}"
            BenchFolder.create(self._folder)
            self._expected, self._edits = {}, 0
        self._trial += 1
        lines = self._life_and_death()
        sitting = next((words[1] for words in lines if words[0] == "sitting"), "")
        last = lines[-1] if lines else ["nothing"]
        self.result.kills[last[1] if last[0] == "begin" else "between acts"] += 1
        done = [(act, int(value)) for act, value, flag in lines if flag == "1"]
        self.result.acknowledged.update(act for act, _ in done)
        if sitting:
            self._expected[sitting] = [
                record_for(sitting, value, act) for act, value in done if act in ("tally", "void")
            ]
        self._edits = max([self._edits, *(value for act, value in done if act in ("edit", "import"))])
        self._compare()
        if self._trial % 5 == 0:
            bench = BenchFolder(self._folder)
            self.result.leftovers += sum(finding.severity is Severity.TRACE for finding in bench.check())
            bench.repair()
            self.result.unreadable += [str(found) for found in bench.check() if found.severity is not Severity.NOTE]
            self._compare()

    def _life_and_death(self) -> list[list[str]]:
        reading, writing = os.pipe()
        life = self._chance.uniform(0, LONGEST_LIFE_S)
        process = os.fork()
        if process == 0:
            try:
                os.close(reading)
                child(self._folder, writing, self._trial)
            finally:  # never back into the parent's code
                os._exit(70)
        os.close(writing)
        # Most lives are reckoned from when a few acts are done, or a busy machine would see nobody count.
        awaited = self._chance.randint(0, MOST_AWAITED) if self._trial % 5 else 0
        begun = b""
        while begun.count(b" 1\n") < awaited and (told_now := os.read(reading, 4096)):
            begun += told_now
        time.sleep(life)
        os.kill(process, signal.SIGKILL)
        _, status = os.waitpid(process, 0)
        with os.fdopen(reading, "rb") as told:
            text = (begun + told.read()).decode()
        if not os.WIFSIGNALED(status):
            self.result.unreadable.append(f"trial {self._trial}: the writer gave up by itself")
        return [line.split(" ") for line in text.splitlines()]

    def _compare(self) -> None:
        """Every acknowledged record is there, nothing is there that was not at least begun, documents are whole."""
        bench = BenchFolder(self._folder)
        for sitting, expected in self._expected.items():
            path = bench.tallies / f"{sitting}.jsonl"
            if not path.exists():
                self.result.lost += [f"trial {self._trial}: {record.id}" for record in expected]
                continue
            try:
                reading = read_log(path)
            except BenchError as error:
                self.result.unreadable.append(f"trial {self._trial}: {error}")
                continue
            found = [record for record in reading.records if record.what is not What.OPEN]
            self.result.lost += [f"trial {self._trial}: {record.id}" for record in expected if record not in found]
            begun = found[len(expected) :]
            if len(begun) > 1 or any(
                record != record_for(sitting, record.id.seq, record.what.value) for record in begun
            ):
                self.result.unreadable.append(f"trial {self._trial}: {path.name} holds records that nobody wrote")
            self.result.finished_unseen += len(begun)
            self.result.torn += bool(reading.torn)
            self._expected[sitting] = found  # once read, it must stay
        try:
            documents = bench.documents.load()
        except BenchError as error:
            self.result.unreadable.append(f"trial {self._trial}: {error}")
            return
        edits = documents.settings.get("edits", 0)
        if edits < self._edits:
            self.result.lost.append(f"trial {self._trial}: edit {self._edits}, the file has {edits}")
        if edits > self._edits + 1 or (edits and dict(documents.parts) != parts_at(edits)):
            self.result.unreadable.append(f"trial {self._trial}: documents are those of no edit")
        self.result.finished_unseen += edits - self._edits
        self._edits = edits


def main(arguments: list[str] | None = None) -> int:
    """Run the trials and print what came out; 1 if anything was lost or unreadable."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path, help="where to make the scratch benches (default: the temporary folder)")
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args(arguments)
    began = time.perf_counter()
    with tempfile.TemporaryDirectory(dir=chosen.folder) as scratch:
        trials = Trials(Path(scratch), chosen.seed)
        for number in range(chosen.kills):
            trials.run()
            if not chosen.json and sys.stderr.isatty():
                print(f"\r{number + 1} of {chosen.kills}", end="", file=sys.stderr, flush=True)
    result = trials.result
    if chosen.json:
        print(json.dumps(vars(result)))
    else:
        print(f"\n{chosen.kills} kills, seed {chosen.seed}, {time.perf_counter() - began:.0f} s")
        print(f"{'act':<14}{'killed during':>15}{'acknowledged':>15}")
        for act in [*WEIGHTS, "between acts", "nothing"]:
            print(f"{act:<14}{result.kills[act]:>15,}{result.acknowledged[act]:>15,}")
        print(f"{'all':<14}{sum(result.kills.values()):>15,}{sum(result.acknowledged.values()):>15,}")
        print(f"acknowledged and lost: {len(result.lost)}; unreadable: {len(result.unreadable)}")
        print(f"finished but not acknowledged: {result.finished_unseen}; torn ends: {result.torn}")
        print(f"traces that check --repair cleared away: {result.leftovers}")
        for line in result.lost[:10] + result.unreadable[:10]:
            print(f"  {line}")
    return 1 if result.lost or result.unreadable else 0


if __name__ == "__main__":
    raise SystemExit(main())
