"""Moving a target among the ranks: the order that comes of it, and how little else changes."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.reconciling.rank_moves import joined, moved

RANKS = st.dictionaries(st.sampled_from([f"T-{n:02}" for n in range(12)]), st.integers(1, 15), min_size=1)


def groups(ranks: Mapping[str, int]) -> list[set[str]]:
    """Targets that share a rank, the first rank first."""
    return [{code for code, rank in ranks.items() if rank == each} for each in sorted(set(ranks.values()))]


def expected(ranks: Mapping[str, int], code: str, down: bool) -> list[set[str]]:
    """The same moves made on a list of groups, without any numbers."""
    order = groups(ranks)
    at = next(place for place, group in enumerate(order) if code in group)
    if len(order[at]) > 1:
        order[at].remove(code)
        order.insert(at + down, {code})
    elif 0 <= (to := at + (1 if down else -1)) < len(order):
        order[at], order[to] = order[to], order[at]
    return order


@given(ranks=RANKS, down=st.booleans(), data=st.data())
def test_a_move_gives_the_order_meant_and_no_rank_below_one(
    ranks: dict[str, int], down: bool, data: st.DataObject
) -> None:
    code = data.draw(st.sampled_from(sorted(ranks)))
    changed = moved(ranks, code, down)
    assert groups(ranks | changed) == expected(ranks, code, down)
    assert all(rank >= 1 for rank in changed.values())
    assert all(ranks[other] != rank for other, rank in changed.items()), "only what changes is named"


@given(ranks=RANKS, data=st.data())
def test_joining_takes_the_rank_above_and_changes_no_other(ranks: dict[str, int], data: st.DataObject) -> None:
    code = data.draw(st.sampled_from(sorted(ranks)))
    changed = joined(ranks, code)
    assert set(changed) <= {code}
    order = groups(ranks)
    at = next(place for place, group in enumerate(order) if code in group)
    if at == 0:
        assert not changed
    else:
        assert code in groups(ranks | changed)[at - 1]
        assert groups(ranks | changed)[at - 1] >= order[at - 1]


@pytest.mark.parametrize(
    ("ranks", "code", "down", "changed"),
    [
        ({"A": 1, "B": 2, "C": 3}, "B", False, {"A": 2, "B": 1}),
        ({"A": 1, "B": 2, "C": 3}, "B", True, {"B": 3, "C": 2}),
        ({"A": 10, "B": 20}, "B", False, {"A": 20, "B": 10}),
        ({"A": 1, "B": 1, "C": 2}, "B", False, {"A": 2, "C": 3}),
        ({"A": 1, "B": 1, "C": 2}, "A", True, {"A": 2, "C": 3}),
        ({"A": 3, "B": 3, "C": 4}, "B", False, {"B": 2}),
        ({"A": 1, "B": 1, "C": 5}, "A", True, {"A": 2}),
        ({"A": 1, "B": 2}, "A", False, {}),
        ({"A": 1, "B": 2}, "B", True, {}),
        ({"A": 1, "B": 2, "C": 2}, "A", True, {"A": 2, "B": 1, "C": 1}),
    ],
)
def test_as_few_ranks_change_as_can_be(ranks: dict[str, int], code: str, down: bool, changed: dict[str, int]) -> None:
    assert moved(ranks, code, down) == changed
