"""Groups of demands limited once all units are shared, against scipy's linear programs."""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
import pytest
from scipy.optimize import linprog

from sortbench.engine.sharing.network import Network

TOP = 10**6
"""What a unit delivered gains; all that ways differ by is less."""


class Drawn:
    """A problem drawn at random: units of heaps, room of places, the group of each place, and the ways' gains."""

    def __init__(self, seed: int) -> None:
        chance = random.Random(seed)
        self.rooms = [chance.randint(1, 4) for _ in range(chance.randint(2, 9))]
        self.groups = chance.randint(2, 4)
        self.group_of = [chance.randrange(self.groups) for _ in self.rooms]
        self.units = [chance.randint(1, 4) for _ in range(chance.randint(2, 9))]
        spread = chance.choice((2, 50))
        self.gains = [
            {place: chance.randint(0, spread) for place in range(len(self.rooms)) if chance.random() < 0.5}
            for _ in self.units
        ]
        self.gains[0][0] = 1
        # What each group would have if groups differed by more than ways do: another sharing of as many units.
        self.limits, _ = self.shared([TOP + chance.randint(0, TOP // 10) for _ in range(self.groups)], None)

    def shared(self, tops: Sequence[int], limits: Sequence[int] | None) -> tuple[list[int], int]:
        """Units by group, and what all ways taken gain, with what a unit gains by group."""
        network = Network()
        hubs = [network.group([top] * sum(self.rooms)) for top in tops]
        at = [network.demand(room, group=hubs[group]) for room, group in zip(self.rooms, self.group_of, strict=True)]
        heaps = [network.supply([(at[place], -gain) for place, gain in each.items()]) for each in self.gains]
        most = None if limits is None else dict(zip(hubs, limits, strict=True))
        network.step(zip(heaps, self.units, strict=True), most)
        gained = 0
        for heap, units, gains in zip(heaps, self.units, self.gains, strict=True):
            flow = network.flow(heap)
            assert network.spare(heap) + sum(flow.values()) == units
            gained += sum(flow.get(at[place], 0) * gain for place, gain in gains.items())
        loads = [0] * self.groups
        for group, demand in zip(self.group_of, at, strict=True):
            loads[group] += network.load(demand)
        assert loads == [network.load(hub) for hub in hubs]
        return loads, gained

    def best(self) -> int:
        """What the ways taken gain at most, with all units delivered that the limits allow."""
        ways = [(heap, place, gain) for heap, each in enumerate(self.gains) for place, gain in each.items()]
        rows = np.zeros((len(self.units) + len(self.rooms) + self.groups, len(ways)))
        for column, (heap, place, _) in enumerate(ways):
            rows[heap, column] = rows[len(self.units) + place, column] = 1
            rows[len(self.units) + len(self.rooms) + self.group_of[place], column] = 1
        upper = [*self.units, *self.rooms, *self.limits]
        found = linprog([-TOP - gain for _, _, gain in ways], A_ub=rows, b_ub=upper)
        assert found.status == 0
        return round(-float(found.fun)) - TOP * sum(self.limits)


@pytest.mark.parametrize("block", range(4))
def test_limited_groups_are_at_the_optimum_of_a_linear_program(block: int) -> None:
    moved = 0
    for seed in range(block, 240, 4):
        drawn = Drawn(seed)
        free, _ = drawn.shared([TOP] * drawn.groups, None)
        assert sum(free) == sum(drawn.limits)
        moved += free != drawn.limits
        loads, gained = drawn.shared([TOP] * drawn.groups, drawn.limits)
        assert (loads, gained) == (drawn.limits, drawn.best()), seed
    assert moved > 10, "limits that hold already would prove nothing"
