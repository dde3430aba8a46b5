"""Errors that a screen may show say what to do next."""

from __future__ import annotations

import ast
from pathlib import Path

import sortbench

HOUSE = Path(sortbench.__file__).parent
ERRORS = {"DataError", "UsageError", "BenchError", "WriteError"}
SHOWN = (
    *HOUSE.glob("desks/*.py"),
    *HOUSE.glob("tui/**/*.py"),
    *map(HOUSE.joinpath, ("desk.py", "sitting.py", "keeping.py")),
)


def test_errors_say_what_to_do_unless_it_is_done_already() -> None:
    silent = []
    for path in SHOWN:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ERRORS):
                continue
            says_more = len(node.args) + len(node.keywords) > 1
            if not says_more and "already" not in ast.unparse(node):
                silent.append(f"{path.relative_to(HOUSE)}:{node.lineno} {ast.unparse(node)[:100]}")
    assert not silent, "nothing says what to do next: " + "; ".join(silent)
    assert len(SHOWN) > 50, "the files were found"
