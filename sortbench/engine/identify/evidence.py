"""What the model says of the lists: how likely, how complete, and what tells.

Imports numpy, so it is imported where it is needed and nowhere at the top of a module.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sortbench.engine.identify.cases import Cases
from sortbench.engine.identify.lot_view import LotView, Share, Sought, Standing, Telling

if TYPE_CHECKING:
    from collections.abc import Callable

    from sortbench.engine.identify.list_index import Floats, Whole
    from sortbench.engine.identify.mixture import Mixture

_SURELY_NOT = 1e-3  # chance of a list below which nothing more is said of it


def order(mixture: Mixture) -> Whole:
    """All lists, the likeliest first; of equal ones that first of which more lines were seen."""
    return _ordered(mixture, mixture.presence(), mixture.any_of())


def view(
    mixture: Mixture,
    limit: int = 12,
    telling: int = 3,
    sought: int = 3,
    before: tuple[Sought, ...] | None = None,
    among: Callable[[str, str], bool] | None = None,
) -> LotView:
    """The likeliest lists and what to look for next, as far as effects are up to date.

    Lists of which nothing was seen are told of only where they were asked about, for one is as good as another.

    Args:
        limit: lists at most.
        telling: kinds named of each list, at most.
        sought: kinds to look for, at most.
        before: what was to be looked for when that was last asked: what of it still was not counted is told again,
            which saves the time to work it out anew.
        among: by key and name, whether a list is asked about; None: all are.
    """
    presence, any_of = mixture.presence(), mixture.any_of()
    numbers, lists = _ordered(mixture, presence, any_of), mixture.index.lists
    if among is None:
        matching = len(numbers)
        numbers = numbers[mixture.lines_seen[numbers] > 0]
    else:
        numbers = numbers[[among(lists[number].key, lists[number].name) for number in numbers.tolist()]]
        matching = len(numbers)
    return LotView(
        mixture.counted,
        None if mixture.pile is None else round(mixture.pile),
        len(mixture.index),
        mixture.counted - int(mixture.found.sum()),
        mixture.foreign_share * int(mixture.found.sum()),
        matching,
        _standings(mixture, numbers[:limit], telling, presence, any_of),
        _sought(mixture, sought) if before is None else _still_sought(mixture, before),
    )


def _ordered(mixture: Mixture, presence: Floats, any_of: Floats) -> Whole:
    index = mixture.index
    if not len(index):
        return np.zeros(0, dtype=np.int64)
    seen = mixture.lines_seen / np.diff(index.starts)
    return np.lexsort((-seen, -np.round(any_of, 6), -np.round(presence, 6)))


def _standings(
    mixture: Mixture, numbers: Whole, telling: int, presence: Floats, any_of: Floats
) -> tuple[Standing, ...]:
    """Lists, held against what was counted."""
    # What a set would have brought that is surely not there is no question worth the time it takes.
    likely = numbers[any_of[numbers] >= _SURELY_NOT]
    found: dict[int, float] = {}
    complete: dict[int, Share] = {}
    told: dict[int, tuple[Telling, ...]] = {}
    if len(likely):
        cases = Cases(mixture, likely)
        found = dict(zip(likely.tolist(), cases.found.tolist(), strict=True))
        told = dict(zip(likely.tolist(), cases.telling(telling), strict=True))
        if mixture.share is not None:
            complete = dict(zip(likely.tolist(), cases.complete(), strict=True))
    index = mixture.index
    standings = []
    for number in numbers.tolist():
        listed, lines = index.lists[number], index.lines(number)
        seen = mixture.found[index.kind[lines]] > 0
        chance = float(presence[number])
        standings.append(
            Standing(
                listed.key,
                listed.name,
                chance,
                max(0.0, float(any_of[number]) - chance),
                len(listed.lines),
                int(seen.sum()),
                int(index.asked[lines].sum()),
                found.get(number, 0.0),
                complete.get(number),
                int((index.holders[index.kind[lines]][seen] == 1).sum()),
                told.get(number, ()),
            )
        )
    return tuple(standings)


def _sought(mixture: Mixture, limit: int) -> tuple[Sought, ...]:
    from sortbench.engine.identify.next_kind import look_for

    return look_for(mixture, limit) if len(mixture.seen) else ()


def _still_sought(mixture: Mixture, before: tuple[Sought, ...]) -> tuple[Sought, ...]:
    place, found = mixture.index.place, mixture.found
    return tuple(each for each in before if not found[place[each.kind]])
