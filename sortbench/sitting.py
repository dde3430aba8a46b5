"""One stretch of counting: counts pieces, sets them aside, carries them, judges them, puts tallies right."""

from __future__ import annotations

from sortbench.engine.board import Notice, Receipt
from sortbench.engine.receipts import make_receipt
from sortbench.engine.reconciling.crates import checked_carry, checked_release, checked_reserve, target_words
from sortbench.engine.rejudging import check_rejudge, check_scrubbed
from sortbench.engine.taking_back import (
    JUDGED_ON,
    PICK,
    PICKED_ON,
    check_line,
    check_taken,
    judged_words,
    words_together,
    written_together,
)
from sortbench.keeping import Keeping
from sortbench.keeping import stamp as stamp
from sortbench.keeping import undoable as undoable
from sortbench.keeping import utc_now as utc_now
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaws, Grade, flaws_of
from sortbench.model.tally import Cell, Condition, Fate, Reading, Record, RecordId, What, reading_of
from sortbench.model.target import MAX_QUANTITY


class Sitting(Keeping):
    """What one person at one keyboard does with pieces; each act is a record, or a few that are taken back together."""

    def record(
        self,
        what: What,
        cell: Cell,
        quantity: int,
        *,
        to_bin: str = "",
        to_fate: Fate = Fate.KEPT,
        target: str = "",
        voids: RecordId | None = None,
        way: str = "",
        note: str = "",
        lab: Reading | None = None,
    ) -> Receipt:
        """Write a record, then let the picture follow, and say what changed.

        Args:
            lab: for a tally, the colour that was measured; it is kept to 2 decimals.

        Raises:
            DataError: a quantity or a reading that cannot be.
            WriteError: the disk refused; nothing is counted.
        """
        if not 1 <= quantity <= MAX_QUANTITY:
            raise DataError(f"{quantity} pieces cannot be counted at once.", f"Give 1 to {MAX_QUANTITY}.")
        if what is What.LINE:
            check_line(self.picture, cell, quantity, target, voids)
        reading = reading_of(*lab) if lab else None
        record, gains = self._act(what, cell, quantity, to_bin, to_fate, target, voids, way, lab=reading)
        return make_receipt(self.picture, record, gains, note)

    def reserve(self, cell: Cell, quantity: int, target: str) -> Notice:
        """Set pieces aside for a target while they stay where they lie.

        Args:
            cell: tells kind, grade and flaws; it makes no difference in which bin the pieces lie.
            quantity: pieces, 1 to MAX_QUANTITY.
            target: its code.

        Raises:
            DataError: no such target, or fewer such pieces are there than nobody has yet.
            WriteError: the disk refused; nothing is set aside.
        """
        heap = checked_reserve(self.picture, cell, quantity, target)
        record, _ = self._act(What.RESERVE, heap, quantity, target=target, way="reserve")
        return Notice(self.words(record.id))

    def release(self, cell: Cell, quantity: int, target: str) -> Notice:
        """Let pieces that were set aside for a target go to whichever needs them. A void, as far as it goes: redo, not
        undo, takes it back.

        Raises:
            DataError: fewer are set aside for it.
            WriteError: the disk refused; what was let go up to then stays so.
        """
        heap, whole, cut, left = checked_release(self.picture, self.history, cell, quantity, target)
        if cut is not None:
            way = self.picture.ledger.records[cut].way  # as for a tally put right
            self._act(What.RESERVE, heap, left, target=target, voids=cut, way=way)
        for rid in whole:
            self._void(rid, "release")
        return Notice(
            f"no longer for {target_words(self.picture, target)}: {quantity:,} × {self.picture.name(heap)} {heap.shade}"
        )

    def carry(self, cell: Cell, quantity: int, target: str) -> Notice:
        """Carry pieces from where they lie into the crate of a target. Those set aside for it go first.

        Raises:
            DataError: no such target, or fewer such pieces lie there than are not set aside for others.
            WriteError: the disk refused; what was carried up to then stays carried.
        """
        kept = checked_carry(self.picture, cell, quantity, target)
        way, first = PICK, None
        # In two records where only some had been set aside, so that a fold knows how many no longer are.
        for pieces, set_aside in ((kept, target), (quantity - kept, "")):
            if pieces:
                record, _ = self._act(What.MOVE, cell, pieces, target, Fate.CRATE, set_aside, way=way)
                way, first = PICKED_ON, first or record.id
        assert first is not None, "at least one piece is carried"
        return Notice(self.words(first, quantity))

    def rejudge(
        self, cell: Cell, quantity: int, became: Condition, lab: Reading | None = None, way: str = "judged"
    ) -> Receipt:
        """Give counted pieces another grade or other flaws, for they were washed, treated or looked at again. They stay
        where they lie.

        A tally that was wrong from the start is put right instead: :meth:`replace`, :meth:`regrade`.

        Args:
            cell: the heap in which they are counted.
            quantity: pieces, 1 to what the heap holds.
            became: the grade and the flaws they have now.
            lab: the colour that was measured on them; it is kept to 2 decimals.
            way: for reading only.

        Raises:
            DataError: fewer lie there, they are thrown out, too many are set aside for targets, or nothing changes.
            WriteError: the disk refused; nothing is changed.
        """
        became = became[0], flaws_of(became[1])
        check_rejudge(self.picture, cell, quantity, became, measured=lab is not None)
        reading = reading_of(*lab) if lab else None
        record, gains = self._act(What.REGRADE, cell, quantity, way=way, became=became, lab=reading)
        note = judged_words((cell.grade, cell.flaws), became)
        by_rule = self.rerouted(cell, record.put or cell).bin
        if cell.fate is Fate.KEPT and by_rule != cell.bin:
            note += f"; by the rules their bin is {by_rule or 'none'} now"
        return make_receipt(self.picture, record, gains, note)

    def scrubbed(
        self, cell: Cell, quantity: int, became: Condition | None = None, lab: Reading | None = None
    ) -> Notice:
        """Carry pieces that waited for a wash into the bin of its rule, judged anew if their condition is told. One
        act: undo takes it back as a whole.

        Args:
            cell: the heap, with the fate ``WASH``.
            quantity: pieces, 1 to what the heap holds.
            became: the grade and the flaws they have now, None if they have those they had.
            lab: the colour that was measured on them.

        Raises:
            DataError: fewer wait for a wash, or, if they change, too many are set aside for targets.
            WriteError: the disk refused; pieces that were carried up to then stay so.
        """
        condition = (cell.grade, cell.flaws) if became is None else (became[0], flaws_of(became[1]))
        check_scrubbed(self.picture, cell, quantity, condition)
        reading = reading_of(*lab) if lab else None
        clean = cell._replace(grade=condition[0], flaws=condition[1], fate=Fate.KEPT)
        label = self._routed(clean)
        record, _ = self._act(What.MOVE, cell, quantity, label, way="scrubbed")
        if record.put is not None and (record.put != clean._replace(bin=label) or reading):
            self._act(What.REGRADE, record.put, quantity, way=JUDGED_ON, became=condition, lab=reading)
        return Notice(
            words_together(self.picture, written_together(self.picture.ledger, self.history, self.history[-1]))
        )

    def replace(self, record: Record, cell: Cell, quantity: int, lab: Reading | None = None) -> Receipt:
        """Let a tally stand in for another one.

        Args:
            lab: the colour that was measured; without it that of the record stays, if it has one.

        Raises:
            DataError: nothing would change, the record is void, or its pieces were carried on.
        """
        if not self.picture.ledger.holds(record.id):
            raise DataError(f"Record {record.id} is void already.")
        reading = reading_of(*lab) if lab else record.lab
        if (cell, quantity, reading) == (record.cell, record.quantity, record.lab):
            raise DataError("That is what it says already; nothing changed.")
        check_taken(self.picture, self.history, record)
        note = f"instead of {self.words(record.id)}"
        return self.record(
            record.what, cell, quantity, target=record.target, voids=record.id, way=record.way, note=note, lab=reading
        )

    def recount(self, cell: Cell, quantity: int, way: str) -> RecordId:
        """Note pieces that a second person found in a bin; no count changes.

        Args:
            cell: what they are, and the bin.
            quantity: pieces, 1 to MAX_QUANTITY.
            way: names the recount.

        Raises:
            DataError: a quantity that cannot be.
            WriteError: the disk refused; nothing is noted.
        """
        if not 1 <= quantity <= MAX_QUANTITY:
            raise DataError(f"{quantity} pieces cannot be noted at once.", f"Give 1 to {MAX_QUANTITY}.")
        return self._act(What.RECOUNT, cell, quantity, way=way)[0].id

    def put_right(self, record: Record, quantity: int) -> None:
        """Let a tally say another number of the same pieces; it is enough that its heap then holds no fewer than none.

        Args:
            record: a tally that holds.
            quantity: pieces, 0 to MAX_QUANTITY; with 0 the tally is void.

        Raises:
            DataError: the tally is void, or too many of its pieces were carried on.
            WriteError: the disk refused; nothing is changed.
        """
        ledger, cell = self.picture.ledger, record.cell
        if cell is None or not ledger.holds(record.id):
            raise DataError(f"Record {record.id} is void already.")
        if ledger.counts.get(cell, 0) + quantity - record.quantity < 0:
            raise DataError(
                f"The pieces of {self.words(record.id)} have been carried on since.", "Undo the carrying first."
            )
        if quantity:
            self._act(What.TALLY, cell, quantity, voids=record.id, way=record.way, lab=record.lab)
        else:
            self._void(record.id, "recount")

    def regrade(self, down: bool) -> Receipt:
        """The last tally one whole grade down or up.

        Raises:
            DataError: nothing counted yet, or the scale ends here.
        """
        record, cell = self._tally_in_hand()
        grade = (cell.grade or Grade.G5).step(down)
        if grade == cell.grade:
            raise DataError(
                f"Grade {grade.label} is the {'lowest' if down else 'highest'} there is.",
                "The last tally stays as it is; count on.",
            )
        return self.replace(record, self.rerouted(cell, cell._replace(grade=grade)), record.quantity)

    def flaw(self, flaws: Flaws) -> Receipt:
        """Add flaws to the last tally."""
        record, cell = self._tally_in_hand()
        both = flaws_of([*cell.flaws, *flaws])
        return self.replace(record, self.rerouted(cell, cell._replace(flaws=both)), record.quantity)

    def rerouted(self, old: Cell, new: Cell) -> Cell:
        """A heap of changed properties in the bin of its rule; a bin that was chosen by hand stays."""
        if old.bin != self._routed(old):
            return new
        return new._replace(bin=self._routed(new))

    def _routed(self, cell: Cell) -> str:
        return self.picture.router.route(cell.part, cell.shade, cell.grade, cell.flaws, cell.family)

    def put_aside(self, fate: Fate) -> Receipt:
        """Take one piece of the last tally out of its bin: back to the wash, or out.

        Raises:
            DataError: nothing counted yet, or that tally's pieces are all gone from the bin.
        """
        cell = self._tally_in_hand()[1]
        if self.picture.ledger.counts.get(cell, 0) < 1:
            raise DataError("That piece is no longer in its bin.", "Undo brings it back.")
        return self.record(What.MOVE, cell, 1, to_bin="", to_fate=fate, way="pad")

    def _tally_in_hand(self) -> tuple[Record, Cell]:
        record = self.in_hand()
        if record.what is not What.TALLY or record.cell is None:
            raise DataError("A line of a list has no grade and no bin.", "Count pieces to give them one.")
        return record, record.cell
