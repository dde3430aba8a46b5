"""Trying things out at a bench: nothing is written before it is kept, and nothing out of date is told."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from small_bench import BRICK, PLATE, make_folder

from sortbench.bench import Bench
from sortbench.desks.trial_desk import TrialDesk
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.target import MAX_RANK, Line, Policy, StandIn, Target

LATE = Kind("plate-2x4", "white")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """Signal Hut (rank 1) wants three red plates, Peat Tramway (2) four; five are there and one that may stand in."""
    with Bench.open(make_folder(tmp_path / "bench")) as bench:
        with bench.folder.documents.edit() as draft:
            tram = draft.targets["T-02"]
            tile, plate = tram.lines
            draft.targets["T-02"] = tram._replace(
                lines=(tile, Line(plate.kind, plate.quantity, plate.lowest, (StandIn(LATE, 2),)))
            )
        bench.reload()
        bench.enter("pl 24 red *5")
        bench.enter("pl 24 white")
        yield bench


def present(trial: TrialDesk) -> dict[str, tuple[int, int]]:
    """Pieces present in each target, as kept and as it would be; by name."""
    trial.work_out()
    return {before.name: (before.present, after.present) for before, after in trial.targets()}


def test_nothing_is_tried_at_first(bench: Bench) -> None:
    assert not bench.trial.is_on
    assert bench.trial.is_worked_out
    assert bench.trial.words == ""
    assert present(bench.trial) == {"Signal Hut": (3, 3), "Peat Tramway": (3, 3), "Glasshouse": (0, 0)}


def test_a_rank_tried_writes_nothing_until_it_is_kept(bench: Bench) -> None:
    before = bench.folder.documents.path.read_bytes()
    assert bench.trial.move("T-02", down=False)
    assert present(bench.trial) == {"Peat Tramway": (3, 4), "Signal Hut": (3, 2), "Glasshouse": (0, 0)}
    assert bench.folder.documents.path.read_bytes() == before
    assert bench.trial.keep().text.startswith("kept: Peat Tramway has rank 1")
    assert not bench.trial.is_on
    with Bench.open(bench.path) as again:
        assert {code: target.rank for code, target in again.documents.targets.items()} == {
            "T-01": 2,
            "T-02": 1,
            "T-03": 3,
        }


def test_there_and_back_is_nothing_tried(bench: Bench) -> None:
    for _ in range(2):
        bench.trial.park("T-01")
        bench.trial.other_policy()
        bench.trial.stand_in("T-02", PLATE, LATE)
    assert bench.trial.move("T-01", down=True) and bench.trial.move("T-01", down=False)
    assert not bench.trial.is_on


def test_the_ends_of_the_ranks_do_not_move(bench: Bench) -> None:
    assert not bench.trial.move("T-01", down=False)
    assert not bench.trial.move("T-03", down=True)
    assert not bench.trial.join("T-01")
    assert bench.trial.join("T-02")
    assert present(bench.trial)["Peat Tramway"] == (3, 3), "filled evenly: three of five each"


def test_parked_refused_and_policy_together(bench: Bench) -> None:
    bench.trial.park("T-01")
    bench.trial.stand_in("T-02", PLATE, LATE)
    bench.trial.other_policy()
    assert bench.trial.policy is Policy.SHOWPIECE
    assert present(bench.trial)["Signal Hut"] == (3, 0)
    assert bench.trial.spare_pieces() == (0, 2)
    assert sum(heap.quantity for heap in bench.trial.spares()) == 2
    bench.trial.keep()
    assert bench.documents.targets["T-01"].parked
    assert bench.documents.targets["T-02"].refused == ((PLATE, LATE),)
    assert bench.policy is Policy.SHOWPIECE


def test_lines_are_told_before_and_after(bench: Bench) -> None:
    bench.trial.move("T-02", down=False)
    bench.trial.work_out()
    [(before, after), _] = bench.trial.lines("T-01")
    assert (before.present, after.present) == (3, 2)
    with pytest.raises(DataError, match="'T-99'"):
        bench.trial.lines("T-99")


def test_before_it_is_worked_out_only_ranks_and_parking_are_seen(bench: Bench) -> None:
    bench.trial.move("T-02", down=False)
    bench.trial.park("T-03")
    assert not bench.trial.is_worked_out
    rows = [(after.name, after.rank, after.parked, after.present) for _, after in bench.trial.targets()]
    assert rows == [("Peat Tramway", 1, False, 3), ("Signal Hut", 2, False, 3), ("Glasshouse", 3, True, 0)]
    assert bench.trial.lines("T-01")[0][1].present == 3
    bench.trial.work_out()
    assert bench.trial.is_worked_out


def test_what_was_worked_out_is_out_of_date_once_something_is_counted(bench: Bench) -> None:
    bench.trial.move("T-02", down=False)
    bench.trial.work_out()
    bench.enter("pl 24 red *2")
    assert not bench.trial.is_worked_out
    assert present(bench.trial)["Signal Hut"] == (3, 3)
    bench.trial.move("T-02", down=True)
    assert bench.trial.is_worked_out, "nothing is tried any more"


def test_a_target_that_is_gone_is_said_and_no_longer_tried(bench: Bench) -> None:
    bench.trial.park("T-02")
    with bench.folder.documents.edit() as draft:
        del draft.targets["T-02"]
    bench.reload()
    assert not bench.trial.is_on
    for step in (
        lambda: bench.trial.move("T-02", down=False),
        lambda: bench.trial.join("T-02"),
        lambda: bench.trial.park("T-02"),
        lambda: bench.trial.stand_in("T-02", PLATE, LATE),
    ):
        with pytest.raises(DataError, match="'T-02'"):
            step()


def test_what_never_stands_in_cannot_be_refused(bench: Bench) -> None:
    with pytest.raises(DataError, match="does not stand in"):
        bench.trial.stand_in("T-02", PLATE, BRICK)
    assert not bench.trial.is_on


def test_ranks_end_at_the_last(bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        for code in ("T-02", "T-03"):
            draft.targets[code] = draft.targets[code]._replace(rank=MAX_RANK)
    bench.reload()
    with pytest.raises(DataError, match="no rank"):
        bench.trial.move("T-03", down=True)
    assert not bench.trial.is_on


def test_letting_go_tries_nothing(bench: Bench) -> None:
    bench.trial.park("T-01")
    bench.trial.let_go()
    assert not bench.trial.is_on
    assert present(bench.trial)["Signal Hut"] == (3, 3)


def test_many_lines_are_not_quick_and_shared_ranks_less_so(bench: Bench) -> None:
    assert bench.trial.is_quick
    many = tuple(Line(PLATE, 1) for _ in range(TrialDesk.QUICK_LINES // TrialDesk.SHARED_FACTOR))
    with bench.folder.documents.edit() as draft:
        draft.targets["T-03"] = Target("T-03", "Glasshouse", 1990, 3, many)
    bench.reload()
    assert bench.trial.is_quick
    bench.trial.join("T-02")
    assert not bench.trial.is_quick


def test_why_follows_what_is_tried(bench: Bench) -> None:
    bench.trial.park("T-01")
    bench.trial.work_out()
    told = " ".join(bench.trial.why(PLATE))
    assert "Peat Tramway" in told
    assert "goes to Signal Hut" not in told and "go to Signal Hut" not in told
