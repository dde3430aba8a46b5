"""The records of one sitting: written, taken back and brought back.

The log comes first, the picture after: a record is on disk before any figure shows it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sortbench.engine.board import Notice
from sortbench.engine.fill import Gain
from sortbench.engine.folding.in_time import UNDOABLE, InTime
from sortbench.engine.folding.packed_ids import PackedIds
from sortbench.engine.picture import Picture
from sortbench.engine.taking_back import check_back, check_taken, one_act, words_of, words_together, written_together
from sortbench.model.errors import BenchError, DataError
from sortbench.model.tally import Cell, Condition, Fate, Reading, Record, RecordId, What
from sortbench.store.folder import BenchFolder
from sortbench.store.locks import is_live
from sortbench.store.tally_log import SittingLog, new_sitting_id

if TYPE_CHECKING:
    from sortbench.engine.folding.use import Use

_IN_HAND = frozenset({What.TALLY, What.LINE})


def _can_be_in_hand(record: Record) -> bool:
    """Whether the same can be counted again: what a count sheet brought into a crate is no piece from the pile."""
    return record.what in _IN_HAND and record.cell is not None and record.cell.fate is not Fate.CRATE


def utc_now() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """A moment as RFC 3339 writes it, in UTC to the millisecond."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Keeping:
    """The records of one person at one keyboard, and what can be undone.

    Args:
        folder: where the logs lie.
        picture: brought up to date with every record; exchange it when documents change. What its ledger holds now are
            the records of earlier sittings, from this and other machines.
        clock: the time; only for reading, no count hangs on it.
    """

    def __init__(self, folder: BenchFolder, picture: Picture, clock: Callable[[], datetime] = utc_now) -> None:
        self.id = new_sitting_id(clock())
        self.picture = picture
        self.history = InTime(picture.ledger.fresh.in_time(), picture.ledger.packed, UNDOABLE)
        self._own = PackedIds()
        self._use: tuple[int, Use] | None = None
        self._folder = folder
        self._clock = clock
        self._log: SittingLog | None = None
        self._redo: list[RecordId] = []
        self._hand: RecordId | None = None
        self._find_hand()

    def close(self) -> None:
        """End the sitting; everything is on disk already."""
        if self._log is not None:
            self._log.close()
            self._log = None

    def take_in(self, record: Record) -> None:
        """Take in a record that another sitting wrote."""
        self.picture.apply(record)
        if undoable(record):
            self.history.append(record.id)
        if self._hand is not None and not self.picture.ledger.holds(self._hand):
            self._find_hand()

    def _act(
        self,
        what: What,
        cell: Cell,
        quantity: int,
        to_bin: str = "",
        to_fate: Fate = Fate.KEPT,
        target: str = "",
        voids: RecordId | None = None,
        way: str = "",
        became: Condition | None = None,
        lab: Reading | None = None,
    ) -> tuple[Record, list[Gain]]:
        """Write a record that can be undone."""
        record, gains = self._append(what, cell, quantity, to_bin, to_fate, target, voids, way, became, lab)
        self.history.append(record.id)
        self._own.append(record.id)
        self._redo.clear()
        if _can_be_in_hand(record):
            self._hand = record.id
        return record, gains

    def _append(
        self,
        what: What,
        cell: Cell | None,
        quantity: int,
        to_bin: str = "",
        to_fate: Fate = Fate.KEPT,
        target: str = "",
        voids: RecordId | None = None,
        way: str = "",
        became: Condition | None = None,
        lab: Reading | None = None,
    ) -> tuple[Record, list[Gain]]:
        if self._log is None:
            self._log = SittingLog(self._folder.tallies, self.id)
        rid = RecordId(self.id, self._log.next_seq)
        at = stamp(self._clock())
        record = Record(rid, at, what, cell, quantity, to_bin, target, voids, way, to_fate, became, lab)
        self._log.append(record)
        return record, self.picture.apply(record)

    def undo(self) -> Notice:
        """Void the last thing that still holds: of this sitting, then of earlier ones that are over.

        Raises:
            DataError: nothing is left to undo.
        """
        ledger = self.picture.ledger
        last = next((rid for rid in reversed(self._own) if ledger.holds(rid)), None)
        if last is None:
            live = self._folder.live_sittings()
            ended = (rid for rid in reversed(self.history) if rid.sitting not in live and ledger.holds(rid))
            last = next(ended, None)
        if last is None:
            raise DataError("There is nothing left to undo.", "What another open sitting counts, that one undoes.")
        carried = written_together(self.picture.ledger, self.history, last)
        for rid in carried:
            self.void(rid)
        return Notice(f"undone: {words_together(self.picture, carried)}")

    def redo(self) -> Notice:
        """Bring back what the last undo took.

        Raises:
            DataError: nothing was undone, or something was counted since.
        """
        if not self._redo:
            raise DataError("There is nothing to bring back.", "Only an undo with nothing counted after it can be.")
        back = [self._bring_back()]
        while self._redo and one_act(self.picture.ledger.records[back[-1]], self._undone(self._redo[-1])):
            back.append(self._bring_back())
        self._find_hand()
        return Notice(f"brought back: {words_together(self.picture, back[::-1])}")

    def _undone(self, void: RecordId) -> Record:
        """The record that a void of ours voids."""
        voids = self.picture.ledger.records[void].voids
        assert voids is not None, "a void names what it voids"
        return self.picture.ledger.records[voids]

    def _bring_back(self) -> RecordId:
        """Void the last void; the record that holds again."""
        undone = self._redo[-1]
        check_back(self.picture, undone)
        self._append(What.VOID, None, 0, voids=undone, way="redo")
        self._redo.pop()
        return self._undone(undone).id

    def void(self, rid: RecordId) -> RecordId:
        """Let a record no longer hold.

        Returns:
            The id of the voiding record.

        Raises:
            DataError: no such record, void already, or its pieces were carried on since.
        """
        ledger = self.picture.ledger
        record = ledger.records.get(rid)
        if record is None:
            raise DataError(f"There is no record {rid}.", "`sortbench log` lists them.")
        if not ledger.holds(rid):
            raise DataError(f"Record {rid} is void already.")
        if not undoable(record):
            raise DataError(f"Record {rid} counts nothing, so it cannot be voided.", "Use redo to bring a count back.")
        check_taken(self.picture, self.history, record)
        return self._void(rid, "undo")

    def _void(self, rid: RecordId, way: str) -> RecordId:
        written, _ = self._append(What.VOID, None, 0, voids=rid, way=way)
        self._redo.append(written.id)
        self._find_hand()
        return written.id

    def in_hand(self) -> Record:
        """The last tally that holds.

        Raises:
            DataError: nothing was counted yet.
        """
        record = self.picture.ledger.records.get(self._hand) if self._hand else None
        if record is None:
            raise DataError("Nothing has been counted yet.", "Type what the piece is.")
        return record

    def use(self) -> Use:
        """How often each kind was counted, and when last; worked out once for as long as nothing is counted."""
        from sortbench.engine.folding.use import use_of

        known = len(self.picture.ledger.records)
        if self._use is None or self._use[0] != known:
            self._use = known, use_of(self.history, self.picture.ledger)
        return self._use[1]

    @property
    def can_redo(self) -> bool:
        """Whether something was undone, with nothing counted since."""
        return bool(self._redo)

    @property
    def hand_words(self) -> str:
        """The last tally that holds, in words without its number; empty if there is none."""
        record = self.picture.ledger.records.get(self._hand) if self._hand else None
        if record is None or record.cell is None:
            return ""
        return " · ".join(filter(None, [self.picture.name(record.cell), record.cell.shade]))

    def _find_hand(self) -> None:
        """Take the last tally in hand, of this sitting or of one that is over: others' hands are their own."""
        over = {self.id: True}
        for rid in reversed(self.history):
            if self._is_tally(rid):
                if rid.sitting not in over:
                    over[rid.sitting] = self._is_over(rid.sitting)
                if over[rid.sitting]:
                    self._hand = rid
                    return
        self._hand = None

    def _is_over(self, sitting: str) -> bool:
        try:
            return not is_live(self._folder.tallies, sitting)
        except BenchError:  # its lock cannot be tried in a folder that may only be read: it may be under way still
            return False

    def _is_tally(self, rid: RecordId) -> bool:
        record = self.picture.ledger.records.get(rid)
        return record is not None and _can_be_in_hand(record) and self.picture.ledger.holds(rid)

    def words(self, rid: RecordId, quantity: int = 0) -> str:
        """A record in a few words; see :func:`words_of`."""
        return words_of(self.picture, rid, quantity)


def undoable(record: Record) -> bool:
    """Whether a record speaks of pieces, so that undoing it means something."""
    return record.what in UNDOABLE
