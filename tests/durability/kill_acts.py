"""Kill whoever does something at an open bench, as the app's screens do it, at a random moment.

    python -m tests.durability.kill_acts --kills 400

Each trial forks a person who opens a bench, does one of the acts of ``acts.py`` and says so through a pipe; SIGKILL
comes at a random moment of it. What was said to be done must be there, what was not may be there whole, in part (an act
of many records) or not at all; ``check`` finds no damage, and ``check --repair`` changes no figure.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

if __name__ == "__main__":  # pytest has the tests' folders on its path
    sys.path[1:1] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from acts import ACTS, Act
from fault_loop import Trials
from small_bench import ticking

from sortbench.bench import Bench
from sortbench.store.folder import BenchFolder, Severity

WRITING = tuple(act for act in ACTS if act.name not in ("check", "look again", "opening", "export", "new bench"))


class Kills(Trials):
    """Kills during one act.

    Attributes:
        during: kills that came before the act was said to be done.
    """

    def __init__(self, act: Act, scratch: Path, seed: int) -> None:
        super().__init__(act, scratch)
        self.during = 0
        self._chance = random.Random(f"{seed} {act.name}")
        self._length = self._one_kill(None)

    def kill(self) -> None:
        """One trial."""
        self._one_kill(self._chance.uniform(0, self._length * 1.1))

    def _one_kill(self, life: float | None) -> float:
        """Kill after so many seconds, or once all is done; seconds that the process lived with its bench open."""
        beside = Path(shutil.copytree(self._template, self._scratch / "trial"))
        reading, writing = os.pipe()
        process = os.fork()
        if process == 0:
            try:
                self._live(beside, writing)
            finally:  # never back into the parent's code
                os._exit(70)
        os.close(writing)
        told = os.read(reading, 200)  # the sitting, once it is open
        begun = time.perf_counter()
        if life is None:
            while b"done" not in told and (more := os.read(reading, 200)):
                told += more
        else:
            time.sleep(life)
        lived = time.perf_counter() - begun
        os.kill(process, signal.SIGKILL)
        _, status = os.waitpid(process, 0)
        while more := os.read(reading, 200):
            told += more
        os.close(reading)
        self.trials += 1
        done = b"done" in told
        self.during += not done
        try:
            assert os.WIFSIGNALED(status), "it ended by itself"
            self._look_after(beside, told.split(b" ")[0].decode(), done)
        except Exception as error:
            where = f"{self.act.name}, killed after {lived * 1000:.1f} ms, {'done' if done else 'not done'}"
            self.troubles.append(f"{where}: {type(error).__name__} {error}")
        shutil.rmtree(beside)
        return lived

    def _live(self, beside: Path, pipe: int) -> None:
        bench = Bench.open(beside / "bench", ticking())
        os.write(pipe, bench.sitting.id.encode() + b" ")
        for line in self.act.warm:
            bench.enter(line)
        if self.act.closed and not self.act.warm:
            bench.close()
        os.write(pipe, b"warm ")
        self.act.run(bench, beside)
        os.write(pipe, b"done ")
        signal.pause()

    def _look_after(self, beside: Path, sitting: str, done: bool) -> None:
        if self.act.name == "repair":
            self._look_at_repaired(beside, None if done else KeyboardInterrupt())
            return
        folder = BenchFolder(beside / "bench")
        found = self._state(beside)
        assert not [each for each in folder.check() if each.severity is Severity.DAMAGE], "check calls it damaged"
        if done:
            assert (found.counts, found.documents) == (self._after.counts, self._after.documents), "said, and not there"
        self._hold(found, sitting, None if done else KeyboardInterrupt(), unsure=False)
        folder.repair()
        assert self._state(beside) == found, "the repair changed what is there"
        assert not [each for each in folder.check() if each.severity is not Severity.NOTE]


def main(arguments: list[str] | None = None) -> int:
    """Run the trials and print what came out; 1 if anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args(arguments)
    totals: Counter[str] = Counter()
    print(f"{'act':<28}{'kills':>7}{'during':>8}{'wrong':>7}")
    for place, act in enumerate(WRITING):
        with tempfile.TemporaryDirectory() as scratch:
            trials = Kills(act, Path(scratch), chosen.seed)
            for _ in range(-(-(chosen.kills - place) // len(WRITING)) - 1):
                trials.kill()
        print(f"{act.name:<28}{trials.trials:>7}{trials.during:>8}{len(trials.troubles):>7}", flush=True)
        for line in trials.troubles[:5]:
            print(f"    {line[:400]}")
        totals.update(kills=trials.trials, during=trials.during, wrong=len(trials.troubles))
    kills, during, wrong = (totals[name] for name in ("kills", "during", "wrong"))
    print(f"{kills:,} kills, seed {chosen.seed}: {during:,} of them before the act was done, {wrong} went wrong")
    return 1 if totals["wrong"] else 0


if __name__ == "__main__":
    raise SystemExit(main())
