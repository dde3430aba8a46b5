"""The power goes after any call that changes the disk: what was acknowledged is there when it is back."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from power_loss import play

from sortbench.store import tally_log


def test_what_was_acknowledged_outlives_a_power_cut_at_any_moment(tmp_path: Path) -> None:
    played = play(tmp_path, seed=1)
    assert played.troubles == []
    assert played.cuts > 180 and played.traces > 50


def test_a_log_that_is_not_synced_is_found_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else power cuts that lose nothing would say nothing."""
    monkeypatch.setattr(tally_log, "sync_data", os.fstat)
    assert any("are gone" in trouble for trouble in play(tmp_path, seed=1).troubles)
