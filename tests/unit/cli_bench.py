"""A small bench for the tests of the command line, and how they call it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from sortbench.__main__ import app_settings
from sortbench.bench import Bench
from sortbench.cli.context import Session
from sortbench.cli.main import cli
from sortbench.desks.additions import add_bin, add_part, add_shade, add_target
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade, Years
from sortbench.model.target import Line, Target

OPENED: list[Path] = []
"""Folders that the app was asked to open by the last call."""


def make_bench(folder: Path) -> Path:
    """Two targets, three shades, four parts, two bins; nothing counted."""
    with Bench.create(folder) as bench:
        for part in (
            Part("plate-2x4", "plate 2x4", "plate", mass_g=1.0, years=Years(1960, 2000)),
            Part("brick-2x4", "brick 2x4", "brick", years=Years(1960, 2000)),
            Part("bell", "bell", "other"),
            Part("pane", "[red]pane[/", "window"),
        ):
            add_part(bench, part)
        for name in ("white", "grey, early", "grey, late"):
            add_shade(bench, Shade(name, years=Years(1960, 2000)))
        add_bin(bench, Bin("REST"))
        add_bin(bench, Bin("B1", Rule(shades=("white",)), capacity=10))
        white_plates = Line(Kind("plate-2x4", "white"), 12)
        add_target(bench, Target("T-03", "Bell Foundry", 1988, 1, (white_plates, Line(Kind("bell", "grey, late"), 1))))
        add_target(bench, Target("T-05", "Signal Hut", 1991, 2))
    return folder


def call(*args: str | Path, text: str | None = None, env: dict[str, str] | None = None) -> Result:
    """Run a command line in this process; standard output and standard error are kept apart."""
    OPENED.clear()

    def open_app(folder: Path) -> int:
        OPENED.append(folder)
        return 0

    settings = {"SORTBENCH_BENCH": None, "SORTBENCH_TRACE": None} | (env or {})
    return CliRunner().invoke(
        cli,
        [str(arg) for arg in args],
        input=text,
        env=settings,
        obj=Session(open_app, app_settings),
        prog_name="sortbench",
    )


def rows(result: Result, what: str) -> list[dict[str, Any]]:
    """The rows of a ``--json`` answer, its frame checked."""
    assert result.exit_code == 0, result.stderr
    answer = json.loads(result.stdout)
    assert list(answer) == ["format", "what", "rows"]
    assert (answer["format"], answer["what"]) == (1, what)
    found: list[dict[str, Any]] = answer["rows"]
    return found
