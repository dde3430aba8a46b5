"""The power goes after every call that changes the disk, three times each; what was acknowledged must be there after.

python -m tests.durability.power_loss --seeds 20
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

if __name__ == "__main__":  # pytest has the tests' folders on its path
    sys.path[1:1] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from acts import ACTS, make_template
from fault_loop import Said, records_of
from power_cut import recorded
from small_bench import ticking

from sortbench.bench import Bench
from sortbench.model.errors import BenchError
from sortbench.store.documents import Documents
from sortbench.store.folder import BenchFolder, Severity

SITTING = (
    *("first tally", "tally", "undo", "redo", "tally", "correction", "pile", "new part", "import", "tally again"),
    *("reserve", "pick", "put back", "expense", "order", "parcel", "wash", "counts of a sheet", "undo"),
)


class Cuts:
    """Plays power cuts while somebody works, and looks at what is left.

    Attributes:
        troubles: what was lost or lied about, in words; empty if all is well.
        cuts: how often the power went.
        traces, damaged: how often ``check`` found traces of it, and how often damage to be repaired.
    """

    def __init__(self, scratch: Path, seed: int) -> None:
        self.chance = random.Random(seed)
        self.troubles: list[str] = []
        self.cuts = self.traces = self.damaged = 0
        self._scratch = scratch
        self.acknowledged: dict[str, list[Said]] = {}
        self.parts: set[str] = set()
        self.doing = ""

    def look(self, cut: Callable[[Path, random.Random, str], None], mode: str) -> None:
        """One cut; whatever it left must hold what was acknowledged, be it after a repair."""
        self.cuts += 1
        folder = self._scratch / "after"
        folder.mkdir()
        cut(folder, self.chance, mode)
        where = f"{self.doing}, {mode}"
        bench = BenchFolder(folder)
        try:
            findings = [each.severity for each in bench.check()]
            sound = Severity.DAMAGE not in findings
            self.traces += Severity.TRACE in findings
            try:
                with Bench.open(folder, ticking()):
                    pass
                assert sound, "opened although check calls it damaged"
            except BenchError:
                assert not sound, "called sound, and yet it does not open"
                self.damaged += 1
            bench.repair()
            with Bench.open(folder, ticking()):
                pass
            found = records_of(folder)
            for sitting, said in self.acknowledged.items():
                assert found.get(sitting, [])[: len(said)] == said, f"acknowledged records of {sitting} are gone"
            assert self.parts <= set(Documents(folder / "bench.json").load().parts), "an acknowledged edit is gone"
        except (AssertionError, BenchError) as error:
            self.troubles.append(f"{where}: {type(error).__name__} {error}")
        finally:
            shutil.rmtree(folder)


def play(scratch: Path, seed: int) -> Cuts:
    """A sitting with all sorts of acts, and power cuts all through it.

    Args:
        scratch: an empty folder.
        seed: of what each cut leaves.
    """
    beside = scratch / "beside"
    beside.mkdir()
    folder = make_template(beside)
    acts = {act.name: act for act in ACTS}
    looking = Cuts(scratch, seed)
    with recorded(folder) as disk:
        bench = Bench.open(folder, ticking())
        for _ in range(3):  # some KiB, so that records cross borders of 4 KiB
            for line in ("pl24 re *3", "br24 re !4 *2", "ti22 wh #crack #worn *12", "pl12 re !3-4 *40"):
                bench.enter(line)
        looking.acknowledged, looking.parts = records_of(folder), set(bench.documents.parts)
        turn = 0

        def at_moment() -> None:
            nonlocal turn
            turn += 1
            for mode in ("some", "some", ("none", "all")[(turn + seed) % 2]):
                looking.look(disk.cut, mode)

        disk.at_moment = at_moment
        for name in SITTING:
            looking.doing = f"{name} (seed {seed})"
            acts[name].run(bench, beside)
            looking.acknowledged = records_of(folder)
            looking.parts = set(Documents(folder / "bench.json").load().parts)
        looking.doing = f"leaving (seed {seed})"
        bench.close()
    return looking


def main(arguments: list[str] | None = None) -> int:
    """Play sittings and print what came out; 1 if anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=20)
    chosen = parser.parse_args(arguments)
    began, played = time.process_time(), []
    for seed in range(1, chosen.seeds + 1):
        with tempfile.TemporaryDirectory() as scratch:
            played.append(play(Path(scratch), seed))
        for line in played[-1].troubles:
            print(line)
    cuts, traces, damaged = (sum(getattr(each, name) for each in played) for name in ("cuts", "traces", "damaged"))
    lost = sum(len(each.troubles) for each in played)
    print(f"{cuts:,} power cuts: {traces:,} left traces, {damaged:,} damage that was repaired; {lost} lost something")
    print(f"{time.process_time() - began:.0f} s of CPU time")
    return 1 if lost else 0


if __name__ == "__main__":
    raise SystemExit(main())
