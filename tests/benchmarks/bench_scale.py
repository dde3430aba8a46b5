"""Time and memory of a bench with 100,000 kinds and 200 targets of 300 lines, and how they grow with its tallies.

Run as ``python -m tests.benchmarks.bench_scale [--sizes 10000 100000 1000000] [--starts N] [--no-paint]``. Each figure
is of a process of its own: processor time, so that a busy machine distorts it less, and the most memory that was held.
The exponent is the slope of a straight line through the logarithms: 0 does not grow, 1 grows with the tallies. *Logs*
is the part of an opening that hangs on them; the rest of it, documents and sharing, hangs on targets and kinds.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from sortbench.bench import Bench
from sortbench.desks.sheet_desk import export
from sortbench.logs_read import LogsRead
from sortbench.store.folder import BenchFolder
from sortbench.store.following import FOLD_FILE
from tests.benchmarks.bench_paint import HELLO, Case, first_paint, percentile, report
from tests.benchmarks.scale_bench import fill_with

Figures = dict[str, float]


def clocked(act: Callable[[], object]) -> float:
    """Seconds of processor time that a call takes."""
    began = time.process_time()
    act()
    return time.process_time() - began


def peak_mb() -> float:
    """The most memory this program held so far, in MB; Linux alone, for others tell what its parent held as well."""
    status = Path("/proc/self/status").read_text()
    return int(status.partition("VmHWM:")[2].split()[0]) / 1024


def measure_opening(folder: Path) -> Figures:
    """Logs alone, then a whole bench."""
    logs = clocked(lambda: LogsRead(BenchFolder.open(folder)))
    return {"logs": logs, "logs MB": peak_mb()}


def measure_whole(folder: Path) -> Figures:
    """A bench opened, its first figures, then what a start works out after them."""
    benches: list[Bench] = []
    opened = clocked(lambda: benches.append(Bench.open(folder)))
    bench = benches[0]
    rows = clocked(lambda: (bench.bin_rows(), bench.target_rows(at_once=True), bench.recent(20)))
    later = clocked(lambda: (bench.pad, bench.lookup.warm()))
    log = clocked(lambda: bench.log()[:40])
    return {"opening": opened, "first figures": rows, "keypad, look-up": later, "log screen": log, "MB": peak_mb()}


def measure_work(folder: Path) -> Figures:
    """Durable tallies on the keypad's way, undone again, each by itself."""
    with Bench.open(folder) as bench:
        kinds = sorted(bench.picture.fill.kinds)[:1000]
        for kind in kinds[:50]:
            bench.count(kind)
        tallies = [clocked(lambda kind=kind: bench.count(kind)) for kind in kinds]  # type: ignore[misc]
        undone = [clocked(bench.undo) for _ in range(500)]
    return {
        "tally": statistics.median(tallies),
        "tally p99": percentile(tallies, 0.99),
        "undo": statistics.median(undone),
        "undo p99": percentile(undone, 0.99),
    }


def measure_packing(folder: Path) -> Figures:
    """Packing anew after some hundred more tallies."""
    bench = Bench.open(folder)
    bench.count(next(iter(bench.picture.fill.kinds)))
    packed = clocked(lambda: bench.logs.pack(bench.sitting.id, bench.sitting.take_in, at_least=0))
    bench.close()
    return {"packing": packed, "file MB": (folder / FOLD_FILE).stat().st_size / 1e6}


def measure_export(folder: Path) -> Figures:
    """A count sheet of everything."""
    with Bench.open(folder) as bench, tempfile.TemporaryDirectory() as place:
        taken = clocked(lambda: export(bench, Path(place) / "sheet"))
        return {"export": taken, "export MB": peak_mb()}


STEPS = {
    "opening": measure_opening,
    "whole": measure_whole,
    "work": measure_work,
    "packing": measure_packing,
    "export": measure_export,
}


def apart(step: str, folder: Path) -> Figures:
    """A step in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.bench_scale", "--step", step, str(folder)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    found: Figures = json.loads(done.stdout)
    return found


def exponent(sizes: Sequence[int], values: Sequence[float]) -> float:
    """Slope of the least-squares line through the logarithms."""
    across = [math.log(size) for size in sizes]
    up = [math.log(max(value, 1e-9)) for value in values]
    middle, height = statistics.fmean(across), statistics.fmean(up)
    return sum((x - middle) * (y - height) for x, y in zip(across, up, strict=True)) / sum(
        (x - middle) ** 2 for x in across
    )


def of_size(folder: Path) -> Figures:
    """All figures of one bench; what reads all logs stands in brackets."""
    found = {f"({name})": value for name, value in apart("opening", folder).items()}
    with Bench.open(folder) as bench:
        bench.logs.pack(bench.sitting.id, bench.sitting.take_in, at_least=0)
    for step in STEPS:
        found |= apart(step, folder)
    return found


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", type=int, nargs="+", default=[10_000, 100_000, 1_000_000], help="tallies")
    parser.add_argument("--starts", type=int, default=5, help="starts of the app measured (default 5)")
    parser.add_argument("--no-paint", action="store_true", help="leave the app out")
    parser.add_argument("--step", nargs=2, metavar=("STEP", "FOLDER"), help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.step:
        step, folder = options.step
        print(json.dumps(STEPS[step](Path(folder))))
        return
    print(f"load {os.getloadavg()[0]:.1f}; seconds of processor time and MB; in brackets without a snapshot")
    with tempfile.TemporaryDirectory() as place:
        table: list[Figures] = []
        for size in options.sizes:
            folder = Path(place) / f"bench-{size}"
            fill_with(folder, size)
            table.append(of_size(folder))
        print(f"{'':<18}" + "".join(f"{size:>14,}" for size in options.sizes) + f"{'exponent':>12}")
        for name in table[0]:
            values = [figures[name] for figures in table]
            shown = "".join(f"{value:>14.4f}" if value < 1 else f"{value:>14.2f}" for value in values)
            print(f"{name:<18}{shown}{exponent(options.sizes, values):>12.2f}")
        if not options.no_paint:
            paint(folder, options.starts)


def paint(folder: Path, starts: int) -> None:
    """Exec to the first frame, and to that with all figures, beside a bare hello app."""
    with Bench.open(folder) as bench:
        pieces = f"{bench.picture.ledger.pieces:,} pieces"
    command = (sys.executable, "-m", "sortbench", "--bench", str(folder))
    hello = Case("bare hello", HELLO, "Hello bench")
    cases = [hello, Case("app, first frame", command, "just counted"), Case("app, all figures", command, pieces)]
    report("exec to paint", hello.name, first_paint(cases, starts))
    print("  aim: first paint, median x2.5")


if __name__ == "__main__":
    main()
