"""A few dozen kills on every run of the suite; harnesses do thousands, each as ``python -m tests.durability.NAME``:
``kill_harness`` kills a writer, ``kill_commands`` the command line, ``kill_acts`` and ``kill_app`` the app.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from command_cases import OPENING, READING, WRITING, commands
from kill_acts import WRITING as WRITING_ACTS
from kill_acts import Kills
from kill_commands import CommandKills, make_benches
from mortal import give

KILLS = 40
ROOT = Path(__file__).parents[2]

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the harnesses fork what they kill")


@pytest.fixture(scope="module")
def benches(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_benches(tmp_path_factory.mktemp("kills") / "benches")


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


def test_no_command_is_forgotten() -> None:
    """Each is among those that are killed, or known to read only, or only opens the app."""
    assert {each.command for each in (*WRITING, *READING)} | OPENING == set(commands())


@pytest.mark.parametrize("number", range(4))
def test_a_command_that_is_killed_leaves_all_or_nothing(benches: Path, tmp_path: Path, number: int) -> None:
    call = WRITING[number * 19 + 2]
    trials = CommandKills(call, benches, tmp_path, seed=number)
    for _ in range(4):
        trials.kill()
    assert trials.troubles == []
    assert trials.during > 0


def test_an_act_that_is_killed_leaves_all_or_nothing(tmp_path: Path) -> None:
    trials = Kills(next(act for act in WRITING_ACTS if act.name == "recount taken over"), tmp_path, seed=1)
    for _ in range(6):
        trials.kill()
    assert trials.troubles == []


def test_commands_that_read_leave_everything_as_it_is(benches: Path) -> None:
    def content() -> dict[Path, bytes]:
        return {path: path.read_bytes() for path in sorted(benches.rglob("*")) if path.is_file()}

    before = content()
    for call in READING:
        lived = give(benches, f"--bench {call.bench} {call.command} {call.words}")
        assert lived.code == 0, f"{call.command} {call.words}: {lived.said}"
        assert content() == before, f"{call.command} {call.words} writes"
