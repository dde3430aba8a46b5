"""A few dozen kills on every run of the suite; ``python -m tests.durability.kill_harness`` does a thousand."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

KILLS = 40
ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the harness forks its writers")
def test_no_kill_loses_what_was_acknowledged(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "tests.durability.kill_harness"]
    ran = subprocess.run(
        [*command, "--kills", str(KILLS), "--json", "--folder", str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    result = json.loads(ran.stdout)
    assert (result["lost"], result["unreadable"], ran.returncode) == ([], [], 0)
    # The trials were real ones: writers got far enough to count, and were killed in the middle of their work.
    assert sum(result["kills"].values()) == KILLS
    assert result["acknowledged"]["tally"] > KILLS
    assert result["kills"].get("nothing", 0) < KILLS / 2
