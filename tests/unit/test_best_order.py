"""The best order of the targets: which can be completed together, and the ranks that do it."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence

import pytest
from picture_of import picture_of
from reference_sharing import Case

from sortbench.engine.reconciling.best_order import best_order
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.errors import UsageError
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, Policy, StandIn, Target

BELL, PANE = Kind("bell", "grey, early"), Kind("pane", "clear")


def case(
    targets: Sequence[Target],
    pieces: Mapping[Kind, int],
    policy: Policy = Policy.COMPLETE,
    crates: Mapping[str, Kind] | None = None,
) -> Case:
    cells: dict[Kind, dict[Cell, int]] = {
        kind: {Cell("B1", *kind, "", Grade.G4, ()): quantity} for kind, quantity in pieces.items()
    }
    for code, kind in (crates or {}).items():
        cells.setdefault(kind, {})[Cell(code, *kind, "", Grade.G4, (), Fate.CRATE)] = 1
    return Case(tuple(targets), Catalogue(), cells, policy=policy)


def target(code: str, rank: int, *lines: Line, **more: object) -> Target:
    return Target(code, code, 1988, rank, lines)._replace(**more)  # type: ignore[arg-type]  # each names a field


# The first asks for all that the two others need: present order completes it alone.
GREEDY = (
    target("T-01", 1, Line(BELL, 1), Line(PANE, 1), value=50),
    target("T-02", 2, Line(BELL, 1), value=10),
    target("T-03", 3, Line(PANE, 1)),
)
ONE_EACH = {BELL: 1, PANE: 1}


def test_two_small_ones_instead_of_the_one_that_takes_all() -> None:
    found = best_order(picture_of(case(GREEDY, ONE_EACH)))
    assert found.completed == ("T-02", "T-03")
    assert found.ranks == {"T-02": 1, "T-03": 2, "T-01": 3}
    assert (found.total, found.proven) == (2, True)


def test_by_value_the_one_that_is_worth_more() -> None:
    found = best_order(picture_of(case(GREEDY, ONE_EACH)), by_value=True)
    assert found.completed == ("T-01",)
    assert found.ranks == {"T-01": 1, "T-02": 2, "T-03": 3}
    assert (found.total, found.proven) == (50, True)
    assert found.valueless == ("T-03",)


def test_targets_that_shared_a_rank_share_one_again() -> None:
    sharing = [each._replace(rank=min(each.rank, 2)) for each in GREEDY]
    assert best_order(picture_of(case(sharing, ONE_EACH))).ranks == {"T-02": 1, "T-03": 1, "T-01": 2}


def test_ranks_that_complete_the_same_stay_as_they_are() -> None:
    targets = target("T-01", 3, Line(BELL, 2)), target("T-02", 5, Line(PANE, 1)), target("T-03", 5, Line(PANE, 1))
    found = best_order(picture_of(case(targets, {BELL: 1, PANE: 2})))
    assert found.completed == ("T-02", "T-03")
    assert found.ranks == {"T-01": 3, "T-02": 5, "T-03": 5}


def test_an_early_one_takes_its_stand_in_so_that_a_later_one_is_completed_too() -> None:
    either = target("T-01", 1, Line(BELL, 1, stand_ins=(StandIn(PANE, 5),)))
    only = target("T-02", 2, Line(BELL, 1))
    for policy in Policy:
        picture = picture_of(case((either, only), ONE_EACH, policy))
        found = best_order(picture)
        assert found.completed == ("T-01", "T-02")
        # Taken one by one, the showpiece would have the bell that the other cannot do without.
        assert found.ranks == ({"T-01": 1, "T-02": 1} if policy is Policy.SHOWPIECE else {"T-01": 1, "T-02": 2})


def test_what_lies_in_a_crate_serves_that_target_alone() -> None:
    lone = target("T-01", 1, Line(BELL, 1)), target("T-02", 2, Line(BELL, 1))
    assert best_order(picture_of(case(lone, {}, crates={"T-02": BELL}))).completed == ("T-02",)


def test_neither_parked_targets_nor_empty_lists_are_completed() -> None:
    targets = target("T-01", 1, Line(BELL, 1), parked=True), target("T-02", 2), target("T-03", 3, Line(BELL, 1))
    found = best_order(picture_of(case(targets, {BELL: 2})))
    assert found.completed == ("T-03",)
    assert found.ranks == {"T-01": 1, "T-02": 2, "T-03": 3}


def test_no_targets_and_no_pieces() -> None:
    nothing = best_order(picture_of(case((), {})))
    assert (nothing.ranks, nothing.completed, nothing.total, nothing.proven) == ({}, (), 0, True)
    without = best_order(picture_of(case(GREEDY, {})))
    assert (without.completed, without.total, without.proven) == ((), 0, True)
    assert without.ranks == {"T-01": 1, "T-02": 2, "T-03": 3}


def test_where_time_runs_out_nothing_is_called_proven_and_what_is_complete_stays() -> None:
    chance_free = [
        target(f"T-{n:02}", n + 1, *(Line(Kind(f"part-{m}", "red"), 1 + (n * m) % 5) for m in range(1, 30)))
        for n in range(40)
    ]
    pieces = {Kind(f"part-{m}", "red"): 40 for m in range(1, 30)}
    picture = picture_of(case(chance_free, pieces))
    now = [each.target.code for each in picture.fill.all() if each.complete]
    found = best_order(picture, seconds=0.0)
    assert not found.proven
    assert len(found.completed) == found.total >= len(now) > 0
    assert found.ranks.keys() == {each.code for each in chance_free}


def test_ctrl_c_ends_the_search_and_leaves_the_solver_fit_for_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    highspy = pytest.importorskip("highspy")
    wait, calls = highspy.Highs.wait, []

    def interrupted(solver: object, timeout: float = -1.0) -> object:
        calls.append(timeout)
        if len(calls) == 1:
            raise KeyboardInterrupt
        return wait(solver, timeout)

    monkeypatch.setattr(highspy.Highs, "wait", interrupted)
    picture = picture_of(case(GREEDY, ONE_EACH))
    with pytest.raises(KeyboardInterrupt):
        best_order(picture)
    assert len(calls) > 1, "it waits until the solver has let go"
    assert best_order(picture).completed == ("T-02", "T-03")


def test_the_solver_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    best_order(picture_of(case(GREEDY, ONE_EACH)))
    assert capfd.readouterr() == ("", "")


def test_without_the_solver_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "highspy", None)
    with pytest.raises(UsageError, match=r"highspy.*not installed.*pip install 'sortbench\[plan\]'"):
        best_order(picture_of(case(GREEDY, ONE_EACH)))
