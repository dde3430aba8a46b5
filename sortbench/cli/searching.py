"""A long search on the command line: how it goes, and Ctrl+C, which takes the best so far."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_LEAVING = 3  # strokes of Ctrl+C that leave at once


@contextmanager
def stopped_by_hand() -> Iterator[Callable[[], bool]]:
    """Whether Ctrl+C was struck: that ends the search, wherever it is. Struck three times it ends the program.

    The solver runs in a thread of its own; an interrupt that goes past it would tear the program down under it. So the
    program then ends as if it were killed, which a bench stands at any moment.
    """
    struck: list[int] = []

    def strike(*_: object) -> None:
        struck.append(1)
        if len(struck) == _LEAVING - 1:
            os.write(sys.__stderr__.fileno() if sys.__stderr__ else 2, b"\nstopping; once more leaves at once\n")
        elif len(struck) >= _LEAVING:
            os._exit(130)

    before = signal.signal(signal.SIGINT, strike)
    try:
        yield lambda: bool(struck)
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def progress_told() -> Iterator[Callable[[int, float, float], None] | None]:
    """Show how the search goes, on standard error and only on a terminal."""
    live, told = sys.stderr.isatty(), False

    def show(_: int, __: float, gap: float) -> None:
        nonlocal told
        told = True
        sys.stderr.write(f"\rlooking for the cheapest plan ... at most {gap:.1%} from the best; Ctrl+C takes it  ")
        sys.stderr.flush()

    try:
        yield show if live else None
    finally:
        if told:
            sys.stderr.write("\r" + " " * 78 + "\r")
            sys.stderr.flush()
