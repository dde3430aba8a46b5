"""What is said of targets by hand: kept on disk, seen by every figure, refused where it cannot be meant."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from small_bench import BRICK, PLATE, TILE

from sortbench.bench import Bench
from sortbench.desks.target_desk import park, refuse_stand_in, set_policy, set_rank, set_value
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.target import MAX_VALUE, Policy, Swap, SwapOf

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
    set_rank(bench, "T-01", 3)
    assert presents(bench) == {"T-02": 4, "T-01": 0, "T-03": 0}
    assert set_rank(bench, "T-01", 2).text == "Signal Hut has rank 2, beside Peat Tramway"
    # Filled evenly: 2 of 5 and 2 of 5.
    assert presents(bench) == {"T-01": 2, "T-02": 2, "T-03": 0}
    assert [(row.code, row.rank) for row in opened().target_rows()] == [("T-01", 2), ("T-02", 2), ("T-03", 3)]


def test_a_parked_target_takes_nothing(bench: Bench, opened: Opener) -> None:
    bench.count(PLATE, 4)
    assert "takes nothing" in park(bench, "T-01", True).text
    assert presents(bench) == {"T-01": 0, "T-02": 4, "T-03": 0}
    assert opened().documents.targets["T-01"].parked
    assert "takes pieces again" in park(bench, "T-01", False).text
    assert presents(bench) == {"T-01": 3, "T-02": 1, "T-03": 0}


def test_a_value_is_kept_and_forgotten(bench: Bench, opened: Opener) -> None:
    assert set_value(bench, "T-01", 1200).text == "Signal Hut is worth 1,200"
    assert opened().documents.targets["T-01"].value == 1200
    set_value(bench, "T-01", 0)
    assert bench.documents.targets["T-01"].value == 0
    set_value(bench, "T-01", None)
    assert bench.documents.targets["T-01"].value is None


def test_a_stand_in_is_refused_on_one_target_alone(with_rule: Bench, opened: Opener) -> None:
    bench = with_rule
    bench.count(WHITE_PLATE, 4)
    assert presents(bench) == {"T-01": 3, "T-02": 1, "T-03": 0}
    answer = refuse_stand_in(bench, "T-01", PLATE, WHITE_PLATE, True)
    assert answer.text == "Signal Hut refuses plate 2x4 white for plate 2x4 red"
    assert presents(bench) == {"T-01": 0, "T-02": 4, "T-03": 0}
    assert opened().documents.targets["T-01"].refused == ((PLATE, WHITE_PLATE),)
    for _ in range(2):
        refuse_stand_in(bench, "T-01", PLATE, WHITE_PLATE, False)
    assert presents(bench) == {"T-01": 3, "T-02": 1, "T-03": 0}
    assert bench.documents.targets["T-01"].refused == ()


def test_refusing_twice_is_refusing_once(with_rule: Bench) -> None:
    for wanted in (PLATE, BRICK, PLATE):
        refuse_stand_in(with_rule, "T-01", wanted, Kind(wanted.part, "white"), True)
    pairs = ((BRICK, Kind("brick-2x4", "white")), (PLATE, WHITE_PLATE))
    assert with_rule.documents.targets["T-01"].refused == pairs


def test_the_policy_is_kept_and_changes_the_sharing(bench: Bench, opened: Opener) -> None:
    assert bench.policy is Policy.COMPLETE is bench.picture.policy
    set_policy(bench, Policy.SHOWPIECE)
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
    set_rank(bench, "T-01", 3)
    bench.redo()
    assert presents(bench) == {"T-02": 4, "T-01": 0, "T-03": 0}


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda bench: set_rank(bench, "T-99", 1), "No target has the code 'T-99'. Known are: T-01, T-02, T-03"),
        (lambda bench: set_rank(bench, "T-01", 0), "no rank 0"),
        (lambda bench: set_rank(bench, "T-01", 10_000), "no rank 10000"),
        (lambda bench: park(bench, "t-01", True), "No target"),
        (lambda bench: set_value(bench, "T-01", -1), "worth -1"),
        (lambda bench: set_value(bench, "T-01", MAX_VALUE + 1), "worth 10000001"),
        (lambda bench: refuse_stand_in(bench, "T-01", TILE, PLATE, True), "does not ask for tile-2x2"),
        (
            lambda bench: refuse_stand_in(bench, "T-01", PLATE, Kind("plate-2x4", "grey, early"), True),
            "does not stand in for .* What may is: plate-2x4 · white",
        ),
        (lambda bench: refuse_stand_in(bench, "T-01", PLATE, PLATE, True), "does not stand in"),
        (lambda bench: refuse_stand_in(bench, "T-02", TILE, PLATE, True), "Nothing does"),
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
        park(bench, "T-03", True)
