"""Reads the logs of all sittings, then only what was added to them since."""

from __future__ import annotations

from pathlib import Path

from sortbench.model.tally import Record
from sortbench.store.log_reading import ENDING, read_from


class LogFollower:
    """Follows the logs of a bench: every record once, whichever sitting wrote it.

    Args:
        tallies: the folder of the logs.
    """

    def __init__(self, tallies: Path) -> None:
        self._tallies = tallies
        self._ends: dict[str, tuple[int, int]] = {}
        self.torn: dict[Path, bytes] = {}
        """Logs that end in a write cut short, with the bytes set aside."""

    def read_new(self) -> list[Record]:
        """Records not handed out before, sitting by sitting in the order of their names.

        Raises:
            BenchError: a log is damaged, unreadable or from a newer version; nothing was taken in, and the next call
                reads all of it again.
        """
        fresh: list[Record] = []
        ends, torn = dict(self._ends), dict(self.torn)
        for path in sorted(self._tallies.glob(f"[!.]*{ENDING}")):
            end, following = ends.get(path.name, (0, 1))
            try:
                if path.stat().st_size == end:
                    continue
            except FileNotFoundError:  # a sitting that counted nothing takes its log away when it ends
                continue
            reading = read_from(path, path.stem, end, following)
            ends[path.name] = (reading.end, reading.next_seq)
            torn.pop(path, None)
            if reading.torn:
                torn[path] = reading.torn
            fresh += reading.records
        self._ends, self.torn = ends, torn
        return fresh
