"""The rows of a count sheet that say what stands in the log."""

from __future__ import annotations

from typing import NamedTuple, Self

from sortbench.model.sheet_cells import grade_from, grade_label, join_flaws, split_flaws
from sortbench.model.tally import Cell, Condition, Fate, Reading, Record, RecordId, What, reading_of

HeapCells = tuple[str, str, str, str, str, str, str]
"""The cells of a row from ``bin`` to ``fate``."""
MannerCells = tuple[str, str, str, str, str, str, str]
"""The cells ``what``, ``to_bin``, ``to_fate``, ``target``, ``way``, ``to_grade`` and ``to_flaw`` of a row."""


class TallyRow(NamedTuple):
    """One record of the log; ``holds`` is false once another record voids it.

    ``to_grade`` and ``to_flaw`` are what a regrade says its pieces became; ``lab_l``, ``lab_a`` and ``lab_b`` are the
    colour that was measured on the pieces, empty where none was.
    """

    sitting: str
    number: int
    at: str
    what: str
    bin: str
    part: str
    shade: str
    family: str
    grade: str
    flaw: str
    fate: str
    to_bin: str
    to_fate: str
    target: str
    quantity: int
    voids: str
    way: str
    holds: bool
    to_grade: str = ""
    to_flaw: str = ""
    lab_l: float | None = None
    lab_a: float | None = None
    lab_b: float | None = None

    @classmethod
    def of(cls, record: Record, holds: bool) -> Self:
        """The row of a record."""
        rid, at, what, cell, quantity, to_bin, target, voids, way, to_fate, became, lab = record
        manner = manner_cells(what, to_bin, target, way, to_fate, became)
        return cls.joined(rid.sitting, rid.seq, at, heap_cells(cell), manner, quantity, voids, holds, lab)

    @classmethod
    def joined(
        cls,
        sitting: str,
        number: int,
        at: str,
        heap: HeapCells,
        manner: MannerCells,
        quantity: int,
        voids: RecordId | None,
        holds: bool,
        lab: Reading | None,
    ) -> Self:
        """The row of a record whose heap and manner, which many records have in common, are cells already."""
        what, to_bin, to_fate, target, way, to_grade, to_flaw = manner
        return cls(
            sitting,
            number,
            at,
            what,
            *heap,
            to_bin,
            to_fate,
            target,
            quantity,
            str(voids) if voids else "",
            way,
            holds,
            to_grade,
            to_flaw,
            *(lab or (None, None, None)),
        )

    @property
    def record(self) -> Record:
        """The record as the log held it.

        Raises:
            DataError: a grade, a flaw or a reading that is none.
        """
        cell, became, lab = None, None, None
        if self.what == What.REGRADE:
            became = grade_from(self.to_grade), split_flaws(self.to_flaw)
        if self.lab_l is not None and self.lab_a is not None and self.lab_b is not None:
            lab = reading_of(self.lab_l, self.lab_a, self.lab_b)
        if self.fate:
            cell = Cell(
                self.bin,
                self.part,
                self.shade,
                self.family,
                grade_from(self.grade),
                split_flaws(self.flaw),
                Fate(self.fate),
            )
        sitting, _, number = self.voids.rpartition("/")
        return Record(
            RecordId(self.sitting, self.number),
            self.at,
            What(self.what),
            cell,
            self.quantity,
            to_bin=self.to_bin,
            to_fate=Fate(self.to_fate) if self.to_fate else Fate.KEPT,
            target=self.target,
            voids=RecordId(sitting, int(number)) if sitting else None,
            way=self.way,
            became=became,
            lab=lab,
        )


def heap_cells(cell: Cell | None) -> HeapCells:
    """The cells that say of which heap a record speaks; empty ones where it speaks of none."""
    if cell is None:
        return "", "", "", "", "", "", ""
    flaws = join_flaws(cell.flaws)
    return cell.bin, cell.part, cell.shade, cell.family, grade_label(cell.grade), flaws, cell.fate.value


def manner_cells(
    what: What, to_bin: str, target: str, way: str, to_fate: Fate, became: Condition | None
) -> MannerCells:
    """The cells that say what a record does besides pieces, time and what it voids."""
    carried = to_fate.value if what is What.MOVE else ""
    grade, flaws = (grade_label(became[0]), join_flaws(became[1])) if became else ("", "")
    return what.value, to_bin, carried, target, way, grade, flaws
