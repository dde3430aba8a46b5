"""The line mode on a real pseudo-terminal: a person types, and not one control sequence comes back."""

from __future__ import annotations

import os
import pty
import re
import select
import subprocess
import sys
from pathlib import Path

PATIENCE_S = 60


def test_a_sitting_of_lines_writes_no_control_sequence(bench_folder: Path) -> None:
    master, slave = pty.openpty()
    command = [sys.executable, "-m", "sortbench", "--bench", str(bench_folder), "--plain"]
    with subprocess.Popen(command, stdin=slave, stdout=slave, stderr=slave, env={**os.environ, "TERM": "xterm"}) as run:
        os.close(slave)
        said = b""

        def until(pattern: str) -> None:
            nonlocal said
            while not re.search(pattern.encode(), said, re.DOTALL):
                assert select.select([master], [], [], PATIENCE_S)[0], said
                said += os.read(master, 65536)

        until(r"help lists.*> $")
        for line, answer in (
            ("plate 2x4 red *3", r"Counted 3 plate 2x4.*> $"),
            ("", r"Counted 1 plate 2x4.*> $"),
            ("zzzz", r"Refused: Nothing is called.*> $"),
            ("missing signal", r"Line 2: 2 of 2 brick 2x4, red missing.*> $"),
            ("help", r"quit: end the sitting.*> $"),
        ):
            os.write(master, line.encode() + b"\n")
            until(answer)
        os.write(master, b"\x04")  # Ctrl+D
        until("4 pieces in 2 tallies")
        assert run.wait(PATIENCE_S) == 0
    os.close(master)
    assert not re.search(rb"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f\x9b]", said), said
