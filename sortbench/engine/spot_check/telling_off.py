"""Pieces that one person found told off against those that another counted.

Pieces of a kind agree with a heap of that kind whose grade is at most half a step off and whose flaws are the same. A
heap that nobody judged takes any condition, and a piece that nobody judged goes with any; a coarse heap takes what its
shade and family allow. As many are told off as can be (a maximum matching), so that no order of looking is unlucky.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from sortbench.model.spot_check import Heap
from sortbench.model.tally import Cell

HALF_STEP = 1
"""Half steps by which two grades may differ and still agree. Our own choice: a grade is read to half a step."""


class ToldOff(NamedTuple):
    """What came of telling off.

    Attributes:
        over: pieces of each heap found that no counted heap takes.
        short: pieces of each counted heap that nothing found goes with.
        known: whether a heap found agrees with at least one counted heap, full or not.
    """

    over: tuple[int, ...]
    short: tuple[int, ...]
    known: tuple[bool, ...]


def told_off(found: Sequence[Heap], counted: Sequence[Heap], family_of: Callable[[str], str]) -> ToldOff:
    """Tell found pieces off against counted ones: like heaps first, then as many more as can be.

    Args:
        family_of: the shape family of a part, by its code.
    """
    over, short = [heap.quantity for heap in found], [heap.quantity for heap in counted]
    places = {heap.cell: place for place, heap in enumerate(counted)}
    for number, heap in enumerate(found):
        place = places.get(heap.cell)
        if place is not None:
            same = min(over[number], short[place])
            over[number] -= same
            short[place] -= same
    by_kind: dict[tuple[str, str], list[int]] = {}
    for place, heap in enumerate(counted):
        by_kind.setdefault((heap.cell.part, heap.cell.part and heap.cell.shade), []).append(place)
    takers = [
        [
            place
            for place in (*by_kind.get((heap.cell.part, heap.cell.shade), ()), *by_kind.get(("", ""), ()))
            if _agrees(heap.cell, counted[place].cell, family_of)
        ]
        for heap in found
    ]
    _place_more(over, short, takers)
    return ToldOff(tuple(over), tuple(short), tuple(map(bool, takers)))


def near(found: Cell, counted: Cell) -> bool:
    """Whether two grades agree, or one is not told."""
    return found.grade is None or counted.grade is None or abs(found.grade - counted.grade) <= HALF_STEP


def _agrees(found: Cell, counted: Cell, family_of: Callable[[str], str]) -> bool:
    if counted.part:
        return near(found, counted) and _like_flaws(found, counted)
    if counted.shade and counted.shade != found.shade:
        return False
    return not counted.family or counted.family == family_of(found.part)


def _like_flaws(found: Cell, counted: Cell) -> bool:
    judged = all(cell.grade is not None or cell.flaws for cell in (found, counted))
    return not judged or found.flaws == counted.flaws


def _place_more(over: list[int], short: list[int], takers: Sequence[Sequence[int]]) -> None:
    """A maximum flow by augmenting paths, in steps of as many pieces as a path carries.

    Args:
        over: pieces of each group that are to be placed; what cannot be stays.
        short: room in each heap; what is not needed stays.
        takers: heaps that take a group.
    """
    given: list[dict[int, int]] = [{} for _ in over]
    groups_of: dict[int, list[int]] = {}
    for group, heaps in enumerate(takers):
        for heap in heaps:
            groups_of.setdefault(heap, []).append(group)

    def place(group: int, wanted: int, passed: set[int]) -> int:
        for heap in takers[group]:
            if heap in passed:
                continue
            passed.add(heap)
            pieces = min(wanted, short[heap])
            if pieces:
                short[heap] -= pieces
            else:
                for other in groups_of[heap]:
                    movable = min(wanted, given[other].get(heap, 0)) if other != group else 0
                    if movable and (pieces := place(other, movable, passed)):
                        given[other][heap] -= pieces
                        break
            if pieces:
                given[group][heap] = given[group].get(heap, 0) + pieces
                return pieces
        return 0

    for group in range(len(over)):
        while over[group] and (pieces := place(group, over[group], set())):
            over[group] -= pieces
