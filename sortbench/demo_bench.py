"""The demo: a bench of invented sets, filled the way users fill theirs, with half of its pile counted."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from sortbench import intake
from sortbench.bench import Bench
from sortbench.demo_data import LISTS, PILE, demo_files, read_pile
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError, SortbenchError
from sortbench.sitting import utc_now


def build_demo(
    folder: Path,
    progress: Callable[[int, int], None] = lambda done, whole: None,
    clock: Callable[[], datetime] = utc_now,
) -> None:
    """Make the demo bench in an empty or missing folder.

    Args:
        progress: told pieces counted so far and pieces to be counted.
        clock: when the pieces were counted.

    Raises:
        BenchError: the folder holds something else, or the demo's files are missing.
        DataError: a list of the demo is not sound.
    """
    files = demo_files()
    pile = read_pile(files / PILE)
    half = len(pile) // 2
    with Bench.create(folder, clock) as bench:
        for what, name in LISTS.items():
            seen = intake.preview(bench.folder.documents, what, [files / name])
            if seen.errors:
                raise DataError(f"The demo's {what} are not sound: {seen.errors[0]}.", "Install sortbench again.")
            intake.commit(bench.folder.documents, seen)
        bench.reload()
        bench.set_pile(len(pile))
        for done, piece in enumerate(pile[:half], 1):
            bench.count(Kind(piece.part, piece.shade), 1, piece.grade, piece.flaws, way="demo")
            progress(done, half)


class Player:
    """A second sitting that counts the rest of the demo's pile by itself; whoever follows the bench sees it move.

    Use it in a ``with`` statement: it counts inside, and has stopped after it.

    Args:
        folder: a demo bench.
        per_minute: pieces a minute, above 0.
    """

    def __init__(self, folder: Path, per_minute: float) -> None:
        self._folder = folder
        self._pause_s = 60 / per_minute
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._play, name="demo player", daemon=True)
        self.error: SortbenchError | None = None
        """What stopped it before the pile was through."""

    def __enter__(self) -> Player:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _play(self) -> None:
        try:
            with Bench.open(self._folder) as bench:
                counted = sum(bench.picture.ledger.counts.values())
                for piece in read_pile(demo_files() / PILE)[counted:]:
                    if self._over.wait(self._pause_s):
                        return
                    bench.count(Kind(piece.part, piece.shade), 1, piece.grade, piece.flaws, way="demo")
        except SortbenchError as error:
            self.error = error
