"""A disk that is really full: what was counted stays, what was refused is not there, and counting goes on after."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# Counts until refused, makes room, counts on; then tells what it was told.
COUNT_UNTIL_FULL = """
import json, sys
from pathlib import Path
from sortbench.model.errors import WriteError
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.store.folder import BenchFolder
from sortbench.store.tally_log import SittingLog, read_log

{prepare}

counted, refused = [], 0
with SittingLog(folder, "s1") as log:
    def count(quantity):
        cell = Cell("B7", "plate-2x4", "grey, late", "", None, ())
        log.append(Record(RecordId("s1", log.next_seq), "2026-03-01T09:30:00Z", What.TALLY, cell, quantity))
        counted.append(quantity)
    for quantity in range(1, 2000):
        try:
            count(quantity)
        except WriteError:
            refused += 1
            if refused == 3:
                break
    during = [record.quantity for record in read_log(log.path).records[1:]]
    before = list(counted)
    make_room()
    count(77)
reading = read_log(log.path)
print(json.dumps([before, during, refused, [record.quantity for record in reading.records[1:]], len(reading.torn)]))
"""

SMALL_FILES = """
import resource
folder = Path(sys.argv[1])
hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
resource.setrlimit(resource.RLIMIT_FSIZE, (5000, hard))
def make_room():
    resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
"""

SMALL_DISK = """
folder = Path(sys.argv[1])
(folder / "filler").write_bytes(bytes(40_000))
def make_room():
    (folder / "filler").unlink()
"""


def told(ran: subprocess.CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    before, during, refused, after, torn = json.loads(ran.stdout)
    assert refused == 3 and len(before) > 10
    assert before == during == list(range(1, len(before) + 1))
    assert (after, torn) == ([*before, 77], 0)


@pytest.mark.skipif(os.name == "nt", reason="no such limit there")
def test_file_that_may_not_grow(tmp_path: Path) -> None:
    """The system takes the part of the line that fits, a short write, and refuses the rest (setrlimit(2), EFBIG)."""
    script = COUNT_UNTIL_FULL.format(prepare=SMALL_FILES)
    command = [sys.executable, "-c", script, str(tmp_path)]
    told(subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False))


def test_disk_that_is_full(tmp_path: Path) -> None:
    """A disk of 64 KiB in memory, mounted where only the child sees it."""
    mount = f"mount -t tmpfs -o size=64k none {tmp_path}"
    if (
        not shutil.which("unshare")
        or subprocess.run(["unshare", "-m", "sh", "-c", mount], capture_output=True).returncode
    ):
        pytest.skip("a disk cannot be mounted here")
    script = COUNT_UNTIL_FULL.format(prepare=SMALL_DISK)
    command = ["unshare", "-m", "sh", "-c", f'{mount} && exec "$@"', "sh", sys.executable, "-c", script, str(tmp_path)]
    told(subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False))
    assert list(tmp_path.iterdir()) == []
