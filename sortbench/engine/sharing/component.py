"""One connected part of the sharing: lines and kinds that hang together through stand-ins or a shared rank.

Parts do not compete with each other, so each is shared by itself, and a tally touches only the one it belongs to.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from sortbench.engine.sharing.asks import Ask
from sortbench.engine.sharing.at_once import is_small, share_at_once
from sortbench.engine.sharing.counted import counted_out
from sortbench.engine.sharing.criteria import GroupSize, Weights, even_order, weigh
from sortbench.engine.sharing.network import Network
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.presence import even_presence
from sortbench.engine.sharing.shares import LineFill, Share, line_fill
from sortbench.model.catalogue import Kind
from sortbench.model.target import Policy


class _Road(NamedTuple):
    """What a kind costs on a line, before it is known how good the piece is.

    Attributes:
        demand: the line, in the network.
        cost: what it costs that the kind only stands in.
        quality: what a step of quality gains.
        standard: what a piece to standard gains, 0 where the period is not right.
        lowest: the grade's value from which a piece is to standard.
        held: what a piece set aside by hand gains.
        target: code of the line's target.
    """

    demand: int
    cost: int
    quality: int
    standard: int
    lowest: int
    held: int
    target: str


class Component:
    """The sharing of the pieces of some kinds among some lines.

    Args:
        asks: the lines, the first rank first.
        fills: how far each is filled so far; only ``line`` and ``period`` count until pieces are taken in.
        policy: which criteria come first.
        needs: pieces that each target which shares its rank asks for in all, by code.
    """

    def __init__(
        self, asks: Sequence[Ask], fills: Sequence[LineFill], policy: Policy, needs: Mapping[str, int]
    ) -> None:
        self.asks = asks
        self._policy = policy
        self._needs = needs
        self.stock: dict[Kind, dict[Piece, int]] = {}
        self.fills = list(fills)
        self._network: Network | None = None
        # As the network numbers them that has no groups.
        self._demands = list(range(len(asks)))
        self._places: dict[int, int] = {}
        self._supplies: dict[Piece, int] = {}
        self._pieces: dict[int, Piece] = {}
        self._roads: dict[Kind, list[_Road]] = {}
        self._even: dict[int, tuple[int, Sequence[int]]] = {}

    # Sharing

    def load(self, stock: Mapping[Kind, Mapping[Piece, int]], kept: Mapping[int, Mapping[Piece, int]]) -> None:
        """Take in all pieces at once.

        Args:
            stock: pieces by kind, each heap above 0.
            kept: by place of a line what an earlier sharing gave it; kept to where it costs nothing.
        """
        for kind, pieces in stock.items():
            self.stock[kind] = dict(pieces)
        if self._counted_out() or not any(stock.values()):
            return
        heaps = sum(map(len, stock.values()))
        if kept or self._is_shared or not is_small(heaps, len(self.asks)):
            self._build(kept)
        else:
            self._share_at_once()

    def update(self, kind: Kind, pieces: Mapping[Piece, int]) -> list[int]:
        """Take in what there is of one kind now.

        Returns:
            Places of the lines whose pieces changed, in order.
        """
        before = self.stock.get(kind, {})
        self.stock[kind] = dict(pieces)
        if self._network is None:
            old = self.fills
            if not self._counted_out():
                self.fills = old[:]
                self._build({place: _pieces(fill) for place, fill in enumerate(old)})
            return [place for place, fill in enumerate(self.fills) if fill != old[place]]
        changes = [(piece, pieces.get(piece, 0) - quantity) for piece, quantity in before.items()]
        changes += [(piece, quantity) for piece, quantity in pieces.items() if piece not in before]
        network = self._network
        moved = network.step([(self._supply(network, piece), by) for piece, by in changes if by])
        places = sorted(self._places[demand] for demand in moved)
        for place in places:
            self._read(network, place)
        return places

    def _counted_out(self) -> bool:
        """Share by counting; False where that is not enough."""
        fills = counted_out(self.asks, self.fills, self.stock, self._asking, self._policy)
        if fills is not None:
            self.fills = fills
        return fills is not None

    def _share_at_once(self) -> None:
        """Share without a network; the first change builds it, and keeps to what is shared here."""
        pieces = [(piece, units) for heaps in self.stock.values() for piece, units in heaps.items()]
        gains = [weight.present for weight in self._weights]
        ways = [[(place, gains[place] - cost) for place, cost in self._arcs(piece)] for piece, _ in pieces]
        rooms = [ask.line.quantity for ask in self.asks]
        for place, got in enumerate(share_at_once(rooms, [units for _, units in pieces], ways)):
            self._fill(place, [(pieces[heap][0], units) for heap, units in got.items()])

    def _build(self, kept: Mapping[int, Mapping[Piece, int]]) -> None:
        network = self._ready_network()
        earlier: dict[Piece, dict[int, int]] = {}
        for place, pieces in kept.items():
            for piece, quantity in pieces.items():
                if piece in self.stock.get(piece.kind, ()):
                    earlier.setdefault(piece, {})[self._demands[place]] = quantity
        for piece, given in earlier.items():
            self._add_supply(network, piece, given)
        changes = [
            (self._supply(network, piece), quantity)
            for pieces in self.stock.values()
            for piece, quantity in pieces.items()
        ]
        # What is worth most goes first: then most pieces stay where they first come to.
        changes.sort(key=lambda change: network.worth(change[0]), reverse=True)
        network.step(changes, {hub: most for hub, (most, _) in self._even.items()})
        if self._even:
            network.regain({hub: gains for hub, (_, gains) in self._even.items()})
            self._even = {}
        for place in range(len(self.asks)):
            self._read(network, place)

    def _ready_network(self) -> Network:
        network = self._network = Network()
        hubs = self._hubs(network)
        self._demands = [
            network.demand(ask.line.quantity, weight.present, hubs.get(ask.target, -1))
            for ask, weight in zip(self.asks, self._weights, strict=True)
        ]
        self._places = {demand: place for place, demand in enumerate(self._demands)}
        return network

    @cached_property
    def _is_shared(self) -> bool:
        """Whether targets share a rank."""
        return any(ask.shared for ask in self.asks)

    @cached_property
    def _weights(self) -> list[Weights]:
        """What a piece counts on each line."""
        groups = sorted({ask.group for ask in self.asks})
        at = {group: place for place, group in enumerate(groups)}
        sizes = [GroupSize(0, False, 0) for _ in groups]
        for ask in self.asks:
            need, shared, dearest = sizes[at[ask.group]]
            dearest = max(dearest, *ask.accepts.values())
            sizes[at[ask.group]] = GroupSize(need + ask.line.quantity, shared or ask.shared, dearest)
        weights = weigh(sizes, self._policy)
        return [weights[at[ask.group]] for ask in self.asks]

    def _hubs(self, network: Network) -> dict[str, int]:
        """A group of the network for each target that shares its rank."""
        needs: dict[int, dict[str, int]] = {}
        present: dict[int, int] = {}
        for ask, weight in zip(self.asks, self._weights, strict=True):
            if ask.shared:
                needs.setdefault(ask.group, {})[ask.target] = self._needs[ask.target]
                present[ask.group] = weight.present
        orders = {group: even_order(each) for group, each in needs.items()}
        gains: dict[str, list[int]] = {code: [] for each in needs.values() for code in each}
        for group, order in orders.items():
            for place, code in enumerate(order):
                gains[code].append((len(order) - place) * present[group])
        if not orders or self._policy is not Policy.COMPLETE:
            return {code: network.group(each) for code, each in gains.items()}
        # How many pieces each of them gets hangs on nothing else, so it is found out first. All pieces are then brought
        # in with one gain for all, and moved on where a target has too many: were each to count a little less than the
        # one before, every single one would be weighed against all others.
        top = {code: present[group] for group, each in needs.items() for code in each}
        even = even_presence(self.asks, self.stock, orders)
        hubs = {code: network.group([top[code]] * len(gains[code])) for code in gains}
        self._even = {hub: (even[code], gains[code]) for code, hub in hubs.items()}
        return hubs

    def _arcs(self, piece: Piece) -> list[tuple[int, int]]:
        """Where a piece may go, and what it costs there."""
        roads = self._roads.get(piece.kind)
        if roads is None:
            roads = self._roads[piece.kind] = self._roads_of(piece.kind)
        only, level, quality = piece.only, piece.level, piece.quality
        if only:
            return [
                (road.demand, road.cost - quality * road.quality - road.held - road.standard * (level >= road.lowest))
                for road in roads
                if road.target == only
            ]
        return [
            (demand, cost - quality * good - standard if level >= lowest else cost - quality * good)
            for demand, cost, good, standard, lowest, _, _ in roads
        ]

    def _roads_of(self, kind: Kind) -> list[_Road]:
        roads = []
        for place in self._asking.get(kind, ()):
            ask, dear = self.asks[place], self.asks[place].accepts[kind]
            _, held, standard, stand_in, cost, quality = self._weights[place]
            roads.append(
                _Road(
                    self._demands[place],
                    stand_in + dear * cost if dear else 0,
                    quality,
                    standard if ask.right(kind) else 0,
                    ask.line.lowest,
                    held,
                    ask.target,
                )
            )
        return roads

    @cached_property
    def _asking(self) -> dict[Kind, list[int]]:
        """Places of the lines by the kinds they accept."""
        found: dict[Kind, list[int]] = {}
        for place, ask in enumerate(self.asks):
            for kind in ask.accepts:
                found.setdefault(kind, []).append(place)
        return found

    def _supply(self, network: Network, piece: Piece) -> int:
        found = self._supplies.get(piece)
        return self._add_supply(network, piece, {}) if found is None else found

    def _add_supply(self, network: Network, piece: Piece, kept: Mapping[int, int]) -> int:
        supply = self._supplies[piece] = network.supply(self._arcs(piece), kept)
        self._pieces[supply] = piece
        return supply

    def _read(self, network: Network, place: int) -> None:
        """Read from the network what a line gets."""
        flows = network.inflow(self._demands[place])
        self._fill(place, [(self._pieces[supply], units) for supply, units in flows.items()])

    def _fill(self, place: int, got: Iterable[tuple[Piece, int]]) -> None:
        """Put down what a line gets."""
        ask, fill = self.asks[place], self.fills[place]
        shares = []
        present = standard = stand_ins = unknown = 0
        for piece, units in got:
            cost = ask.accepts[piece.kind]
            period = ask.right(piece.kind)
            good = period is True and piece.level >= ask.line.lowest
            present += units
            standard += units if good else 0
            stand_ins += units if cost else 0
            unknown += units if period is None else 0
            shares.append(Share(piece, units, cost, good, period))
        shares.sort(key=Share.order)
        self.fills[place] = line_fill((fill.line, present, standard, stand_ins, unknown, fill.period, tuple(shares)))

    # Asking

    def first_stop(self, piece: Piece) -> int:
        """The place of the line that one more such piece would go to, -1 if it would be spare."""
        network = self._network
        if network is None:
            self._build({place: _pieces(fill) for place, fill in enumerate(self.fills)})
            network = self._network
        assert network is not None
        return self._places.get(network.first_stop(self._arcs(piece)), -1)


def _pieces(fill: LineFill) -> dict[Piece, int]:
    return {share.piece: share.quantity for share in fill.shares}
