"""Who gets which piece: pooled pieces shared among the targets, and how far each is filled.

The rule: targets in the order of their rank, then code; only the exact kinds that a list asks for. Per kind, in this
order: as many pieces present as there are, target by target; of these as many to standard as can be, target by target;
then the best grades to the targets that come first, as far as no later line loses its standard by it. Kinds do not
compete with each other, so a tally re-shares the one kind it touches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, Target

_KEPT, _OUT = Fate.KEPT, Fate.OUT  # looked up once: an enum's members are slow to get at


class Stock(NamedTuple):
    """Like pieces of one kind, wherever they lie."""

    grade: Grade | None
    flaws: Flaws
    ready: bool

    @property
    def level(self) -> int:
        """The grade's value if nothing else is wrong with the piece, else 0: never to standard."""
        return int(self.grade) if self.grade is not None and not self.flaws and self.ready else 0


class LineFill(NamedTuple):
    """How far one line is filled. A tuple, for there are thousands and a start of the app waits until each is made.

    Attributes:
        line: what is asked for.
        present: pieces of any grade.
        standard: pieces whose grade, flaws and period are all right.
        period: whether the kind is right for the target's year; None where years are not known.
        shares: which pieces, best first.
    """

    line: Line
    present: int = 0
    standard: int = 0
    period: bool | None = None
    shares: tuple[tuple[Stock, int], ...] = ()

    @property
    def short(self) -> int:
        """Pieces still missing."""
        return self.line.quantity - self.present


_line_fill = partial(tuple.__new__, LineFill)
"""A line fill from all its fields at once: half the time that calling the class takes."""


class TargetFill:
    """How far one target is filled; kept up to date line by line.

    Attributes:
        target: what is to be completed.
        lines: its lines, in the order of its list.
        need, present, standard: pieces asked for, present, to standard.
        lines_complete: lines that lack nothing.
        period_unknown: pieces present whose years nobody has told.
    """

    __slots__ = ("lines", "lines_complete", "need", "period_unknown", "present", "standard", "target")

    def __init__(self, target: Target, lines: list[LineFill]) -> None:
        self.target = target
        self.lines = lines
        self.need = self.present = self.standard = self.lines_complete = self.period_unknown = 0

    def sum_up(self) -> None:
        """Work the figures out from the lines, once these are there; from then on :meth:`put` keeps them."""
        for line, present, standard, period, _ in self.lines:
            self.need += line.quantity
            self.present += present
            self.standard += standard
            self.lines_complete += present == line.quantity
            if period is None:
                self.period_unknown += present

    @property
    def short(self) -> int:
        """Pieces still missing."""
        return self.need - self.present

    @property
    def complete(self) -> bool:
        """Whether nothing is missing; an empty list is never complete."""
        return self.need > 0 and self.present >= self.need

    def put(self, index: int, line: LineFill) -> None:
        """Exchange one line's figures."""
        old = self.lines[index]
        self.present += line.present - old.present
        self.standard += line.standard - old.standard
        self.lines_complete += (line.short == 0) - (old.short == 0)
        if line.period is None:
            self.period_unknown += line.present - old.present
        self.lines[index] = line


class Want(NamedTuple):
    """A line that still asks for a kind. ``number`` counts lines from 1, as the list does."""

    target: Target
    number: int
    short: int


class Gain(NamedTuple):
    """What one line gained (or lost, below 0) when a kind was shared anew."""

    target: Target
    number: int
    present: int


def _nothing(_: Kind) -> Mapping[Cell, int]:
    return {}


class Fill:
    """The sharing of all pieces, kind by kind.

    Args:
        targets: in any order; rank and code decide.
        catalogue: tells the years.
        heaps: all heaps of a kind; without it nothing is counted yet.
    """

    def __init__(
        self, targets: Iterable[Target], catalogue: Catalogue, heaps: Callable[[Kind], Mapping[Cell, int]] = _nothing
    ) -> None:
        self.targets = tuple(sorted(targets, key=lambda t: (t.rank, t.code)))
        self._fills: dict[str, TargetFill] = {}
        self._asks: dict[Kind, list[tuple[TargetFill, int]]] = {}
        years = {target.year: catalogue.right_in(target.year) for target in self.targets}
        for target in self.targets:
            right = years[target.year]
            lines = [_line_fill((line, 0, 0, right(line.kind), ())) for line in target.lines]
            fill = self._fills[target.code] = TargetFill(target, lines)
            for index, line in enumerate(target.lines):
                self._asks.setdefault(line.kind, []).append((fill, index))
        for kind, asks in self._asks.items():
            if cells := heaps(kind):
                shared = share_kind(_stock(cells), [fill.lines[index] for fill, index in asks])
                for (fill, index), line_fill in zip(asks, shared, strict=True):
                    fill.lines[index] = line_fill
        for fill in self._fills.values():
            fill.sum_up()

    def __getitem__(self, code: str) -> TargetFill:
        """The fill of one target, by code."""
        return self._fills[code]

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
            for line in fill.lines:
                if line.short:
                    lacking[line.line.kind] = lacking.get(line.line.kind, 0) + line.short
        return lacking

    def wants(self, kind: Kind) -> list[Want]:
        """Lines that still lack pieces of a kind, the highest-ranked target first."""
        found = []
        for fill, index in self._asks.get(kind, ()):
            if short := fill.lines[index].short:
                found.append(Want(fill.target, index + 1, short))
        return found

    def lines_for(self, kind: Kind) -> list[tuple[Target, LineFill]]:
        """Every line that asks for a kind, with its figures."""
        return [(fill.target, fill.lines[index]) for fill, index in self._asks.get(kind, ())]

    def spare(self, kind: Kind, cells: Mapping[Cell, int]) -> int:
        """Pieces of a kind that no target needs."""
        usable = sum(n for cell, n in cells.items() if cell.fate is not Fate.OUT)
        return max(0, usable - sum(line.present for _, line in self.lines_for(kind)))

    def update(self, kind: Kind, cells: Mapping[Cell, int]) -> list[Gain]:
        """Share the pieces of one kind anew.

        Args:
            cells: all heaps of the kind.

        Returns:
            What each line that asks for it gained or lost.
        """
        asks = self._asks.get(kind)
        if not asks:
            return []
        olds = [fill.lines[index] for fill, index in asks]
        gains = []
        for (fill, index), old, new in zip(asks, olds, share_kind(_stock(cells), olds), strict=True):
            if new != old:
                fill.put(index, new)
                if new.present != old.present:
                    gains.append(Gain(fill.target, index + 1, new.present - old.present))
        return gains


def _stock(cells: Mapping[Cell, int]) -> dict[Stock, int]:
    """The pieces of some heaps that can be shared: all but those thrown out."""
    stock: dict[Stock, int] = {}
    for (_, _, _, _, grade, flaws, fate), quantity in cells.items():
        if fate is not _OUT and quantity > 0:
            piece = Stock(grade, flaws, fate is _KEPT)
            stock[piece] = stock.get(piece, 0) + quantity
    return stock


def share_kind(stock: Mapping[Stock, int], lines: Sequence[LineFill]) -> list[LineFill]:
    """Share the pieces of one kind among the lines that ask for it, given in the order of their targets.

    Standards are nested (who takes a 4 takes a 5), so the greatest number to standard follows from counting: for each
    grade, the lines that ask for it or better can have no more than the pieces of that grade or better (Hall's
    condition, P. Hall 1935, for nested sets).

    Args:
        stock: pieces, each heap above 0.
        lines: only ``line`` and ``period`` are read.

    Returns:
        The same lines with present, standard and shares worked out.
    """
    if len(stock) == 1:
        return _share_alike(*next(iter(stock.items())), lines)
    left = sum(stock.values())
    supply = [0] * (Grade.G5 + 1)
    for piece, quantity in stock.items():
        supply[piece.level] += quantity
    present, to_standard = [], []
    slack = [sum(supply[g:]) for g in range(len(supply))]
    for fill in lines:
        got = min(fill.line.quantity, left)
        left -= got
        present.append(got)
        lowest = fill.line.lowest
        good = max(0, min(got, min(slack[1 : lowest + 1]))) if fill.period else 0
        for g in range(1, lowest + 1):
            slack[g] -= good
        to_standard.append(good)
    best_first = sorted(stock, key=_best_first)
    remaining = dict(stock)
    shares: list[list[tuple[Stock, int]]] = [[] for _ in lines]
    for index, fill in enumerate(lines):
        _take(remaining, best_first, shares[index], to_standard[index], fill.line.lowest, slack)
    for index in range(len(lines)):
        _take(remaining, best_first, shares[index], present[index] - to_standard[index], 0, None)
    return [
        LineFill(fill.line, present[i], to_standard[i], fill.period, tuple(shares[i])) for i, fill in enumerate(lines)
    ]


def _share_alike(piece: Stock, quantity: int, lines: Sequence[LineFill]) -> list[LineFill]:
    """The common case of :func:`share_kind`: all pieces alike, so only their number is to be shared."""
    shared = []
    level = piece.level
    for line, _, _, period, _ in lines:
        got = line.quantity if line.quantity < quantity else quantity
        quantity -= got
        good = got if period and level >= line.lowest else 0
        shared.append(_line_fill((line, got, good, period, ((piece, got),) if got else ())))
    return shared


def _best_first(piece: Stock) -> tuple[int, int, int, Flaws, bool]:
    return (-piece.level, -int(piece.grade or 0), len(piece.flaws), piece.flaws, not piece.ready)


def _take(
    remaining: dict[Stock, int],
    best_first: Sequence[Stock],
    into: list[tuple[Stock, int]],
    wanted: int,
    lowest: int,
    slack: list[int] | None,
) -> None:
    """Move ``wanted`` pieces of at least ``lowest``, best first, but never one that a later line needs.

    ``slack[g]`` is how many pieces of grade g or better no line needs for its standard; None: nothing is needed.
    """
    for piece in best_first:
        if not wanted or (lowest and piece.level < lowest):
            break
        n = min(wanted, remaining[piece])
        if slack is not None:
            n = min([n, *slack[lowest + 1 : piece.level + 1]])
            for g in range(lowest + 1, piece.level + 1):
                slack[g] -= n
        if n > 0:
            remaining[piece] -= n
            into.append((piece, n))
            wanted -= n
