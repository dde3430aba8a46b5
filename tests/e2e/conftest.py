"""Benches for the end-to-end tests. Each test sits at a real pseudo-terminal; see ``person.py``."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_bench import make_folder


@pytest.fixture
def bench_folder(tmp_path: Path) -> Path:
    """A small bench: five parts, four shades, three targets, five bins; nothing counted."""
    return make_folder(tmp_path / "mill-lane")


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo bench, half counted; tests that count work on a copy."""
    from sortbench.demo_bench import build_demo

    folder = tmp_path_factory.mktemp("demo") / "bench"
    build_demo(folder)
    return folder
