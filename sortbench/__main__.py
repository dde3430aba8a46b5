"""The program: `sortbench`, or `python -m sortbench`."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.cli.context import AppSettings

COMPLETION_VARIABLE = "_SORTBENCH_COMPLETE"
"""Set by a shell that asks what may follow; see `sortbench completion`."""


def open_app(folder: Path) -> int:
    """Open the terminal app on a bench folder.

    Returns:
        The exit code.

    Raises:
        BenchError: the bench cannot be opened.
    """
    # Nothing made while starting is garbage: the collector would look through it again and again for nothing. The app
    # lets it work once it has started.
    gc.disable()
    from sortbench.tui.app import run_app

    def open_bench() -> Bench:
        from sortbench.bench import Bench

        return Bench.open(folder)

    return run_app(open_bench, _open_demo, _tell)


def _open_demo() -> int:
    """The demo in place of the bench that was open."""
    from sortbench.cli.start import SERVED_VARIABLE

    if SERVED_VARIABLE in os.environ:  # one page shows one app
        from sortbench.cli.say import say

        say("To see the demo in a browser: `sortbench demo --keep FOLDER`, then `sortbench --bench FOLDER serve`.")
        return 0
    return _commands(["demo"])


def _tell(summary: tuple[str, ...]) -> None:
    """Say what a sitting did, and how to see it again."""
    if summary:
        from sortbench.cli.say import say

        say("\n".join((*summary, "`sortbench sitting` says it again.")))


def app_settings() -> AppSettings:
    """What the app knows of settings, imported now."""
    from sortbench.tui import remaps

    return remaps


def run(args: list[str]) -> int:
    """Run the program and return its exit code."""
    folder = _bench_alone(args)
    if (args and not folder) or COMPLETION_VARIABLE in os.environ:
        return _commands(args)
    # Straight to the app: the machinery of the command line is not needed, and its import would be waited for.
    from sortbench.cli.start import folder_from_environment, guarded, start

    return guarded(lambda: start(folder or folder_from_environment(), open_app, lambda: _commands(["demo"])))


def _bench_alone(args: list[str]) -> Path | None:
    """The folder, if a bench is named and nothing else is said."""
    if len(args) == 2 and args[0] == "--bench" and args[1] and not args[1].startswith("-"):
        return Path(args[1])
    return None


def _commands(args: list[str]) -> int:
    from sortbench.cli.main import run as run_commands

    return run_commands(args, open_app, app_settings)


def main() -> None:
    """Run the program and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A name that the terminal's encoding lacks must not stop a listing.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
