"""Demands in groups: how many units a group may take, and what they gain, exchanged once all are shared.

Where the number that each of many groups gets is known beforehand, it need not hold while units come in one by one,
for then every search goes through all groups. Units first go where they gain most, and what a group has too much then
moves on, from all groups at once: one search finds how far the nearest room is, and whatever can go on ways of that
length moves before the next (the primal-dual method: L. R. Ford and D. R. Fulkerson, Flows in Networks, 1962; cited
from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from heapq import heappop, heappush

from sortbench.engine.sharing.residual import BITS, Residual, Searched


class Grouped(Residual):
    """A residual network whose groups of demands can be limited."""

    __slots__ = ()

    def _limit(self, most: Mapping[int, int]) -> None:
        """Limit what groups take, and move what they have too much to others at the least loss.

        Args:
            most: units by group, all of which gain alike. Together the groups must be able to take so much, and as much
                must be shared already.
        """
        load, marginals = self._load, self._marginals
        for group, units in most.items():
            marginals[group] = marginals[group][:units]
        while full := [group for group, units in most.items() if load[group] > units]:
            searched = self._search_room(full)
            self._lower(searched, 1)
            passed: set[int] = set()
            for group in full:
                while load[group] > most[group] and (path := self._free_path(group, passed)):
                    moved = min(load[group] - most[group], self._narrowest(path), self._room_at(path[-1]))
                    self._push(path, moved)
                    load[path[-1]] += moved
                    load[group] -= moved
                    passed.difference_update(path)

    def _search_room(self, starts: Iterable[int]) -> Searched:
        """The distances from any of some groups, and the one of the nearest group that can take more."""
        pot, supply_pot, arcs, inflow, kept = self._pot, self._supply_pot, self._arcs, self._inflow, self._kept
        load, room, group, owed, marginals = self._load, self._room, self._group, self._owed, self._marginals
        dist = dict.fromkeys(starts, 0)
        heap = [(0, node) for node in starts]
        out: int | None = None
        while heap:
            far, node = heappop(heap)
            if out is not None and far >= out:
                break
            if far > dist[node]:
                continue
            steps: list[tuple[int, int]] = []
            if node < 0:
                base = far + supply_pot[~node]
                steps = [
                    (base + cost - pot[there] - ((node, there) in owed), there) for there, cost in arcs[~node].items()
                ]
            elif node in marginals:
                base, gains = far + pot[node], marginals[node]
                if load[node] < len(gains) and (out is None or base - (gains[load[node]] << BITS) < out):
                    out = base - (gains[load[node]] << BITS)
                steps = [(base - pot[there], there) for there in self._members[node] if load[there]]
            else:
                base = far + pot[node]
                if load[node] < room[node] and (hub := group[node]) >= 0:
                    steps.append((base - pot[hub], hub))
                for there, units in inflow[node].items():
                    new = base - arcs[~there][node] - supply_pot[~there]
                    steps.append((new + (not kept or units <= kept.get((there, node), units)), there))
            for new, there in steps:
                if (out is None or new < out) and (there not in dist or new < dist[there]):
                    dist[there] = new
                    heappush(heap, (new, there))
        assert out is not None, "what is too much in one group has room in others"
        return dist, out

    def _free_path(self, start: int, passed: set[int]) -> list[int]:
        """A way that costs nothing from a group to one with room, empty if there is none.

        Args:
            start: the group.
            passed: nodes from which none was found; those that this looks at are added.
        """
        if start in passed:
            return []
        passed.add(start)
        path, open_ = [start], [self._free_steps(start)]
        while path:
            node = next(open_[-1], None)
            if node is None:
                path.pop()
                open_.pop()
            elif node not in passed:
                passed.add(node)
                path.append(node)
                open_.append(self._free_steps(node))
                gains = self._marginals.get(node)
                load = self._load[node] if gains else 0
                if gains and load < len(gains) and gains[load] << BITS == self._pot[node]:
                    return path
        return []

    def _free_steps(self, node: int) -> Iterator[int]:
        """Nodes that a unit may move on to at no cost."""
        pot, supply_pot, arcs, kept, owed = self._pot, self._supply_pot, self._arcs, self._kept, self._owed
        if node < 0:
            base = supply_pot[~node]
            for there, cost in arcs[~node].items():
                if base + cost - ((node, there) in owed) == pot[there]:
                    yield there
            return
        base = pot[node]
        if node in self._marginals:
            for there in self._members[node]:
                if base == pot[there] and self._load[there]:
                    yield there
            return
        if self._load[node] < self._room[node] and (hub := self._group[node]) >= 0 and base == pot[hub]:
            yield hub
        for there, units in self._inflow[node].items():
            new = base - arcs[~there][node] - supply_pot[~there]
            if new + (not kept or units <= kept.get((there, node), units)) == 0:
                yield there

    def regain(self, gains: Mapping[int, Sequence[int]]) -> None:
        """Exchange what the units of groups gain; what is shared must be an optimum with the new gains as well.

        Args:
            gains: by group; as :meth:`group` takes them.
        """
        self._marginals.update(gains)
        self._reprice()

    def _reprice(self) -> None:
        """Work out all potentials anew from an optimum: the cheapest way to each node from where units can be had."""
        pot, supply_pot, load = self._pot, self._supply_pot, self._load
        dist: dict[int, int] = {}
        heap: list[tuple[int, int]] = []

        def reach(node: int, new: int) -> None:
            if node not in dist or new < dist[node]:
                dist[node] = new
                heappush(heap, (new, node))

        for place, units in enumerate(self._spare):
            if units:
                reach(~place, -supply_pot[place])
        for node, units in enumerate(load):
            if units and node in self._marginals:
                reach(node, (self._marginals[node][units - 1] << BITS) - pot[node])
            elif units and self._group[node] < 0:
                reach(node, self._gain[node] - pot[node])
        while heap:
            far, node = heappop(heap)
            if far > dist[node]:
                continue
            if node < 0:
                base = far + supply_pot[~node]
                for there, cost in self._arcs[~node].items():
                    reach(there, base + cost - pot[there])
                continue
            base = far + pot[node]
            if node in self._marginals:
                for there in self._members[node]:
                    if load[there]:
                        reach(there, base - pot[there])
                continue
            if load[node] < self._room[node] and (there := self._group[node]) >= 0:
                reach(there, base - pot[there])
            for there in self._inflow[node]:
                reach(there, base - self._arcs[~there][node] - supply_pot[~there])
        beyond = max(0, *dist.values()) if dist else 0
        for node, gains in self._marginals.items():
            # Where no unit can come from, what the next one would gain may be more than before.
            if node not in dist and load[node] < len(gains):
                beyond = max(beyond, (gains[load[node]] << BITS) - pot[node])
        for node in range(len(pot)):
            pot[node] += dist.get(node, beyond)
        for place in range(len(supply_pot)):
            supply_pot[place] += dist.get(~place, beyond)
