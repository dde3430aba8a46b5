"""Lists of stand-in rules: which part or shade may be taken for which."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import NamedTuple

from sortbench.engine.entering.naming import NameIndex, nearest_name, part_index, shade_index
from sortbench.engine.importing import cells
from sortbench.engine.importing.cells import RowError, RowReader, Sheet
from sortbench.engine.importing.differences import swap_change, swap_words
from sortbench.engine.importing.intake_plan import Plan, State
from sortbench.engine.sharing.stand_ins import way_back
from sortbench.model.errors import DataError
from sortbench.model.target import Swap, SwapOf
from sortbench.model.text import clean_name

_Key = tuple[SwapOf, str, str]
_OURS = "which the bench has"
_MOST_HINTS = 50  # looking for the nearest name takes a while; a list of so many unknown ones is another catalogue's


class _Pair(NamedTuple):
    """The two columns of one sort of rule, and how what stands in them is found in the catalogue."""

    of: SwapOf
    wanted: str
    instead: str
    names: NameIndex
    known: Mapping[str, Sequence[str]]
    """Names and aliases of what the catalogue holds, by key."""


def read_stand_ins(sheets: Sequence[Sheet], state: State, defaults: Mapping[str, str]) -> Plan:
    """Stand-in rules, told apart by what is asked for and what may be taken for it.

    Args:
        sheets: the files.
        state: what the bench knows; a rule can only name parts and shades of its catalogue.
        defaults: ``replace`` with any text: the rules of the files take the place of all that the bench has.
    """
    old = {} if defaults.get("replace") else dict(state.swaps)
    reader = _Reader(state, old)
    for sheet in sheets:
        reader.read(sheet)
    found = {key: swap for key, (swap, _) in reader.found.items()}
    new = [swap for key, swap in found.items() if key not in state.swaps]
    changed = [swap for key, swap in found.items() if key in state.swaps and state.swaps[key] != swap]
    rules = tuple((old | found).values())
    return Plan(
        tuple(reader.errors),
        tuple(map(swap_words, new)),
        tuple(swap_change(state.swaps[swap.key], swap) for swap in changed),
        tuple(swap_words(swap) for key, swap in found.items() if state.swaps.get(key) == swap),
        tuple(swap_words(swap) for key, swap in state.swaps.items() if key not in old and key not in found),
        swaps=None if rules == tuple(state.swaps.values()) else rules,
        notes=tuple(reader.notes),
    )


class _Reader:
    """Reads rows one after the other and holds each against the rules before it, those of the bench included."""

    def __init__(self, state: State, old: Mapping[_Key, Swap]) -> None:
        parts, shades = state.parts, state.shades
        self._pairs = (
            _Pair(
                SwapOf.PART,
                "part",
                "stand_in_part",
                part_index(parts),
                {code: (part.name, *part.aliases) for code, part in parts.items()},
            ),
            _Pair(
                SwapOf.SHADE,
                "shade",
                "stand_in_shade",
                shade_index(shades),
                {name: shade.aliases for name, shade in shades.items()},
            ),
        )
        self._old = old
        # What may be taken for a part or a shade, and where that is said.
        self._onward: dict[tuple[SwapOf, str], dict[str, str]] = {}
        for swap in old.values():
            self._onward.setdefault((swap.of, swap.wanted), {})[swap.instead] = _OURS
        self.found: dict[_Key, tuple[Swap, str]] = {}
        self.errors: list[RowError] = []
        self.notes: list[str] = []
        self._near: dict[tuple[SwapOf, str], str] = {}

    def read(self, sheet: Sheet) -> None:
        """Take in the rows of one file."""
        if all(sheet.match.index(pair.wanted) < 0 or sheet.match.index(pair.instead) < 0 for pair in self._pairs):
            self.errors.append(_lacks_a_pair(sheet))
            return
        for number, row_cells in sheet.rows:
            row = RowReader(sheet, number, row_cells)
            swap = self._swap(row)
            if swap is not None and not row.errors:
                self._take(row, swap, f"{sheet.file}:{number}")
            self.errors += row.errors

    def _swap(self, row: RowReader) -> Swap | None:
        said = [pair for pair in self._pairs if row.text(pair.wanted) or row.text(pair.instead)]
        cost = row.read("cost", cells.whole("cost", 1, 9), 1)
        if len(said) != 1:
            row.refuse(
                (said or self._pairs)[-1].wanted,
                "The row names parts and shades. Write a rule for each in a row of its own."
                if said
                else "The row names neither a part and its stand-in nor a shade and its stand-in.",
            )
            return None
        pair = said[0]
        wanted = row.require(pair.wanted, partial(self._known, pair))
        instead = row.require(pair.instead, partial(self._known, pair))
        if wanted is None or instead is None:
            return None
        if wanted == instead:
            row.refuse(pair.instead, f"A {pair.of.value} cannot stand in for itself.")
            return None
        return Swap(pair.of, wanted, instead, cost)

    def _known(self, pair: _Pair, text: str) -> str:
        """What the catalogue holds under a name.

        Raises:
            DataError: nothing, or several things.
        """
        name = clean_name(text, pair.of.value)
        found = pair.names.find(name)
        if found is None:
            key = pair.of, name
            if key not in self._near and len(self._near) < _MOST_HINTS:
                self._near[key] = nearest_name(name, pair.known)
            near = self._near.get(key)
            hint = f"Did you mean {near}?" if near else f"Bring in the {pair.of.value}s first."
            raise DataError(f"The catalogue has no {pair.of.value} of that name.", hint)
        return found

    def _take(self, row: RowReader, swap: Swap, where: str) -> None:
        if swap.key in self.found:
            earlier, there = self.found[swap.key]
            if earlier != swap:
                row.refuse("cost", f"{there} says {earlier.cost} for the same two. Keep one of the two rows.")
            else:
                self.notes.append(f"{where} says the same as {there} and is passed over.")
            return
        pair = next(pair for pair in self._pairs if pair.of is swap.of)
        if swap.key not in self._old and (circle := self._circle(swap)):
            row.refuse(pair.instead, f"This closes a circle: {circle}. Stand-ins go one way; leave one of them out.")
            return
        self.found[swap.key] = swap, where
        self._onward.setdefault((swap.of, swap.wanted), {})[swap.instead] = where

    def _circle(self, swap: Swap) -> str:
        """The rules that lead from a stand-in back to what it stands in for, in words; empty if none do."""
        steps = way_back(swap, lambda here: self._onward.get((swap.of, here), {}))
        words = [f"{there} stands in for {here} ({self._onward[swap.of, here][there]})" for here, there in steps]
        return ", ".join([*words, f"{swap.instead} stands in for {swap.wanted} (this row)"]) if steps else ""


def _lacks_a_pair(sheet: Sheet) -> RowError:
    reason = (
        "No two columns hold a part and its stand-in, or a shade and its stand-in. "
        "Name them with --column part=HEADER --column stand_in_part=HEADER, or shade and stand_in_shade."
    )
    rows = tuple(number for number, _ in sheet.rows)
    return RowError(sheet.file, 1, "", ", ".join(sheet.match.headers), reason, rows)
