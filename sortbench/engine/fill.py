"""Who gets which piece: pooled pieces shared among the targets, and how far each is filled.

The sharing is the best there is by the criteria of :mod:`sortbench.engine.sharing.criteria`, exactly, and it is kept
up to date piece by piece: a tally re-shares the one component of kinds and lines that it touches.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager

from sortbench.engine.sharing.asks import Ask, Right
from sortbench.engine.sharing.component import Component
from sortbench.engine.sharing.fill_figures import Gain, Home, Part, TargetFill, Want
from sortbench.engine.sharing.links import Links
from sortbench.engine.sharing.pieces import Piece, Reserved, pieces_of
from sortbench.engine.sharing.plain import is_unmistakable, share_kind
from sortbench.engine.sharing.shares import LineFill, Share, line_fill
from sortbench.engine.sharing.stand_ins import Swaps
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Policy, Swap, Target

__all__ = ["Fill", "Gain", "Home", "LineFill", "Part", "Piece", "Share", "TargetFill", "Want"]


_Spot = tuple[TargetFill, int]
"""A line: its target's fill and its place on the list, from 0."""
_Heaps = Callable[[Kind], Mapping[Cell, int]]


def _no_heaps(_: Kind) -> Mapping[Cell, int]:
    return {}


def _nothing_reserved(_: Kind) -> Reserved:
    return {}


class Fill:
    """The sharing of all pieces.

    Args:
        targets: in any order; rank and code decide. Targets of one rank are filled evenly.
        catalogue: tells the years.
        heaps: all heaps of a kind; without it nothing is counted yet.
        swaps: the catalogue's stand-in rules.
        policy: which criteria come first.
        reserved: pieces of a kind that were set aside by hand.
        before: an earlier sharing; where several are equally good, the one nearest to it is taken.
    """

    def __init__(
        self,
        targets: Iterable[Target],
        catalogue: Catalogue,
        heaps: _Heaps = _no_heaps,
        *,
        swaps: Iterable[Swap] = (),
        policy: Policy = Policy.COMPLETE,
        reserved: Callable[[Kind], Reserved] = _nothing_reserved,
        before: Fill | None = None,
    ) -> None:
        self.targets = tuple(sorted(targets, key=lambda t: (t.rank, t.code)))
        self.policy = policy
        self._heaps = heaps
        self._reserved = reserved
        self._right: dict[int | None, Right] = {t.year: catalogue.right_in(t.year) for t in self.targets}
        self._order = {target.code: place for place, target in enumerate(self.targets)}
        self._fills: dict[str, TargetFill] = {}
        self._asks: dict[Kind, list[_Spot]] = {}
        self._open: dict[Kind, Component] = {}
        self._spots: dict[Kind, list[_Spot]] = {}
        with _collector_off():
            self._list_all()
            self._links = Links(self.targets, Swaps(swaps))
            self._share_all(heaps, before)
        for fill in self._fills.values():
            fill.sum_up()

    def _list_all(self) -> None:
        for target in self.targets:
            right = self._right[target.year]
            lines = [line_fill((line, 0, 0, 0, 0, right(line.kind), ())) for line in target.lines]
            fill = self._fills[target.code] = TargetFill(target, lines)
            for index, line in enumerate(target.lines):
                self._asks.setdefault(line.kind, []).append((fill, index))

    def _share_all(self, heaps: _Heaps, before: Fill | None) -> None:
        linked = self._links.roots
        for kind in self._asks:
            if kind in linked:
                continue
            if cells := heaps(kind):
                self._share_plain(kind, pieces_of(kind, cells, self._reserved(kind)), before)
        for root, kinds in self._links.parts.items():
            stock = {kind: pieces_of(kind, cells, self._reserved(kind)) for kind in kinds if (cells := heaps(kind))}
            if stock:
                self._load(root, stock, before)

    def _share_plain(self, kind: Kind, pieces: Mapping[Piece, int], before: Fill | None) -> None:
        """Share a kind that hangs together with no other."""
        spots = [spot for spot in self._asks[kind] if not spot[0].target.parked]
        if is_unmistakable(pieces) and len({fill.target.code for fill, _ in spots}) == len(spots):
            shared = share_kind(pieces, [fill.lines[index] for fill, index in spots], self.policy)
            for (fill, index), line in zip(spots, shared, strict=True):
                fill.lines[index] = line
        else:
            self._load(kind, {kind: pieces}, before)

    def _load(self, root: Kind, stock: Mapping[Kind, Mapping[Piece, int]], before: Fill | None) -> None:
        component = self._component(root)
        spots = self._spots[root]
        component.load(stock, _given_by(before, spots))
        for (fill, index), line in zip(spots, component.fills, strict=True):
            fill.lines[index] = line

    def _component(self, kind: Kind) -> Component:
        """The component of a kind that at least one line accepts."""
        root = self.root(kind)
        found = self._open.get(root)
        if found is None:
            spots = self._spots[root] = self._spots_of(root)
            asks = []
            for fill, index in spots:
                target, line = fill.target, fill.lines[index].line
                accepts = self._links.accepts(target, index)
                group, shared = self._links.group(target)
                asks.append(Ask(target.code, group, shared, line, accepts, self._right[target.year]))
            fills = [fill.lines[index] for fill, index in spots]
            found = self._open[root] = Component(asks, fills, self.policy, self._links.needs)
        return found

    def _spots_of(self, root: Kind) -> list[_Spot]:
        """The lines of a component, the first rank first, in the order of their lists."""
        kinds = self._links.parts.get(root, (root,))
        spots = [spot for kind in kinds for spot in self._asks.get(kind, ()) if not spot[0].target.parked]
        if len(kinds) > 1:
            spots.sort(key=lambda spot: (self._order[spot[0].target.code], spot[1]))
        return spots

    # Asking

    def __getitem__(self, code: str) -> TargetFill:
        """The fill of one target, by code."""
        return self._fills[code]

    def __contains__(self, code: str) -> bool:
        """Whether there is a target of this code."""
        return code in self._fills

    def all(self) -> Iterable[TargetFill]:
        """All targets, the highest-ranked first."""
        return self._fills.values()

    @property
    def kinds(self) -> Iterable[Kind]:
        """Kinds that at least one line asks for."""
        return self._asks.keys()

    def asked(self, kind: Kind) -> int:
        """Pieces of a kind that all targets together ask for."""
        return sum(fill.lines[index].line.quantity for fill, index in self._asks.get(kind, ()))

    def needs(self) -> dict[Kind, int]:
        """Pieces still missing of every kind that some line lacks."""
        lacking: dict[Kind, int] = {}
        for fill in self._fills.values():
            if not fill.target.parked:
                for line in fill.lines:
                    if line.short:
                        lacking[line.line.kind] = lacking.get(line.line.kind, 0) + line.short
        return lacking

    def wants(self, kind: Kind) -> list[Want]:
        """Lines that still lack pieces of a kind, the highest-ranked target first."""
        found = []
        for fill, index in self._asks.get(kind, ()):
            if (short := fill.lines[index].short) and not fill.target.parked:
                found.append(Want(fill.target, index + 1, short))
        return found

    def accepts(self, target: Target, number: int) -> Mapping[Kind, int]:
        """Kinds that may fill a line and what each costs in correctness, the kind asked for (0) first."""
        return self._links.accepts(target, number - 1)

    def is_linked(self, kind: Kind) -> bool:
        """Whether a kind hangs together with others, through stand-ins or targets that share a rank."""
        return kind in self._links.roots

    def root(self, kind: Kind) -> Kind:
        """The kind that stands for all that hang together with this one; itself, if none does."""
        return self._links.roots.get(kind, kind)

    def shares_rank(self, code: str) -> bool:
        """Whether other targets have the same rank, so that they are filled evenly."""
        return code in self._links.needs

    def targets_near(self, kind: Kind) -> set[str]:
        """Codes of the targets whose lines may change when pieces of a kind come or go."""
        root = self.root(kind)
        spots = self._spots.get(root)
        return {fill.target.code for fill, _ in (self._spots_of(root) if spots is None else spots)}

    def is_accepted(self, kind: Kind) -> bool:
        """Whether any line may be filled by a kind."""
        return kind in self._asks or kind in self._links.roots

    def used(self, kind: Kind) -> int:
        """Pieces of a kind that some line has."""
        if not self.is_accepted(kind):
            return 0
        root = self.root(kind)
        if root not in self._open:
            return sum(fill.lines[index].present for fill, index in self._asks.get(root, ()))
        fills = self._open[root].fills
        return sum(share.quantity for fill in fills for share in fill.shares if share.piece.kind == kind)

    def spare(self, kind: Kind, cells: Mapping[Cell, int]) -> int:
        """Pieces of a kind that no target needs."""
        usable = sum(n for cell, n in cells.items() if cell.fate is not Fate.OUT)
        return max(0, usable - self.used(kind))

    def part_of(self, kind: Kind) -> Part:
        """The lines that hang together with a kind; none, where no line accepts it."""
        if not self.is_accepted(kind):
            return Part((), (), (), {})
        asks = self._component(kind).asks
        spots = self._spots[self.root(kind)]
        return Part(
            tuple(Home(fill.target, index + 1) for fill, index in spots),
            tuple(asks),
            tuple(fill.lines[index] for fill, index in spots),
            self._links.needs,
        )

    def home(self, piece: Piece) -> Home | None:
        """Where one more such piece would go, None if no target needs it."""
        if not self.is_accepted(piece.kind):
            return None
        root = self.root(piece.kind)
        if root not in self._open and (cells := self._heaps(piece.kind)):
            # A kind by itself was counted out at the start, without a component.
            self._load(root, {piece.kind: pieces_of(piece.kind, cells, self._reserved(piece.kind))}, None)
        place = self._component(root).first_stop(piece)
        if place < 0:
            return None
        fill, index = self._spots[root][place]
        return Home(fill.target, index + 1)

    # Changes

    def update(self, kind: Kind, cells: Mapping[Cell, int]) -> list[Gain]:
        """Share anew after the pieces of one kind changed.

        Args:
            kind: which kind.
            cells: all its heaps.

        Returns:
            What each line gained or lost that has other pieces than before.
        """
        if not self.is_accepted(kind):
            return []
        component = self._component(kind)
        spots = self._spots[self.root(kind)]
        gains = []
        for place in component.update(kind, pieces_of(kind, cells, self._reserved(kind))):
            fill, index = spots[place]
            old, new = fill.lines[index], component.fills[place]
            fill.put(index, new)
            taken = _pieces_of_kind(new, kind) - _pieces_of_kind(old, kind)
            if taken or new.present != old.present:
                gains.append(Gain(fill.target, index + 1, new.present - old.present, taken))
        return gains


@contextmanager
def _collector_off() -> Iterator[None]:
    """Nothing of a sharing is garbage while it is made, and looking through it again and again takes half the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _pieces_of_kind(line: LineFill, kind: Kind) -> int:
    return sum(share.quantity for share in line.shares if share.piece.kind == kind)


def _given_by(before: Fill | None, spots: Iterable[_Spot]) -> dict[int, dict[Piece, int]]:
    """What an earlier sharing gave to lines, by their place."""
    if before is None:
        return {}
    given = {}
    for place, (fill, index) in enumerate(spots):
        if fill.target.code in before:
            lines = before[fill.target.code].lines
            if index < len(lines) and lines[index].line.kind == fill.lines[index].line.kind and lines[index].shares:
                given[place] = {share.piece: share.quantity for share in lines[index].shares}
    return given
