"""The best order against brute force: every set of targets tried, by networkx's maximum flow (general-purpose library).

The reference reads from the plain case what may fill a line (`reference_sharing`); nothing of it comes from the engine.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import combinations

import networkx as nx
import pytest
from picture_of import picture_of
from reference_sharing import Case, accepted, supplies_of

from sortbench.engine.fill import Fill
from sortbench.engine.reconciling.best_order import BestOrder, best_order
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import MAX_VALUE, Line, Policy, StandIn, Swap, SwapOf, Target

PARTS, SHADES = ("arch-1x6", "brick-1x2", "plate-2x4"), ("grey, early", "grey, late")
KINDS = [Kind(part, shade) for part in PARTS for shade in SHADES]
SWAPS = (Swap(SwapOf.SHADE, SHADES[0], SHADES[1]), Swap(SwapOf.PART, PARTS[1], PARTS[2], 3))
CASES = 180


def some_case(seed: int) -> Case:
    """Two to six targets that compete for few kinds, so that some sets can be completed and others cannot."""
    chance = random.Random(seed)
    number = chance.randint(2, 6)
    codes = [f"T-{index:02}" for index in range(number)]
    targets = []
    for code in codes:
        lines = []
        for kind in chance.sample(KINDS, chance.randint(1, 4)):
            others = [other for other in KINDS if other != kind]
            stand_ins = chance.sample(others, chance.choice((0, 0, 0, 1, 2)))
            lines.append(Line(kind, chance.randint(1, 4), Grade.G3, tuple(StandIn(other) for other in stand_ins)))
        pairs = sorted((line.kind, each.kind) for line in lines for each in line.stand_ins)
        targets.append(
            Target(
                code,
                code,
                1988,
                chance.randint(1, number),
                tuple(lines),
                value=chance.choice((None, 0, 10, 25, 40, MAX_VALUE - 1, MAX_VALUE)),
                parked=chance.random() < 0.07,
                refused=tuple(pair for pair in pairs if chance.random() < 0.15),
            )
        )
    cells: dict[Kind, dict[Cell, int]] = {}
    for kind in KINDS:
        heaps = cells[kind] = {}
        for _ in range(chance.choice((1, 1, 2))):
            fate = chance.choice((Fate.KEPT,) * 7 + (Fate.WASH, Fate.OUT, Fate.CRATE))
            label = {Fate.KEPT: "B1", Fate.CRATE: chance.choice(codes)}.get(fate, "")
            heaps[Cell(label, kind.part, kind.shade, "", chance.choice((None, Grade.G4)), (), fate)] = chance.randint(
                1, 8
            )
    reserved = {
        kind: {(Grade.G4, ()): {chance.choice(codes): chance.randint(1, 3)}} for kind in KINDS if chance.random() < 0.15
    }
    swaps = tuple(swap for swap in SWAPS if chance.random() < 0.4)
    return Case(tuple(targets), Catalogue(), cells, swaps, chance.choice(list(Policy)), reserved)


class BruteForce:
    """Every set of targets that can be completed together."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.supplies = supplies_of(case)
        self.targets = {target.code: target for target in case.targets if target.lines and not target.parked}
        self.sets = set(self._sets())

    def _sets(self) -> Iterator[frozenset[str]]:
        before = {frozenset[str]()}
        yield from before
        for size in range(1, len(self.targets) + 1):
            # Only where every smaller set of them can be completed is there anything to try.
            now = set()
            for codes in map(frozenset, combinations(self.targets, size)):
                if all(codes - {code} in before for code in codes) and self.can_be_completed(codes):
                    now.add(codes)
            yield from now
            before = now

    def can_be_completed(self, codes: frozenset[str]) -> bool:
        graph = nx.DiGraph()
        graph.add_node("pieces")
        need = 0
        for supply, quantity in self.supplies.items():
            graph.add_edge("pieces", supply, capacity=quantity)
        for code in codes:
            target = self.targets[code]
            for number, line in enumerate(target.lines):
                need += line.quantity
                graph.add_edge((code, number), "lines", capacity=line.quantity)
                for kind in accepted(line, target, self.case.swaps):
                    for supply in self.supplies:
                        if supply.kind == kind and supply.only in ("", code):
                            graph.add_edge(supply, (code, number))
        flow: int = nx.maximum_flow_value(graph, "pieces", "lines")
        return flow == need

    def value(self, codes: frozenset[str]) -> int:
        return sum(self.targets[code].value or 0 for code in codes)

    def best(self, by_value: bool) -> tuple[int, int, list[int]]:
        """Total, then the other total, then which targets: those that stand first count for more."""
        order = sorted(self.targets.values(), key=lambda target: (target.rank, target.code))

        def worth(codes: frozenset[str]) -> tuple[int, int, list[int]]:
            both = len(codes), self.value(codes)
            return (*(both[::-1] if by_value else both), [int(target.code in codes) for target in order])

        return max(map(worth, self.sets))

    def measure(self, found: BestOrder, by_value: bool) -> tuple[int, int, list[int]]:
        order = sorted(self.targets.values(), key=lambda target: (target.rank, target.code))
        codes = frozenset(found.completed)
        both = len(codes), self.value(codes)
        return (*(both[::-1] if by_value else both), [int(target.code in codes) for target in order])


def completed_at(case: Case, found: BestOrder) -> set[str]:
    """What the sharing completes at the ranks found."""
    fill = Fill(
        [target._replace(rank=found.ranks[target.code]) for target in case.targets],
        case.catalogue,
        lambda kind: case.cells.get(kind, {}),
        swaps=case.swaps,
        policy=case.policy,
        reserved=lambda kind: case.reserved.get(kind, {}),
    )
    return {each.target.code for each in fill.all() if each.complete}


@pytest.mark.parametrize("seed", range(CASES))
def test_no_set_of_targets_comes_to_more(seed: int) -> None:
    case = some_case(seed)
    reference = BruteForce(case)
    picture = picture_of(case)
    for by_value in (False, True):
        found = best_order(picture, by_value)
        assert reference.measure(found, by_value) == reference.best(by_value)
        assert found.total == reference.best(by_value)[0]
        assert found.proven
        assert completed_at(case, found) == set(found.completed)
        assert found.ranks.keys() == {target.code for target in case.targets}
        assert frozenset(found.completed) in reference.sets


def test_the_cases_are_worth_trying() -> None:
    """In many of them the order matters: some set can be completed, not all, and the present order completes fewer."""
    better = some = 0
    for seed in range(CASES):
        case = some_case(seed)
        reference = BruteForce(case)
        now = sum(each.complete for each in picture_of(case).fill.all())
        best = reference.best(by_value=False)[0]
        better += now < best
        some += 0 < best < len(reference.targets)
    assert some > CASES // 2
    assert better > CASES // 10
