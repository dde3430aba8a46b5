"""Supplies shared among demands at the least cost: exact, in whole numbers of any size, and kept up to date.

A transportation problem in which nothing has to be delivered: each unit that reaches a demand gains something, each
arc costs something (less than nothing, if need be), and units not worth delivering stay spare. The optimum is kept
under changes by successive shortest paths (Busacker and Gowen 1960; with node potentials, so that Dijkstra's search
serves, Edmonds and Karp 1972 and Tomizawa 1971; cited from memory): a unit that comes in runs along the cheapest path
of the residual network, one that goes out is replaced along the cheapest path the other way. A search ends as soon as
it knows the cheapest way out, and only nodes it has passed change their potential, so a change costs what it touches,
however large the network is.

Among all optima the one is kept that differs least from the sharing before the step: a last digit, below all costs,
counts the units that are taken off an arc.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sortbench.engine.sharing.grouped import Grouped
from sortbench.engine.sharing.residual import BITS, HALF, Arc


class Network(Grouped):
    """Supplies, demands and the arcs between them.

    Demands and groups are numbered from 0, supplies from -1 downward; a number is never used again for another.
    """

    __slots__ = ()

    # What there is

    def demand(self, capacity: int, gain: int = 0, group: int = -1) -> int:
        """A demand.

        Args:
            capacity: units it can take, 0 or more.
            gain: what each unit delivered gains; any whole number.
            group: the group it belongs to, which then tells the gain; -1 is none.

        Returns:
            Its number.
        """
        node = self._node(capacity, gain << BITS, group)
        if group >= 0:
            self._members[group].append(node)
            self._pot[node] = self._pot[group]
        return node

    def group(self, gains: Sequence[int]) -> int:
        """A group of demands whose units gain by their number: the first the most, each later one no more.

        Args:
            gains: for the first unit that any member takes, the second and so on; as many as the members can take.

        Returns:
            Its number.
        """
        node = self._node(0, gains[0] << BITS if gains else 0, -1)
        self._marginals[node] = gains
        self._members[node] = []
        return node

    def _node(self, room: int, gain: int, group: int) -> int:
        self._pot.append(gain)
        self._room.append(room)
        self._load.append(0)
        self._gain.append(gain)
        self._group.append(group)
        self._inflow.append({})
        self._takers.append([])
        return len(self._pot) - 1

    def supply(self, arcs: Iterable[Arc], kept: Mapping[int, int] | None = None) -> int:
        """A supply, of no units yet.

        Args:
            arcs: demands it may go to, and what each unit costs there; any whole number.
            kept: units that an earlier sharing gave to these demands: the next step keeps to them where it costs
                nothing.

        Returns:
            Its number.
        """
        node = ~len(self._arcs)
        costs: dict[int, int] = {}
        takers = self._takers
        for demand, cost in arcs:
            costs[demand] = cost << BITS
            takers[demand].append(node)
            if kept and kept.get(demand):
                self._kept[node, demand] = kept[demand]
                self._owed.add((node, demand))
        self._arcs.append(costs)
        self._spare.append(0)
        self._supply_pot.append(0)
        self._price(node)
        self._idle.add(node)
        return node

    def _price(self, supply: int) -> None:
        """The lowest potential that a supply without units may have: then the search for its way is the shortest."""
        pot, owed, highest = self._pot, self._owed, 0
        for demand, cost in self._arcs[~supply].items():
            worth = pot[demand] - cost
            if worth >= highest:
                highest = worth
                if owed and (supply, demand) in owed:
                    highest += 1
                    self._touched.add(supply)
        self._supply_pot[~supply] = highest

    # How it is shared

    def flow(self, supply: int) -> Mapping[int, int]:
        """Units of a supply by the demand they go to."""
        return {demand: units for demand in self._arcs[~supply] if (units := self._inflow[demand].get(supply, 0))}

    def inflow(self, demand: int) -> Mapping[int, int]:
        """Units that a demand gets, by supply."""
        return self._inflow[demand]

    def load(self, demand: int) -> int:
        """Units that a demand, or a whole group, gets."""
        return self._load[demand]

    def room(self, demand: int) -> int:
        """Units that a demand can take in all."""
        return self._room[demand]

    def worth(self, supply: int) -> int:
        """What one more unit of a supply gains at most, in steps of the last digit; 0 where it is better spare."""
        return self._supply_pot[~supply]

    def spare(self, supply: int) -> int:
        """Units of a supply that go nowhere."""
        return self._spare[~supply]

    def arcs(self, supply: int) -> Iterable[int]:
        """Demands that a supply may go to."""
        return self._arcs[~supply]

    # Changes

    def change(self, supply: int, by: int) -> None:
        """Bring units of a supply in, or take them out (below 0), and share anew.

        Raises:
            ValueError: more units are taken out than there are.
        """
        self.step(((supply, by),))

    def step(self, changes: Iterable[tuple[int, int]], most: Mapping[int, int] | None = None) -> set[int]:
        """Several changes as one: of all optima after them, the one that moves the fewest units.

        Args:
            changes: units that come to a supply, or go (below 0).
            most: units that groups may take from now on, as :meth:`_limit` takes them.

        Returns:
            The demands whose units changed.

        Raises:
            ValueError: more units are taken out than there are.
        """
        for supply, by in changes:
            if by > 0:
                self._bring_in(supply, by)
            elif by < 0:
                self._take_out(supply, -by)
        if most:
            self._limit(most)
        self._kept.clear()
        self._owed.clear()
        for node in self._touched:
            # Without the last digit; costs stay as they should be, for whole numbers cannot lie between -1 and 0.
            if node < 0:
                self._supply_pot[~node] = (self._supply_pot[~node] + HALF) >> BITS << BITS
            else:
                self._pot[node] = (self._pot[node] + HALF) >> BITS << BITS
        self._touched.clear()
        moved, self._moved = self._moved, set()
        return moved

    def first_stop(self, arcs: Sequence[Arc]) -> int:
        """The demand that one more unit with such arcs would go to, -1 if it would stay spare. Changes nothing."""
        node = self.supply(arcs)
        came, end, _ = self._search(node)
        self._idle.discard(node)
        for demand, _ in arcs:
            self._takers[demand].pop()
        self._arcs.pop()
        self._spare.pop()
        self._supply_pot.pop()
        if end == node:
            return -1
        while came[end] != node:
            end = came[end]
        return end

    def _bring_in(self, start: int, units: int) -> None:
        if start in self._idle:
            self._idle.discard(start)
            self._price(start)
        while units:
            if direct := self._straight(start, units):
                units -= direct
                continue
            came, end, dist = self._search(start)
            self._lower(dist, 1)
            if end == start:
                self._spare[~start] += units
                return
            path = [end]
            while path[-1] != start:
                path.append(came[path[-1]])
            path.reverse()
            moved = min(units, self._narrowest(path), self._room_at(end))
            self._push(path, moved)
            self._arrive(end, moved)
            units -= moved

    def _straight(self, start: int, units: int) -> int:
        """Send units where a search would end at once: aside, or to a demand with room that none would rather have."""
        here = self._supply_pot[~start]
        if not here:
            self._spare[~start] += units
            return units
        pot = self._pot
        for there, cost in self._arcs[~start].items():
            if here + cost == pot[there] == self._gain[there] and self._group[there] < 0:
                room = self._room[there] - self._load[there]
                if room and (start, there) not in self._owed:
                    flows = self._inflow[there]
                    was = flows.get(start, 0)
                    self._kept.setdefault((start, there), was)
                    moved = min(units, room)
                    flows[start] = was + moved
                    self._load[there] += moved
                    self._moved.add(there)
                    return moved
        return 0

    def _take_out(self, start: int, units: int) -> None:
        if units > self._spare[~start] + sum(self.flow(start).values()):
            raise ValueError("more units are taken out than there are")
        while units:
            if spare := min(units, self._spare[~start]):
                self._spare[~start] -= spare
                units -= spare
                continue
            came, end, dist = self._search_back(start)
            assert end is not None, "what flows somewhere can be taken out"
            path = [end]
            while path[-1] != start:
                path.append(came[path[-1]])
            moved = min(units, self._narrowest(path), self._held_at(end))
            self._push(path, moved)
            self._arrive(end, -moved)
            units -= moved
            self._lower(dist, -1)
