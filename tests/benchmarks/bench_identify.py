"""How well the sets in a pile are told, how far the chances can be trusted, and what a tally costs.

Two thousand synthetic lists of 150 lines that overlap heavily; five of them are mixed, 10 to 30 % of each missing, a
fifth of the pile foreign (see ``identify_instances``). Two plain rankings are run on the same piles: the share of a
list's pieces that was counted, and the same with each piece weighed by the inverse frequency of its kind.

    pip install -e '.[test]'
    python -m tests.benchmarks.bench_identify [--seeds 100] [--lists 2000] [--lines 150] [--unknown]
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sortbench.engine.identify.evidence import order, view
from sortbench.engine.identify.list_index import Listed, ListIndex
from sortbench.engine.identify.mixture import Mixture
from tests.benchmarks.identify_instances import Mixed, library, mix

STAGES = (0.01, 0.02, 0.03, 0.05, 0.1, 0.2, 0.35, 0.5)
"""Shares of the pile after which the lists are ranked."""

_WITHIN = 7
_SHOWN = 40
_EDGES = (0.005, 0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0001)


class Said(NamedTuple):
    """What was said of one list at one stage, and what was so.

    Attributes:
        stage: share of the pile counted.
        chance: that it is in the pile, as said.
        true: whether it is.
    """

    stage: float
    chance: float
    true: bool


class Run(NamedTuple):
    """One pile ranked at each stage.

    Attributes:
        within: for each stage and way of ranking, whether all lists of the pile are within the first seven.
        said: chances that were said.
        covered: for each list of the pile found at half of it, whether the interval of its completeness holds it.
        settle_ms: processor time for a ranking from what was counted since the stage before, in milliseconds.
    """

    within: dict[tuple[float, str], bool]
    said: list[Said]
    covered: list[bool]
    settle_ms: list[float]


def ranked(index: ListIndex, found: NDArray[np.int64]) -> dict[str, NDArray[np.int64]]:
    """The plain rankings: lists by the share of their pieces counted, plain and by inverse frequency."""
    counted = np.minimum(found[index.kind], index.asked)
    weight = np.log(len(index) / index.holders[index.kind])
    plain = index.sums(counted) / index.sums(index.asked)
    inverse = index.sums(counted * weight) / index.sums(index.asked * weight)
    # Lists as vectors of pieces times inverse frequency, by the cosine of the angle to what was counted.
    lengths = np.sqrt(index.sums((index.asked * weight) ** 2))
    cosine = index.sums(index.asked * found[index.kind] * weight**2) / lengths
    return {
        "overlap": np.argsort(-plain, kind="stable"),
        "inverse frequency": np.argsort(-inverse, kind="stable"),
        "its cosine": np.argsort(-cosine, kind="stable"),
    }


def run(index: ListIndex, pile: Mixed, stages: Sequence[float], known: bool) -> Run:
    """Count a pile and rank at each stage."""
    truth = {number for number, each in enumerate(index.lists) if each.key in pile.truth}
    mixture = Mixture(index, len(pile.pile) if known else None)
    done = Run({}, [], [], [])
    at = 0
    for stage in stages:
        upto = int(len(pile.pile) * stage)
        for kind in pile.pile[at:upto]:
            mixture.count(index.place[kind], 1)
        at = upto
        start = time.process_time()
        mixture.settle()
        done.settle_ms.append((time.process_time() - start) * 1000)
        chance = mixture.presence()
        for way, ranking in (ranked(index, mixture.found) | {"mixture": order(mixture)}).items():
            done.within[stage, way] = truth <= {int(number) for number in ranking[:_WITHIN]}
        done.said.extend(Said(stage, float(chance[n]), int(n) in truth) for n in np.flatnonzero(chance > _EDGES[0]))
    for standing in view(mixture).standings:
        if standing.key in pile.truth and standing.complete is not None:
            done.covered.append(standing.complete.low <= pile.truth[standing.key] <= standing.complete.high)
    return done


def live_ms(index: ListIndex, pile: Mixed, share: float = 0.5) -> list[float]:
    """Processor time of every tally up to a share of the pile, as the screen follows it: counted, effects brought up to
    date, lists ranked, and the first forty told of with their completeness and what speaks for them."""
    mixture = Mixture(index, len(pile.pile))
    took = []
    sought = view(mixture).sought
    for kind in pile.pile[: int(len(pile.pile) * share)]:
        start = time.process_time()
        mixture.count(index.place[kind], 1)
        mixture.update()
        sought = view(mixture, _SHOWN, before=sought).sought
        took.append((time.process_time() - start) * 1000)
    return took


def reliability(said: Sequence[Said]) -> list[tuple[float, float, int, float, float]]:
    """Bins of chances: from, to, how many, the mean chance said, the share that is so."""
    bins = []
    for low, high in pairwise(_EDGES):
        inside = [each for each in said if low <= each.chance < high]
        if inside:
            mean = sum(each.chance for each in inside) / len(inside)
            true = sum(each.true for each in inside) / len(inside)
            bins.append((low, min(1.0, high), len(inside), mean, true))
    return bins


def _describe(lists: Sequence[Listed], index: ListIndex) -> None:
    sets = [frozenset(each.lines) for each in lists]
    nearest = [max(len(one & other) for other in sets if other is not one) for one in sets[:50]]
    print(
        f"{len(lists)} lists of {len(lists[0].lines)} lines, {len(index.kinds)} kinds; a line's kind occurs in "
        f"{np.median(index.holders[index.kind]):.0f} lists (median), the nearest other list shares "
        f"{sum(nearest) / len(nearest):.0f} lines (mean), {int((index.holders == 1).sum())} kinds in one list only"
    )


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description="Which sets are in the lot: ranking, calibration, time.")
    parser.add_argument("--seeds", type=int, default=100, help="piles")
    parser.add_argument("--lists", type=int, default=2000)
    parser.add_argument("--lines", type=int, default=150)
    parser.add_argument("--library", type=int, default=1, help="seed of the library")
    parser.add_argument("--unknown", action="store_true", help="the size of the pile is not known")
    parser.add_argument("--live", type=int, default=3, help="piles counted tally by tally")
    given = parser.parse_args()
    lists = library(given.lists, given.lines, given.library)
    start = time.process_time()
    index = ListIndex(lists)
    print(f"index laid out in {(time.process_time() - start) * 1000:.0f} ms")
    _describe(lists, index)
    runs = [run(index, mix(lists, seed), STAGES, not given.unknown) for seed in range(given.seeds)]
    print(f"all five within the first {_WITHIN}, of {given.seeds} piles, after a share of the pile:")
    for way in ("mixture", "inverse frequency", "its cosine", "overlap"):
        rates = (f"{stage:.0%} {sum(each.within[stage, way] for each in runs) / len(runs):.0%}" for stage in STAGES)
        print(f"  {way:18} " + "   ".join(rates))
    said = [each for done in runs for each in done.said]
    print("chances said, and how often it was so, all stages together:")
    for low, high, count, mean, true in reliability(said):
        print(f"  {low:5.3f} to {high:5.3f}: {count:6} times, said {mean:.3f}, so {true:.3f}, off {true - mean:+.3f}")
    covered = [each for done in runs for each in done.covered]
    if covered:
        print(
            f"completeness at half of the pile: {sum(covered) / len(covered):.1%} of {len(covered)} intervals hold it"
        )
    settle = [each for done in runs for each in done.settle_ms]
    print(f"settling: {np.median(settle):.0f} ms median, {max(settle):.0f} ms longest")
    if not given.live:
        return
    took = [each for seed in range(given.live) for each in live_ms(index, mix(lists, 1000 + seed))]
    print(
        f"one tally: {np.median(took):.1f} ms median, {np.percentile(took, 99):.1f} ms p99, {max(took):.1f} ms longest "
        f"of {len(took)} (processor time)"
    )


if __name__ == "__main__":
    main()
