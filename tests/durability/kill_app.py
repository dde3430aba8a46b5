"""Kill the app in a terminal while somebody counts, when it starts, and when it is left.

    python -m tests.durability.kill_app --kills 300

What the screen said to be counted must be there. The records of the sitting must be the first of those that the same
strokes give a bench nobody kills, so nothing is counted twice, out of turn, or without having been struck. ``check``
finds no damage, ``check --repair`` changes no figure, and the app, opened again, shows what is on the disk.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

if __name__ == "__main__":  # pytest has the tests' folders on its path
    here = Path(__file__).parent
    sys.path[1:1] = [str(here), str(here.parent), str(here.parent / "e2e")]

from fault_loop import Said, records_of, state_of
from person import at_terminal, shown_total, wait_bench
from small_bench import make_folder, ticking
from terminal import Terminal

from sortbench.bench import Bench
from sortbench.engine.ledger import Ledger
from sortbench.model.errors import SortbenchError
from sortbench.model.tally import Fate
from sortbench.store.folder import BenchFolder, Severity
from sortbench.store.log_reading import read_log

LIVES_A_FOLDER = 25


class Stroke(NamedTuple):
    """Something that a person does.

    Attributes:
        keys: as the terminal sends them.
        meant: what they do at a bench; None: nothing that is recorded.
    """

    keys: str
    meant: Callable[[Bench], object] | None


def _line(text: str) -> Stroke:
    return Stroke(f"{text}\r", lambda bench: bench.enter(text))


STROKES = (
    _line("pl24 re"),
    _line("br24 re *2"),
    _line("ti22 wh *3 !4"),
    _line("pl24 re #crack"),
    _line(""),
    Stroke("\x1a", lambda bench: bench.undo()),
    Stroke("\x19", lambda bench: bench.redo()),
    Stroke("\x1b[20~", lambda bench: bench.put_aside(Fate.WASH)),
    Stroke("\x1bOR\x1bOQ", None),  # to the targets and back
)
WEIGHTS = (9, 6, 6, 3, 9, 4, 3, 3, 2)


class AppKills:
    """One bench after another, its app killed again and again.

    Attributes:
        lives: kills by what the person did: ``starting``, ``counting``, ``leaving``.
        shown: how often a figure stood whole on the screen when it ended.
        records: records that were found, of all lives.
        troubles: what went wrong, in words.
    """

    def __init__(self, scratch: Path, seed: int) -> None:
        self.lives = {"starting": 0, "counting": 0, "leaving": 0}
        self.shown = self.records = 0
        self.troubles: list[str] = []
        self._chance = random.Random(seed)
        self._scratch = scratch
        self._length = {"starting": 0.8, "counting": 1.5, "leaving": 0.3}

    def kill(self) -> None:
        """One life."""
        number = sum(self.lives.values())
        folder = self._scratch / f"bench-{number // LIVES_A_FOLDER}"
        if number % LIVES_A_FOLDER == 0:
            make_folder(folder)
        doing = self._chance.choices(list(self.lives), (1, 6, 1))[0]
        strokes = self._chance.choices(STROKES, WEIGHTS, k=self._chance.randint(5, 60))
        before = records_of(folder)
        expected = self._expected(folder, strokes if doing != "starting" else [], before)
        shown = self._live_and_die(folder, doing, strokes)
        self.lives[doing] += 1
        try:
            self._look(folder, before, expected, shown)
        except (AssertionError, SortbenchError) as error:
            self.troubles.append(f"life {number}, {doing}: {type(error).__name__} {error}")

    def _expected(self, folder: Path, strokes: list[Stroke], before: dict[str, list[Said]]) -> list[Said]:
        """The records that these strokes give when nobody is killed."""
        twin = Path(shutil.copytree(folder, self._scratch / "twin"))
        with Bench.open(twin, ticking()) as bench:
            for stroke in strokes:
                if stroke.meant is not None:
                    with suppress(SortbenchError):
                        stroke.meant(bench)
        found = [said for sitting, said in records_of(twin).items() if sitting not in before]
        shutil.rmtree(twin)
        return found[0] if found else []

    def _live_and_die(self, folder: Path, doing: str, strokes: list[Stroke]) -> int | None:
        """What the screen said to be counted when the app was killed; None if no frame said it whole."""
        with at_terminal("--bench", folder, columns=80, rows=24) as person:
            if doing != "starting":
                wait_bench(person)
                total = shown_total(person)
                with Bench.open(folder, ticking()) as bench:
                    there = bench.picture.ledger.pieces
                if total != there:
                    self.troubles.append(f"opened anew, {total} pieces are shown, {there} are there")
            keys = "".join(stroke.keys for stroke in strokes)
            if doing == "leaving":
                # Those that were struck before are all done by the time that it is left.
                keys += "\x1b[21~"
            if doing != "starting":
                person.send(keys)
            end = time.monotonic() + self._chance.uniform(0, self._length[doing])
            while (left := end - time.monotonic()) > 0 and not person.ended:
                person.read(left)
            person.kill()
            while person.read(0.2):
                pass
            return self._shown(person)

    def _shown(self, person: Terminal) -> int | None:
        if person.raw.rfind(b"\x1b[?2026h") > person.raw.rfind(b"\x1b[?2026l"):
            return None  # half a frame
        try:
            total = shown_total(person)
        except AssertionError:
            return None
        self.shown += 1
        return total

    def _look(self, folder: Path, before: dict[str, list[Said]], expected: list[Said], shown: int | None) -> None:
        found = records_of(folder)
        assert all(found.get(sitting) == said for sitting, said in before.items()), "earlier records are changed"
        new = [said for sitting, said in found.items() if sitting not in before]
        assert len(new) <= 1, "one life, two logs"
        mine = new[0] if new else []
        self.records += len(mine)
        assert mine == expected[: len(mine)], f"records that were not struck: {mine} of {expected}"
        if shown is not None:
            at_least = totals(folder, {sitting for sitting in found if sitting not in before})
            assert shown in at_least, f"{shown} pieces were seen, and no first records come to that: {at_least}"
        bench = BenchFolder(folder)
        assert not [each for each in bench.check() if each.severity is Severity.DAMAGE], "check calls it damaged"
        state = state_of(folder)
        bench.repair()
        assert state_of(folder) == state, "the repair changed what is there"
        assert not [each for each in bench.check() if each.severity is not Severity.NOTE], "not mended"


def totals(folder: Path, fresh: set[str]) -> list[int]:
    """Pieces counted after each record of the fresh sittings, and before the first."""
    logs = {log.stem: read_log(log).records for log in sorted((folder / "tallies").glob("[!.]*.jsonl"))}
    old = [record for sitting, records in logs.items() if sitting not in fresh for record in records]
    new = [record for sitting, records in logs.items() if sitting in fresh for record in records]
    return [Ledger([*old, *new[:count]]).pieces for count in range(len(new) + 1)]


def main(arguments: list[str] | None = None) -> int:
    """Run the trials and print what came out; 1 if anything went wrong."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as scratch:
        trials = AppKills(Path(scratch), chosen.seed)
        for number in range(chosen.kills):
            trials.kill()
            if sys.stderr.isatty():
                print(f"\r{number + 1} of {chosen.kills}", end="", file=sys.stderr, flush=True)
    told = ", ".join(f"{count} {doing}" for doing, count in trials.lives.items())
    print(f"{chosen.kills} kills of the app, seed {chosen.seed}: {told}")
    print(f"{trials.records:,} records found, {trials.shown} figures read off the screen, {len(trials.troubles)} wrong")
    for line in trials.troubles[:20]:
        print(f"    {line[:600]}")
    return 1 if trials.troubles else 0


if __name__ == "__main__":
    raise SystemExit(main())
