"""The way into the app when no command is named.

This is the start-up path: it imports neither click nor anything heavy.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

from sortbench.cli.say import complain, on_terminal, say
from sortbench.model.errors import SortbenchError, UsageError

OpenApp = Callable[[Path], int]
"""Opens the terminal app on a bench folder; returns the exit code."""

BENCH_VARIABLE = "SORTBENCH_BENCH"
SERVED_VARIABLE = "TEXTUAL_DRIVER"
"""Set where the app's screen is a page in a browser (`sortbench serve`): no terminal is needed then."""
INNER = "bench"
"""Folder for a new bench within one that holds other files, such as the lists that somebody brings."""


def no_app(_: Path) -> int:
    """Where no app can be opened, as in a command that is called by itself."""
    raise UsageError("The app cannot be opened from here.", "Call `sortbench` itself.")


def folder_from_environment() -> Path | None:
    """The folder that ``$SORTBENCH_BENCH`` names, None if it names none."""
    named = os.environ.get(BENCH_VARIABLE, "")
    return Path(named) if named else None


def is_bench(folder: Path) -> bool:
    """Whether a bench lies in a folder, sound or not."""
    return (folder / "bench.json").exists()


def require_bench(folder: Path) -> Path:
    """The folder, if a bench lies in it.

    Raises:
        UsageError: none does.
    """
    if not is_bench(folder):
        place = "the current folder" if folder == Path() else folder
        raise UsageError(
            f"No bench lies in {place}.",
            "Name one with --bench FOLDER, make one with `sortbench new FOLDER`, or look at `sortbench demo`.",
        )
    return folder


def require_terminal() -> None:
    """Make sure that the app has a screen and a keyboard.

    Raises:
        UsageError: standard input or output is no terminal.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()) and SERVED_VARIABLE not in os.environ:
        raise UsageError(
            "The app needs a terminal, and there is none here.",
            "In a script use the commands, which `sortbench --help` lists, or `sortbench --plain`.",
        )


def start(named: Path | None, open_app: OpenApp, make_demo: Callable[[], int]) -> int:
    """Open the app on the bench named, or on the one in the current folder; offer to make one where there is none.

    Args:
        named: the folder asked for, None for the current one.
        open_app: opens the app.
        make_demo: builds and opens the demo.

    Returns:
        The exit code.
    """
    folder = named or Path()
    if is_bench(folder):
        require_terminal()
        return open_app(folder)
    if not (on_terminal() and sys.stdout.isatty()):
        require_bench(folder)
    return _offer(folder, open_app, make_demo)


def _offer(folder: Path, open_app: OpenApp, make_demo: Callable[[], int]) -> int:
    place = "the current folder" if folder == Path() else str(folder)
    new = folder if _is_free(folder) else folder / INNER
    there = "there" if new == folder else f"in its folder {INNER}"
    say(f"No bench lies in {place}. What now?")
    if is_bench(new):
        say(f"  n  open the bench {there}")
    else:
        say(f"  n  make a new bench {there}")
    say("  d  open the demo, a filled bench in a folder of its own")
    say("  q  nothing")
    while True:
        answer = _ask("n, d or q? ")
        if answer in {"n", "new"}:
            if not is_bench(new):
                from sortbench.bench import Bench

                Bench.create(new).close()
                say(f"Made a bench in {new.resolve()}.")
            return open_app(new)
        if answer in {"d", "demo"}:
            return make_demo()
        if answer in {"q", "quit", ""}:
            return 2


def _is_free(folder: Path) -> bool:
    """Whether a bench may be made in a folder: nothing else lies in it, or it is still to be made."""
    try:
        return next(folder.iterdir(), None) is None
    except FileNotFoundError:
        return True
    except OSError:
        return False


def _ask(question: str) -> str:
    sys.stderr.write(question)
    sys.stderr.flush()
    return sys.stdin.readline().strip().lower()


def guarded(step: Callable[[], int]) -> int:
    """Run a step; what goes wrong is said on standard error and becomes the exit code."""
    from sortbench.cli.say import STOPPED, fault

    try:
        return step()
    except SortbenchError as error:
        return complain(error)
    except KeyboardInterrupt:
        say()
        return STOPPED
    except Exception as error:
        return fault(error)
