"""A sharing that starts with nothing counted and takes in heap by heap is as good as one made of all of it at once."""

from __future__ import annotations

import pytest
from random_sharing import random_case
from reference_sharing import Problem
from sharing_checks import allocation_of, fill_of, told, with_cells

from sortbench.engine.fill import Fill
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Cell


@pytest.mark.parametrize("seed", range(0, 400, 20))
def test_heap_by_heap_from_nothing(seed: int) -> None:
    for each in range(seed, seed + 20):
        case = random_case(each, small=each % 4 > 0)
        now = case
        for kind in case.cells:
            now = with_cells(now, kind, {})
        counted: dict[Kind, dict[Cell, int]] = {}
        fill: Fill = fill_of(now)
        for kind, heaps in case.cells.items():
            for cell, quantity in heaps.items():
                counted.setdefault(kind, {})[cell] = quantity
                fill.update(kind, counted[kind])
                now = with_cells(now, kind, counted[kind])
                problem = Problem(now)
                assert problem.measure(allocation_of(fill)) == problem.measure(allocation_of(fill_of(now))), told(now)
