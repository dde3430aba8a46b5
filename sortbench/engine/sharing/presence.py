"""How many pieces targets that share a rank get, so that they are filled evenly.

Worked out before anything else is: which pieces they are makes no difference to how many there can be. One piece after
the other goes to the target whose turn it is, along an augmenting path if no piece lies at hand; a target that has no
path left has none ever after, for the presence vectors are the independent vectors of a polymatroid (see
:mod:`sortbench.engine.sharing.criteria`).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence

from sortbench.engine.sharing.asks import Ask
from sortbench.engine.sharing.pieces import Piece
from sortbench.model.catalogue import Kind

_Source = tuple[Kind, str]
"""Pieces that are alike as far as presence goes: their kind, and the one target that may have them, if any."""


def even_presence(
    asks: Sequence[Ask], stock: Mapping[Kind, Mapping[Piece, int]], order: Mapping[int, Sequence[str]]
) -> dict[str, int]:
    """Pieces that each target of a shared rank gets.

    Args:
        asks: the lines of one component, the first rank first.
        stock: its pieces by kind.
        order: for each shared rank the codes of its targets, once for each piece they ask for, in the order in which
            pieces count.
    """
    sharing = _Presence(asks, stock)
    found: dict[str, int] = {}
    for group in sorted({ask.group for ask in asks}):
        if group in order:
            found |= dict.fromkeys(order[group], 0)
            spent: set[str] = set()
            for code in order[group]:
                if code not in spent:
                    if sharing.add(code):
                        found[code] += 1
                    else:
                        spent.add(code)
        else:
            for code in dict.fromkeys(ask.target for ask in asks if ask.group == group):
                while sharing.add(code):
                    pass
    return found


class _Presence:
    """Lines and what they have, piece by piece of presence."""

    def __init__(self, asks: Sequence[Ask], stock: Mapping[Kind, Mapping[Piece, int]]) -> None:
        self._left: dict[_Source, int] = {}
        for kind, pieces in stock.items():
            for piece, quantity in pieces.items():
                source = kind, piece.only
                self._left[source] = self._left.get(source, 0) + quantity
        self._holders: dict[_Source, dict[int, int]] = {source: {} for source in self._left}
        self._room = [ask.line.quantity for ask in asks]
        self._targets = [ask.target for ask in asks]
        self._lines: dict[str, list[int]] = {}
        self._sources: list[list[_Source]] = []
        for place, ask in enumerate(asks):
            self._lines.setdefault(ask.target, []).append(place)
            may = [(kind, only) for kind in ask.accepts for only in ("", ask.target)]
            self._sources.append([source for source in may if source in self._left])
        # Lines that may still find a piece at hand; what is gone never comes back.
        self._hopeful = {code: list(reversed(places)) for code, places in self._lines.items()}

    def add(self, code: str) -> bool:
        """Give a target one more piece; False where it can have none, and never will."""
        hopeful = self._hopeful[code]
        while hopeful:
            place = hopeful[-1]
            if self._room[place]:
                for source in self._sources[place]:
                    if self._left[source]:
                        self._left[source] -= 1
                        self._room[place] -= 1
                        self._give(place, source, 1)
                        return True
            hopeful.pop()
        return self._augment(code)

    def _give(self, place: int, source: _Source, by: int) -> None:
        holders = self._holders[source]
        units = holders.get(place, 0) + by
        if units:
            holders[place] = units
        else:
            del holders[place]

    def _augment(self, code: str) -> bool:
        """Find a piece for a target by way of other lines, which get another piece or a piece on another line."""
        # What a line gives up: a source to the line that asked for it, or its piece for a line of its own target.
        gives: dict[int, _Source | int | None] = {}
        asked_by: dict[_Source, int] = {}
        passed = {code}
        waiting: deque[int] = deque()

        def visit(places: Iterable[int], why: _Source | int | None) -> None:
            for place in places:
                if place not in gives:
                    gives[place] = why
                    waiting.append(place)

        visit((place for place in self._lines[code] if self._room[place]), None)
        while waiting:
            place = waiting.popleft()
            for source in self._sources[place]:
                if source in asked_by:
                    continue
                asked_by[source] = place
                if self._left[source]:
                    self._hand_on(source, asked_by, gives)
                    return True
                visit(self._holders[source], source)
            target = self._targets[place]
            if target not in passed:
                passed.add(target)
                visit((other for other in self._lines[target] if self._room[other]), place)
        return False

    def _hand_on(
        self, source: _Source, asked_by: Mapping[_Source, int], gives: Mapping[int, _Source | int | None]
    ) -> None:
        self._left[source] -= 1
        place = asked_by[source]
        self._give(place, source, 1)
        while (why := gives[place]) is not None:
            if isinstance(why, int):
                # This line has one more, so that another of its target can give one up.
                self._room[place] -= 1
                self._room[why] += 1
                given = gives[why]
                assert not isinstance(given, int) and given is not None, "only a line that gives a piece up comes here"
                place, why = why, given
            self._give(place, why, -1)
            place = asked_by[why]
            self._give(place, why, 1)
        self._room[place] -= 1
