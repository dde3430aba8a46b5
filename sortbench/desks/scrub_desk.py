"""The scrub list at a bench: what waits for a wash, and pieces taken off it once they are clean."""

from __future__ import annotations

import re

from sortbench.desk import Desk
from sortbench.desks.wash_settings import WashSettings
from sortbench.engine.board import Notice
from sortbench.engine.entry import Entry
from sortbench.engine.reconciling.improvements import kind_words
from sortbench.engine.washing.scrub import ScrubRow, scrub_list
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Reading
from sortbench.model.target import MAX_QUANTITY

_SOME = re.compile(r"\*?(\d{1,5})?\s*(?:!\s*([0-9]\S*))?")


def scrub_rows(bench: Desk) -> tuple[ScrubRow, ...]:
    """What waits for a wash, as the bench's figure for very small pieces has it."""
    return scrub_list(bench.picture, WashSettings(bench).small_g)


def scrubbed(
    bench: Desk,
    cell: Cell,
    quantity: int,
    grade: Grade | None = None,
    flaws: Flaws | None = None,
    lab: Reading | None = None,
) -> Notice:
    """Pieces that waited for a wash are clean: carry them into the bin that the rules name.

    Args:
        cell: the heap, as the scrub list tells it.
        quantity: pieces.
        grade, flaws: what they are now; None leaves what they were.
        lab: the colour that was measured on them.

    Raises:
        DataError, WriteError: see :meth:`Sitting.scrubbed`.
    """
    same = grade is None and flaws is None
    became = None if same else (grade or cell.grade, cell.flaws if flaws is None else flaws)
    return bench.sitting.scrubbed(cell, quantity, became, lab)


def take_some(bench: Desk, row: ScrubRow, text: str = "") -> Notice:
    """Take pieces of one heap off the scrub list, as it is typed: ``3``, ``3 !4`` for another grade, ``!4`` for all.

    Raises:
        DataError: it is no quantity and no grade, or fewer pieces wait.
        WriteError: the disk refused.
    """
    found = _SOME.fullmatch(text.strip())
    if found is None:
        raise DataError(f"{text.strip()[:40]!r} is no quantity.", "Write 3, or 3 !4 where they are grade 4 now.")
    quantity = int(found[1]) if found[1] else min(row.quantity, MAX_QUANTITY)
    if not 1 <= quantity <= row.quantity:
        raise DataError(f"{row.quantity:,} wait, not {quantity:,}.", f"Give 1 to {row.quantity:,}.")
    return scrubbed(bench, row.cell, quantity, Grade.from_label(found[2]) if found[2] else None)


def take_off(bench: Desk, kind: Kind, entry: Entry, grade: Grade | None = None) -> tuple[Notice, ...]:
    """Take pieces of a kind off the scrub list into the bins of the rules; all of them where no quantity is said.

    Args:
        entry: how many, and the grade and flaws that the list shows, where these make a difference.
        grade: what they turned out to be; None leaves what they were.

    Raises:
        DataError: fewer such pieces wait; nothing is moved.
        WriteError: the disk refused; what was moved up to then stays so.
    """
    heaps = [
        row
        for row in scrub_rows(bench)
        if row.kind == kind and entry.grade in (None, row.grade) and (not entry.flaws or entry.flaws == row.flaws)
    ]
    there = sum(row.quantity for row in heaps)
    wanted = entry.quantity or there
    if not there or wanted > there:
        name = kind_words(bench.catalogue, kind)
        raise DataError(
            f"{there:,} of {name} wait for a wash{f', not {wanted:,}' if wanted > there else ''}.",
            f"Give 1 to {there:,}." if there else "`sortbench wash scrub` shows what waits.",
        )
    notices = []
    for row in heaps:
        left = min(wanted, row.quantity)
        wanted -= left
        while left:
            some = min(left, MAX_QUANTITY)
            notices.append(scrubbed(bench, row.cell, some, grade))
            left -= some
    return tuple(notices)
