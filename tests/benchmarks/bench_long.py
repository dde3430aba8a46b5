"""A sitting of eight hours, compressed: 30,000 tallies through a pseudo-terminal, with all that people do in between.

Run as ``python -m tests.benchmarks.bench_long [--tallies N] [--seed N]``. Keys come one at a time, each after the
frame that answers the one before; every so often a tally is undone and brought back, the grade of one is put right
twice, the window changes its size, other screens are looked at, an entry is typed. Printed for each thousand tallies:
key to the end of the first frame (median and p99), and the memory of the app. Aims: p99 of the last thousand at most
1.2 times the first thousand's, memory after the first thousand grows by less than 5 MB. The count at the end is held
against the log.
"""

from __future__ import annotations

import argparse
import random
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from sortbench.bench import Bench
from tests.benchmarks.bench_paint import percentile, plain
from tests.benchmarks.filled_bench import fill
from tests.terminal import KEYS, SYNC_END, Terminal

SET_UP_TALLIES = 10_000
PATIENCE_S = 5.0
SIZES = ((120, 36), (80, 24), (132, 43))
SCREENS = ("f3", "f4", "f5", "f6", "f7", "f2")
BLOCK = 1000


class Sitter:
    """Somebody who counts for eight hours.

    Args:
        terminal: the app, on the keypad.
        seed: of what they do in between.
    """

    def __init__(self, terminal: Terminal, seed: int) -> None:
        self._terminal = terminal
        self._chance = random.Random(seed)

    def tally(self) -> float:
        """Count one piece on the keypad; seconds until the first frame that answers it has come."""
        return self._struck(b"%d" % self._chance.randint(1, 9))

    def pause(self, number: int) -> None:
        """Now and then something else; the count is the same afterwards."""
        if number % 50 == 0:
            self._struck(b"u")
            self._struck(b"U")
        if number % 40 == 0:
            self._struck(b"-")
            self._struck(b"+")
        if number % 500 == 0:
            self._terminal.resize(*self._chance.choice(SIZES))
            self._terminal.settle(0.1)
        if number % 250 == 0:
            for key in SCREENS:
                self._terminal.send(KEYS[key])
                self._terminal.settle(0.05)
        if number % 100 == 0:
            self._terminal.send(b"/pl 2x3 red")
            self._terminal.settle(0.05)
            self._terminal.send(b"\x15\x1b")  # wiped again, back to the keypad
            self._terminal.settle(0.05)

    def _struck(self, key: bytes) -> float:
        terminal = self._terminal
        while terminal.read(0):
            pass
        terminal.raw.clear()
        start = time.perf_counter()
        terminal.send(key)
        while SYNC_END not in terminal.raw:
            if not terminal.read(PATIENCE_S):
                raise RuntimeError(f"the key {key!r} painted nothing within {PATIENCE_S} s")
        return terminal.read_at - start


def resident_mb(pid: int) -> float:
    """Memory that a process holds, in MB; Linux only.

    Raises:
        OSError: no such process, or no such system.
    """
    for line in Path(f"/proc/{pid}/status").read_text("ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    raise OSError("the system does not tell")


def main() -> int:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tallies", type=int, default=30_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "bench"
        fill(folder, tallies=SET_UP_TALLIES)
        command = (sys.executable, "-m", "sortbench", "--bench", str(folder))
        first = last = (0.0, 0.0)
        grown = warm = 0.0
        with Terminal(command, drawn=False) as terminal:
            terminal.wait_for(lambda ready: f"{SET_UP_TALLIES:,} pieces" in plain(ready.raw), 30)
            terminal.send(b"\x1b")
            terminal.settle(0.3)
            sitter = Sitter(terminal, options.seed)
            times: list[float] = []
            for number in range(1, options.tallies + 1):
                times.append(sitter.tally())
                sitter.pause(number)
                if number % BLOCK == 0:
                    last = statistics.median(times), percentile(times, 0.99)
                    held = resident_mb(terminal.process.pid)
                    if number == BLOCK:
                        first, warm = last, held
                    grown = held - warm
                    print(
                        f"{number:>7,} tallies: {last[0] * 1e3:6.2f} ms median, {last[1] * 1e3:6.2f} ms p99, "
                        f"{held:6.1f} MB",
                        flush=True,
                    )
                    times.clear()
            terminal.send(KEYS["f10"])
            code = terminal.wait(20)
        with Bench.open(folder) as bench:
            counted = bench.picture.ledger.pieces - SET_UP_TALLIES
        shutil.rmtree(folder)
    print(
        f"last thousand to first: median x{last[0] / first[0]:.2f}, p99 x{last[1] / first[1]:.2f} (aim 1.2); "
        f"memory {grown:+.1f} MB after the first thousand (aim 5); {options.tallies - counted} tallies lost, "
        f"left with exit code {code}"
    )
    return int(counted != options.tallies or code != 0)


if __name__ == "__main__":
    sys.exit(main())
