"""A command given in a process of its own, which can be killed by the clock or at a system call."""

from __future__ import annotations

import os
import shlex
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

CHANGING = ("write", "fsync", "fdatasync", "ftruncate", "mkdir", "rename", "replace", "unlink", "rmdir", "link")
"""Functions of ``os`` that change the disk."""

PATIENCE_S = 60.0
"""No command takes nearly as long."""


class _Death:
    """Counts the calls that change the disk, and ends the process at one.

    Args:
        at: the number of the call, from 1; 0: none.
        manner: ``before`` it, ``after`` it, or ``within`` it: a write has put down half of its bytes.
    """

    def __init__(self, at: int, manner: str) -> None:
        self.calls = 0
        self._at, self._manner = at, manner
        for name in CHANGING:
            setattr(os, name, self._stand_in(name, getattr(os, name)))

    def _stand_in(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def stand_in(*args: Any, **named: Any) -> Any:
            self.calls += 1
            if self.calls == self._at:
                with suppress(OSError):
                    if self._manner == "within" and name == "write":
                        real(args[0], args[1][: len(args[1]) // 2])
                    elif self._manner == "after":
                        real(*args, **named)
                os.kill(os.getpid(), signal.SIGKILL)
            return real(*args, **named)

        return stand_in


class Lived(NamedTuple):
    """How a process ended.

    Attributes:
        said: what it printed.
        code: its exit code; None if it did not come to its end.
        calls: how often it changed the disk; 0 if it did not come to its end.
        killed: whether it was killed, be it after all was done.
    """

    said: str
    code: int | None
    calls: int
    killed: bool


def give(beside: Path, words: str, text: str = "", at: int = 0, manner: str = "", life: float = 0.0) -> Lived:
    """Give a command in a process of its own.

    Args:
        beside: the folder where it is given.
        words: the command, as in a shell.
        text: what comes in by a pipe.
        at, manner: the call at which the process ends; 0: none.
        life: seconds until it is killed; 0: it may come to its end.
    """
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as into:
        into.write(text.encode())
        into.seek(0)
        process = os.fork()
        if process == 0:
            try:
                _live(beside, words, into.fileno(), out.fileno(), at, manner, bool(life))
            finally:  # never back into the parent's code
                os._exit(70)
        if life:
            time.sleep(life)
            os.kill(process, signal.SIGKILL)
        status = _wait(process)
        out.seek(0)
        said, _, end = out.read().decode(errors="replace").partition("\nEXIT ")
    code, _, calls = end.partition(" ")
    return Lived(said, int(code) if calls else None, int(calls or 0), os.WIFSIGNALED(status))


def _wait(process: int) -> int:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        found, status = os.waitpid(process, os.WNOHANG)
        if found:
            return status
        time.sleep(0.001)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    raise AssertionError(f"it does not end within {PATIENCE_S:.0f} s")


def _live(beside: Path, words: str, into: int, out: int, at: int, manner: str, wait: bool) -> None:
    from sortbench.__main__ import app_settings
    from sortbench.cli.main import run

    os.chdir(beside)
    os.environ.update(SORTBENCH_SETTINGS=str(beside / "settings.toml"), TERM="dumb", COLUMNS="200")
    os.dup2(into, 0)
    os.dup2(out, 1)
    os.dup2(out, 2)
    sys.stdin, sys.stdout, sys.stderr = os.fdopen(0), os.fdopen(1, "w"), os.fdopen(2, "w")
    tell = os.write
    death = _Death(at, manner)
    code = run(shlex.split(words), lambda folder: 0, app_settings)
    sys.stdout.flush()
    sys.stderr.flush()
    tell(1, f"\nEXIT {code} {death.calls}".encode())
    if wait:
        signal.pause()
    os._exit(0)
