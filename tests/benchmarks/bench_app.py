"""The app itself, through a pseudo-terminal, beside bare Textual apps in the same run.

Run as ``python -m tests.benchmarks.bench_app [--keys N] [--starts N]``. The bench has 5,040 kinds, 20 targets of 250
lines, 20 bins and 10,000 tallies. Printed are: key to paint on the keypad and while typing (median and p99 beside a
bare counter: aims 2.5 and 5), exec to first paint and to the frame with all figures (beside a bare hello app: aim 1.5),
and how long 200 keys written at once take to settle (aim 0.3 s, none lost).
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sortbench.bench import Bench
from tests.benchmarks.bench_paint import COUNTER, HELLO, Case, burst, first_paint, paints, report
from tests.benchmarks.filled_bench import fill

TALLIES = 10_000
READY = f"{TALLIES:,} pieces"
ENTRY = tuple(key.encode() for key in [*"red pl 2x3", "\r"])


@contextmanager
def copies(folder: Path, scratch: Path) -> Iterator[list[tuple[str, ...]]]:
    """Commands that open the app on copies of a bench, one copy each."""
    commands = []
    for name in ("pad", "typing", "starts", "burst-pad", "burst-typing"):
        shutil.copytree(folder, scratch / name)
        commands.append((sys.executable, "-m", "sortbench", "--bench", str(scratch / name)))
    yield commands


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--keys", type=int, default=300, help="keys measured (default 300)")
    parser.add_argument("--starts", type=int, default=15, help="starts measured (default 15)")
    parser.add_argument("--bursts", type=int, default=5, help="bursts measured (default 5)")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        fill(Path(place) / "bench", tallies=TALLIES)
        with copies(Path(place) / "bench", Path(place)) as (pad, typing, starts, burst_pad, burst_typing):
            counter = Case("bare counter", COUNTER, "Count 0")
            cases = [
                counter,
                Case("keypad", pad, READY, tuple(b"%d" % n for n in range(1, 10)), opening=b"\x1b"),
                Case("typing", typing, READY, ENTRY),
            ]
            found = paints(cases, options.keys)
            report("key to paint", counter.name, {name: [paint.last for paint in all_] for name, all_ in found.items()})
            print("  aims: median x2.5, p99 x5")
            hello = Case("bare hello", HELLO, "Hello bench")
            begun = [hello, Case("app, first frame", starts, "just counted"), Case("app, all figures", starts, READY)]
            report("exec to first paint", hello.name, first_paint(begun, options.starts))
            print("  aim: first paint, median x1.5")
            for name, command, keys, each in (
                ("keypad", burst_pad, b"5" * 200, 200),
                ("typing", burst_typing, b"red pl 2x3\r" + b"\r" * 189, 190),
            ):
                seconds = []
                for turn in range(options.bursts):
                    done = f"{TALLIES + each * (turn + 1):,} pieces"
                    opening = b"\x1b" if name == "keypad" else b""
                    ready = f"{TALLIES + each * turn:,} pieces"
                    seconds.append(burst(Case(name, command, ready, opening=opening), keys, done))
                with Bench.open(Path(command[-1])) as bench:
                    counted = bench.picture.ledger.pieces - TALLIES
                lost = each * options.bursts - counted
                print(
                    f"200 keys at once, {name}: median {statistics.median(seconds):.3f} s, lost {lost} (aims 0.3 s, 0)"
                )


if __name__ == "__main__":
    main()
