"""Work that would make keys wait, done in a thread of its own while they are answered."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from threading import Thread

from textual.screen import Screen

from sortbench.tui.messages import Repaint


class Aside:
    """Does the work of one screen, one piece at a time, and has the screen drawn when a piece is done.

    Args:
        screen: whose work it is.
        name: of the thread.
    """

    def __init__(self, screen: Screen[None], name: str) -> None:
        self._screen = screen
        self._name = name
        self._failed = False
        self.is_working = False
        """Whether something is being done aside."""

    def do(self, work: Callable[[], None], at_once: bool) -> None:
        """Do some work: here if it is quick, else aside, unless something is being done there already.

        Args:
            work: only reads the bench, and keeps what it found. It may fail where the bench changes beneath it.
            at_once: whether it takes no longer than a key may. What failed aside is done here, too.

        Raises:
            Exception: what ``work`` raises here.
        """
        if at_once or self._failed:
            self._failed = False
            work()
        elif not self.is_working:
            self.is_working = True
            # Not a worker of Textual's: leaving the app would wait for one to end.
            Thread(target=self._run, args=(work,), name=self._name, daemon=True).start()

    def _run(self, work: Callable[[], None]) -> None:
        try:
            work()
        except Exception:
            # The bench may have changed beneath it. If not, it fails again when it is done here, and is heard.
            self._failed = True
        self.is_working = False
        with suppress(RuntimeError):  # the app may have been left meanwhile
            self._screen.post_message(Repaint())
