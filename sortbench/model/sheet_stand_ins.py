"""Rows of a count sheet about what targets may take: stand-ins, and pieces set aside by hand."""

from __future__ import annotations

from typing import NamedTuple, Self

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.sheet_cells import grade_from, grade_label, join_flaws, split_flaws
from sortbench.model.tally import Cell
from sortbench.model.target import StandIn, Swap, SwapOf


class StandInRow(NamedTuple):
    """What may, or may not, be taken for what.

    Without a target it is a rule of the catalogue, of two parts or of two shades. With a line it is a stand-in that the
    target's own list names; else one that is refused on the target.
    """

    target: str
    line: int | None
    part: str
    shade: str
    stand_in_part: str
    stand_in_shade: str
    cost: int | None
    refused: bool

    @classmethod
    def of_rule(cls, swap: Swap) -> Self:
        """The row of a rule of the catalogue."""
        if swap.of is SwapOf.PART:
            return cls("", None, swap.wanted, "", swap.instead, "", swap.cost, False)
        return cls("", None, "", swap.wanted, "", swap.instead, swap.cost, False)

    @classmethod
    def of_line(cls, target: str, line: int, kind: Kind, stand_in: StandIn) -> Self:
        """The row of a stand-in that a target's list names; ``line`` counts from 1."""
        return cls(target, line, *kind, *stand_in.kind, stand_in.cost, False)

    @classmethod
    def of_refusal(cls, target: str, wanted: Kind, instead: Kind) -> Self:
        """The row of a stand-in that is refused on a target."""
        return cls(target, None, *wanted, *instead, None, True)

    @property
    def rule(self) -> Swap:
        """The rule, of a row without a target.

        Raises:
            DataError: it names neither two parts nor two shades, one stands in for itself, or the cost is none.
        """
        of = SwapOf.PART if self.part or self.stand_in_part else SwapOf.SHADE
        wanted, instead = (self.part, self.stand_in_part) if of is SwapOf.PART else (self.shade, self.stand_in_shade)
        others = (self.shade, self.stand_in_shade) if of is SwapOf.PART else ("", "")
        if not wanted or not instead or any(others) or wanted == instead or self.refused:
            raise DataError(
                f"The stand-in rule {instead or '(nothing)'} for {wanted or '(nothing)'} cannot be meant.",
                "A rule names two different parts, or two different shades.",
            )
        if self.cost is None or not 1 <= self.cost <= 9:
            raise DataError(f"The stand-in rule {instead} for {wanted} costs {self.cost}.", "Costs run from 1 to 9.")
        return Swap(of, wanted, instead, self.cost)

    @property
    def kinds(self) -> tuple[Kind, Kind]:
        """The kind asked for and the one that stands in, of a row with a target."""
        return Kind(self.part, self.shade), Kind(self.stand_in_part, self.stand_in_shade)


class ReservedRow(NamedTuple):
    """Like pieces set aside for a target by hand, and not yet in its crate."""

    target: str
    part: str
    shade: str
    grade: str
    flaw: str
    quantity: int

    @classmethod
    def of(cls, target: str, cell: Cell, quantity: int) -> Self:
        """The row of pieces of a heap."""
        return cls(target, cell.part, cell.shade, grade_label(cell.grade), join_flaws(cell.flaws), quantity)

    @property
    def cell(self) -> Cell:
        """What is set aside; wherever it lies, so without a bin.

        Raises:
            DataError: a grade or a flaw that is none.
        """
        return Cell("", self.part, self.shade, "", grade_from(self.grade), split_flaws(self.flaw))
