"""What somebody sees who looks a bin over, as it is typed: ``pl 2x4 red *12 !4 #cracked``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.engine.entry import parse
from sortbench.model.errors import DataError
from sortbench.model.spot_check import Heap
from sortbench.model.tally import Cell

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.model.catalogue import Kind
    from sortbench.model.grade import Grade


def read_pieces(
    bench: Bench, text: str, label: str, last: Cell | None = None, grade: Grade | None = None, pick: int = 0
) -> Heap:
    """Pieces in the words and marks of an entry line, in a bin.

    Args:
        bench: knows the kinds.
        text: the line. Without words it is the last kind again.
        label: the bin.
        last: what was noted last; None if nothing was.
        grade: what they are where the line tells none.
        pick: which of the results is meant, 0 the first; others than the first are not asked about.

    Raises:
        DataError: the line cannot be meant here, or its words name no one kind.
    """
    entry = parse(text)
    if entry.hold or entry.add or entry.bin:
        raise DataError("Here a line says what a piece is, and nothing else.", "Write it as in: pl 2x4 red *12 !4")
    quantity = entry.quantity or 1
    if not entry.words:
        if last is None:
            raise DataError("Nothing was noted yet that it could be again.", "Type what the piece is.")
        again = last._replace(grade=entry.grade or last.grade, flaws=entry.flaws or last.flaws)
        return Heap(again, quantity)
    kind = _kind(bench, entry.words, pick)
    return Heap(Cell(label, kind.part, kind.shade, "", entry.grade or grade, entry.flaws), quantity)


def _kind(bench: Bench, words: str, pick: int) -> Kind:
    rows = bench.search(words).rows
    if not rows:
        raise DataError(
            f"Nothing is called {words[:60]!r}.",
            "Try fewer letters. A part that the catalogue lacks is added with `sortbench add part`.",
        )
    if pick >= len(rows):
        raise DataError(f"There is no result {pick + 1}.", f"{len(rows)} are shown.")
    if not pick and len(rows) > 1 and rows[0].tie:
        names = " or ".join(f"{row.name} ({row.kind.part}) in {row.kind.shade}" for row in rows[:2])
        raise DataError(f"Could be {names}.", "Type more of what tells them apart.")
    return rows[pick].kind
