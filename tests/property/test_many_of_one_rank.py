"""Many targets of one rank against the independent reference: every criterion, and no piece moves without need."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from reference_sharing import Case, Problem
from reference_weights import solve_by_weights
from sharing_checks import allocation_of, differences, fill_of, moved, told, with_cells

from sortbench.model.target import Target
from tests.benchmarks.sharing_instances import realistic, tangled


def of_ranks(case: Case, ranks: int) -> Case:
    """The case with its targets spread over so many ranks."""
    targets: list[Target] = [t._replace(rank=1 + place % ranks) for place, t in enumerate(case.targets)]
    return replace(case, targets=tuple(targets))


@pytest.mark.parametrize("seed", range(12))
def test_many_targets_share_a_rank(seed: int) -> None:
    chance = random.Random(seed)
    make = chance.choice((realistic, tangled))
    drawn = make(chance.randint(4, 9), chance.randint(6, 20), chance.randint(40, 250), seed)
    apart = Case(drawn.targets, drawn.catalogue, drawn.cells, drawn.swaps)
    case = of_ranks(apart, chance.choice((1, 1, 2)))
    problem = Problem(case)
    fill = fill_of(case)
    assert not differences(problem, problem.measure(solve_by_weights(problem)), fill), told(case)

    # Ranks that were apart before are shared now.
    old = fill_of(apart)
    nearest = solve_by_weights(problem, allocation_of(old))
    together = fill_of(case, before=old)
    assert not differences(problem, problem.measure(nearest), together), told(case)
    assert moved(allocation_of(old), allocation_of(together)) == moved(allocation_of(old), nearest)

    # A heap goes, and comes back.
    for kind in chance.sample(sorted(case.cells), k=3):
        less = with_cells(case, kind, {})
        for after in (less, case):
            was = allocation_of(fill)
            fill.update(kind, after.cells[kind])
            now = Problem(after)
            nearest = solve_by_weights(now, was)
            assert not differences(now, now.measure(nearest), fill), told(after)
            assert moved(was, allocation_of(fill)) == moved(was, nearest)
