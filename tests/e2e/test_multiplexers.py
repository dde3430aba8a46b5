"""Within tmux and screen: the keys of the registry arrive, and what stands on the screen is whole."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from person import PATIENCE, at_terminal, total, type_in
from terminal import Terminal

PLACES = {
    **{"f3": "Right next target", "f4": "bins  7 pieces", "f5": "log  1 record"},
    **{"f6": "reconcile  7/10", "f7": "wash  b batches", "f8": "judge red"},
}


@contextmanager
def within(program: str, folder: Path) -> Iterator[Terminal]:
    """The app in a multiplexer of its own, without anybody's settings for it."""
    if not shutil.which(program):
        pytest.skip(f"{program} is not installed")
    name = f"sortbench-{os.getpid()}"
    if program == "tmux":
        wrapper = ("tmux", "-L", name, "-f", "/dev/null", "new-session")
        end = ("tmux", "-L", name, "kill-server")
    else:
        wrapper = ("screen", "-c", "/dev/null", "-S", name)
        end = ("screen", "-S", name, "-X", "quit")
    env = {"TERM": "xterm-256color", "TMUX": "", "STY": "", "LANG": "C.UTF-8", "SCREENDIR": str(folder.parent / "s")}
    (folder.parent / "s").mkdir(mode=0o700)
    person = at_terminal("--bench", folder, env=env, wrapper=wrapper, columns=120, rows=37)
    try:
        yield person
    finally:
        subprocess.run(end, env=os.environ | env, capture_output=True, check=False, timeout=20)
        person.close()


@pytest.mark.parametrize("program", ["tmux", "screen"])
def test_every_key_that_leads_somewhere_arrives(program: str, bench_folder: Path) -> None:
    with within(program, bench_folder) as person:
        person.wait_for("what is it?", PATIENCE)
        type_in(person, "pl24 re *7", "7 ×")
        for key, wanted in PLACES.items():
            person.press(key)
            person.wait_for(wanted, PATIENCE)
        person.press("f2")
        person.wait_for("what is it?", PATIENCE)
        person.send(b"\x10")
        person.wait_for("find:", PATIENCE)
        person.send("undo\r")
        person.wait_for("undone", PATIENCE)
        person.press("ctrl+y")
        person.wait_for("7 ×", PATIENCE)
        person.send(b"\x1b[200~br24 re *2\nti22 wh\x1b[201~")
        person.wait_for("2 lines pasted", PATIENCE)
        person.press("enter")
        person.wait_for("2 pasted lines counted", PATIENCE)
        person.press("f10")
        person.wait(PATIENCE)
    assert total(bench_folder) == 10
