"""A program in a real pseudo-terminal, drawn by pyte: shared by the end-to-end tests and the benchmarks.

No threads: output is read with ``select`` whenever the caller sends, waits or settles. The terminal answers what a
program asks of it (modes, cursor, colours, size), so that nothing starts up waiting for an answer that never comes.
"""

from __future__ import annotations

import errno
import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

import pyte

KEYS: Mapping[str, bytes] = {
    "enter": b"\r",
    "escape": b"\x1b",
    "tab": b"\t",
    "backspace": b"\x7f",
    "delete": b"\x1b[3~",
    "up": b"\x1b[A",
    "down": b"\x1b[B",
    "right": b"\x1b[C",
    "left": b"\x1b[D",
    "home": b"\x1b[H",
    "end": b"\x1b[F",
    "pageup": b"\x1b[5~",
    "pagedown": b"\x1b[6~",
    "f1": b"\x1bOP",
    "f2": b"\x1bOQ",
    "f3": b"\x1bOR",
    "f4": b"\x1bOS",
    "f5": b"\x1b[15~",
    "f6": b"\x1b[17~",
    "f7": b"\x1b[18~",
    "f8": b"\x1b[19~",
    "f9": b"\x1b[20~",
    "f10": b"\x1b[21~",
    "ctrl+a": b"\x01",
    "ctrl+c": b"\x03",
    "ctrl+e": b"\x05",
    "ctrl+k": b"\x0b",
    "ctrl+q": b"\x11",
    "ctrl+u": b"\x15",
    "ctrl+w": b"\x17",
    "ctrl+y": b"\x19",
    "ctrl+z": b"\x1a",
}
"""What a terminal sends for keys that are no plain character."""

SYNC_START = b"\x1b[?2026h"
SYNC_END = b"\x1b[?2026l"
"""A frame lies between these (synchronized output, DEC private mode 2026)."""

ESCAPES = re.compile(
    rb"\x1b(?:\[[0-?]*[ -/]*[@-~]|[\]P_^X](?:[^\x07\x1b]|\x1b(?!\\))*(?:\x07|\x1b\\)|[ -/]+[0-~]|[0-OQ-WYZ\\`-~])"
)
"""One whole control sequence (ECMA-48: CSI, then control strings, then the short ones)."""

# pyte 0.8 knows neither private markers other than "?" nor intermediate bytes, and would print the rest of them.
_UNKNOWN_TO_PYTE = re.compile(rb"\x1b\[(?:[<=>][0-?]*[ -/]*[@-~]|[0-?]*[ -/]+[@-~]|[?][0-9;]*[a-gi-km-zA-Z])")
_CONTROL_STRING = re.compile(rb"\x1b[\]P_^X](?:[^\x07\x1b]|\x1b(?!\\))*(?:\x07|\x1b\\)")
_UNFINISHED = re.compile(rb"\x1b(?:\[[0-?]*[ -/]*|[\]P_^X](?:[^\x07\x1b]|\x1b(?!\\))*\x1b?|[ -/]*)\Z")

_QUERY = re.compile(
    rb"\x1b(?:\[\?(?P<mode>[0-9]+)\$p|\[(?P<device>5n|6n|0?c|>0?c|\?u|18t)|\](?P<colour>1[01]);\?(?:\x07|\x1b\\))"
)


class Terminal:
    """A command running in a pseudo-terminal of its own, as its controlling terminal.

    Args:
        command: program and arguments.
        columns, rows: size in cells.
        env: variables set over the environment; NO_COLOR and the like are dropped first, TERM is set.
        cwd: working directory.
        drawn: whether output is drawn for ``screen_text``; benchmarks that look at the raw stream save the time.
    """

    def __init__(
        self,
        command: Sequence[str],
        *,
        columns: int = 120,
        rows: int = 36,
        env: Mapping[str, str] | None = None,
        cwd: Path | None = None,
        drawn: bool = True,
    ) -> None:
        self.columns, self.rows, self.drawn = columns, rows, drawn
        self.raw = bytearray()
        """Everything the program has written."""
        self.ended = False
        """Whether the program's end of the terminal is closed."""
        self.read_at = 0.0
        """When the last output was read, by ``time.perf_counter``, before anything was done with it."""
        self._pending = b""
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)
        self._master, slave = pty.openpty()
        self._set_size(slave)
        surroundings = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "LINES")}
        surroundings |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8"} | dict(env or {})
        self.started = time.perf_counter()
        """When the program was started, by ``time.perf_counter``."""
        try:
            self.process = subprocess.Popen(
                command,
                stdin=slave,
                stdout=slave,
                stderr=slave,
                env=surroundings,
                cwd=cwd,
                start_new_session=True,
                preexec_fn=_take_terminal,
            )
        except BaseException:
            os.close(self._master)
            raise
        finally:
            os.close(slave)
        os.set_blocking(self._master, False)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # -- to the program

    def send(self, data: bytes | str) -> None:
        """Write keys at once; output that arrives meanwhile is read, so that neither side waits for the other."""
        rest = data.encode() if isinstance(data, str) else data
        while rest:
            _, writable, _ = select.select([], [self._master], [], 0.05)
            if writable:
                try:
                    rest = rest[os.write(self._master, rest) :]
                except BlockingIOError:
                    self.read(0.01)
            else:
                self.read(0)

    def press(self, *keys: str) -> None:
        """Send keys by name (``KEYS``) or as plain characters, all in one write."""
        self.send(b"".join(KEYS.get(key) or key.encode() for key in keys))

    def resize(self, columns: int, rows: int) -> None:
        """Change the size and tell the program (SIGWINCH)."""
        self.columns, self.rows = columns, rows
        self._screen.resize(rows, columns)
        self._set_size(self._master)  # the kernel sends SIGWINCH to the foreground group of its terminal

    # -- from the program

    def read(self, timeout: float) -> bytes:
        """One read of what has come, at most ``timeout`` seconds waited; empty when nothing came or at the end."""
        if self.ended:
            return b""
        ready, _, _ = select.select([self._master], [], [], timeout)
        if not ready:
            return b""
        try:
            data = os.read(self._master, 65536)
        except BlockingIOError:
            return b""
        except OSError as error:
            if error.errno != errno.EIO:  # Linux says EIO once the other end is closed
                raise
            data = b""
        self.read_at = time.perf_counter()
        if not data:
            self.ended = True
            return b""
        self.raw += data
        self._take(data)
        return data

    def wait_for(self, wanted: str | Callable[[Terminal], bool], timeout: float = 10.0) -> None:
        """Read until a text stands on the screen, or until a predicate of the terminal holds.

        Asked between frames only: a frame that came in two reads is never seen half drawn.

        Raises:
            TimeoutError: it never did; the message shows the screen.
        """
        holds = (lambda terminal: wanted in terminal.screen_text()) if isinstance(wanted, str) else wanted
        end = time.monotonic() + timeout
        while self._within_frame() or not holds(self):
            left = end - time.monotonic()
            if left <= 0 or self.ended:
                why = "program ended" if self.ended else f"not within {timeout} s"
                raise TimeoutError(f"{wanted!r}: {why}. The screen:\n{self.screen_text()}")
            self.read(min(left, 0.05))

    def settle(self, quiet: float = 0.1, timeout: float = 10.0) -> None:
        """Read until nothing has come for ``quiet`` seconds."""
        end = time.monotonic() + timeout
        while self.read(quiet) and time.monotonic() < end:
            pass

    def screen_text(self) -> str:
        """The screen as text, one line a row, blanks at the end of rows dropped."""
        return "\n".join(line.rstrip() for line in self._screen.display)

    def cell(self, column: int, row: int) -> pyte.screens.Char:
        """One cell, from 0: ``.data``, ``.fg``, ``.bg``, ``.bold``, ``.reverse`` …"""
        return self._screen.buffer[row][column]

    # -- ends

    def wait(self, timeout: float = 10.0) -> int:
        """The exit code; output is read until the program ends.

        Raises:
            TimeoutError: it did not end.
        """
        end = time.monotonic() + timeout
        while self.process.poll() is None:
            if time.monotonic() > end:
                raise TimeoutError(f"still running after {timeout} s. The screen:\n{self.screen_text()}")
            if not self.read(0.02):
                time.sleep(0.002)
        while self.read(0):
            pass
        return self.process.returncode

    def kill(self) -> None:
        """SIGKILL, as a power cut would: the program gets no chance to tidy up."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def close(self) -> None:
        """Kill the program if it still runs, and close the terminal."""
        self.kill()
        if self._master >= 0:
            os.close(self._master)
            self._master = -1
            self.ended = True

    # -- inside

    def _within_frame(self) -> bool:
        return not self.ended and self.raw.rfind(SYNC_START) > self.raw.rfind(SYNC_END)

    def _set_size(self, descriptor: int) -> None:
        fcntl.ioctl(descriptor, termios.TIOCSWINSZ, struct.pack("HHHH", self.rows, self.columns, 0, 0))

    def _take(self, data: bytes) -> None:
        """Answer queries and draw; a sequence cut in two by the read waits for its other half."""
        data = self._pending + data
        cut = _UNFINISHED.search(data)
        self._pending = data[cut.start() :] if cut else b""
        data = data[: cut.start()] if cut else data
        for query in _QUERY.finditer(data):
            os.write(self._master, self._answer(query))
        if self.drawn:
            self._stream.feed(_UNKNOWN_TO_PYTE.sub(b"", _CONTROL_STRING.sub(b"", data)))

    def _answer(self, query: re.Match[bytes]) -> bytes:
        if mode := query["mode"]:  # DECRQM: 2 = known and reset, 0 = not known
            return b"\x1b[?%b;%d$y" % (mode, 2 if mode == b"2026" else 0)
        if colour := query["colour"]:
            value = b"c0c0/c0c0/c0c0" if colour == b"10" else b"0000/0000/0000"
            return b"\x1b]%b;rgb:%b\x1b\\" % (colour, value)
        cursor = self._screen.cursor
        return {
            b"5n": b"\x1b[0n",
            b"6n": b"\x1b[%d;%dR" % (cursor.y + 1, cursor.x + 1),
            b"?u": b"\x1b[?0u",
            b"18t": b"\x1b[8;%d;%dt" % (self.rows, self.columns),
        }.get(query["device"], b"\x1b[>0;0;0c" if query["device"][:1] == b">" else b"\x1b[?62;22c")


def _take_terminal() -> None:
    """In the child, after setsid: make its standard input the controlling terminal, which may interrupt it. A shell has
    programs behind an ``&`` ignore that, and so all that they start.
    """
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    signal.signal(signal.SIGINT, signal.SIG_DFL)
