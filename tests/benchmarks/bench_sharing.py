"""What sharing costs: the whole of it beside other people's solvers, one tally's update, and memory.

The references solve the same components (see ``flow_solvers``): networkx's ``network_simplex`` with the same whole
numbers, and OR-tools' ``SimpleMinCostFlow``, which has 64 bits a cost and so leaves out the last criteria of the
components that need more: there its problem is easier. Both get their components and gains ready made, and give back a
number; ``Fill`` begins from targets and heaps, and ends with what each line has. So the solvers under it are timed by
themselves as well, given what the references are given. All optima are compared component by component, with OR-tools
as far as its criteria go. Times are of the processor.

    pip install -e '.[test,bench]'
    python -m tests.benchmarks.bench_sharing [--tallies 2000] [--turns 5] [--only NAME]
"""

from __future__ import annotations

import argparse
import gc
import importlib.util
import statistics
import time
import tracemalloc
from collections.abc import Callable, Sequence
from typing import NamedTuple

from sortbench.engine.fill import Fill
from tests.benchmarks.flow_solvers import Part, by_networkx, by_ortools, by_sortbench, gain_of, parts_of
from tests.benchmarks.sharing_instances import of_one_rank, realistic, tallies, tangled
from tests.reference_sharing import Allocation, Case, Supply


class Size(NamedTuple):
    """One bench, and what is aimed at there: seconds for a full solve, milliseconds for one tally in a hundred."""

    name: str
    make: Callable[[], Case]
    aim_full: float | None
    aim_p99: float | None
    references: bool


SIZES = (
    Size("realistic 20 x 300, 20,000 pieces", lambda: realistic(20, 300, 20_000), 0.2, 5, True),
    Size("realistic 100 x 400, 50,000 pieces", lambda: realistic(100, 400, 50_000), 1.5, 5, True),
    Size("tangled 20 x 300, 20,000 pieces", lambda: tangled(20, 300, 20_000), None, 30, False),
    Size("one rank 20 x 300, 20,000 pieces", lambda: of_one_rank(realistic(20, 300, 20_000)), 2, None, False),
    Size("one rank 20 x 300, 10,000 pieces", lambda: of_one_rank(realistic(20, 300, 10_000)), 2, None, False),
)


def fill_of(case: Case) -> Fill:
    """The sharing under test."""
    return Fill(case.targets, case.catalogue, lambda kind: case.cells.get(kind, {}), swaps=case.swaps)


def allocation_of(fill: Fill) -> Allocation:
    """Which pieces lie in which line."""
    return {
        (Supply(*share.piece), (one.target.code, number)): share.quantity
        for one in fill.all()
        for number, line in enumerate(one.lines)
        for share in line.shares
    }


def seconds(act: Callable[[], object]) -> float:
    """Processor time of a call: what else a shared machine does disturbs it less than it does a clock."""
    gc.collect()
    began = time.process_time()
    act()
    return time.process_time() - began


def full_solves(size: Size, case: Case, parts: Sequence[Part], turns: int) -> None:
    """The whole sharing, turn and turn about with the references."""
    acts: dict[str, Callable[[], object]] = {"Fill": lambda: fill_of(case)}
    if size.references:
        acts["its solvers, given the components"] = lambda: by_sortbench(parts)
        acts["networkx network_simplex"] = lambda: by_networkx(parts)
        if importlib.util.find_spec("ortools"):
            acts["OR-tools SimpleMinCostFlow"] = lambda: by_ortools(parts)
        else:
            print("  (OR-tools is not installed: pip install -e '.[bench]')")
    times: dict[str, list[float]] = {name: [] for name in acts}
    for name, act in acts.items():
        act()  # imports, caches
        times[name] = []
    for _ in range(turns):
        for name, act in acts.items():
            times[name].append(seconds(act))
    ours = statistics.median(times["Fill"])
    for name, all_ in times.items():
        middle = statistics.median(all_)
        beside = "" if name == "Fill" else f"   Fill takes {ours / middle:.2f} of it"
        print(f"  full solve, {name:<34}{middle * 1000:>10.1f} ms   (best {min(all_) * 1000:.1f}){beside}")
    if size.aim_full is not None:
        beside = ", 0.10 of networkx, 1.50 of OR-tools" if size.references else ""
        print(f"  aims: {size.aim_full * 1000:.0f} ms{beside}")


def compare(case: Case, parts: Sequence[Part]) -> None:
    """Whether all find the same optimum."""
    allocation = allocation_of(fill_of(case))
    best = by_networkx(parts)
    wrong = sum(gain_of(part, allocation) != gain for part, gain in zip(parts, best, strict=True))
    print(f"  components where Fill is not at networkx's optimum: {wrong} of {len(parts)}")
    if importlib.util.find_spec("ortools"):
        found = list(zip(parts, by_ortools(parts), strict=True))
        wrong = sum(gain_of(part, allocation, short=True) != gain for part, gain in found)
        print(
            f"  the same beside OR-tools: {wrong}; it leaves out criteria in {sum(p.is_short for p in parts)} of them"
        )


def updates(size: Size, case: Case, count: int) -> None:
    """One tally after another on a filled bench."""
    fill = fill_of(case)
    times = []
    for kind, cells in tallies(case, count):
        began = time.process_time()
        fill.update(kind, cells)
        times.append((time.process_time() - began) * 1000)
    cuts = statistics.quantiles(times, n=100)
    aim = "" if size.aim_p99 is None else f"   (aim: p99 {size.aim_p99:.0f} ms)"
    print(
        f"  one tally of {count:,}: median {cuts[49]:.3f} ms, p99 {cuts[98]:.3f} ms, longest {max(times):.3f} ms{aim}"
    )


def memory(case: Case, count: int) -> None:
    """What a sharing holds when it is made, and after tallies have opened many of its components."""
    changes = list(tallies(case, count))
    gc.collect()
    tracemalloc.start()
    fill = fill_of(case)
    gc.collect()
    made = tracemalloc.get_traced_memory()[0]
    for kind, cells in changes:
        fill.update(kind, cells)
    gc.collect()
    later = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    print(f"  memory: {made / 1e6:.1f} MB when made, {later / 1e6:.1f} MB after {count:,} tallies (tracemalloc)")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tallies", type=int, default=2000, help="tallies measured (default 2000)")
    parser.add_argument("--turns", type=int, default=5, help="full solves measured (default 5)")
    parser.add_argument("--only", default="", help="sizes whose name begins so")
    options = parser.parse_args()
    for size in SIZES:
        if not size.name.startswith(options.only):
            continue
        case = size.make()
        is_one = len({target.rank for target in case.targets}) == 1
        parts = [] if is_one else parts_of(case)
        largest = max((len(part.supplies) + len(part.lines) for part in parts), default=0)
        lines = [line for target in case.targets for line in target.lines]
        print(size.name)
        print(
            f"  {sum(target.pieces for target in case.targets):,} pieces asked for, "
            f"{sum(1 for line in lines if line.stand_ins) / len(lines):.0%} of lines with stand-ins, "
            + ("one component" if is_one else f"{len(parts):,} components, the largest of {largest:,} nodes")
        )
        full_solves(size, case, parts, options.turns)
        if size.references:
            compare(case, parts)
        updates(size, case, options.tallies)
        memory(case, options.tallies)


if __name__ == "__main__":
    main()
