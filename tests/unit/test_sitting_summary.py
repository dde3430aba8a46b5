"""What a sitting did: as the app says it in the end, and as `sortbench sitting` says it later."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_bench import call, rows
from small_bench import BRICK, PLATE, TILE, make_folder
from working import START, Clock

from sortbench.bench import Bench
from sortbench.desks.summary_desk import SittingSummary, Stand, stand_of, summary_now, summary_of
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.papers.summary_words import summary_lines


def sit(path: Path, day: int, *counts: tuple[Kind, int]) -> tuple[SittingSummary | None, Stand, str]:
    """One sitting: every tally takes four seconds. What it did, how far the bench was before, and its name."""
    clock = Clock(START.replace(day=day))
    with Bench.open(path, clock) as bench:
        before = stand_of(bench.picture)
        for kind, quantity in counts:
            clock.wait(4)
            bench.count(kind, quantity)
        return summary_now(bench, before), before, bench.sitting.id


FIRST = [(PLATE, 1)] * 2 + [(BRICK, 1)] * 40
"""Signal Hut asks for three plates and two bricks; B2 holds ten grams, four bricks."""
SECOND = [(PLATE, 1), (TILE, 1), (PLATE, 1)]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_folder(tmp_path / "bench")


def test_a_sitting_says_what_it_counted_filled_and_let_overflow(folder: Path) -> None:
    found, before, name = sit(folder, 1, *FIRST)
    assert found is not None and before.present == {"T-01": 0, "T-02": 0, "T-03": 0}
    lines = summary_lines(found, "W2 stir now")
    assert lines == (
        f"Sitting {name}: 42 pieces in 42 tallies, 0:02:44 at work, 15.0 a minute (15.0 to 15.0).",
        "  filled: Signal Hut 0 to 4 of 5",
        "  overflowed: B2, 90 g over",
        "  in the wash: W2 stir now",
    )


def test_the_next_sitting_is_held_against_what_was_there_before(folder: Path) -> None:
    sit(folder, 1, *FIRST)
    found, before, _ = sit(folder, 2, *SECOND)
    assert found is not None and before.over == {"B2"}
    assert summary_lines(found)[1:] == ("  filled: Signal Hut complete, 5 of 5; Peat Tramway 0 to 2 of 5",)
    assert not found.overflowed, "B2 was over before"


def test_where_nothing_is_counted_nothing_is_said(folder: Path) -> None:
    assert sit(folder, 1)[0] is None
    with Bench.open(folder) as bench:
        assert summary_of(bench) is None
    result = call("--bench", folder, "sitting")
    assert result.exit_code == 0 and not result.stdout and "No pieces" in result.stderr
    assert rows(call("--bench", folder, "sitting", "--json"), "sitting") == []


def test_later_it_says_what_it_said_in_the_end(folder: Path) -> None:
    told = [sit(folder, 1, *FIRST), sit(folder, 2, *SECOND), sit(folder, 3)]
    with Bench.open(folder) as bench:
        assert summary_of(bench) == told[1][0], "the last one that counted"
        for found, _, name in told[:2]:
            assert summary_of(bench, name) == found
        with pytest.raises(DataError, match="no sitting"):
            summary_of(bench, told[2][2])
    result = call("--bench", folder, "sitting", told[0][2][:8])
    assert "Signal Hut 0 to 4 of 5" in result.stdout and result.exit_code == 0
    (row,) = rows(call("--bench", folder, "sitting", "--json"), "sitting")
    assert [(each["target"], each["before"], each["now"], each["complete"]) for each in row["filled"]] == [
        ("T-01", 4, 5, True),
        ("T-02", 0, 2, False),
    ]
    assert (row["quantity"], row["overflowed"], row["wash_due"]) == (3, [], None)


def test_a_sitting_that_nobody_knows_is_said_to_be_none(folder: Path) -> None:
    sit(folder, 1, *FIRST)
    result = call("--bench", folder, "sitting", "1999")
    assert result.exit_code == 1 and "The last ones are: 20260301" in result.stderr
