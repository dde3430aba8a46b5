"""The rows of a count sheet: one plain frozen row for each line of each table, as plain values.

The field names head the columns of the exported files and of every ``--json`` answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, Self

from sortbench.model.bins import Bin
from sortbench.model.catalogue import Care, Part, Shade, Years
from sortbench.model.errors import DataError
from sortbench.model.sheet_cells import (
    FORMAT,
    JOINT,
    Value,
    grade_from,
    grade_label,
    join_flaws,
    split_flaws,
    split_text,
)
from sortbench.model.sheet_cells import PERIODS as PERIODS
from sortbench.model.sheet_log import TallyRow as TallyRow
from sortbench.model.sheet_sharing import AllocationRow, ShortfallRow, SpareRow
from sortbench.model.sheet_stand_ins import ReservedRow, StandInRow
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Target


class CountRow(NamedTuple):
    """One heap of like pieces; ``target`` is filled for one in a crate, and ``bin`` then is not."""

    bin: str
    part: str
    shade: str
    family: str
    grade: str
    flaw: str
    fate: str
    quantity: int
    target: str = ""

    @classmethod
    def of(cls, cell: Cell, quantity: int, family: str = "") -> Self:
        """The row of a heap; ``family`` is what the catalogue says of its part."""
        crated = cell.fate is Fate.CRATE
        return cls(
            "" if crated else cell.bin,
            cell.part,
            cell.shade,
            cell.family or family,
            grade_label(cell.grade),
            join_flaws(cell.flaws),
            cell.fate.value,
            quantity,
            cell.bin if crated else "",
        )

    @property
    def cell(self) -> Cell:
        """The heap; the family is kept only where the part is not known.

        Raises:
            DataError: a grade or a flaw that is none, or a crate of no target.
        """
        fate = Fate(self.fate)
        if (fate is Fate.CRATE) != bool(self.target) or (self.target and self.bin):
            raise DataError(
                f"{self.quantity} of {self.part or self.family} in {self.shade} are {fate.value}, "
                f"of the target {self.target or '(none)'}, in the bin {self.bin or '(none)'}.",
                "Pieces in a crate name its target and no bin; all others name no target.",
            )
        family = "" if self.part else self.family
        flaws = split_flaws(self.flaw)
        return Cell(self.target or self.bin, self.part, self.shade, family, grade_from(self.grade), flaws, fate)


class FillRow(NamedTuple):
    """One line of a target and how far it is filled.

    ``line`` counts from 1 in the order of the list; ``period`` is one of PERIODS.
    """

    target: str
    line: int
    part: str
    shade: str
    lowest: str
    quantity: int
    present: int
    to_standard: int
    short: int
    period: str


class PartRow(NamedTuple):
    """A part of the catalogue."""

    code: str
    name: str
    family: str
    aliases: str
    mass_g: float | None
    first_year: int | None
    last_year: int | None
    care: str

    @classmethod
    def of(cls, part: Part) -> Self:
        """The row of a part."""
        return cls(
            part.code,
            part.name,
            part.family,
            JOINT.join(part.aliases),
            part.mass_g,
            part.years.first,
            part.years.last,
            JOINT.join(part.care),
        )

    @property
    def part(self) -> Part:
        """The part.

        Raises:
            DataError: a year or a mass that cannot be.
        """
        return Part(
            self.code,
            self.name or self.code,
            self.family or "other",
            split_text(self.aliases),
            self.mass_g,
            Years(self.first_year, self.last_year),
            tuple(Care(word) for word in split_text(self.care)),
        )


class ShadeRow(NamedTuple):
    """A shade of the catalogue."""

    name: str
    rgb: str
    first_year: int | None
    last_year: int | None
    aliases: str

    @classmethod
    def of(cls, shade: Shade) -> Self:
        """The row of a shade."""
        return cls(shade.name, shade.rgb, shade.years.first, shade.years.last, JOINT.join(shade.aliases))

    @property
    def shade(self) -> Shade:
        """The shade.

        Raises:
            DataError: a year or an sRGB value that cannot be.
        """
        return Shade(self.name, self.rgb, Years(self.first_year, self.last_year), split_text(self.aliases))


class BinRow(NamedTuple):
    """A bin and what lies in it; ``order`` is empty for one that is named by tallies but not set up."""

    bin: str
    order: int | None
    shade: str
    family: str
    part: str
    lowest: str
    highest: str
    flaw: str
    capacity: int | None
    capacity_g: float | None
    place: str
    quantity: int

    @classmethod
    def of(cls, bin: Bin, order: int | None, quantity: int) -> Self:
        """The row of a bin that holds so many pieces."""
        rule = bin.rule
        return cls(
            bin.label,
            order,
            JOINT.join(rule.shades),
            JOINT.join(rule.families),
            JOINT.join(rule.parts),
            grade_label(rule.lowest),
            grade_label(rule.highest),
            JOINT.join(rule.flaws),
            bin.capacity,
            bin.capacity_g,
            bin.place,
            quantity,
        )


class TargetRow(NamedTuple):
    """A target and how far it is filled, all lines together."""

    target: str
    name: str
    year: int | None
    rank: int
    lines: int
    complete: int
    quantity: int
    present: int
    to_standard: int
    short: int
    value: int | None = None
    parked: bool = False
    waiting: int | None = None

    @classmethod
    def of(cls, target: Target, fills: tuple[FillRow, ...], waiting: int | None = None) -> Self:
        """The row of a target from the rows of its lines; ``waiting`` are pieces present that wait for a wash."""
        return cls(
            target.code,
            target.name,
            target.year,
            target.rank,
            len(target.lines),
            sum(fill.short == 0 for fill in fills),
            target.pieces,
            sum(fill.present for fill in fills),
            sum(fill.to_standard for fill in fills),
            sum(fill.short for fill in fills),
            target.value,
            target.parked,
            waiting,
        )


Row = (
    CountRow
    | FillRow
    | AllocationRow
    | ShortfallRow
    | SpareRow
    | TallyRow
    | PartRow
    | ShadeRow
    | BinRow
    | TargetRow
    | StandInRow
    | ReservedRow
)


@dataclass(frozen=True, slots=True)
class CountSheet:
    """Everything a count sheet says; ``format`` is the one it was written in.

    Rows of the log may be made as they are come to, for there may be a million.
    """

    counts: tuple[CountRow, ...] = ()
    fills: tuple[FillRow, ...] = ()
    spares: tuple[SpareRow, ...] = ()
    tallies: Sequence[TallyRow] = ()
    targets: tuple[TargetRow, ...] = ()
    bins: tuple[BinRow, ...] = ()
    parts: tuple[PartRow, ...] = ()
    shades: tuple[ShadeRow, ...] = ()
    stand_ins: tuple[StandInRow, ...] = ()
    reserved: tuple[ReservedRow, ...] = ()
    allocation: tuple[AllocationRow, ...] = ()
    shortfall: tuple[ShortfallRow, ...] = ()
    format: int = FORMAT


def as_mapping(row: Row) -> dict[str, Value]:
    """A row by column name, as ``--json`` gives it: a text cell with nothing in it is None."""
    return {name: None if value == "" else value for name, value in row._asdict().items()}
