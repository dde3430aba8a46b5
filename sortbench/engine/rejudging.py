"""Judging counted pieces anew, and taking them from the wash: what can be, worked out before it is written."""

from __future__ import annotations

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.crates import LOOSE, loose_pieces, pieces_words, target_words
from sortbench.model.errors import DataError
from sortbench.model.tally import Cell, Condition, Fate


def check_rejudge(picture: Picture, cell: Cell, quantity: int, became: Condition, measured: bool) -> None:
    """Whether pieces of a heap can be given another condition.

    Pieces set aside for a target are set aside by grade and flaws: one that changes would no longer be found, so it is
    to be let go first.

    Args:
        measured: whether a reading is kept with it, which is worth a record even where the condition stays.

    Raises:
        DataError: they cannot.
    """
    _check_there(picture, cell, quantity, "judged anew")
    if became != (cell.grade, cell.flaws):
        _check_free(picture, cell, quantity)
    elif not measured:
        raise DataError("That is what these pieces are already; nothing changed.")


def check_scrubbed(picture: Picture, cell: Cell, quantity: int, became: Condition) -> None:
    """Whether pieces of a heap can be taken from the wash in some condition.

    Raises:
        DataError: they cannot.
    """
    if cell.fate is not Fate.WASH:
        raise DataError(
            f"Pieces that are {cell.fate.value} do not wait for a wash.",
            "`sortbench counts` shows the fate of each heap.",
        )
    _check_there(picture, cell, quantity, "taken from the wash")
    if became != (cell.grade, cell.flaws):
        _check_free(picture, cell, quantity)


def _check_there(picture: Picture, cell: Cell, quantity: int, act: str) -> None:
    if cell.fate is Fate.OUT:
        raise DataError("Pieces that were thrown out are not judged.", "Undo brings them back.")
    there = max(0, picture.ledger.counts.get(cell, 0))
    if not 1 <= quantity <= there:
        place = {Fate.WASH: "wait for a wash", Fate.CRATE: f"lie in the crate of {target_words(picture, cell.bin)}"}
        lie = place.get(cell.fate) or (f"lie in {cell.bin}" if cell.bin else "lie outside the bins")
        raise DataError(
            f"{quantity:,} of {pieces_words(picture, cell)} cannot be {act}: {there:,} {lie}.",
            f"Give 1 to {there}." if there else "Count them first.",
        )


def _check_free(picture: Picture, cell: Cell, quantity: int) -> None:
    if cell.kind is None or cell.fate not in LOOSE:
        return
    loose, taken = loose_pieces(picture.ledger, cell)
    free = max(0, loose - sum(taken.values()))
    if quantity > free:
        held = ", ".join(f"{n:,} for {target_words(picture, code)}" for code, n in sorted(taken.items()))
        raise DataError(
            f"{quantity:,} of {pieces_words(picture, cell)} cannot change: {held} are set aside in this condition.",
            f"{free:,} can, or let those go first and set them aside again afterwards (`sortbench reserve`).",
        )
