"""How long a plan takes to be proven, and what it saves against the cheapest offer for each line.

Sizes are sellers by lines; the instances are synthetic (see ``plan_instances``). "Cheapest offers" is what somebody
pays who takes the cheapest offer for each line, and then the shipping of all the parcels that makes. A file of the
OR-Library's uncapacitated warehouses, read as sellers with fixed shipping, may be solved as well; its optimum is not
known here, it is printed to be held against the published one. Beside the seconds on the wall stand those that this
process had of the processors, and the load of the machine: what else runs there slows a plan down.

    pip install -e '.[test]'
    python -m tests.benchmarks.bench_plan [--seeds 3] [--warehouses FILE]
"""

from __future__ import annotations

import argparse
import os
import time
from pathlib import Path
from typing import NamedTuple

from sortbench.engine.plan import solve
from sortbench.engine.planning.plan_case import Choice, Demand, PlanCase, Shop, Source, Way, figures
from tests.benchmarks.plan_instances import cheapest_offers, synthetic

_SCALE = 1000  # of the costs in a file


class Size(NamedTuple):
    """What is asked: sellers, lines, the gap that is good enough, and the seconds aimed at."""

    sellers: int
    lines: int
    gap: float
    aim_s: float


SIZES = (Size(30, 200, 0.0, 10), Size(100, 500, 0.01, 60))


def warehouses(path: Path) -> PlanCase:
    """A file of the OR-Library, each customer one piece; capacities are passed over."""
    words = path.read_text(encoding="ascii").split()
    count, customers = int(words[0]), int(words[1])
    shops = tuple(Shop(round(float(words[3 + 2 * place]) * _SCALE)) for place in range(count))
    sources, ways = [], []
    at = 2 + 2 * count
    for customer in range(customers):
        costs = [round(float(word) * _SCALE) for word in words[at + 1 : at + 1 + count]]
        at += 1 + count
        ways.append(Way(customer, -1, Choice.OPEN, 10 * max(costs)))
        for shop, cost in enumerate(costs):
            ways.append(Way(customer, len(sources), Choice.BUY, cost))
            sources.append(Source(1, shop, cost))
    return PlanCase((Demand(1),) * customers, tuple(sources), tuple(ways), shops)


def load() -> str:
    """The load of the machine in the last minute, where it is told."""
    return f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description="Plans: time to proof, and savings.")
    parser.add_argument("--seeds", type=int, default=3, help="instances of each size")
    parser.add_argument("--warehouses", type=Path, help="a file of uncapacitated warehouses of the OR-Library")
    given = parser.parse_args()
    if given.warehouses:
        start = time.perf_counter()
        plan = solve(warehouses(given.warehouses), seconds=600)
        took = time.perf_counter() - start
        print(
            f"{given.warehouses.name}: {plan.cost / _SCALE:.3f}, {'proven' if plan.proven else plan.gap}, {took:.1f} s"
        )
    for size in SIZES:
        for seed in range(1, given.seeds + 1):
            case = synthetic(size.sellers, size.lines, seed)
            start, worked = time.perf_counter(), time.process_time()
            plan = solve(case, gap=size.gap, seconds=60)
            took, worked = time.perf_counter() - start, time.process_time() - worked
            naive = figures(case, cheapest_offers(case))
            assert naive is not None
            state = "proven" if plan.proven else f"gap {plan.gap:.2%}"
            where = f"{size.sellers} sellers x {size.lines} lines, seed {seed}"
            print(
                f"{where}: {took:.1f} s (aim {size.aim_s:g}), {worked:.1f} s of work at load {load()}, {state}; "
                f"{plan.cost / 100:.2f} in {len(plan.parcels)} parcels; cheapest offers {naive.cost / 100:.2f} in "
                f"{len(naive.parcels)}: {1 - plan.cost / naive.cost:.0%} saved"
            )


if __name__ == "__main__":
    main()
