"""Three sorters at once on every run of the suite; ``python -m tests.durability.sorters`` takes eight."""

from __future__ import annotations

from pathlib import Path

from sortbench.tui.app import FOLLOW_S
from tests.durability.sorters import LOOK_EVERY_S, try_out


def test_sorters_on_one_bench_lose_nothing_and_agree(tmp_path: Path) -> None:
    found = try_out(tmp_path, sorters=3, acts=60)
    assert (found.lost, found.views) == ((), 1)
    # They did work at the same time, and saw each other.
    assert found.acts > 100
    assert found.pieces > 100
    assert len(found.lags_s) > found.acts
    assert LOOK_EVERY_S == FOLLOW_S < 1.0
