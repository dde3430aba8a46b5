"""The residual network of a sharing: its numbers, the search for the cheapest way through it, and moving along it."""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heappop, heappush
from itertools import pairwise

BITS = 24
"""Bits of the last digit of all costs, which counts units taken off an arc: a step moves fewer than 2**23 along a
path."""

LAST_DIGIT = (1 << BITS) - 1
HALF = 1 << (BITS - 1)

Arc = tuple[int, int]
Came = dict[int, int]
"""From which node each node was come to."""
Searched = tuple[dict[int, int], int]
"""How far each node is that a search came to, and how far the way out."""


class Residual:
    """Nodes with their potentials, arcs with their costs, and what flows.

    Demands and groups are numbered from 0, supplies from -1 downward. Potentials are such that no arc that can take
    more costs less than 0 with those of its ends.
    """

    __slots__ = (
        "_arcs",
        "_gain",
        "_group",
        "_idle",
        "_inflow",
        "_kept",
        "_load",
        "_marginals",
        "_members",
        "_moved",
        "_owed",
        "_pot",
        "_room",
        "_spare",
        "_supply_pot",
        "_takers",
        "_touched",
    )

    def __init__(self) -> None:
        # Of demands and groups, by number.
        self._pot: list[int] = []
        self._room: list[int] = []
        self._load: list[int] = []
        self._gain: list[int] = []
        self._group: list[int] = []
        self._inflow: list[dict[int, int]] = []
        self._takers: list[list[int]] = []
        # Of groups alone.
        self._marginals: dict[int, Sequence[int]] = {}
        self._members: dict[int, list[int]] = {}
        # Of supplies, by place: supply -1 stands at 0, -2 at 1.
        self._arcs: list[dict[int, int]] = []
        self._spare: list[int] = []
        self._supply_pot: list[int] = []
        # Of the step under way.
        self._kept: dict[Arc, int] = {}  # what flowed before, on arcs that changed
        self._idle: set[int] = set()  # supplies that have had no units yet
        self._owed: set[Arc] = set()  # arcs on which less flows than before
        self._touched: set[int] = set()
        self._moved: set[int] = set()

    def _search(self, start: int) -> tuple[Came, int, Searched]:
        """The cheapest way from a supply out of the network: where each node was come to from, the last node, and the
        distances with the one of the way out."""
        pot, supply_pot, arcs, inflow, kept = self._pot, self._supply_pot, self._arcs, self._inflow, self._kept
        load, room, gain, group, owed = self._load, self._room, self._gain, self._group, self._owed
        dist = {start: 0}
        came: dict[int, int] = {}
        heap = [(0, start)]
        out, end = supply_pot[~start], start
        while heap:
            far, node = heappop(heap)
            if far >= out:
                break
            if far > dist[node]:
                continue
            if node < 0:
                base = far + supply_pot[~node]
                if base < out:
                    out, end = base, node
                for there, cost in arcs[~node].items():
                    new = base + cost - pot[there]
                    if owed and (node, there) in owed:
                        new -= 1
                    if new < out and new < dist.get(there, out):
                        dist[there] = new
                        came[there] = node
                        heappush(heap, (new, there))
                continue
            base = far + pot[node]
            if node in self._marginals:
                marginals = self._marginals[node]
                if load[node] < len(marginals) and (new := base - (marginals[load[node]] << BITS)) < out:
                    out, end = new, node
                    if new == far:
                        break
                for there in self._members[node]:
                    if load[there] and (new := base - pot[there]) < out and new < dist.get(there, out):
                        dist[there] = new
                        came[there] = node
                        heappush(heap, (new, there))
                continue
            if load[node] < room[node]:
                there = group[node]
                if there < 0:
                    if (new := base - gain[node]) < out:
                        out, end = new, node
                elif (new := base - pot[there]) < out and new < dist.get(there, out):
                    dist[there] = new
                    came[there] = node
                    heappush(heap, (new, there))
            for there, units in inflow[node].items():
                new = base - arcs[~there][node] - supply_pot[~there]
                if not kept or units <= kept.get((there, node), units):
                    new += 1
                if new < out and new < dist.get(there, out):
                    dist[there] = new
                    came[there] = node
                    heappush(heap, (new, there))
        return came, end, (dist, out)

    def _search_back(self, start: int) -> tuple[Came, int | None, Searched]:
        """The cheapest way to a supply from where units can be had: as :meth:`_search`, seen from its end."""
        pot, supply_pot, arcs, inflow, kept = self._pot, self._supply_pot, self._arcs, self._inflow, self._kept
        load, room, gain, group, owed = self._load, self._room, self._gain, self._group, self._owed
        dist = {start: 0}
        came: dict[int, int] = {}
        heap = [(0, start)]
        out: int | None = None
        end: int | None = None
        while heap:
            far, node = heappop(heap)
            if out is not None and far >= out:
                break
            if far > dist[node]:
                continue
            steps: list[tuple[int, int]] = []
            if node < 0:
                base = far - supply_pot[~node]
                if self._spare[~node] and (out is None or base < out):
                    out, end = base, node
                for there, cost in arcs[~node].items():
                    if units := inflow[there].get(node, 0):
                        less = 1 if not kept or units <= kept.get((node, there), units) else 0
                        steps.append((base - cost + less + pot[there], there))
            elif node in self._marginals:
                base = far - pot[node]
                if load[node]:
                    new = base + (self._marginals[node][load[node] - 1] << BITS)
                    if out is None or new < out:
                        out, end = new, node
                steps = [(base + pot[there], there) for there in self._members[node] if load[there] < room[there]]
            else:
                base = far - pot[node]
                if load[node]:
                    there = group[node]
                    if there >= 0:
                        steps.append((base + pot[there], there))
                    elif out is None or base + gain[node] < out:
                        out, end = base + gain[node], node
                for there in self._takers[node]:
                    more = 1 if (there, node) in owed else 0
                    steps.append((base + arcs[~there][node] - more + supply_pot[~there], there))
            for new, there in steps:
                if (out is None or new < out) and (there not in dist or new < dist[there]):
                    dist[there] = new
                    came[there] = node
                    heappush(heap, (new, there))
        return came, end, (dist, out or 0)

    def _lower(self, searched: Searched, sign: int) -> None:
        """Let the potentials follow a search, so that all costs but those on the way taken stay at 0 or more."""
        dist, out = searched
        pot, supply_pot = self._pot, self._supply_pot
        for node, far in dist.items():
            if far < out:
                less = far - out
                if node < 0:
                    supply_pot[~node] += sign * less
                else:
                    pot[node] += sign * less
                if less & LAST_DIGIT:
                    self._touched.add(node)

    def _narrowest(self, path: Sequence[int]) -> int:
        """Units that can go along a path at the cost it was found for."""
        narrow = HALF - 1
        for here, there in pairwise(path):
            if here < 0:
                units, kept = self._inflow[there].get(here, 0), self._kept.get((here, there), 0)
                if units < kept:
                    narrow = min(narrow, kept - units)
            elif there < 0:
                units = self._inflow[here][there]
                kept = self._kept.get((there, here), units)
                narrow = min(narrow, units if units <= kept else units - kept)
            elif here in self._marginals:
                narrow = min(narrow, self._load[there])
            else:
                narrow = min(narrow, self._room[here] - self._load[here])
        return narrow

    def _room_at(self, end: int) -> int:
        """Units that can leave the network at a node at the same gain."""
        if end < 0:
            return HALF
        if end not in self._marginals:
            return self._room[end] - self._load[end]
        marginals, load = self._marginals[end], self._load[end]
        return len(marginals) - load if marginals[load] == marginals[-1] else 1

    def _held_at(self, end: int) -> int:
        """Units that can be taken back into the network at a node at the same loss."""
        if end < 0:
            return self._spare[~end]
        return 1 if end in self._marginals else self._load[end]

    def _arrive(self, end: int, units: int) -> None:
        if end < 0:
            self._spare[~end] += units
        else:
            self._load[end] += units

    def _push(self, path: Sequence[int], units: int) -> None:
        """Send units along a path of the residual network."""
        for here, there in pairwise(path):
            if here < 0:
                flows = self._inflow[there]
                was = flows.get(here, 0)
                kept = self._kept.setdefault((here, there), was)
                flows[here] = was + units
                if kept > was and kept <= was + units:
                    self._owed.discard((here, there))
                self._moved.add(there)
            elif there < 0:
                flows = self._inflow[here]
                was = flows[there]
                if self._kept.setdefault((there, here), was) > was - units:
                    self._owed.add((there, here))
                if was == units:
                    del flows[there]
                else:
                    flows[there] = was - units
                self._moved.add(here)
            elif here in self._marginals:
                self._load[there] -= units
            else:
                self._load[here] += units
