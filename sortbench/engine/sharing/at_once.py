"""A small component shared at once, from nothing: least-cost flow that keeps no books for later changes.

The same successive shortest paths as in :mod:`sortbench.engine.sharing.network`, on what they come to between heaps and
lines alone: each line has a price, each heap a worth, namely what one more of its units gains above the price of the
line where it gains most. A heap goes straight to that line while there is room, or stays spare where its worth is 0. If
the line is full, a search finds who makes room at the least loss, and raises the prices by it (the Hungarian method: H.
W. Kuhn, Naval Res. Logist. Quart. 2 (1955) 83-97; for transportation J. Munkres, J. SIAM 5 (1957) 32-38; both cited
from memory). Prices that no heap can better and that are 0 where there is room prove the sharing best: linear
programming's complementary slackness.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

Way = tuple[int, int]
"""A line, by its place, and what a unit gains there."""

_MOST_NODES = 64


def is_small(heaps: int, lines: int) -> bool:
    """Whether so many heaps and lines are best shared at once: building the network at the first change costs less
    than 5 ms then, and most components never see one."""
    return heaps + lines <= _MOST_NODES


def share_at_once(rooms: Sequence[int], heaps: Sequence[int], ways: Sequence[Sequence[Way]]) -> list[dict[int, int]]:
    """Share heaps among lines so that the sum of gains is greatest.

    Args:
        rooms: units that each line can take, 0 or more.
        heaps: units of each heap, 0 or more.
        ways: for each heap the lines that it may go to, each once; what gains 0 or less is not used.

    Returns:
        For each line its units by heap, each above 0.
    """
    if len(rooms) == 1:
        return [_one_line(rooms[0], heaps, ways)]
    sharing = _Sharing(rooms, ways)
    got, left, price, worth = sharing.got, sharing.left, sharing.price, sharing.worth
    # What gains most goes first: then most units stay where they first come to.
    for heap in sorted(range(len(heaps)), key=worth.__getitem__, reverse=True):
        units = heaps[heap]
        while units:
            most, best = 0, -1
            for line, gain in ways[heap]:
                more = gain - price[line]
                if more > most or (more == most and left[line]):
                    most, best = more, line
            worth[heap] = most
            if not most:
                break
            if left[best]:
                moved = min(units, left[best])
                left[best] -= moved
                got[best][heap] = got[best].get(heap, 0) + moved
            elif not (moved := sharing.make_room(heap, units, best)):
                break
            units -= moved
    return got


def _one_line(room: int, heaps: Sequence[int], ways: Iterable[Sequence[Way]]) -> dict[int, int]:
    """A single line takes what gains most."""
    taken: dict[int, int] = {}
    for gain, heap in sorted([(each[0][1], heap) for heap, each in enumerate(ways) if each], reverse=True):
        if gain <= 0 or not room:
            break
        if units := min(room, heaps[heap]):
            taken[heap] = units
            room -= units
    return taken


class _Sharing:
    """Units by line, and the prices that prove them best.

    Attributes:
        got: for each line its units by heap.
        left: units that each line can still take.
        price: of each line; 0 while it can take more.
        worth: of each heap that was shared; of others what they gain at most.
    """

    __slots__ = ("_ways", "got", "left", "price", "worth")

    def __init__(self, rooms: Sequence[int], ways: Sequence[Sequence[Way]]) -> None:
        self._ways = ways
        self.got: list[dict[int, int]] = [{} for _ in rooms]
        self.left = list(rooms)
        self.price = [0] * len(rooms)
        self.worth = [max([gain for _, gain in each], default=0) for each in ways]

    def make_room(self, start: int, units: int, line: int) -> int:
        """Send units of a heap to a full line, where they gain most, in place of others that lose least by it.

        Returns:
            Units sent; 0 if it costs least that those of the heap itself stay spare.
        """
        got, left, price, worth, ways = self.got, self.left, self.price, self.worth, self._ways
        # Least losses: the way out found so far, by which heap, and to which line with room (-1: to be spare).
        out, end, last = worth[start], start, -1
        asked_by = {line: start}
        given_by: dict[int, int] = {}
        far_lines = {line: 0}
        far_heaps = {start: 0}
        waiting: dict[int, int] = {}
        new_heaps = [start]
        far = 0
        while True:
            for heap in got[line]:
                if heap not in far_heaps:
                    far_heaps[heap] = far
                    given_by[heap] = line
                    new_heaps.append(heap)
                    if (loss := far + worth[heap]) < out:
                        out, end, last = loss, heap, -1
            for heap in new_heaps:
                base = far_heaps[heap] + worth[heap]
                for other, gain in ways[heap]:
                    if other not in far_lines and (loss := base - gain + price[other]) < out:
                        if left[other]:
                            out, end, last = loss, heap, other
                        elif other not in waiting or loss < waiting[other]:
                            waiting[other] = loss
                            asked_by[other] = heap
            if not waiting:
                break
            line = min(waiting, key=waiting.__getitem__)
            far = waiting.pop(line)
            if far >= out:
                break
            far_lines[line] = far
            new_heaps = []
        for line, far in far_lines.items():
            price[line] += out - far
        for heap, far in far_heaps.items():
            worth[heap] -= out - far
        if last < 0 and end == start:
            return 0
        return self._move(start, units, end, last, given_by, asked_by)

    def _move(
        self, start: int, units: int, end: int, last: int, given_by: dict[int, int], asked_by: dict[int, int]
    ) -> int:
        """Move as many units as can go along the way found, from its end to its start."""
        got = self.got
        if last >= 0:
            units = min(units, self.left[last])
        heap = end
        while heap != start:
            line = given_by[heap]
            units = min(units, got[line][heap])
            heap = asked_by[line]
        if last >= 0:
            self.left[last] -= units
            got[last][end] = got[last].get(end, 0) + units
        heap = end
        while heap != start:
            line = given_by[heap]
            flows = got[line]
            if flows[heap] == units:
                del flows[heap]
            else:
                flows[heap] -= units
            heap = asked_by[line]
            flows[heap] = flows.get(heap, 0) + units
        return units
