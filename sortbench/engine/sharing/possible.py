"""How far a target could be filled if the pieces nobody has looked at closely turn out to be what it lacks.

A coarse count ("a grey plate, size not looked at") is a wild card: it may be any kind of its shade and shape family.
What a target could have at most is what it has, and a maximum flow of wild cards into what it lacks: straight, or by
way of a line that takes the wild card and passes on a piece that may fill another. A target of a shared rank may also
take the wild card on one line and pass on a piece of another line, for such targets are filled evenly. No target loses
a piece by it, and no sharing of the same pieces, looked at, can give the target more. The flow is found by augmenting
paths (L. R. Ford and D. R. Fulkerson 1956, shortest first after J. Edmonds and R. M. Karp 1972; cited from memory).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from sortbench.engine.fill import Fill
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Cell, Fate


@dataclass(frozen=True, slots=True)
class Wild:
    """What is known of a coarse piece; empty where it is not. No tuple, so that it never equals a kind."""

    shade: str
    family: str

    def may_be(self, other: Wild) -> bool:
        """Whether a piece of which this is known may be one of that shade and family."""
        return self.shade in ("", other.shade) and self.family in ("", other.family)


_Item = Kind | int
"""What may be passed on: a piece of a kind, or a wild card by its number."""
_Node = tuple[str, int] | int
"""Where pieces are lacking: a line that hangs together with others (target, place on its list), or all other lines of
the target that ask for kinds of one shade and family, by the number of these."""


def wild_cards(cells: Mapping[Cell, int]) -> dict[Wild, int]:
    """The coarse pieces among some heaps, those thrown out left aside."""
    found: dict[Wild, int] = {}
    for cell, quantity in cells.items():
        if not cell.part and cell.fate is not Fate.OUT and quantity > 0:
            wild = Wild(cell.shade, cell.family)
            found[wild] = found.get(wild, 0) + quantity
    return found


class _Linked(NamedTuple):
    """A line with stand-ins, or whose kind stands in elsewhere; and the kind that stands for all it hangs with."""

    node: tuple[str, int]
    root: Kind


class Possible:
    """The most that each target could have present; worked out when asked for, and kept until it changes.

    Args:
        fill: the sharing.
        family: tells the shape family of a part.
    """

    def __init__(self, fill: Fill, family: Callable[[str], str]) -> None:
        self._fill = fill
        self._family = family
        self._known: dict[str, int] = {}
        self._stale: set[str] = set()
        self._wild: dict[Wild, int] = {}
        self._cards: list[tuple[int, ...]] = []
        # Which lines stand by themselves and which hang together: the same as long as the targets are.
        self._types: dict[Wild, int] = {}
        self._plain: dict[str, dict[int, list[int]]] = {}
        self._own: dict[str, dict[int, list[tuple[str, int]]]] = {}
        self._roots: dict[tuple[str, int], Kind] = {}
        self._by_kind: dict[Kind, list[_Linked]] = {}
        self._by_type: dict[int, list[_Linked]] = {}

    def renew(self, wild: Mapping[Wild, int]) -> None:
        """Take in the coarse pieces there are now."""
        if wild != self._wild:
            self._wild = dict(wild)
            self._cards.clear()
            self._stale = {fill.target.code for fill in self._fill.all()}

    def touch(self, codes: Iterable[str]) -> None:
        """Take in that lines of these targets, or lines that theirs hang together with, changed."""
        self._stale.update(codes)

    def of(self, code: str) -> int:
        """Pieces that a target could have present at most; what it has, where there are no coarse pieces."""
        fill = self._fill[code]
        if not self._wild or fill.target.parked or not fill.short:
            return fill.present
        if code in self._stale:
            self._stale.discard(code)
            self._known[code] = fill.present + self._most_more(code)
        return self._known[code]

    def seen(self, code: str) -> int:
        """As :meth:`of` was worked out last, at no cost; never below what the target has."""
        fill = self._fill[code]
        return max(fill.present, self._known.get(code, 0)) if self._wild and not fill.target.parked else fill.present

    @property
    def is_stale(self) -> bool:
        """Whether some figure is to be worked out anew."""
        return bool(self._stale)

    def settle_one(self) -> bool:
        """Work out one target anew, if any has changed; False if all figures are right already."""
        if self._stale:
            self.of(code := next(iter(self._stale)))
            self._stale.discard(code)
            return True
        return False

    def _most_more(self, code: str) -> int:
        if not self._types:
            self._index()
        if not self._cards:
            self._cards = [
                tuple(number for each, number in self._types.items() if wild.may_be(each)) for wild in self._wild
            ]
        flow = _Flow(self._room(code), dict(enumerate(self._wild.values())), self._content)
        more = 0
        for card in range(len(self._cards)):  # straight into what is lacking, as far as that goes
            more += flow.straight(card, self._straight_to(code, card))
        while flow.is_open:
            roots = {self._roots[node] for node in flow.reached() if isinstance(node, tuple)}
            moved = flow.augment(partial(self._takers, code, roots), partial(self._beside, code))
            if not moved:
                break
            more += moved
        return more

    def _room(self, code: str) -> dict[_Node, int]:
        """What the target lacks, node by node."""
        lines, roots = self._fill[code].lines, self._roots
        room: dict[_Node, int] = {}
        for number, places in self._plain[code].items():
            short = 0
            for place in places:
                line = lines[place]
                short += line.line.quantity - line.present
            if short:
                room[number] = short
        for nodes in self._own[code].values():
            for node in nodes:
                if node in roots and (short := lines[node[1]].short):
                    room[node] = short
        return room

    def _index(self) -> None:
        numbers: dict[Kind, int] = {}

        def number_of(kind: Kind) -> int:
            found = numbers.get(kind)
            if found is None:
                wild = Wild(kind.shade, self._family(kind.part))
                found = numbers[kind] = self._types.setdefault(wild, len(self._types))
            return found

        for fill in self._fill.all():
            target = fill.target
            plain: dict[int, list[int]] = {}
            own: dict[int, list[tuple[str, int]]] = {}
            self._plain[target.code], self._own[target.code] = plain, own
            for place, line in enumerate(target.lines):
                if target.parked or not self._fill.is_linked(line.kind):
                    plain.setdefault(number_of(line.kind), []).append(place)
                    continue
                linked = _Linked((target.code, place), self._fill.root(line.kind))
                self._roots[linked.node] = linked.root
                accepts = self._fill.accepts(target, place + 1)
                for kind in accepts:
                    self._by_kind.setdefault(kind, []).append(linked)
                for number in {number_of(kind) for kind in accepts}:
                    self._by_type.setdefault(number, []).append(linked)
                    own.setdefault(number, []).append(linked.node)

    def _straight_to(self, code: str, card: int) -> Iterable[_Node]:
        """Nodes of a target that may take a wild card."""
        plain, own = self._plain[code], self._own[code]
        for number in self._cards[card]:
            if number in plain:
                yield number
            yield from own.get(number, ())

    def _takers(self, code: str, roots: set[Kind], item: _Item) -> Iterable[_Node]:
        """Where a piece may go to some end: to the target, or to lines that hang together with one of its own."""
        if not isinstance(item, int):
            for linked in self._by_kind.get(item, ()):
                yield linked.node
            return
        yield from self._straight_to(code, item)
        for number in self._cards[item]:
            for linked in self._by_type.get(number, ()):
                if linked.root in roots:
                    yield linked.node

    def _content(self, node: _Node) -> dict[_Item, int]:
        """The pieces that a line has and could pass on; those set aside for a target stay where they are."""
        content: dict[_Item, int] = {}
        if isinstance(node, tuple):
            code, place = node
            for share in self._fill[code].lines[place].shares:
                if not share.piece.only:
                    content[share.piece.kind] = content.get(share.piece.kind, 0) + share.quantity
        return content

    def _beside(self, code: str, node: _Node) -> tuple[int, Iterable[_Node]]:
        """How many a line may take while others of its target pass on as many, if that shares its rank; and these."""
        if not isinstance(node, tuple) or node[0] == code or not self._fill.shares_rank(node[0]):
            return 0, ()
        lines = self._fill[node[0]].lines
        return lines[node[1]].short, ((node[0], place) for place in range(len(lines)))


class _Flow:
    """Wild cards on their way into what one target lacks.

    Args:
        room: units that nodes of the target lack.
        left: wild cards not yet placed.
        content: what a node has and could pass on.
    """

    def __init__(
        self, room: dict[_Node, int], left: dict[int, int], content: Callable[[_Node], dict[_Item, int]]
    ) -> None:
        self._room = room
        self._left = left
        self._content_of = content
        self._contents: dict[_Node, dict[_Item, int]] = {}
        self._slack: dict[_Node, int] = {}

    @property
    def is_open(self) -> bool:
        """Whether a wild card is left, and something is lacking."""
        return any(self._left.values()) and any(self._room.values())

    def reached(self) -> Iterable[_Node]:
        """Nodes that still lack something, or hold a wild card that they could pass on."""
        return (node for node, units in self._room.items() if units or node in self._contents)

    def _content(self, node: _Node) -> dict[_Item, int]:
        found = self._contents.get(node)
        if found is None:
            found = self._contents[node] = self._content_of(node)
        return found

    def straight(self, card: int, nodes: Iterable[_Node]) -> int:
        """Put wild cards of one sort where they are lacking; how many found room."""
        before = left = self._left[card]
        for node in nodes:
            if not left:
                break
            if units := min(left, self._room.get(node, 0)):
                left -= units
                self._room[node] -= units
                content = self._content(node)
                content[card] = content.get(card, 0) + units
        self._left[card] = left
        return before - left

    def augment(
        self,
        takers: Callable[[_Item], Iterable[_Node]],
        beside: Callable[[_Node], tuple[int, Iterable[_Node]]],
    ) -> int:
        """Send as many units as fit along one shortest path; 0 where there is none.

        Args:
            takers: where an item may go.
            beside: how many a line of another target may take while others of that target pass on as many; and these.
        """
        came: dict[_Node, tuple[_Node | None, _Item | None]] = {}
        asked: set[_Item] = set()
        waiting: deque[_Node] = deque()

        def visit(source: _Node | None, item: _Item) -> None:
            if item not in asked:
                asked.add(item)
                for node in takers(item):
                    if node not in came:
                        came[node] = source, item
                        waiting.append(node)

        for card, left in self._left.items():
            if left:
                visit(None, card)
        while waiting:
            node = waiting.popleft()
            if self._room.get(node):
                return self._send(node, came, beside)
            for item, units in self._content(node).items():
                if units:
                    visit(node, item)
            slack, nodes = beside(node)
            if self._slack.setdefault(node, slack):
                for there in nodes:
                    if there not in came:
                        came[there] = node, None
                        waiting.append(there)
        return 0

    def _send(
        self,
        end: _Node,
        came: Mapping[_Node, tuple[_Node | None, _Item | None]],
        beside: Callable[[_Node], tuple[int, Iterable[_Node]]],
    ) -> int:
        path: list[tuple[_Node | None, _Item | None, _Node]] = []
        node: _Node | None = end
        while node is not None:
            source, item = came[node]
            path.append((source, item, node))
            node = source
        units = self._room[end]
        for source, item, _ in path:
            units = min(units, self._had(source, item))
        self._room[end] -= units
        for source, item, there in path:
            if item is None:
                assert source is not None, "only a line has lines beside it"
                self._slack[source] -= units
                self._slack[there] = self._slack.get(there, beside(there)[0]) + units
                continue
            if source is not None:
                self._content(source)[item] -= units
            elif isinstance(item, int):
                self._left[item] -= units
            content = self._content(there)
            content[item] = content.get(item, 0) + units
        return units

    def _had(self, source: _Node | None, item: _Item | None) -> int:
        if source is None:
            assert isinstance(item, int), "only wild cards come from outside"
            return self._left[item]
        return self._slack[source] if item is None else self._content(source)[item]
