"""Going back in the log by the hour."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sortbench.bench import Bench
from tests.small_bench import PLATE, make_folder

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


class Hands:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def hands() -> Hands:
    return Hands()


@pytest.fixture
def bench(tmp_path: Path, hands: Hands) -> Bench:
    """Every ten minutes a piece, from ten minutes past noon to half past two."""
    bench = Bench.open(make_folder(tmp_path / "bench"), hands)
    for minutes in range(10, 151, 10):
        hands.now = NOON + timedelta(minutes=minutes)
        bench.count(PLATE)
    return bench


def times_back(bench: Bench, presses: int) -> list[str]:
    """The times at which going back by the hour arrives, from the newest record on."""
    log = bench.log()
    place, found = 0, []
    for _ in range(presses):
        place = bench.hour_back(log, place)
        found.append(datetime.fromisoformat(log[place].at).strftime("%H:%M"))
    return found


def test_an_hour_ago_is_reckoned_from_now(bench: Bench, hands: Hands) -> None:
    hands.now = NOON + timedelta(minutes=155)
    assert times_back(bench, 2) == ["13:30", "12:30"]


def test_after_a_break_it_is_reckoned_from_the_newest_record(bench: Bench, hands: Hands) -> None:
    hands.now = NOON + timedelta(hours=9)
    assert times_back(bench, 2) == ["13:30", "12:30"]


def test_a_clock_that_was_put_back_does_no_harm(bench: Bench, hands: Hands) -> None:
    hands.now = NOON - timedelta(hours=3)
    assert times_back(bench, 2) == ["13:30", "12:30"]


def test_it_ends_at_the_oldest_record(bench: Bench, hands: Hands) -> None:
    assert times_back(bench, 5)[-2:] == ["12:10", "12:10"]
