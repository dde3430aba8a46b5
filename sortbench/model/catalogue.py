"""What can be counted: parts, shades, and kinds (a part in a shade)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from sortbench.model.errors import DataError

FAMILIES = (
    "arch",
    "axle",
    "bar",
    "baseplate",
    "bracket",
    "brick",
    "cloth",
    "cone",
    "connector",
    "dish",
    "door",
    "fence",
    "figure",
    "gear",
    "hinge",
    "panel",
    "pin",
    "plant",
    "plate",
    "pole",
    "rail",
    "round",
    "slope",
    "string",
    "tile",
    "tool",
    "vehicle",
    "wedge",
    "wheel",
    "window",
    "wing",
    "other",
)
"""Shape families: plain trade words. A catalogue may bring others; these are what a new part is guessed from."""


class Care(StrEnum):
    """Care marks: what a part needs at the tub."""

    STICKER = "sticker"
    CLOTH = "cloth"
    PRINT = "print"
    DELICATE = "delicate"
    ELECTRIC = "electric"
    METAL = "metal"
    LARGE_PLATE = "large plate"
    FOLIAGE = "foliage"
    DEEP_HOLLOW = "deep hollow"
    FIGURE = "figure"
    RAISED_BASEPLATE = "raised baseplate"
    MANUAL = "manual"
    VERY_SMALL = "very small"


class Kind(NamedTuple):
    """A part in a shade, by their keys: what is counted."""

    part: str
    shade: str

    def __str__(self) -> str:
        return f"{self.part} · {self.shade}"


@dataclass(frozen=True, slots=True)
class Years:
    """First and last year something was made; None is unknown."""

    first: int | None = None
    last: int | None = None

    def __post_init__(self) -> None:
        for year in (self.first, self.last):
            if year is not None and not 1900 <= year <= 2200:
                raise DataError(f"{year} is no plausible year.", "Years run from 1900 to 2200.")
        if self.first is not None and self.last is not None and self.first > self.last:
            raise DataError(f"The first year {self.first} lies after the last year {self.last}.")

    def holds(self, year: int | None) -> bool | None:
        """Whether something of that year is right; None where the years do not say."""
        if year is None:
            return None
        if (self.first is not None and year < self.first) or (self.last is not None and year > self.last):
            return False
        if self.first is None or self.last is None:
            return None
        return True

    def __str__(self) -> str:
        if self.first is None and self.last is None:
            return "years unknown"
        return f"{self.first or '?'}-{self.last or '?'}"


@dataclass(frozen=True, slots=True)
class Part:
    """A moulded shape.

    Attributes:
        code: the key, spelled from the shape (``plate-2x4``).
        name: what a person calls it (``plate 2x4``).
        family: shape family.
        aliases: other names to find it by.
        mass_g: mass of one piece in grams, None if not known.
        years: when it was made.
        care: what it needs at the tub.
    """

    code: str
    name: str
    family: str = "other"
    aliases: tuple[str, ...] = ()
    mass_g: float | None = None
    years: Years = Years()
    care: tuple[Care, ...] = ()

    def __post_init__(self) -> None:
        if self.mass_g is not None and not 0 < self.mass_g <= 10_000:
            raise DataError(f"A mass of {self.mass_g} g is not plausible for {self.code}.", "Give grams, above 0.")


@dataclass(frozen=True, slots=True)
class Shade:
    """A moulded colour.

    Attributes:
        name: the key (``grey, early``).
        rgb: sRGB as six lower-case hex digits without a mark, or empty if not known.
        years: when it was made.
        aliases: other names to find it by.
    """

    name: str
    rgb: str = ""
    years: Years = Years()
    aliases: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.rgb and (len(self.rgb) != 6 or any(c not in "0123456789abcdef" for c in self.rgb)):
            raise DataError(f"{self.rgb!r} is no sRGB value.", "Write six hex digits, as in 9ba19d.")


class Catalogue(NamedTuple):
    """Parts by code and shades by name; any part may come in any shade."""

    parts: Mapping[str, Part] = MappingProxyType({})
    shades: Mapping[str, Shade] = MappingProxyType({})

    def family(self, part: str) -> str:
        """The shape family of a part; empty where the part is not in the catalogue."""
        found = self.parts.get(part)
        return found.family if found else ""

    def mass_g(self, part: str) -> float | None:
        """Grams of one piece, None where not known."""
        found = self.parts.get(part)
        return found.mass_g if found else None

    def part_name(self, part: str) -> str:
        """The name of a part, or its code where the catalogue does not hold it."""
        found = self.parts.get(part)
        return found.name if found else part

    def right_in(self, year: int | None) -> Callable[[Kind], bool | None]:
        """Whether kinds are period-correct in a year: True, False, or None where years are not known.

        It is asked of many kinds: what a part or a shade says of the year is worked out once.
        """
        parts, shades = _Verdicts(self.parts, year), _Verdicts(self.shades, year)

        def right(kind: Kind) -> bool | None:
            of_part, of_shade = parts[kind.part], shades[kind.shade]
            if of_part is False or of_shade is False:
                return False
            return None if of_part is None or of_shade is None else True

        return right


class _Verdicts(dict[str, bool | None]):
    """Whether each part, or each shade, is right for a year; found out when first asked for."""

    def __init__(self, known: Mapping[str, Part] | Mapping[str, Shade], year: int | None) -> None:
        super().__init__()
        self._known = known
        self._year = year

    def __missing__(self, key: str) -> bool | None:
        found = self._known.get(key)
        verdict = self[key] = found.years.holds(self._year) if found else None
        return verdict
