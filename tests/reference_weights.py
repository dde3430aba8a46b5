"""The sharing of :mod:`reference_sharing` once more, as one flow of least cost by networkx.

All criteria are packed into one Python integer a piece: each weighs more than all that come after it could add up to,
so nothing is rounded and nothing overflows. Targets of one rank get a place for each piece they need; places are filled
by the share that is reached, the smallest first. Written for breadth: it takes a thirtieth of the time of solving level
by level, and :mod:`test_sharing_props` holds one against the other.

The solver is networkx's ``network_simplex``, exact with integers of any size.
"""

from __future__ import annotations

from fractions import Fraction

import networkx as nx
from reference_sharing import Allocation, LineId, Problem, Supply


def solve_by_weights(problem: Problem, old: Allocation | None = None) -> dict[tuple[Supply, LineId], int]:
    """An allocation that is best by all criteria.

    Args:
        problem: what is to be shared.
        old: the allocation before; of those equally good, one that moves fewest pieces is found.
    """
    most = [min(problem.supplies[arc.supply], problem.lines[arc.line].quantity) for arc in problem.arcs]
    gains = [0] * len(problem.arcs)
    places: dict[str, list[int]] = {}  # what each further piece of a target gains, of those that share a rank
    weight = 1 + sum((old or {}).values())
    for step in reversed(problem.steps):
        group = problem.groups[step.rank]
        if step.what == "present" and len(group) > 1:
            marks = [
                (-Fraction(n, target.pieces), Fraction(n + 1, target.pieces), target.code)
                for target in sorted(group, key=lambda target: target.code, reverse=True)
                for n in range(target.pieces)
            ]
            for _, _, code in sorted(marks, key=lambda mark: mark[:2]):
                places.setdefault(code, []).insert(0, weight)
                weight *= 2
        else:
            for index, factor in enumerate(step.weights):
                gains[index] += factor * weight
            weight *= 1 + sum(abs(factor) * n for factor, n in zip(step.weights, most, strict=True))
    return _flow(problem, gains, most, places, old or {})


def _flow(
    problem: Problem, gains: list[int], most: list[int], places: dict[str, list[int]], old: Allocation
) -> dict[tuple[Supply, LineId], int]:
    network = nx.MultiDiGraph()
    network.add_node("done", demand=sum(problem.supplies.values()))
    for supply, count in problem.supplies.items():
        network.add_node(supply, demand=-count)
        network.add_edge(supply, "done", weight=0, capacity=count)
    for line, asked in problem.lines.items():
        code = line[0]
        network.add_edge(line, ("all of", code) if code in places else "done", weight=0, capacity=asked.quantity)
    for code, worth in places.items():
        for gain in worth:
            network.add_edge(("all of", code), "done", weight=-gain, capacity=1)
    for arc, gain, n in zip(problem.arcs, gains, most, strict=True):
        had = min(n, old.get((arc.supply, arc.line), 0))
        if had:
            network.add_edge(arc.supply, arc.line, key="stays", weight=-gain - 1, capacity=had)
        if n > had:
            network.add_edge(arc.supply, arc.line, key="comes", weight=-gain, capacity=n - had)
    _, flow = nx.network_simplex(network)
    found = {(arc.supply, arc.line): sum(flow[arc.supply].get(arc.line, {}).values()) for arc in problem.arcs}
    return {place: amount for place, amount in found.items() if amount}
