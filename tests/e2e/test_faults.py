"""A fault of the program itself: a line instead of a page of source, an exit code of its own, nothing lost."""

from __future__ import annotations

import sys
from pathlib import Path

from person import PATIENCE, ROOT, wait_bench
from terminal import Terminal

from sortbench.bench import Bench

BROKEN = """
import sys
from sortbench.tui.screens.bench import BenchScreen
def on_moved(self, message):
    raise ZeroDivisionError("made by a test")
BenchScreen.on_moved = on_moved
from sortbench.__main__ import run
sys.exit(run(["--bench", sys.argv[1]]))
"""


def test_a_fault_leaves_with_a_line_and_what_was_counted_stands(bench_folder: Path) -> None:
    command = [sys.executable, "-c", BROKEN, str(bench_folder)]
    with Terminal(command, env={"PYTHONPATH": str(ROOT)}) as person:
        wait_bench(person)
        person.send("wh pl 24\r")
        person.wait_for("1 piece", PATIENCE)
        person.press("down")
        assert person.wait(PATIENCE) == 70
        written = bytes(person.raw).decode(errors="replace")
    assert "a fault of the program itself: ZeroDivisionError: made by a test" in written
    assert "Traceback" not in written
    with Bench.open(bench_folder) as bench:
        assert bench.picture.ledger.pieces == 1
