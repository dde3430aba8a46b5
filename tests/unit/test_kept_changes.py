"""Changes to targets that are kept: seen by every figure, there at the next start, refused where they cannot be."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from small_bench import BRICK, PLATE, TILE

from sortbench.bench import Bench
from sortbench.desks.reconcile_desk import keep
from sortbench.engine.reconciling.what_if import WhatIf
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.target import Policy, Swap, SwapOf

Opener = Callable[[], Bench]
WHITE_PLATE = Kind("plate-2x4", "white")


@pytest.fixture
def with_rule(bench: Bench) -> Bench:
    """The small bench, where white may stand in for red."""
    swap = Swap(SwapOf.SHADE, "red", "white", 2)
    with bench.folder.documents.edit() as draft:
        draft.swaps[swap.key] = swap
    bench.reload()
    return bench


def presents(bench: Bench) -> dict[str, int]:
    return {row.code: row.present for row in bench.target_rows()}


def test_ranks_change_who_comes_first_and_may_be_shared(bench: Bench, opened: Opener) -> None:
    bench.count(PLATE, 4)
    assert presents(bench) == {"T-01": 3, "T-02": 1, "T-03": 0}
    keep(bench, WhatIf().with_ranks({"T-01": 3}))
    assert presents(bench) == {"T-02": 4, "T-01": 0, "T-03": 0}
    assert "Signal Hut has rank 2" in keep(bench, WhatIf().with_ranks({"T-01": 2})).text
    # Filled evenly: 2 of 5 and 2 of 5.
    assert presents(bench) == {"T-01": 2, "T-02": 2, "T-03": 0}
    assert [(row.code, row.rank) for row in opened().target_rows()] == [("T-01", 2), ("T-02", 2), ("T-03", 3)]


def test_a_parked_target_takes_nothing(bench: Bench, opened: Opener) -> None:
    bench.count(PLATE, 4)
    assert "parked" in keep(bench, WhatIf().with_parked("T-01", True)).text
    assert presents(bench) == {"T-01": 0, "T-02": 4, "T-03": 0}
    assert opened().documents.targets["T-01"].parked
    keep(bench, WhatIf().with_parked("T-01", False))
    assert presents(bench) == {"T-01": 3, "T-02": 1, "T-03": 0}


def test_a_stand_in_is_refused_on_one_target_alone(with_rule: Bench, opened: Opener) -> None:
    bench = with_rule
    bench.count(WHITE_PLATE, 4)
    assert presents(bench) == {"T-01": 3, "T-02": 1, "T-03": 0}
    answer = keep(bench, WhatIf().with_stand_in("T-01", PLATE, WHITE_PLATE, False))
    assert "plate 2x4 white for plate 2x4 red" in answer.text
    assert presents(bench) == {"T-01": 0, "T-02": 4, "T-03": 0}
    assert opened().documents.targets["T-01"].refused == ((PLATE, WHITE_PLATE),)
    for _ in range(2):
        keep(bench, WhatIf().with_stand_in("T-01", PLATE, WHITE_PLATE, True))
    assert presents(bench) == {"T-01": 3, "T-02": 1, "T-03": 0}
    assert bench.documents.targets["T-01"].refused == ()


def test_refusing_twice_is_refusing_once(with_rule: Bench) -> None:
    for wanted in (PLATE, BRICK, PLATE):
        keep(with_rule, WhatIf().with_stand_in("T-01", wanted, Kind(wanted.part, "white"), False))
    pairs = ((BRICK, Kind("brick-2x4", "white")), (PLATE, WHITE_PLATE))
    assert with_rule.documents.targets["T-01"].refused == pairs


def test_the_policy_is_kept_and_changes_the_sharing(bench: Bench, opened: Opener) -> None:
    assert bench.policy is Policy.COMPLETE is bench.picture.policy
    keep(bench, WhatIf().with_policy(Policy.SHOWPIECE))
    assert bench.policy is Policy.SHOWPIECE is bench.picture.policy
    assert opened().policy is Policy.SHOWPIECE


@pytest.mark.parametrize("value", ["", "best", 3, None, ["complete"], {}])
def test_a_policy_that_is_none_counts_as_complete(bench: Bench, opened: Opener, value: object) -> None:
    with bench.folder.documents.edit() as draft:
        draft.settings["policy"] = value
    assert opened().policy is Policy.COMPLETE


def test_what_was_counted_and_can_be_undone_stays_so(bench: Bench) -> None:
    bench.count(PLATE, 4)
    bench.undo()
    keep(bench, WhatIf().with_ranks({"T-01": 3}))
    bench.redo()
    assert presents(bench) == {"T-02": 4, "T-01": 0, "T-03": 0}


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (
            lambda bench: keep(bench, WhatIf().with_ranks({"T-99": 1})),
            "No target has the code 'T-99'. Known are: T-01, T-02, T-03",
        ),
        (lambda bench: keep(bench, WhatIf().with_ranks({"T-01": 0})), "no rank 0"),
        (lambda bench: keep(bench, WhatIf().with_ranks({"T-01": 10_000})), "no rank 10000"),
        (lambda bench: keep(bench, WhatIf().with_parked("t-01", True)), "No target"),
        (lambda bench: keep(bench, WhatIf().with_stand_in("T-01", TILE, PLATE, False)), "does not ask for tile-2x2"),
        (
            lambda bench: keep(bench, WhatIf().with_stand_in("T-01", PLATE, Kind("plate-2x4", "grey, early"), False)),
            "does not stand in for .* What may is: plate-2x4 · white",
        ),
        (lambda bench: keep(bench, WhatIf().with_stand_in("T-01", PLATE, PLATE, False)), "does not stand in"),
        (lambda bench: keep(bench, WhatIf().with_stand_in("T-02", TILE, PLATE, False)), "Nothing does"),
    ],
)
def test_what_cannot_be_meant_changes_nothing(with_rule: Bench, change: Callable[[Bench], object], reason: str) -> None:
    before = with_rule.folder.documents.stamp()
    with pytest.raises(DataError, match=reason):
        change(with_rule)
    assert with_rule.folder.documents.stamp() == before


def test_a_target_taken_off_the_bench_meanwhile_is_told(bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        del draft.targets["T-03"]
    with pytest.raises(DataError, match="taken off the bench meanwhile"):
        keep(bench, WhatIf().with_parked("T-03", True))
