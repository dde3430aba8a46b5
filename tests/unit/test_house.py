"""The floors of the house: who may import whom, read from the source, and what a start loads."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[2]
HOUSE = ROOT / "sortbench"
FILES = sorted(HOUSE.rglob("*.py"))

# What each floor may use of the house. Commands and screens may name the engine's plain values: `engine.board` (what
# is shown) and `engine.pace` (how fast it goes). `engine.entry` and `engine.keypad` also hold the tables that help and
# key sheets print, which a floor-5 module may read.
ALLOWED = {
    "model": {"model"},
    "engine": {"model", "engine"},
    "store": {"model", "store"},
    "bench": {"model", "engine", "store", "bench"},
    "tui": {"model", "bench", "tui"},
    "web": {"model", "web"},
    "cli": {"model", "bench", "web", "cli"},
}
PLAIN_ENGINE_VALUES = {
    "engine.board",
    "engine.reconciling.reconcile_board",
    "engine.reconciling.pick_list",
    "engine.pace",
    "engine.identify.lot_view",
    "engine.entry",
    "engine.entering.keypad",
    "engine.washing.wash_clock",
    "engine.washing.pull_list",
    "engine.washing.cautions",
    "engine.washing.scrub",
    "engine.condition.photo_board",
}

# Libraries from outside that each floor may use.
LIBRARIES = {
    "model": set(),
    "engine": {"rapidfuzz", "highspy", "numpy", "segno"},
    "store": {"tinydb", "filelock", "PIL", "platformdirs", "tomlkit"},
    "bench": {"reportlab"},
    "tui": {"textual", "rich"},
    "web": {"aiohttp", "textual_serve"},
    "cli": {"click", "rich"},
}
LATE = {
    *("rapidfuzz", "tinydb", "filelock", "highspy", "numpy", "PIL", "segno", "reportlab", "platformdirs", "tomlkit"),
    *("aiohttp", "textual_serve"),
}
"""Libraries imported where they are needed, never at the top of a module: a start must not wait for them."""

JOINS_BOTH = "__main__"
"""The one module that knows screens and commands: it starts the one or the other."""


class Import(NamedTuple):
    """One import statement's module."""

    module: str
    line: int
    late: bool
    """Whether it stands in a function, or is there for the type checker alone."""


def imports(path: Path) -> Iterator[Import]:
    """Every module that a file imports, wherever the statement stands."""

    def walk(node: ast.AST, late: bool) -> Iterator[Import]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.Import):
                yield from (Import(name.name, child.lineno, late) for name in child.names)
            elif isinstance(child, ast.ImportFrom):
                assert child.level == 0, f"{path}:{child.lineno}: imports are written out in full"
                yield Import(child.module or "", child.lineno, late)
                if child.module == "sortbench":
                    modules = [name.name for name in child.names if not name.name.startswith("__")]
                    yield from (Import(f"sortbench.{name}", child.lineno, late) for name in modules)
            else:
                typing_only = isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test)
                inside = isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
                yield from walk(child, late or typing_only or inside)

    yield from walk(ast.parse(path.read_text("utf-8")), False)


def place(module: str) -> tuple[str, str]:
    """The floor of a module of the house, and its name within the house."""
    inner = module.removeprefix("sortbench").removeprefix(".")
    first = inner.partition(".")[0]
    return (first if first in ALLOWED else "bench"), inner


@cache
def only_late() -> set[str]:
    """Modules of the house that are imported only where they are needed, or at the top of such modules."""
    found = [
        (module_of(path), each) for path in FILES for each in imports(path) if each.module.startswith("sortbench.")
    ]
    late: set[str] = set()
    while True:
        early = {each.module for importer, each in found if not each.late and importer not in late}
        more = {each.module for _, each in found} - early
        if more == late:
            return late
        late = more


def module_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@pytest.mark.parametrize("path", FILES, ids=module_of)
def test_each_floor_imports_only_floors_below_it(path: Path) -> None:
    floor, name = place(module_of(path))
    if name == JOINS_BOTH:
        return
    for found in imports(path):
        if found.module.split(".")[0] != "sortbench" or found.module == "sortbench":
            continue
        below, inner = place(found.module)
        fine = below in ALLOWED[floor] or (floor in ("tui", "cli") and inner in PLAIN_ENGINE_VALUES)
        assert fine, f"{path.relative_to(ROOT)}:{found.line}: {floor} may not import {found.module}"


@pytest.mark.parametrize("path", FILES, ids=module_of)
def test_each_floor_uses_only_its_libraries_and_the_slow_ones_late(path: Path) -> None:
    floor, _ = place(module_of(path))
    for found in imports(path):
        top = found.module.split(".")[0]
        if top == "sortbench" or top in sys.stdlib_module_names:
            continue
        where = f"{path.relative_to(ROOT)}:{found.line}"
        assert top in LIBRARIES[floor], f"{where}: {floor} may not use {top}"
        late = found.late or module_of(path) in only_late()
        assert late or top not in LATE, f"{where}: {top} is to be imported where it is needed"


def test_nothing_but_the_starter_knows_both_screens_and_commands() -> None:
    for path in FILES:
        floors = {place(found.module)[0] for found in imports(path) if found.module.startswith("sortbench.")}
        if {"tui", "cli"} <= floors | {place(module_of(path))[0]}:
            assert place(module_of(path))[1] == JOINS_BOTH


def test_every_file_says_what_it_is_for_and_is_not_overlong() -> None:
    for path in FILES:
        text = path.read_text("utf-8")
        assert ast.get_docstring(ast.parse(text)), f"{path} has no docstring"
        assert text.count("\n") <= 430, f"{path} has more than about 400 lines"


def test_no_name_from_outside_goes_through_a_shell_or_the_network() -> None:
    for path in FILES:
        for found in imports(path):
            assert found.module.split(".")[0] not in {"socket", "urllib", "http", "ftplib", "smtplib", "requests"}, path


def modules_after(code: str) -> set[str]:
    """Modules that a fresh interpreter has loaded after some code, by their full names."""
    done = subprocess.run(
        [sys.executable, "-c", f"import sys\n{code}\nprint(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    return set(done.stdout.split())


def loaded_by(code: str) -> set[str]:
    """Top-level modules that a fresh interpreter has loaded after some code."""
    return {name.partition(".")[0] for name in modules_after(code)}


def test_the_bench_loads_no_screen_no_command_line_and_no_slow_library() -> None:
    loaded = loaded_by("import sortbench.bench")
    assert "sortbench" in loaded
    assert not loaded & {
        "textual",
        "rich",
        "click",
        "tinydb",
        "rapidfuzz",
        "frictionless",
        "filelock",
        "numpy",
        "highspy",
        "PIL",
        "segno",
        "reportlab",
    }


def test_opening_looking_and_asking_load_no_slow_library(bench_folder: Path) -> None:
    asked = f"""
from pathlib import Path
from sortbench.bench import Bench
bench = Bench.open(Path({str(bench_folder)!r}))
bench.target_rows(), bench.bin_rows(), bench.recent(9), bench.pace(), bench.pad.view()
"""
    slow = {"textual", "rich", "click", "tinydb", "frictionless", "filelock", "numpy", "highspy", "PIL"}
    assert not loaded_by(asked) & {*slow, "rapidfuzz"}
    # What is typed may be misspelt, so a look-up may need rapidfuzz, and nothing else.
    assert not loaded_by(asked + 'assert bench.search("plate 2x4 red").rows') & slow


def test_opening_and_counting_load_nothing_of_washing_judging_or_treating(bench_folder: Path) -> None:
    counted = f"""
from pathlib import Path
from sortbench.bench import Bench
bench = Bench.open(Path({str(bench_folder)!r}))
bench.enter("plate 2x4 red"), bench.target_rows(), bench.due_line()
"""
    late = ("wash", "drying", "humidity", "constant_mass", "treat", "peroxide", "photo", "colour", "yellowness", "judg")
    ours = {name.rpartition(".")[2] for name in modules_after(counted) if name.startswith("sortbench.")}
    assert "bench" in ours and not [name for name in ours if name.startswith(late)]
