"""Kill every command of the command line that writes, at a random moment.

    python -m tests.durability.kill_commands --kills 1400

Each trial forks a process that runs one call of ``command_cases.py`` as the program does, and kills it: every other one
by the clock, the others at a system call that changes the disk (before it, after it, or with half of a write done).
What was said to be done must be there; what was not may be there whole, not at all or, for a command that writes more
than once, in part. ``check`` finds no damage and tells what the kill left behind, ``check --repair`` clears that away
and changes nothing else; and the command, given again, does what it would have done.
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
import random
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

if __name__ == "__main__":  # pytest has the tests' folders on its path
    sys.path[1:1] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from acts import make_template
from command_cases import SETUP, WRITING, Call, lay_out
from fault_loop import state_of
from mortal import Lived, give

import sortbench
from sortbench.store.folder import BenchFolder, Severity

_BY_CHANCE = re.compile(
    r"\d{8}T\d{6}Z(-[a-z2-7]{6})?|datetime\.datetime\([^)]*\)"
    r"|\d{4}-\d\d-\d\d([T ]\d\d:\d\d(:[\d.]+Z?)?)?|\b\d\d:\d\d\b"
)
"""Names of sittings, and times: no two runs have the same."""


class Stand(NamedTuple):
    """What a bench holds, but for what chance and the clock have a say in.

    Attributes:
        records: what each sitting's records say.
        counts: heap by heap.
        documents: all that is set up, table by table.
    """

    records: dict[str, list[str]]
    counts: dict[str, int]
    documents: tuple[str, ...]

    def same(self, other: Stand) -> bool:
        """Whether they hold the same, be it by other sittings."""
        mine, others = (sorted(each.records.values()) for each in (self, other))
        return (mine, self.counts, self.documents) == (others, other.counts, other.documents)


class Left(NamedTuple):
    """What lies in the folder of a trial.

    Attributes:
        bench: what the bench holds; None where there is none.
        files: other files of the bench and beside it, but for hidden ones.
    """

    bench: Stand | None
    files: dict[str, str]

    def same(self, other: Left) -> bool:
        """Whether the same is left."""
        if self.bench is None or other.bench is None:
            return self == other
        return self.bench.same(other.bench) and self.files == other.files


def stand_of(folder: Path) -> Stand:
    """What somebody finds who opens the bench now."""
    found = state_of(folder)
    return Stand(
        {sitting: [_plain(repr(each)) for each in said] for sitting, said in found.records.items()},
        {_plain(repr(cell)): quantity for cell, quantity in found.counts.items()},
        tuple(map(_plain, found.documents)),
    )


def left_in(beside: Path, bench: str) -> Left:
    """What lies there now."""
    files = {}
    for path in sorted(beside.rglob("*")):
        place = path.relative_to(beside)
        of_store = place.parts[0] == bench and (path.name == "bench.json" or path.parent.name in ("tallies", "backups"))
        if path.is_file() and not of_store and not any(part.startswith(".") for part in place.parts):
            files[str(place)] = _told(path)
    folder = beside / bench
    return Left(stand_of(folder) if BenchFolder.is_bench(folder) else None, files)


def traces_in(folder: Path) -> Iterator[str]:
    """Names of what a crash may leave in a bench: half-written files, locks nobody holds, logs with a torn end."""
    for path in sorted(folder.rglob("*")):
        torn = path.suffix == ".jsonl" and path.parent.name == "tallies" and path.read_bytes()[-1:] not in (b"\n", b"")
        if torn or path.name.endswith(".tmp"):
            yield path.name


def _told(path: Path) -> str:
    data = path.read_bytes()
    if path.suffix == ".pdf":  # it holds an id drawn by chance
        return "whole" if data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF") else "in part"
    return _plain(data.decode("latin-1"))


def _plain(text: str) -> str:
    return _BY_CHANCE.sub("*", text)


def make_benches(folder: Path) -> Path:
    """The folder in which all calls are made, everything in it that they need."""
    for module in pkgutil.walk_packages(sortbench.__path__, "sortbench."):
        if not module.name.startswith(("sortbench.tui", "sortbench.__main__")):
            importlib.import_module(module.name)  # now, or every child would pay for it
    for name in ("click", "rich.table", "filelock", "tinydb", "numpy", "PIL.Image", "segno", "reportlab.pdfgen.canvas"):
        importlib.import_module(name)
    folder.mkdir()
    make_template(folder)
    lay_out(folder)
    for words in SETUP:
        done = give(folder, f"--bench bench {words}")
        assert done.code == 0, f"{words}: {done.said}"
    return folder


class CommandKills:
    """Kills during one call.

    Args:
        call: the call.
        benches: the folder of :func:`make_benches`.
        scratch: an empty folder.
        seed: of the moments.

    Attributes:
        trials: kills so far.
        during: those of them that came before the command was done.
        troubles: what went wrong, in words.
        calls: how often the command changes the disk.
    """

    def __init__(self, call: Call, benches: Path, scratch: Path, seed: int) -> None:
        self.call = call
        self.trials = self.during = 0
        self.troubles: list[str] = []
        self._words = f"--bench {call.bench} {call.command} {call.words}"
        self._chance = random.Random(f"{seed} {self._words}")
        self._trial = scratch / "trial"
        self._template = Path(shutil.copytree(benches, scratch / "template"))
        for words in call.needs:
            done = give(self._template, f"--bench {call.bench} {words}")
            assert done.code == 0, f"{words}: {done.said}"
        self._repairs = call.command == "check"  # what it mends cannot be opened before
        self._before = Left(None, {}) if self._repairs else left_in(self._template, call.bench)
        self._old = [path.read_bytes() for path in sorted(self._template.glob("*/bench.json"))]
        beside = self._fresh()
        begun = time.perf_counter()
        done = give(beside, self._words, call.text)
        self._length = time.perf_counter() - begun
        assert done.code == 0, f"{self._words}: {done.said}"
        self.calls = done.calls
        self._after = left_in(beside, call.bench)
        assert not self._before.same(self._after), f"{self._words}: nothing is written"

    def kill(self) -> None:
        """One trial."""
        beside = self._fresh()
        if self.trials % 2:
            at, manner = self._chance.randint(1, self.calls), self._chance.choice(("before", "after", "within"))
            moment = f"{manner} call {at} of {self.calls}"
            lived = give(beside, self._words, self.call.text, at, manner)
        else:
            life = self._chance.uniform(0, self._length)
            moment = f"after {life * 1000:.0f} of {self._length * 1000:.0f} ms"
            lived = give(beside, self._words, self.call.text, life=max(life, 1e-6))
        self.trials += 1
        self.during += lived.code is None
        try:
            assert lived.killed, "it came to its end before it was killed"
            self._look(beside, lived)
        except Exception as error:
            done = "not done" if lived.code is None else "done"
            self.troubles.append(f"{self._words}, killed {moment}, {done}: {type(error).__name__} {error}")

    def _fresh(self) -> Path:
        if self._trial.exists():
            shutil.rmtree(self._trial)
        return Path(shutil.copytree(self._template, self._trial))

    def _look(self, beside: Path, lived: Lived) -> None:
        folder = BenchFolder(beside / self.call.bench)
        if self._repairs:
            if lived.code is None:
                folder.repair()
            self._look_over(folder, mended=True)
            assert left_in(beside, self.call.bench).same(self._after), "sound records are gone"
            return
        found = left_in(beside, self.call.bench)
        if lived.code is not None:
            assert found.same(self._after), "said, and not there"
        self._hold(found, lived.said)
        for copy in (folder.path / "backups").glob("*.json"):
            assert copy.read_bytes() in self._old, f"{copy.name} is no copy of what was there"
        if found.bench is not None:
            self._look_over(folder, mended=False)
            folder.repair()
            assert left_in(beside, self.call.bench) == found, "the repair changed what is there"
            self._look_over(folder, mended=True)
        if found.same(self._before):
            again = give(beside, self._words, self.call.text)
            assert again.code == 0, f"given again it says {again.said}"
            assert left_in(beside, self.call.bench).same(self._after), "given again it does something else"

    def _look_over(self, folder: BenchFolder, *, mended: bool) -> None:
        findings = folder.check()
        told = " ".join(str(each.file) for each in findings)
        assert not [each for each in findings if each.severity is Severity.DAMAGE], f"check calls it damaged: {told}"
        traces = list(traces_in(folder.path))
        assert all(trace in told for trace in traces), f"check does not tell of {traces}"
        if mended:
            assert not traces, f"not mended: {traces}"
            assert all(each.severity is Severity.NOTE for each in findings), f"not mended: {told}"

    def _hold(self, found: Left, said: str) -> None:
        """Hold what is there against what was there before and what the command was to make of it."""
        for name in self._before.files | found.files | self._after.files:
            each, was, will = (left.files.get(name) for left in (found, self._before, self._after))
            assert each in (was, will), f"{name} is neither as it was nor as it was to be"
        before, after = self._before.bench, self._after.bench
        assert after is not None
        if found.bench is None or before is None:
            assert before is None, "the bench is gone"
            return
        new = 0
        meant = [records for sitting, records in after.records.items() if records != before.records.get(sitting)]
        assert not before.records.keys() - found.bench.records.keys(), "a log is gone"
        for sitting, records in found.bench.records.items():
            old = before.records.get(sitting, [])
            assert records[: len(old)] == old, "records are gone"
            assert records == old or any(each[: len(records)] == records for each in meant), "nobody wrote that"
            new += len(records) - len(old)
        if self.call.says:
            assert new >= len(re.findall(self.call.says, said)), "told of, and not there"
        for was, now, will in zip(before.documents, found.bench.documents, after.documents, strict=True):
            assert now in (was, will), f"documents in between: {now}"
        if not self.call.many:
            assert found.bench.same(before) or found.bench.same(after), "half of what the command writes is there"


def main(arguments: list[str] | None = None) -> int:
    """Run the trials and print what came out; 1 if anything went wrong."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=1400, help="in all, spread evenly over the calls")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="calls that begin so")
    chosen = parser.parse_args(arguments)
    calls = [call for call in WRITING if f"{call.command} {call.words}".startswith(chosen.only)]
    kills = during = wrong = 0
    print(f"{'command':<50}{'changes':>8}{'kills':>7}{'during':>8}{'wrong':>7}")
    with tempfile.TemporaryDirectory() as scratch:
        benches = make_benches(Path(scratch) / "benches")
        for place, call in enumerate(calls):
            with tempfile.TemporaryDirectory() as room:
                trials = CommandKills(call, benches, Path(room), chosen.seed)
                for _ in range(chosen.kills * (place + 1) // len(calls) - chosen.kills * place // len(calls)):
                    trials.kill()
            name = f"{call.command} {call.words}"[:48]
            ends = f"{trials.calls:>8}{trials.trials:>7}{trials.during:>8}{len(trials.troubles):>7}"
            print(f"{name:<50}{ends}", flush=True)
            for line in trials.troubles[:3]:
                print(f"    {line[:400]}")
            kills, during, wrong = kills + trials.trials, during + trials.during, wrong + len(trials.troubles)
    print(f"{kills:,} kills over {len(calls)} calls, seed {chosen.seed}: {during:,} before the end, {wrong} went wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
