"""What an import comes to: gathered while its rows are read, then frozen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from sortbench.engine.entering.naming import guess_family, name_key, nearest_name, part_index, shade_index, spell_code
from sortbench.engine.importing.cells import RowError, RowReader
from sortbench.engine.importing.differences import Change
from sortbench.model.bins import Bin
from sortbench.model.catalogue import Part, Shade
from sortbench.model.errors import DataError
from sortbench.model.library import SetList
from sortbench.model.offer import Offer, Seller
from sortbench.model.target import Swap, SwapOf, Target
from sortbench.model.text import clean_name


@dataclass(frozen=True, slots=True)
class State:
    """What the bench knows before the import."""

    parts: Mapping[str, Part] = field(default_factory=dict)
    shades: Mapping[str, Shade] = field(default_factory=dict)
    targets: Mapping[str, Target] = field(default_factory=dict)
    bins: tuple[Bin, ...] = ()
    swaps: Mapping[tuple[SwapOf, str, str], Swap] = field(default_factory=dict)
    sellers: Mapping[str, Seller] = field(default_factory=dict)
    offers: Mapping[str, Offer] = field(default_factory=dict)
    library: Mapping[str, SetList] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Plan:
    """What an import would do, bad rows left aside.

    Attributes:
        errors: everything wrong with the rows, in the order of files and lines.
        new: keys of what the bench does not hold yet.
        changed: what it holds differently.
        unchanged: keys of what it holds just so.
        removed: keys of what it would hold no longer.
        created_parts, created_shades: named by the list and not in the catalogue; they are added to it.
        parts, shades, targets: everything to be written, the created ones included.
        bins: all bins in their new order, None where nothing changes.
        swaps: all stand-in rules in their new order, None where nothing changes.
        notes: what else was decided, in words.
        sellers: to be written.
        offers: all offers, None where nothing changes.
        library: lists of the library to be written.
    """

    errors: tuple[RowError, ...] = ()
    new: tuple[str, ...] = ()
    changed: tuple[Change, ...] = ()
    unchanged: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    created_parts: tuple[Part, ...] = ()
    created_shades: tuple[Shade, ...] = ()
    parts: tuple[Part, ...] = ()
    shades: tuple[Shade, ...] = ()
    targets: tuple[Target, ...] = ()
    bins: tuple[Bin, ...] | None = None
    notes: tuple[str, ...] = ()
    swaps: tuple[Swap, ...] | None = None
    sellers: tuple[Seller, ...] = ()
    offers: tuple[Offer, ...] | None = None
    library: tuple[SetList, ...] = ()

    @property
    def same(self) -> bool:
        """Whether the bench already holds everything just so."""
        lists = (self.bins, self.swaps, self.offers)
        rows = (self.parts, self.shades, self.targets, self.sellers, self.library)
        return not any(rows) and all(each is None for each in lists)


class Naming:
    """Parts and shades that a list speaks of: found in the catalogue, or created once their row is taken.

    What a row names stays pending until `accept`, so that a refused row creates nothing.

    Args:
        state: what the bench knows.
        known_only: create nothing; a name that the catalogue lacks is an error then.
    """

    def __init__(self, state: State, known_only: bool = False) -> None:
        self._lacking = state if known_only else None
        self._part_index = part_index(state.parts)
        self._shade_index = shade_index(state.shades)
        self._pending_parts: dict[str, Part] = {}
        self._pending_shades: dict[str, Shade] = {}
        self.parts: list[Part] = []
        self.shades: list[Shade] = []

    def part(self, text: str, name: str = "", family: str = "") -> str:
        """The code of the part that goes by a text.

        Args:
            text: a code, name or alias.
            name: what to call the part if it is new.
            family: its shape family if it is new; guessed from name and text if empty.

        Raises:
            DataError: no possible name, several parts go by it, or none and only known ones are wanted.
        """
        clean = clean_name(text, "part")
        if (known := self._part_index.find(clean)) is not None:
            return known
        if self._lacking is not None:
            names = {code: (part.name, *part.aliases) for code, part in self._lacking.parts.items()}
            raise _not_known("part", text, names)
        new = Part(spell_code(clean), name or clean, family or guess_family(name, clean))
        return self._pending_parts.setdefault(name_key(clean), new).code

    def known_part(self, text: str) -> str | None:
        """The code of the part that goes by a text, None if there is none yet."""
        pending = self._pending_parts.get(name_key(text))
        return pending.code if pending else self._part_index.find(text)

    def shade(self, text: str) -> str:
        """The name of the shade that goes by a text.

        Raises:
            DataError: no possible name, several shades go by it, or none and only known ones are wanted.
        """
        clean = clean_name(text, "shade")
        if (known := self._shade_index.find(clean)) is not None:
            return known
        if self._lacking is not None:
            raise _not_known("shade", text, {name: shade.aliases for name, shade in self._lacking.shades.items()})
        return self._pending_shades.setdefault(name_key(clean), Shade(clean)).name

    def settle(self, row: RowReader) -> bool:
        """Take what a row named into the catalogue if the row is good, else forget it; whether it is good."""
        if not row.errors:
            for part in self._pending_parts.values():
                self._part_index.add(part.code, (part.name,))
                self.parts.append(part)
            for shade in self._pending_shades.values():
                self._shade_index.add(shade.name)
                self.shades.append(shade)
        self._pending_parts.clear()
        self._pending_shades.clear()
        return not row.errors


def _not_known(what: str, text: str, names: Mapping[str, Iterable[str]]) -> DataError:
    near = nearest_name(text, names)
    mend = f"Bring it in first with `sortbench import {what}s`, or leave out --known-only to have it created."
    return DataError(f"The catalogue has no {what} {text!r}.", f"Did you mean {near}? {mend}" if near else mend)
