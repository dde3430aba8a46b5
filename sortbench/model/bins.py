"""Physical containers, the rule of each, and how much it holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.grade import Flaws, Grade


class Rule(NamedTuple):
    """Which pieces belong in a bin. An empty field lets anything through.

    Attributes:
        shades, families, parts: any one of these must match.
        lowest, highest: grades from and to, both included.
        flaws: at least one of these must be present; the word ``any`` stands for whatever flaw.
    """

    shades: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    lowest: Grade | None = None
    highest: Grade | None = None
    flaws: tuple[str, ...] = ()

    @property
    def catch_all(self) -> bool:
        """Whether everything matches."""
        return self == _ANYTHING

    def matches(self, part: str, family: str, shade: str, grade: Grade | None, flaws: Flaws) -> bool:
        """Whether a piece belongs here; an unknown property never meets a condition on it."""
        if self.shades and shade not in self.shades:
            return False
        if self.families and family not in self.families:
            return False
        if self.parts and part not in self.parts:
            return False
        if self.lowest is not None and (grade is None or grade < self.lowest):
            return False
        if self.highest is not None and (grade is None or grade > self.highest):
            return False
        if self.flaws:
            return bool(flaws) if "any" in self.flaws else any(flaw.value in self.flaws for flaw in flaws)
        return True

    def __str__(self) -> str:
        words = []
        if self.shades:
            words.append(" or ".join(self.shades))
        if self.families:
            words.append(" or ".join(self.families))
        if self.parts:
            words.append(" or ".join(self.parts))
        if self.lowest is not None and self.highest is not None:
            words.append(f"grade {self.lowest.label} to {self.highest.label}")
        elif self.lowest is not None:
            words.append(f"grade {self.lowest.label} and better")
        elif self.highest is not None:
            words.append(f"grade {self.highest.label} and worse")
        if self.flaws:
            words.append("any flaw" if "any" in self.flaws else " or ".join(self.flaws))
        return "; ".join(words) or "everything else"


_ANYTHING = Rule()


@dataclass(frozen=True, slots=True)
class Bin:
    """A container on the table.

    Attributes:
        label: the key, written on it (``B7``).
        rule: what belongs in it.
        capacity: pieces it holds, None if not given.
        capacity_g: grams it holds, None if not given.
        place: where it stands on the table (``row 2, third``), free text.
    """

    label: str
    rule: Rule = _ANYTHING
    capacity: int | None = None
    capacity_g: float | None = None
    place: str = ""

    def __post_init__(self) -> None:
        if self.capacity is not None and not 1 <= self.capacity <= 10_000_000:
            raise DataError(f"Bin {self.label} cannot hold {self.capacity} pieces.", "Give a whole number above 0.")
        if self.capacity_g is not None and not 0 < self.capacity_g <= 1e7:
            raise DataError(f"Bin {self.label} cannot hold {self.capacity_g} g.", "Give grams above 0.")
