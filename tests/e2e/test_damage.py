"""Disks that are full or read-only, and logs that are damaged: said at once, and nothing that was shown is lost."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from person import (
    PATIENCE,
    answer,
    at_terminal,
    counted,
    entry,
    leave,
    open_bench,
    receipt,
    records,
    shell,
    shown_total,
    slot,
    total,
    type_in,
    wait_total,
)

SMALL_FILES = """
import os, resource, sys
os.environ["PYTHONDONTWRITEBYTECODE"] = "1"  # else a compiled file may be cut short
resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))
os.execv(sys.argv[1], sys.argv[1:])
"""
"""No file may grow beyond 2,000 bytes: a log has room for a few records, then writes fail (setrlimit(2), EFBIG)."""


def small_files() -> tuple[str, ...]:
    """What to put before a command so that its files stay small."""
    return (sys.executable, "-c", SMALL_FILES)


def test_a_full_disk_is_told_and_what_was_shown_stands(bench_folder: Path) -> None:
    with open_bench(bench_folder, wrapper=small_files()) as person:
        person.send("pl24 re\r" * 20)
        person.wait_for(lambda t: "✗ Nothing was counted" in answer(t), PATIENCE)
        person.settle()
        shown = shown_total(person)
        assert 0 < shown < 20 and "✗ Nothing was counted" in answer(person), "the last line was refused"
        person.wait_for(lambda t: "pl24 re" in entry(t), PATIENCE)
        person.press("ctrl+u", "escape")
        person.press(slot(person, "plate 2x4"))
        person.wait_for(lambda t: "✗ Nothing was counted" in answer(t), PATIENCE)
        assert shown_total(person) == shown
        person.press("f3", "escape")
        wait_total(person, shown)
        assert leave(person) == 0
    assert total(bench_folder) == shown == sum(record["quantity"] for record in records(bench_folder))
    with open_bench(bench_folder) as person:
        wait_total(person, shown)
        type_in(person, "pl24 re", receipt(1, "plate 2x4", "red"))
        wait_total(person, shown + 1)


def test_a_refused_line_among_fast_ones_is_still_told(bench_folder: Path) -> None:
    with open_bench(bench_folder, columns=80, rows=24) as person:
        person.send("pl24 re\rnobody knows this\rnor this\r")
        person.wait_for("✗ Nothing is called", PATIENCE)
        person.settle()
        assert "✗ Nothing is called" in answer(person) and shown_total(person) == 1


def test_a_folder_that_cannot_be_written_shows_its_counts(bench_folder: Path) -> None:
    counted(bench_folder, "pl24 re *4")
    mount = f"mount --bind {bench_folder} {bench_folder} && mount -o remount,ro,bind {bench_folder}"
    if (
        not shutil.which("unshare")
        or subprocess.run(["unshare", "-m", "sh", "-c", mount], capture_output=True).returncode
    ):
        pytest.skip("a disk cannot be mounted here")
    with open_bench(bench_folder, wrapper=("unshare", "-m", "sh", "-c", f'{mount} && exec "$@"', "sh")) as person:
        assert shown_total(person) == 4
        person.send("pl24 re\r")
        person.wait_for("✗", PATIENCE)
        person.wait_for("Read-only file system", PATIENCE)
        assert shown_total(person) == 4
        assert leave(person) == 0
    assert total(bench_folder) == 4


def test_a_damaged_log_is_named_mended_and_opened(bench_folder: Path) -> None:
    counted(bench_folder, "pl24 re *4", "br24 re *2", "ti22 wh *3")
    (log,) = (bench_folder / "tallies").glob("*.jsonl")
    lines = log.read_bytes().splitlines(keepends=True)
    lines[2] = lines[2].replace(b"brick", b"brack")
    log.write_bytes(b"".join(lines))
    with at_terminal("--bench", bench_folder, columns=200) as person:
        assert person.wait(PATIENCE) == 3
        said = bytes(person.raw).decode().split("\x1b[?1049l")[-1]
        assert log.name in said and "line 3" in said and "sortbench check" in said
    looked = shell("--bench", bench_folder, "check")
    assert looked.returncode == 3 and log.name in looked.stdout and "line 3" in looked.stdout
    assert b"".join(lines) == log.read_bytes(), "looking changes nothing"
    assert shell("--bench", bench_folder, "check", "--repair").returncode == 0
    assert shell("--bench", bench_folder, "check").returncode == 0
    with open_bench(bench_folder) as person:
        wait_total(person, 7)
        type_in(person, "br24 re *2", receipt(2, "brick 2x4", "red"))
        wait_total(person, 9)


def test_a_log_damaged_while_the_app_runs_is_told(bench_folder: Path) -> None:
    counted(bench_folder, "pl24 re *4")
    (log,) = (bench_folder / "tallies").glob("*.jsonl")
    with open_bench(bench_folder, columns=160) as person:
        with log.open("ab") as file:
            file.write(b'{"nonsense": true}\n')
        person.wait_for(log.name[:20], PATIENCE)
        wait_total(person, 4)
        type_in(person, "ti22 wh", receipt(1, "tile 2x2", "white"))
        wait_total(person, 5)
        assert leave(person) == 0
