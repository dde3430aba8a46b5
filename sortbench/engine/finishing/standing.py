"""The standing list: what targets lack and neither an open order nor an offer covers.

It is worked out each time, so it changes with every tally, order and offer; nothing is ever put on it by hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from sortbench.engine.finishing.orders import OrderState, left_of
from sortbench.engine.picture import Picture
from sortbench.model.catalogue import Kind
from sortbench.model.offer import Offer
from sortbench.model.standing import StandingNote
from sortbench.model.target import Target


class StandingRow(NamedTuple):
    """A line that lacks pieces.

    Attributes:
        target, name: code and name of the target.
        number: of the line, from 1.
        kind, part_name: what it asks for.
        short: pieces it lacks.
        ordered: of these, pieces that are on order.
        offered: of the rest, pieces that offers have.
        standing: of the rest: they cannot be had at present.
        since: when that was first seen, RFC 3339 in UTC; empty where it is not noted. It may have been so before.
    """

    target: str
    name: str
    number: int
    kind: Kind
    part_name: str
    short: int
    ordered: int
    offered: int
    standing: int
    since: str = ""


class _Coming:
    """Ordered pieces, handed to the lines that lack them."""

    def __init__(self, states: Iterable[OrderState]) -> None:
        self._left: dict[tuple[Kind, str], int] = {}
        for state in states:
            for line in state.lines:
                key = line.line.kind, line.line.target
                self._left[key] = self._left.get(key, 0) + line.awaited

    def take(self, keys: Iterable[tuple[Kind, str]], most: int) -> int:
        """Pieces out of some heaps, at most so many."""
        taken = 0
        for key in keys:
            some = min(most - taken, self._left.get(key, 0))
            if some:
                self._left[key] -= some
                taken += some
        return taken

    def of_kind(self, kind: Kind) -> list[tuple[Kind, str]]:
        """Heaps of a kind, whomever they were ordered for."""
        return [key for key in self._left if key[0] == kind]


def standing_rows(
    picture: Picture,
    states: Iterable[OrderState],
    offers: Mapping[str, Offer],
    notes: Mapping[str, StandingNote] = MappingProxyType({}),
) -> tuple[StandingRow, ...]:
    """Every line that lacks pieces, the first rank first, and how far orders and offers cover it.

    Pieces on order go to the target they were ordered for, stand-ins that it accepts among them; what is left of them,
    and offers, go to lines that ask for that very kind, the first rank first. A parked target lacks nothing.

    Args:
        states: all orders.
        offers: by id.
        notes: by key, since when lines have stood.
    """
    states = tuple(states)
    coming, offered = _Coming(states), _offered(offers, states)
    lines = list(_short_lines(picture))
    own = [
        coming.take([(kind, target.code) for kind in picture.fill.accepts(target, number)], short)
        for target, number, _, short in lines
    ]
    ordered = [
        mine + coming.take(coming.of_kind(kind), short - mine)
        for (_, _, kind, short), mine in zip(lines, own, strict=True)
    ]
    rows = []
    for (target, number, kind, short), known in zip(lines, ordered, strict=True):
        had = min(short - known, offered.get(kind, 0))
        if had:
            offered[kind] -= had
        part = picture.catalogue.part_name(kind.part)
        rest = short - known - had
        noted = notes.get(StandingNote(target.code, kind, "").key) if rest else None
        since = noted.since if noted else ""
        rows.append(StandingRow(target.code, target.name, number, kind, part, short, known, had, rest, since))
    return tuple(rows)


def standing_notes(rows: Iterable[StandingRow], notes: Mapping[str, StandingNote], now: str) -> dict[str, StandingNote]:
    """The notes as they should be: one for each line that stands, and none for those that do no more.

    Args:
        rows: the standing list.
        notes: by key, what is noted so far; what stands since then keeps its time.
        now: RFC 3339 time in UTC, of what is seen for the first time.
    """
    found = (StandingNote(row.target, row.kind, now) for row in rows if row.standing)
    return {note.key: notes.get(note.key, note) for note in found}


def _short_lines(picture: Picture) -> Iterator[tuple[Target, int, Kind, int]]:
    for fill in picture.fill.all():
        if not fill.target.parked:
            for number, line in enumerate(fill.lines, 1):
                if line.short:
                    yield fill.target, number, line.line.kind, line.short


def _offered(offers: Mapping[str, Offer], states: Iterable[OrderState]) -> dict[Kind, int]:
    found: dict[Kind, int] = {}
    for key, left in left_of(offers, states).items():
        kind = offers[key].kind
        found[kind] = found.get(kind, 0) + left
    return found


class Sought:
    """What to say of a piece that turns up, at the moment it is tallied. Asking is a look-up.

    Args:
        states: all orders as they stand.
        offers: by id. Without orders and offers nobody is looking for pieces, and nothing is said.
    """

    def __init__(self, states: Iterable[OrderState], offers: Mapping[str, Offer]) -> None:
        states = tuple(states)
        self._ordered: dict[Kind, list[str]] = {}
        for state in states:
            for line in state.lines:
                ids = self._ordered.setdefault(line.line.kind, [])
                if line.awaited and state.order.id not in ids:
                    ids.append(state.order.id)
        self._offered = {kind for kind, left in _offered(offers, states).items() if left}
        self._looking = bool(states or offers)

    def words(self, kinds: Iterable[Kind]) -> str:
        """In a few words, what holes of these kinds that were just filled were waiting for; often empty."""
        if not self._looking:
            return ""
        said: dict[str, None] = {}
        for kind in kinds:
            if ids := self._ordered.get(kind):
                said[f"on order too ({', '.join(ids)})"] = None
            elif kind not in self._offered:
                said["was on the standing list"] = None
        return ", ".join(said)
