"""Which kinds may stand in on a line: those of the list itself, then those of the catalogue's rules."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from sortbench.model.catalogue import Kind
from sortbench.model.target import Line, StandIn, Swap, SwapOf, Target


class Swaps:
    """The catalogue's stand-in rules, found by what is asked for."""

    def __init__(self, swaps: Iterable[Swap] = ()) -> None:
        self._by: dict[SwapOf, dict[str, list[Swap]]] = {of: {} for of in SwapOf}
        for swap in swaps:
            self._by[swap.of].setdefault(swap.wanted, []).append(swap)

    def __bool__(self) -> bool:
        return any(self._by.values())

    def for_kind(self, kind: Kind) -> list[StandIn]:
        """What the rules allow for a kind: a mould variant in the same shade, the same part in another shade.

        One rule at a time: a variant in another shade would be two things wrong with one piece.
        """
        found = [
            StandIn(Kind(swap.instead, kind.shade), swap.cost) for swap in self._by[SwapOf.PART].get(kind.part, ())
        ]
        found += [
            StandIn(Kind(kind.part, swap.instead), swap.cost) for swap in self._by[SwapOf.SHADE].get(kind.shade, ())
        ]
        return found


def way_back(swap: Swap, onward: Callable[[str], Iterable[str]]) -> list[tuple[str, str]]:
    """The shortest way by other rules from what stands in back to what it stands in for: with the rule itself they make
    a circle.

    Args:
        swap: the rule.
        onward: what may be taken for a part, or a shade, by those other rules.

    Returns:
        Each step as what is asked for and what is taken for it; empty if no way leads back.
    """
    came = {swap.instead: ""}
    pending = [swap.instead]
    for here in pending:
        for there in onward(here):
            if there not in came:
                came[there] = here
                pending.append(there)
    steps: list[tuple[str, str]] = []
    at = swap.wanted
    while before := came.get(at, ""):
        steps.append((before, at))
        at = before
    return steps[::-1]


def stand_ins_of(target: Target, line: Line, swaps: Swaps) -> list[StandIn]:
    """All that may stand in on a line, in order of preference, without what is refused on the target."""
    own = line.stand_ins
    if not own and not swaps:
        return []
    found: dict[Kind, StandIn] = {}
    for stand_in in (*own, *swaps.for_kind(line.kind)):
        if stand_in.kind != line.kind and (line.kind, stand_in.kind) not in target.refused:
            found.setdefault(stand_in.kind, stand_in)
    return list(found.values())
