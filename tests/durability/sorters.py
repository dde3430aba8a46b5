"""Several sorters on one bench at once, each a process of its own: nothing is lost, nothing counted twice, all agree.

Each sorter counts, corrects, carries and takes back what is its own, some write documents, and every one looks at what
the others wrote as often as the app does. What was acknowledged is written down beside the bench with the time, and so
is the time when each of the others saw it. At the end all sorters, a bench opened anew, and a fold of the logs are held
against each other. The times are printed, for somebody to read.

    python -m tests.durability.sorters --sorters 8 --acts 300
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from sortbench.bench import Bench
from sortbench.desks.additions import add_part
from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Part
from sortbench.model.errors import DataError
from sortbench.model.tally import Fate, RecordId
from sortbench.store.folder import BenchFolder
from sortbench.store.log_reading import read_log
from tests.small_bench import ARCH, BRICK, PLATE, TILE, make_folder

KINDS = (PLATE, BRICK, TILE, ARCH)
LOOK_EVERY_S = 0.5
"""As the app does; a test holds the two together."""
ROOT = Path(__file__).resolve().parents[2]


class Agreement(NamedTuple):
    """What came out.

    Attributes:
        acts: acknowledged records.
        lost: acknowledged records that are not in the logs.
        views: different pictures at the end; 1 when all agree.
        pieces: as each picture says.
        lags_s: from an acknowledgement to the moment another sorter saw it.
    """

    acts: int
    lost: tuple[str, ...]
    views: int
    pieces: int
    lags_s: tuple[float, ...]


class Sorter:
    """One sorter, in a process of its own."""

    def __init__(self, folder: Path, notes: Path, number: int, acts: int) -> None:
        self._bench = Bench.open(folder)
        self._notes, self._number, self._acts = notes, number, acts
        self._chance = random.Random(number)
        self._known: set[RecordId] = set(self._bench.picture.ledger.records)
        self._own: list[tuple[str, float]] = []
        self._seen: list[tuple[str, float]] = []

    def work(self, others: int) -> None:
        """Do all acts, wait for the others, and write down what was done and seen."""
        looked = time.monotonic()
        for act in range(self._acts):
            self._act(act)
            if time.monotonic() - looked > LOOK_EVERY_S:
                looked = time.monotonic()
                self._look()
            time.sleep(self._chance.random() * 0.02)
        (self._notes / f"done-{self._number}").touch()
        while len(list(self._notes.glob("done-*"))) < others:
            time.sleep(LOOK_EVERY_S)
            self._look()
        self._look()
        told = {"own": self._own, "seen": self._seen, "view": view(self._bench)}
        (self._notes / f"told-{self._number}.json").write_text(json.dumps(told), "utf-8")
        self._bench.close()

    def _act(self, act: int) -> None:
        bench, dice = self._bench, self._chance.random()
        try:
            if dice < 0.7:
                bench.count(self._chance.choice(KINDS), self._chance.randint(1, 4))
            elif dice < 0.8:
                bench.undo()
            elif dice < 0.85:
                bench.redo()
            elif dice < 0.93:
                bench.put_aside(Fate.WASH)
            elif dice < 0.98:
                bench.regrade(down=True)
            else:
                add_part(bench, Part(f"cone-{self._number}-{act}", f"cone {self._number} {act}", "cone"))
        except DataError:
            return  # nothing to undo, or nothing of this kind there any more: refused, and nothing was written
        now = time.monotonic()
        fresh = [each for each in bench.picture.ledger.records if each not in self._known]
        self._own += [(str(each), now) for each in fresh if each.sitting == bench.sitting.id]
        self._known.update(each for each in fresh if each.sitting == bench.sitting.id)

    def _look(self) -> None:
        self._bench.refresh()
        now = time.monotonic()
        fresh = [each for each in self._bench.picture.ledger.records if each not in self._known]
        self._seen += [(str(each), now) for each in fresh]
        self._known.update(fresh)


def view(bench: Bench) -> Mapping[str, Any]:
    """What a sorter sees: counts, targets, bins and the catalogue, as plain values."""
    return {
        "counts": sorted((str(cell), count) for cell, count in bench.picture.ledger.counts.items()),
        "targets": [list(map(str, row)) for row in bench.target_rows()],
        "bins": [list(map(str, row)) for row in bench.bin_rows()],
        "parts": sorted(bench.catalogue.parts),
        "pieces": bench.picture.ledger.pieces,
    }


def try_out(scratch: Path, sorters: int, acts: int) -> Agreement:
    """Let so many sorters work at once, and hold what they say against each other.

    Raises:
        CalledProcessError: one of them failed.
    """
    folder, notes = make_folder(scratch / "bench"), scratch / "notes"
    notes.mkdir()
    command = [sys.executable, "-m", "tests.durability.sorters", "--folder", str(folder), "--notes", str(notes)]
    running = [
        subprocess.Popen([*command, "--number", str(number), "--sorters", str(sorters), "--acts", str(acts)], cwd=ROOT)
        for number in range(sorters)
    ]
    for process in running:
        if code := process.wait():
            raise subprocess.CalledProcessError(code, command)
    told = [json.loads((notes / f"told-{number}.json").read_text("utf-8")) for number in range(sorters)]
    logs = {str(record.id): record for log in BenchFolder.open(folder).logs() for record in read_log(log).records}
    with Bench.open(folder) as bench:
        views = [json.loads(json.dumps(view(bench))), *(each["view"] for each in told)]
    folded = sorted((str(cell), count) for cell, count in Ledger(logs.values()).counts.items())
    views.append({**views[0], "counts": json.loads(json.dumps(folded))})
    done = {name: at for each in told for name, at in each["own"]}
    lags = [at - done[name] for each in told for name, at in each["seen"] if name in done]
    different = {json.dumps(each, sort_keys=True) for each in views}
    lost = tuple(sorted(done.keys() - logs.keys()))
    return Agreement(len(done), lost, len(different), views[0]["pieces"], tuple(sorted(max(0.0, lag) for lag in lags)))


def main() -> int:
    """Run and print, or be one of the sorters."""
    parser = argparse.ArgumentParser(description="Several sorters on one bench at once.")
    parser.add_argument("--sorters", type=int, default=8)
    parser.add_argument("--acts", type=int, default=300, help="of each sorter")
    parser.add_argument("--folder", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--notes", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--number", type=int, default=0, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.folder:
        Sorter(given.folder, given.notes, given.number, given.acts).work(given.sorters)
        return 0
    with tempfile.TemporaryDirectory() as scratch:
        found = try_out(Path(scratch), given.sorters, given.acts)
    lags = found.lags_s
    print(
        f"{given.sorters} sorters, {found.acts} acknowledged records, {len(found.lost)} lost, "
        f"{found.views} different pictures (1: all agree), {found.pieces} pieces; another sorter saw a record after "
        f"{lags[len(lags) // 2]:.2f} s (median), {lags[len(lags) * 99 // 100]:.2f} s (p99), {lags[-1]:.2f} s (longest)"
    )
    return int(bool(found.lost) or found.views != 1)


if __name__ == "__main__":
    sys.exit(main())
