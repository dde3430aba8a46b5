"""Somebody at the keyboard: the program in a real terminal, its commands from a shell, and what the screen says."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from terminal import Terminal

from sortbench.bench import Bench

ROOT = Path(__file__).parents[2]
PROGRAM = (sys.executable, "-m", "sortbench")
PATIENCE = 20.0
"""Seconds to wait for a screen: far more than it takes, for a machine that is busy with something else."""
_PIECES = re.compile(r"([\d,]+) (?:pieces?|of about [\d,]+)")


def at_terminal(
    *args: str | Path,
    columns: int = 120,
    rows: int = 36,
    env: Mapping[str, str] | None = None,
    cwd: Path | None = None,
    wrapper: Sequence[str] = (),
) -> Terminal:
    """The program in a terminal of its own."""
    command = [*wrapper, *PROGRAM, *map(str, args)]
    settings = {"PYTHONPATH": str(ROOT), "SORTBENCH_BENCH": ""} | dict(env or {})
    return Terminal(command, columns=columns, rows=rows, env=settings, cwd=cwd)


def wait_bench(person: Terminal) -> None:
    """Wait until the bench screen stands and says what is counted."""

    def stands(terminal: Terminal) -> bool:
        screen = terminal.screen_text()
        footed = re.match(r"(F1|\?) help", screen.rsplit("\n", 1)[-1])
        return bool(footed and "┍━ crates" in screen and _PIECES.search(head(terminal)))

    person.wait_for(stands, PATIENCE)


def _top(person: Terminal) -> list[str]:
    """The lines above the table: what is held and counted, the entry line, and its answer."""
    return person.screen_text().partition("┍━")[0].split("\n")


def head(person: Terminal) -> str:
    """What is held, and how much is counted."""
    return next((line for line in _top(person)[:2] if not line.startswith(">")), "")


def entry(person: Terminal) -> str:
    """The entry line."""
    return next((line for line in _top(person)[:2] if line.startswith(">")), "")


def answer(person: Terminal) -> str:
    """The two lines under the entry line: what the last key did, or what is wrong."""
    return "\n".join(_top(person)[2:4])


def open_bench(folder: Path, **terminal: Any) -> Terminal:
    """The app on a bench, ready for keys."""
    person = at_terminal("--bench", folder, **terminal)
    try:
        wait_bench(person)
    except BaseException:
        person.close()
        raise
    return person


def shell(*args: str | Path, text: str = "", cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """A command, its input and output pipes."""
    command = [*PROGRAM, *map(str, args)]
    env = os.environ | {"PYTHONPATH": str(ROOT), "SORTBENCH_BENCH": ""}
    return subprocess.run(
        command, input=text, capture_output=True, text=True, timeout=60, env=env, cwd=cwd, check=False
    )


def rows(folder: Path, *command: str) -> list[dict[str, Any]]:
    """The rows of a command's ``--json``."""
    ran = shell("--bench", folder, *command, "--json")
    assert ran.returncode == 0, ran.stderr
    found: list[dict[str, Any]] = json.loads(ran.stdout)["rows"]
    return found


def total(folder: Path) -> int:
    """Pieces counted, as the command line says."""
    return sum(row["quantity"] for row in rows(folder, "counts"))


def counted(folder: Path, *lines: str) -> None:
    """Count entry lines beforehand, without waiting for a program to start."""
    with Bench.open(folder) as bench:
        for line in lines:
            bench.enter(line)


def shown_total(person: Terminal) -> int:
    """Pieces counted, as the top line of the bench screen says."""
    found = _PIECES.search(head(person))
    assert found, person.screen_text()
    return int(found[1].replace(",", ""))


def wait_total(person: Terminal, pieces: int, timeout: float = PATIENCE) -> None:
    """Wait until the top line says so many pieces."""
    person.wait_for(lambda t: bool(_PIECES.search(head(t))) and shown_total(t) == pieces, timeout)


def type_in(person: Terminal, line: str, then: str | Callable[[Terminal], bool]) -> None:
    """Type a line, Enter, and wait for what the screen answers."""
    person.send(line + "\r")
    person.wait_for(then, PATIENCE)


def receipt(pieces: int, name: str, shade: str, more: str = "") -> Callable[[Terminal], bool]:
    """Whether the answer is the receipt of such pieces, whatever speck of colour stands beside them."""
    wanted = re.compile(rf"✓ {pieces} × . {re.escape(' · '.join(filter(None, (name, shade))))}  +{re.escape(more)}")
    return lambda person: bool(wanted.search(answer(person)))


def slots(person: Terminal) -> dict[str, str]:
    """What lies on the tray in sight: the key of each slot by the words on it."""
    screen = person.screen_text()
    tray = screen.partition("━ tray ")[2].partition("━ just counted")[0]
    found: dict[str, str] = {}
    for left, middle, right in ("789", "456", "123"):
        row = rf"^{left} . (.+?) +{middle} . (.+?) +{right} . (.+?)(?: {{2}}|$)"
        for names in re.findall(row, tray, re.MULTILINE):
            found |= dict(zip(names, (left, middle, right), strict=True))
    found.pop("–", None)
    return found


def slot(person: Terminal, words: str) -> str:
    """The key of the slot with such words on it, once it is in sight."""
    person.wait_for(lambda t: words in slots(t), PATIENCE)
    return slots(person)[words]


def records(folder: Path) -> list[dict[str, Any]]:
    """Every record of the log, by the log command."""
    return rows(folder, "log")


def leave(person: Terminal) -> int:
    """Leave the app; its exit code."""
    person.press("f10")
    return person.wait(PATIENCE)
