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


_Item = Kind | Wild
_Node = tuple[str, int] | Wild
"""A line that hangs together with others (target, place on its list), or all other lines of the target that ask for
kinds of one shade and family."""


def wild_cards(cells: Mapping[Cell, int]) -> dict[Wild, int]:
    """The coarse pieces among some heaps, those thrown out left aside."""
    found: dict[Wild, int] = {}
    for cell, quantity in cells.items():
        if not cell.part and cell.fate is not Fate.OUT and quantity > 0:
            wild = Wild(cell.shade, cell.family)
            found[wild] = found.get(wild, 0) + quantity
    return found


class _Linked(NamedTuple):
    """A line with stand-ins, or whose kind stands in elsewhere."""

    node: tuple[str, int]
    accepts: tuple[Kind, ...]


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
        self._wild: dict[Wild, int] = {}
        self._plain: dict[str, dict[Wild, list[int]]] = {}
        self._linked: dict[tuple[str, int], _Linked] = {}
        self._by_kind: dict[Kind, list[_Linked]] = {}
        self._by_type: dict[Wild, list[_Linked]] = {}
        self._indexed = False

    def renew(self, wild: Mapping[Wild, int], changed: Iterable[str]) -> None:
        """Take in what changed.

        Args:
            wild: the coarse pieces there are now.
            changed: codes of the targets whose lines, or lines that theirs hang together with, changed.
        """
        if wild != self._wild:
            self._wild = dict(wild)
            self._known.clear()
        else:
            for code in changed:
                self._known.pop(code, None)

    @property
    def wild(self) -> Mapping[Wild, int]:
        """The coarse pieces there are."""
        return self._wild

    def of(self, code: str) -> int:
        """Pieces that a target could have present at most; what it has, where there are no coarse pieces."""
        fill = self._fill[code]
        if not self._wild or fill.target.parked or not fill.short:
            return fill.present
        found = self._known.get(code)
        if found is None:
            found = self._known[code] = fill.present + self._most_more(code)
        return found

    def _most_more(self, code: str) -> int:
        if not self._indexed:
            self._index()
        flow = _Flow(
            self._room(code),
            dict(self._wild),
            lambda item: self._takers(code, item),
            lambda node: self._beside(code, node),
            self._content,
        )
        more = 0
        while moved := flow.augment():
            more += moved
        return more

    def _room(self, code: str) -> dict[_Node, int]:
        """What the target lacks, node by node."""
        lines = self._fill[code].lines
        room: dict[_Node, int] = {}
        for wild, places in self._plain[code].items():
            if short := sum(lines[place].short for place in places):
                room[wild] = short
        for place, line in enumerate(lines):
            if line.short and (code, place) in self._linked:
                room[code, place] = line.short
        return room

    def _index(self) -> None:
        """Which lines stand by themselves and which hang together; the same as long as the targets are."""
        self._indexed = True
        for fill in self._fill.all():
            target = fill.target
            plain: dict[Wild, list[int]] = {}
            self._plain[target.code] = plain
            for place, line in enumerate(target.lines):
                if target.parked or not self._fill.is_linked(line.kind):
                    plain.setdefault(self._type(line.kind), []).append(place)
                    continue
                linked = _Linked((target.code, place), tuple(self._fill.accepts(target, place + 1)))
                self._linked[linked.node] = linked
                for kind in linked.accepts:
                    self._by_kind.setdefault(kind, []).append(linked)
                for wild in {self._type(kind) for kind in linked.accepts}:
                    self._by_type.setdefault(wild, []).append(linked)

    def _type(self, kind: Kind) -> Wild:
        return Wild(kind.shade, self._family(kind.part))

    def _takers(self, code: str, item: _Item) -> Iterable[_Node]:
        """Where a piece may go: a wild card wherever one of its kinds is accepted, another piece along its kind."""
        if isinstance(item, Kind):
            for linked in self._by_kind.get(item, ()):
                yield linked.node
            return
        for wild in self._plain[code]:
            if item.may_be(wild):
                yield wild
        for wild, lines in self._by_type.items():
            if item.may_be(wild):
                for linked in lines:
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
        takers: where an item may go.
        beside: lines that may pass on a piece if one of another target takes one, and how many it may take so.
        content: what a node has and could pass on.
    """

    def __init__(
        self,
        room: dict[_Node, int],
        left: dict[Wild, int],
        takers: Callable[[_Item], Iterable[_Node]],
        beside: Callable[[_Node], tuple[int, Iterable[_Node]]],
        content: Callable[[_Node], dict[_Item, int]],
    ) -> None:
        self._room = room
        self._left = left
        self._takers = takers
        self._beside = beside
        self._content_of = content
        self._contents: dict[_Node, dict[_Item, int]] = {}
        self._slack: dict[_Node, int] = {}

    def _content(self, node: _Node) -> dict[_Item, int]:
        found = self._contents.get(node)
        if found is None:
            found = self._contents[node] = self._content_of(node)
        return found

    def augment(self) -> int:
        """Send as many units as fit along one shortest path; 0 where there is none."""
        came: dict[_Node, tuple[_Node | None, _Item | None]] = {}
        asked: set[_Item] = set()
        waiting: deque[_Node] = deque()

        def visit(source: _Node | None, item: _Item) -> None:
            if item not in asked:
                asked.add(item)
                for node in self._takers(item):
                    if node not in came:
                        came[node] = source, item
                        waiting.append(node)

        for wild, left in self._left.items():
            if left:
                visit(None, wild)
        while waiting:
            node = waiting.popleft()
            if self._room.get(node):
                return self._send(node, came)
            for item, units in self._content(node).items():
                if units:
                    visit(node, item)
            slack, nodes = self._beside(node)
            if self._slack.setdefault(node, slack):
                for there in nodes:
                    if there not in came:
                        came[there] = node, None
                        waiting.append(there)
        return 0

    def _send(self, end: _Node, came: Mapping[_Node, tuple[_Node | None, _Item | None]]) -> int:
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
                self._slack[there] = self._slack.get(there, self._beside(there)[0]) + units
                continue
            if source is not None:
                self._content(source)[item] -= units
            elif isinstance(item, Wild):
                self._left[item] -= units
            content = self._content(there)
            content[item] = content.get(item, 0) + units
        return units

    def _had(self, source: _Node | None, item: _Item | None) -> int:
        if source is None:
            assert isinstance(item, Wild), "only wild cards come from outside"
            return self._left[item]
        return self._slack[source] if item is None else self._content(source)[item]
