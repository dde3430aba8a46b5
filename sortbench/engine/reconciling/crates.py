"""Setting pieces aside for a target, and carrying them into its crate: what can be, worked out before it is written."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.model.errors import DataError
from sortbench.model.tally import Cell, Fate, RecordId, What
from sortbench.model.target import MAX_QUANTITY

LOOSE = frozenset({Fate.KEPT, Fate.WASH})
"""Fates of pieces that may still go anywhere."""


def target_words(picture: Picture, code: str) -> str:
    """The name of a target; its code where the bench no longer has it."""
    return next((target.name for target in picture.targets if target.code == code), code)


def reserved_for(ledger: Ledger, cell: Cell, target: str) -> int:
    """Pieces like these that are set aside for a target and not yet in its crate."""
    if cell.kind is None:
        return 0
    return ledger.reserved(cell.kind).get((cell.grade, cell.flaws), {}).get(target, 0)


def checked_reserve(picture: Picture, cell: Cell, quantity: int, target: str) -> Cell:
    """The heap that setting pieces aside speaks of.

    Raises:
        DataError: no such target, no single kind, or fewer such pieces are there than nobody has yet.
    """
    _check(picture, cell, quantity, target)
    loose, taken = loose_pieces(picture.ledger, cell)
    free = max(0, loose - sum(taken.values()))
    if quantity > free:
        held = ", ".join(f"{n:,} for {target_words(picture, code)}" for code, n in sorted(taken.items()))
        raise DataError(
            f"{quantity:,} of {pieces_words(picture, cell)} cannot be set aside: {free:,} are free"
            + (f", {held} are set aside already." if held else "."),
            "Count the pieces first, or let some of the others go." if held else "Count the pieces first.",
        )
    return cell._replace(bin="", family="", fate=Fate.KEPT)


def checked_carry(picture: Picture, cell: Cell, quantity: int, target: str) -> int:
    """How many of the pieces that are to be carried into a crate were set aside for its target.

    Raises:
        DataError: no such target, no single kind, or fewer lie there than are not set aside for others.
    """
    _check(picture, cell, quantity, target)
    if cell.fate not in LOOSE:
        raise DataError(f"Pieces that are {cell.fate.value} are not picked.", "Pick from a bin.")
    there = max(0, picture.ledger.counts.get(cell, 0))
    place = f"in bin {cell.bin}" if cell.bin else "to be washed" if cell.fate is Fate.WASH else "outside the bins"
    if quantity > there:
        raise DataError(
            f"{quantity:,} of {pieces_words(picture, cell)} cannot be picked: {there:,} are {place}.",
            "Count what lies there, or pick fewer.",
        )
    loose, taken = loose_pieces(picture.ledger, cell)
    own = taken.pop(target, 0)
    free = max(0, loose - sum(taken.values()))
    if quantity > free:
        held = ", ".join(f"{n:,} for {target_words(picture, code)}" for code, n in sorted(taken.items()))
        raise DataError(
            f"{quantity:,} of {pieces_words(picture, cell)} cannot be picked for {target_words(picture, target)}: "
            f"of {loose:,} there are {held} set aside.",
            f"Pick {free:,}, or let the others go." if free else "Let the others go first.",
        )
    return min(own, quantity)


def checked_put_back(picture: Picture, cell: Cell, quantity: int) -> None:
    """Whether pieces can be taken out of the crate in which a heap lies.

    Raises:
        DataError: fewer lie there.
    """
    there = max(0, picture.ledger.counts.get(cell, 0))
    if not 1 <= quantity <= there:
        raise DataError(
            f"{there:,} of {pieces_words(picture, cell)} lie in the crate of {target_words(picture, cell.bin)}, "
            f"not {quantity:,}.",
            f"Give 1 to {there}." if there else "",
        )


def checked_release(
    picture: Picture, history: Sequence[RecordId], cell: Cell, quantity: int, target: str
) -> tuple[Cell, list[RecordId], RecordId | None, int]:
    """What letting go of pieces that are set aside comes to, the latest of them first.

    Returns:
        The heap they are set aside from; the records that no longer hold; the record, if any, that is to set aside
        fewer, and how many.

    Raises:
        DataError: fewer are set aside for the target.
    """
    heap = cell._replace(bin="", family="", fate=Fate.KEPT)
    ledger, left = picture.ledger, quantity
    there = reserved_for(ledger, heap, target)
    if not 1 <= quantity <= there:
        raise DataError(
            f"{there:,} of {pieces_words(picture, heap)} are set aside for {target_words(picture, target)}, "
            f"not {quantity:,}.",
            f"Give 1 to {there}." if there else "",
        )
    whole: list[RecordId] = []
    for rid in reversed(history):
        record = ledger.records[rid]
        if (record.what, record.cell, record.target) == (What.RESERVE, heap, target) and ledger.holds(rid):
            if record.quantity > left:
                return heap, whole, rid if left else None, record.quantity - left
            whole += _stood_in_for(ledger, rid)
            left -= record.quantity
    return heap, whole, None, 0


def _stood_in_for(ledger: Ledger, rid: RecordId) -> list[RecordId]:
    """A record and all that it stands in for, the first of them first: each would hold again once the next is void."""
    chain = [rid]
    while (voids := ledger.records[chain[-1]].voids) in ledger.records and voids is not None and voids not in chain:
        chain.append(voids)
    return chain[::-1]


def _check(picture: Picture, cell: Cell, quantity: int, target: str) -> None:
    if all(each.code != target for each in picture.targets):
        raise DataError(f"No target has the code {target!r}.", "`sortbench targets` lists them.")
    if cell.kind is None:
        raise DataError("Pieces whose kind nobody looked at belong to no target.", "Count them by kind first.")
    if not 1 <= quantity <= MAX_QUANTITY:
        raise DataError(f"{quantity} pieces cannot be taken at once.", f"Give 1 to {MAX_QUANTITY}.")


def loose_pieces(ledger: Ledger, cell: Cell) -> tuple[int, dict[str, int]]:
    """Pieces like these that lie in no crate, and how many are set aside for which target."""
    assert cell.kind is not None, "checked before"
    condition = cell.grade, cell.flaws
    heaps = ledger.of_kind(cell.kind).items()
    loose = sum(n for heap, n in heaps if (heap.grade, heap.flaws) == condition and heap.fate in LOOSE and n > 0)
    return loose, dict(ledger.reserved(cell.kind).get(condition, {}))


def pieces_words(picture: Picture, cell: Cell) -> str:
    """Pieces of a heap in words: ``plate 2x4 in red (grade 5)``."""
    grade = f"grade {cell.grade.label}" if cell.grade else "no grade"
    state = ", ".join((grade, *(flaw.value for flaw in cell.flaws)))
    return f"{picture.name(cell)} in {cell.shade} ({state})"
