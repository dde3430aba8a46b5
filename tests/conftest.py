"""What the tests share. This file's folder is on the import path, so tests may import the modules beside it."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from small_bench import make_folder, ticking

from sortbench.bench import Bench

Opener = Callable[[], Bench]

# Whoever runs the tests may have settings of their own; programs started by tests inherit this, too. Nothing is found
# below a file, nor can a test that strikes any key keep something there for the next one.
os.environ["SORTBENCH_SETTINGS"] = str(Path(__file__) / "settings.toml")

# Pseudo-terminals, SIGKILL and file-size limits are POSIX; what they test stays untested on Windows.
collect_ignore_glob = ["e2e/*", "durability/*"] if sys.platform == "win32" else []


def pytest_xdist_auto_num_workers() -> int:
    """One process more than there are processors, for programs in terminals are waited for; five at most."""
    return min((os.cpu_count() or 1) + 1, 5)


@pytest.fixture
def bench_folder(tmp_path: Path) -> Path:
    """The folder of a small bench, nothing counted."""
    return make_folder(tmp_path / "bench")


@pytest.fixture
def clock() -> Callable[[], datetime]:
    """A clock that moves on by a second each time it is asked."""
    return ticking()


@pytest.fixture
def opened(bench_folder: Path, clock: Callable[[], datetime]) -> Iterator[Opener]:
    """Opens the small bench, as often as asked: each is a sitting of its own. All are closed at the end."""
    benches: list[Bench] = []

    def another() -> Bench:
        benches.append(Bench.open(bench_folder, clock))
        return benches[-1]

    yield another
    for bench in benches:
        bench.close()


@pytest.fixture
def bench(opened: Opener) -> Bench:
    """The small bench, open for one sitting."""
    return opened()
