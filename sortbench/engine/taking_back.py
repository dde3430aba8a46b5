"""Records in words, and whether one can be taken back, brought back or written at all."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.crates import reserved_for, target_words
from sortbench.model.errors import DataError
from sortbench.model.tally import CHANGES_NO_HEAP, Cell, Condition, Fate, Record, RecordId, What
from sortbench.model.target import MAX_QUANTITY

SPLIT = "split"
"""Way of the records that carry pieces out of a bin that was split: undo takes them back together."""

PICK = "picked"
PICKED_ON = "picked on"
"""Ways of the one or two records that carry pieces into a crate: undo takes them back together."""

JUDGED_ON = "judged on"
"""Way of a regrade that comes with the record before it, as where pieces were washed: undo takes both back."""

_CARRYING = frozenset({What.MOVE, What.REGRADE})
"""Records that take pieces from one heap to another."""


def one_act(first: Record, second: Record) -> bool:
    """Whether two records, the second after the first, come from one act of the user."""
    if first.way == second.way == SPLIT:
        return (first.id.sitting, first.to_bin) == (second.id.sitting, second.to_bin)
    return second.way in (PICKED_ON, JUDGED_ON) and second.id == (first.id.sitting, first.id.seq + 1)


def written_together(ledger: Ledger, history: Sequence[RecordId], last: RecordId) -> list[RecordId]:
    """A record and those before it that one act wrote with it and that hold; the latest first."""
    together = [last]
    latest = reversed(history)
    for rid in latest:  # past the record itself
        if rid == last:
            break
    for rid in latest:
        if not (one_act(ledger.records[rid], ledger.records[together[-1]]) and ledger.holds(rid)):
            break
        together.append(rid)
    return together


def words_together(picture: Picture, records: Sequence[RecordId]) -> str:
    """Records of one act in a few words, given the latest first."""
    found = [picture.ledger.records[rid] for rid in reversed(records)]
    first = found[0]
    pieces = sum(record.quantity for record in found if record.what is first.what)
    if first.way != SPLIT or len(records) == 1:
        judged = [record for record in found[1:] if record.became and record.cell]
        told = {
            judged_words((each.cell.grade, each.cell.flaws), each.became)
            for each in judged
            if each.cell and each.became
        }
        return ", ".join([words_of(picture, first.id, pieces), *sorted(told)])
    return f"{pieces:,} pieces carried from {first.cell.bin if first.cell else ''} to {first.to_bin}"


def words_of(picture: Picture, rid: RecordId, quantity: int = 0) -> str:
    """A record in a few words.

    Args:
        quantity: pieces to tell of instead of the record's own, where it is one of several; 0 for its own.
    """
    record = picture.ledger.records.get(rid)
    if record is None or record.cell is None:
        return str(rid)
    cell = record.cell
    words = " ".join(filter(None, [f"{quantity or record.quantity} ×", picture.name(cell), cell.shade]))
    if record.what is What.MOVE:
        if record.to_fate is Fate.CRATE:
            return f"{words} picked for {target_words(picture, record.to_bin)}"
        if cell.fate is Fate.CRATE:
            crate = f"taken out of the crate of {target_words(picture, cell.bin)}"
            return f"{words} {crate} into {record.to_bin}" if record.to_bin else f"{words} {crate}"
        return words + (f" carried to {record.to_bin}" if record.to_bin else f" put aside ({record.to_fate.value})")
    if record.what is What.RESERVE:
        return f"{words} set aside for {target_words(picture, record.target)}"
    if record.what is What.RECOUNT:
        return f"{words} found in {cell.bin} on a recount"
    if record.became is not None:
        return f"{words} " + judged_words((cell.grade, cell.flaws), record.became)
    if record.voids is not None:
        words += f" put right (grade {cell.grade.label if cell.grade else 'not judged'})"
    return words


def judged_words(before: Condition, after: Condition) -> str:
    """What a regrade says of its pieces: the grade before and after, and flaws where there are any."""
    grades = [condition[0].label if condition[0] else "not judged" for condition in (before, after)]
    flaws = ", ".join(flaw.value for flaw in after[1])
    return f"judged anew (grade {' to '.join(dict.fromkeys(grades))}{', ' if flaws else ''}{flaws})"


def check_taken(picture: Picture, history: Sequence[RecordId], record: Record) -> None:
    """Refuse to take pieces back out of a heap that no longer holds them.

    Raises:
        DataError: they have been carried on, or picked, since.
    """
    cell = record.put
    if cell is None or record.what in (What.LINE, What.RECOUNT):
        return
    reserve = record.what is What.RESERVE
    there = reserved_for(picture.ledger, cell, record.target) if reserve else picture.ledger.counts.get(cell, 0)
    if there < record.quantity:
        onward = _carried_from(picture, history, cell, record.target if reserve else "")
        judged = onward is not None and picture.ledger.records[onward].what is What.REGRADE
        since = "picked" if reserve else "judged anew" if judged else "carried on"
        raise DataError(
            f"The pieces of {words_of(picture, record.id)} have been {since} since.",
            f"Void record {onward} first, then this one; the log screen lists both."
            if onward
            else "The log screen shows where they went.",
        )


def _carried_from(picture: Picture, history: Sequence[RecordId], cell: Cell, target: str) -> RecordId | None:
    """The last record that took pieces from a heap, or took like pieces that were set aside for a target, and holds."""
    ledger = picture.ledger
    for rid in reversed(history):
        record = ledger.records[rid]
        if record.what in _CARRYING and ledger.holds(rid) and record.cell is not None:
            taken = record.cell._replace(bin="", family="", fate=Fate.KEPT) if target else record.cell
            if taken == cell and (not target or record.target == target):
                return rid
    return None


def check_back(picture: Picture, undone: RecordId) -> None:
    """Refuse to bring back what would not count, or would take pieces from where none are.

    Raises:
        DataError: it is voided otherwise as well, or its pieces are gone.
    """
    ledger = picture.ledger
    rid = ledger.records[undone].voids
    record = ledger.records.get(rid) if rid else None
    if record is None:
        return
    others = [other for other in ledger.voiders(record.id) if other != undone]
    if others:
        raise DataError(
            f"{words_of(picture, record.id)} is voided as well by record {others[0]}.", "Bring that back first."
        )
    taken = record if record.what in _CARRYING else ledger.records.get(record.voids) if record.voids else None
    if taken is None or taken.cell is None or taken.what in CHANGES_NO_HEAP:
        return
    if ledger.counts.get(taken.cell, 0) < taken.quantity:
        raise DataError(f"The pieces that {words_of(picture, record.id)} took are no longer there.", "Count them anew.")


def check_line(picture: Picture, cell: Cell, quantity: int, target: str, voids: RecordId | None) -> None:
    """Refuse what would make a line of a list ask for more than a line can.

    Raises:
        DataError: it would.
    """
    lines = [line for fill in picture.fill.all() if fill.target.code == target for line in fill.lines]
    asked = sum(line.line.quantity for line in lines if line.line.kind == cell.kind)
    old = picture.ledger.records.get(voids) if voids else None
    if old is not None and old.cell is not None and old.cell.kind == cell.kind:
        asked -= old.quantity
    if asked + quantity > MAX_QUANTITY:
        raise DataError(
            f"The list would ask for {asked + quantity} of {picture.name(cell)} in {cell.shade}.",
            f"The most is {MAX_QUANTITY}.",
        )
