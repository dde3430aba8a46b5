"""The demo: a bench of invented sets, filled the way users fill theirs, with half of its pile counted."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from sortbench.bench import Bench
from sortbench.demo_data import LISTS, PILE, demo_files, read_pile
from sortbench.desks import intake
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
    from sortbench.desks.pile_desk import set_pile

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
        set_pile(bench, len(pile))
        for done, piece in enumerate(pile[:half], 1):
            bench.count(Kind(piece.part, piece.shade), 1, piece.grade, piece.flaws, way="demo")
            progress(done, half)
        _wash(bench, clock())


def _wash(bench: Bench, now: datetime) -> None:
    """Two batches: one soaks and is soon to be stirred, the other has been drying since last night and was weighed."""
    from sortbench.model.wash import Batch, Stage, StageEvent, Stirring, Tray, Weighing

    def ago(hours: float) -> datetime:
        return (now - timedelta(hours=hours)).replace(microsecond=0)

    begun, spun = 11.0, 8.5
    # Grams of a tray of 410 g that holds 790 g of pieces and, spun, 96 g of water that halves every two hours.
    weighed = [
        Weighing(ago(spun - hours), "", round(1200 + 96 * 0.5 ** (hours / 2) + off, 1))
        for hours, off in ((0.1, 0.3), (1, -0.2), (2, 0.1), (3, -0.3), (8, 0.2))
    ]
    drying = Batch(
        "W1",
        "whites and yellows",
        (
            StageEvent(Stage.SOAK, ago(begun)),
            Stirring(ago(begun - 0.4)),
            Stirring(ago(begun - 1)),
            StageEvent(Stage.RINSE, ago(spun + 0.5)),
            StageEvent(Stage.SPIN, ago(spun + 0.2)),
            StageEvent(Stage.DRYING, ago(spun)),
            *weighed,
        ),
        (Tray("", 410.0),),
        resolution_g=0.1,
        temp_c=19.0,
        rh_percent=55.0,
    )
    soaking = Batch("W2", "greys, plates", (StageEvent(Stage.SOAK, ago(0.6)), Stirring(ago(0.25))))
    bench.keep(lambda draft: draft.batches.update(W1=drying, W2=soaking))


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
