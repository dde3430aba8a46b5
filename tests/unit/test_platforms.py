"""The ways of other systems, walked here: the platform layer is replaced, the journeys are the same."""

from __future__ import annotations

import asyncio
import errno
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from small_bench import PLATE, make_folder

from sortbench.bench import Bench
from sortbench.desks.statement_desk import _file_name
from sortbench.store import system
from sortbench.store.durable import replace_file
from sortbench.store.folder import BenchFolder
from sortbench.store.locks import sitting_lock_path
from sortbench.store.tally_log import new_sitting_id
from sortbench.tui.app import SortbenchApp

ROOT = Path(__file__).resolve().parents[2]


class _Refusals:
    """Refuses the first so many calls of ``Path.replace`` with an error."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, times: int, number: int) -> None:
        self.calls = 0
        real = Path.replace

        def replace(path: Path, target: Path) -> Path:
            self.calls += 1
            if self.calls <= times:
                raise OSError(number, os.strerror(number))
            return real(path, target)

        monkeypatch.setattr(Path, "replace", replace)
        monkeypatch.setattr(system, "_WAIT_S", 0.0)


def test_windows_waits_until_a_file_that_is_read_can_be_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(system, "WINDOWS", True)
    refusals = _Refusals(monkeypatch, 3, errno.EACCES)
    replace_file(tmp_path / "bench.json", b"new")
    assert ((tmp_path / "bench.json").read_bytes(), refusals.calls) == (b"new", 4)


@pytest.mark.parametrize(("number", "calls"), [(errno.EACCES, 41), (errno.ENOSPC, 1)])
def test_windows_gives_up_in_the_end_and_at_once_where_waiting_is_no_help(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, calls: int
) -> None:
    (tmp_path / "bench.json").write_bytes(b"old")
    monkeypatch.setattr(system, "WINDOWS", True)
    refusals = _Refusals(monkeypatch, 99, number)
    with pytest.raises(OSError, match=os.strerror(number)):
        replace_file(tmp_path / "bench.json", b"new")
    assert ((tmp_path / "bench.json").read_bytes(), refusals.calls) == (b"old", calls)
    assert [path.name for path in tmp_path.iterdir()] == ["bench.json"]


def test_elsewhere_a_refusal_is_told_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    refusals = _Refusals(monkeypatch, 99, errno.EACCES)
    with pytest.raises(PermissionError):
        replace_file(tmp_path / "bench.json", b"new")
    assert refusals.calls == 1


def test_windows_opens_no_folder_to_sync_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "WINDOWS", True)
    real = os.open

    def opened(path: object, flags: int, mode: int = 0o777) -> int:
        reading = flags & os.O_ACCMODE == os.O_RDONLY  # the locks' own library tries folders otherwise
        assert not (reading and Path(str(path)).is_dir()), f"{path} is a folder"
        return real(path, flags, mode)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "open", opened)
    with Bench.open(make_folder(tmp_path / "bench")) as bench:
        bench.count(PLATE, 3)


def test_windows_lets_go_of_a_lock_before_its_file_is_removed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "WINDOWS", True)
    folder = BenchFolder.open(make_folder(tmp_path / "bench"))
    with Bench.open(folder.path) as bench:
        bench.count(PLATE)
        lock = sitting_lock_path(folder.tallies, bench.sitting.id)
        assert lock.exists()
        real, held = Path.unlink, []

        def unlink(path: Path, missing_ok: bool = False) -> None:
            if path == lock:
                held.append(bench.sitting.id in folder.live_sittings())
            real(path, missing_ok)

        monkeypatch.setattr(Path, "unlink", unlink)
    assert (lock.exists(), held) == (False, [False])


@pytest.fixture
def mac(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Calls of macOS's full sync."""
    fcntl = pytest.importorskip("fcntl")
    asked: list[int] = []
    monkeypatch.setattr(system, "MAC", True)
    monkeypatch.setattr(fcntl, "F_FULLFSYNC", 51, raising=False)  # its number on macOS
    real = fcntl.fcntl

    def control(descriptor: int, command: int, *more: int) -> int:
        if command != 51:
            return int(real(descriptor, command, *more))
        asked.append(descriptor)
        return 0

    monkeypatch.setattr(fcntl, "fcntl", control)
    return asked


def test_macos_is_asked_to_empty_the_cache_of_the_drive(tmp_path: Path, mac: list[int]) -> None:
    with Bench.open(make_folder(tmp_path / "bench")) as bench:
        before = len(mac)
        assert before > 0  # the documents
        bench.count(PLATE)
        assert len(mac) == before + 1  # the record


def test_macos_falls_back_where_the_file_system_knows_no_such_sync(
    tmp_path: Path, mac: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    fcntl = pytest.importorskip("fcntl")
    real, synced = os.fsync, []

    def refuse(*_: object) -> int:
        raise OSError(errno.ENOTSUP, "not supported")

    def counted(descriptor: int) -> None:
        synced.append(descriptor)
        real(descriptor)

    folder = make_folder(tmp_path / "bench")
    with Bench.open(folder) as bench:
        bench.count(PLATE)
        monkeypatch.setattr(fcntl, "fcntl", refuse)
        monkeypatch.setattr(os, "fsync", counted)
        bench.count(PLATE)
        assert len(synced) == 1


WITHOUT = """
import os, sys
for name in ("fdatasync", "fchmod", "O_NOFOLLOW", "O_CLOEXEC", "O_DIRECTORY"):
    if hasattr(os, name):
        delattr(os, name)
from pathlib import Path
from sortbench.store import system
system.WINDOWS = {windows}
from sortbench.cli.main import run
folder = Path({folder!r})
def do(*args):
    try:
        return run([*args], lambda _: 0)
    except SystemExit as left:
        return left.code
steps = (
    ("--bench", str(folder), "tally", "plate 2x4 red *3", "tile 2x2 white"),
    ("--bench", str(folder), "pile", "90"),
    ("--bench", str(folder), "export", str(folder.parent / "sheet")),
    ("--bench", str(folder), "check"),
    ("--bench", str(folder), "check", "--repair"),
)
print([do(*step) for step in steps])
"""


@pytest.mark.parametrize("windows", [True, False])
def test_a_journey_where_the_system_has_nothing_of_posix(tmp_path: Path, windows: bool) -> None:
    folder = make_folder(tmp_path / "bench")
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT.format(windows=windows, folder=str(folder))],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.splitlines()[-1] == "[0, 0, 0, 0, 0]", done.stderr
    with Bench.open(folder) as bench:
        assert (bench.picture.ledger.pieces, bench.pile) == (4, 90)


async def test_the_app_runs_where_no_signal_can_be_caught(bench_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise NotImplementedError  # as Windows' event loop does

    app = SortbenchApp(lambda: Bench.open(bench_folder))
    monkeypatch.setattr(asyncio.get_running_loop(), "add_signal_handler", refuse)
    async with app.run_test() as pilot:
        await pilot.pause()
        assert app.is_running


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("autumn list.csv", "autumn list.csv"),
        ("con.csv", "_con.csv"),
        ("NUL", "_NUL"),
        ("com7 .csv", "_com7 .csv"),
        ("comic.csv", "comic.csv"),
        ("a:b?.csv", "a_3a_b_3f_.csv"),
        ("up/../down", "up_2f_.._2f_down"),
        ("dots...", "dots_2e__2e__2e_"),
        ("tab\t\u202e", "tab_9__202e_"),
    ],
)
def test_file_names_that_every_system_takes(text: str, name: str) -> None:
    assert system.file_name(text) == name


def test_names_that_differ_in_case_alone_do_not_share_a_file() -> None:
    codes = ["T-07", "t-07", "T-07a", "T-07A", "straße", "STRASSE", "é", "É"]
    assert len({_file_name(code).casefold() for code in codes}) == len(codes)
    one, other = (new_sitting_id(datetime(2026, 3, 1, tzinfo=UTC)) for _ in range(2))
    assert one.casefold() != other.casefold()


def test_the_store_alone_asks_which_system_it_is() -> None:
    named = ("os.name", "sys.platform", "os.fork")
    asking = {
        path.name
        for path in (ROOT / "sortbench").rglob("*.py")
        if any(word in path.read_text("utf-8") for word in named)
    }
    assert asking == {"system.py"}
