"""The same sharing as flows of least cost for other people's solvers, component by component.

A piece's gain on a line is one whole number that orders sharings like the criteria in their order: each criterion of
each rank is a digit, wide enough for all that its component can come to. Components, gains and arrays are made before
the clock runs; the solvers are timed on building their own network and solving it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from sortbench.engine.sharing.at_once import is_small, share_at_once
from sortbench.engine.sharing.network import Network
from tests.reference_sharing import Allocation, Case, LineId, Supply, accepted, period, supplies_of

BITS = 62
"""What a cost may take of OR-tools' 64 bits."""


class Way(NamedTuple):
    """A heap that may fill a line: their places in the component, and what a piece gains by each criterion."""

    supply: int
    line: int
    digits: tuple[int, int, int, int, int]
    gain: int
    short_gain: int  # as gain, with as many of the last criteria left out as must be to fit BITS


class Part(NamedTuple):
    """One component."""

    supplies: Sequence[tuple[Supply, int]]
    lines: Sequence[tuple[LineId, int]]
    ways: Sequence[Way]
    is_short: bool  # some criteria are left out of short_gain


def parts_of(case: Case) -> list[Part]:
    """Components that hold both pieces and lines; ranks must not be shared, and the policy be *complete*."""
    supplies = supplies_of(case)
    roots: dict[object, object] = {}

    def root(end: object) -> object:
        while end in roots:
            end = roots[end]
        return end

    of_kind: dict[object, list[Supply]] = {}
    for supply in supplies:
        of_kind.setdefault(supply.kind, []).append(supply)
    ways: list[tuple[Supply, LineId, tuple[int, int, int, int, int]]] = []
    quantities: dict[LineId, int] = {}
    ranks: dict[str, int] = {}
    for target in case.targets:
        ranks[target.code] = target.rank
        for number, line in enumerate(target.lines):
            place = target.code, number
            quantities[place] = line.quantity
            for kind, cost in accepted(line, target, case.swaps).items():
                is_right = period(case.catalogue, kind, target.year) is True
                for supply in of_kind.get(kind, ()):
                    sound = supply.grade is not None and supply.ready and not supply.flaws
                    standard = int(is_right and sound and (supply.grade or 0) >= line.lowest)
                    ways.append((supply, place, (1, standard, -int(cost > 0), -cost, supply.quality)))
                    a, b = root(supply), root(place)
                    if a != b:
                        roots[a] = b
    grouped: dict[object, list[tuple[Supply, LineId, tuple[int, int, int, int, int]]]] = {}
    for way in ways:
        grouped.setdefault(root(way[0]), []).append(way)
    return [_part(group, supplies, quantities, ranks) for group in grouped.values()]


def _part(
    ways: Sequence[tuple[Supply, LineId, tuple[int, int, int, int, int]]],
    supplies: Mapping[Supply, int],
    quantities: Mapping[LineId, int],
    ranks: Mapping[str, int],
) -> Part:
    heaps = list(dict.fromkeys(supply for supply, _, _ in ways))
    lines = list(dict.fromkeys(line for _, line, _ in ways))
    need: dict[int, int] = {}
    for line in lines:
        need[ranks[line[0]]] = need.get(ranks[line[0]], 0) + quantities[line]
    largest = [max(abs(digits[i]) for _, _, digits in ways) for i in range(5)]
    order = [(i, rank) for block in ((0,), (1,), (2, 3), (4,)) for rank in sorted(need) for i in block]
    order = [(i, rank) for i, rank in order if largest[i]]
    total = sum(quantities[line] for line in lines) + sum(supplies[supply] for supply in heaps)

    def weights(kept: int) -> tuple[dict[tuple[int, int], int], int]:
        found, weight = {}, 1
        for i, rank in reversed(order[:kept]):
            found[i, rank] = weight
            weight *= 1 + largest[i] * need[rank]
        return found, weight

    exact, _ = weights(len(order))
    kept = len(order)
    # OR-tools scales costs by the number of nodes, and adds them up along a way.
    while weights(kept)[1] * total * (len(heaps) + len(lines) + 2) >= 1 << BITS:
        kept -= 1
    short, _ = weights(kept)
    at_heap, at_line = {s: i for i, s in enumerate(heaps)}, {line: i for i, line in enumerate(lines)}
    made = []
    for supply, line, digits in ways:
        rank = ranks[line[0]]
        gains = [sum(digits[i] * by.get((i, rank), 0) for i in range(5)) for by in (exact, short)]
        made.append(Way(at_heap[supply], at_line[line], digits, *gains))
    return Part(
        [(s, supplies[s]) for s in heaps], [(line, quantities[line]) for line in lines], made, kept < len(order)
    )


def gain_of(part: Part, allocation: Allocation, short: bool = False) -> int:
    """What an allocation gains in a component."""
    return sum(
        (way.short_gain if short else way.gain)
        * allocation.get((part.supplies[way.supply][0], part.lines[way.line][0]), 0)
        for way in part.ways
    )


def is_plain(part: Part) -> bool:
    """Whether nothing need be solved: one heap and one line."""
    return len(part.ways) == 1


def by_sortbench(parts: Sequence[Part]) -> list[int]:
    """The greatest gain of each component, by the solvers under ``Fill`` and nothing of ``Fill`` itself.

    As in a component of ``Fill`` that starts: small ones are shared at once, without a network that could be changed
    later; larger ones by the network. (``Fill`` finds most components by counting before it comes to that; here each
    is solved.) What is plain is worked out without a solver, as for the references.
    """
    found = []
    for part in parts:
        if is_plain(part):
            found.append(part.ways[0].gain * min(part.supplies[0][1], part.lines[0][1]))
            continue
        ways: list[list[tuple[int, int]]] = [[] for _ in part.supplies]
        for heap, line, _, gain, _ in part.ways:
            ways[heap].append((line, gain))
        rooms = [quantity for _, quantity in part.lines]
        heaps = [count for _, count in part.supplies]
        flows = share_at_once(rooms, heaps, ways) if is_small(len(heaps), len(rooms)) else _flows(rooms, heaps, ways)
        found.append(sum(flows[line].get(heap, 0) * gain for heap, line, _, gain, _ in part.ways))
    return found


def _flows(
    rooms: Sequence[int], heaps: Sequence[int], ways: Sequence[Sequence[tuple[int, int]]]
) -> list[Mapping[int, int]]:
    """What each line gets of each heap, by the network. Pieces are brought in as ``Fill`` does it: what is worth most
    first."""
    network = Network()
    places = [network.demand(room) for room in rooms]
    numbers = [network.supply([(places[line], -gain) for line, gain in each]) for each in ways]
    changes = sorted(zip(numbers, heaps, strict=True), key=lambda change: network.worth(change[0]), reverse=True)
    network.step(changes)
    at = {number: heap for heap, number in enumerate(numbers)}
    return [{at[number]: units for number, units in network.inflow(place).items()} for place in places]


def by_networkx(parts: Sequence[Part]) -> list[int]:
    """The greatest gain of each component, by ``network_simplex``; what is plain is worked out without it."""
    import networkx as nx

    found = []
    for part in parts:
        if is_plain(part):
            found.append(part.ways[0].gain * min(part.supplies[0][1], part.lines[0][1]))
            continue
        graph = nx.DiGraph()
        graph.add_node(-1, demand=sum(n for _, n in part.supplies))
        for number, (_, count) in enumerate(part.supplies):
            graph.add_node(number, demand=-count)
            graph.add_edge(number, -1, weight=0)
        first = len(part.supplies)
        for number, (_, quantity) in enumerate(part.lines, first):
            graph.add_edge(number, -1, weight=0, capacity=quantity)
        graph.add_edges_from((way.supply, first + way.line, {"weight": -way.gain}) for way in part.ways)
        cost, _ = nx.network_simplex(graph)
        found.append(-cost)
    return found


def by_ortools(parts: Sequence[Part]) -> list[int]:
    """The greatest short gain of each component, by ``SimpleMinCostFlow``; what is plain is worked out without it."""
    from ortools.graph.python import min_cost_flow

    found = []
    for part in parts:
        if is_plain(part):
            found.append(part.ways[0].short_gain * min(part.supplies[0][1], part.lines[0][1]))
            continue
        solver: Any = min_cost_flow.SimpleMinCostFlow()
        first, sink = len(part.supplies), len(part.supplies) + len(part.lines)
        add, total = solver.add_arc_with_capacity_and_unit_cost, 0
        for number, (_, count) in enumerate(part.supplies):
            solver.set_node_supply(number, count)
            add(number, sink, count, 0)
            total += count
        for number, (_, quantity) in enumerate(part.lines, first):
            add(number, sink, quantity, 0)
        for way in part.ways:
            add(way.supply, first + way.line, part.supplies[way.supply][1], -way.short_gain)
        solver.set_node_supply(sink, -total)
        status = solver.solve()
        assert status == solver.OPTIMAL, status
        found.append(-solver.optimal_cost())
    return found
