"""Lists of targets: one target in a file, or many."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from sortbench.engine.entering.naming import NameIndex
from sortbench.engine.importing import cells
from sortbench.engine.importing.cells import RowError, RowReader, Sheet
from sortbench.engine.importing.differences import Change, target_change
from sortbench.engine.importing.intake_plan import Naming, Plan, State
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError, UsageError
from sortbench.model.grade import Grade
from sortbench.model.target import MAX_QUANTITY, MAX_RANK, MAX_VALUE, Line, StandIn, Target

_COST = re.compile(r"(?P<kind>.*?)\s*(?:\((?P<cost>[^()]*)\))?")
_IN = re.compile(r"(?:(?P<part>.*)\s)?in\s+(?P<shade>.+)", re.IGNORECASE)


@dataclass
class _Draft:
    """A target while its rows are read. Values of its head stand with the row that said them."""

    code: str
    old: Target | None
    head: dict[str, tuple[Any, str]] = field(default_factory=dict)
    lines: dict[tuple[Kind, Grade, tuple[StandIn, ...]], int] = field(default_factory=dict)
    doubled: int = 0
    asks_rank: bool = False
    """Whether a file that speaks of it has a column of ranks."""

    @cached_property
    def known(self) -> Mapping[Kind, Line]:
        """Lines that the bench holds of this target, where a kind has just one."""
        lines = self.old.lines if self.old else ()
        often = Counter(line.kind for line in lines)
        return {line.kind: line for line in lines if often[line.kind] == 1}


def read_targets(sheets: Sequence[Sheet], state: State, defaults: Mapping[str, str]) -> Plan:
    """Targets, told apart by code; the lines of a file replace those that a target of this code has.

    Args:
        sheets: the files.
        state: what the bench knows.
        defaults: ``target``, ``name``, ``year`` and ``rank`` for rows that do not say them; each may be missing. A file
            without a column of target codes is one target, called like the file if no ``target`` is given. Where a file
            has a column of ranks it must say each target's; else a new target comes behind all others. With
            ``known_only`` a row that names a part or shade the catalogue lacks is refused, instead of creating it.

    Raises:
        UsageError: a default cannot be meant, or one name is given for several targets.
    """
    given = {name: _default(name, text) for name, text in defaults.items() if name in _HEAD and text}
    unranked: dict[str, _Rows] = {}
    while True:
        reading = _read(sheets, state, given, unranked, bool(defaults.get("known_only")))
        lacking = {code for code, draft in reading.drafts.items() if draft.asks_rank and "rank" not in draft.head}
        if "rank" in given or not lacking:
            break
        # Read anew without them, so that they create no part or shade either.
        unranked |= {code: reading.rows[code] for code in lacking}
    drafts = reading.drafts
    if len(drafts) > 1 and "name" in given:
        raise UsageError(f"One name is given for {len(drafts)} targets.", "Name them in a column, or bring in one.")
    return _plan(drafts.values(), state, given, reading.naming, tuple(reading.errors), reading.notes)


_Rows = dict[str, list[int]]
"""The lines of one target, file by file."""


class _Reading:
    """What the rows of all files come to."""

    def __init__(self, state: State, known_only: bool) -> None:
        self.naming = Naming(state, known_only)
        self.drafts: dict[str, _Draft] = {}
        self.rows: dict[str, _Rows] = {}
        self.errors: list[RowError] = []
        self.notes: list[str] = []


def _read(
    sheets: Sequence[Sheet],
    state: State,
    given: Mapping[str, Any],
    unranked: Mapping[str, _Rows],
    known_only: bool,
) -> _Reading:
    """Read all rows; those of targets whose rank is known to be missing are refused."""
    reading = _Reading(state, known_only)
    index = NameIndex("target", ((code, ()) for code in state.targets))
    for sheet in sheets:
        if sheet.match.index("target") < 0 and "target" not in given:
            reading.notes.append(f"{sheet.file} says no target code, so the file's name stands for it.")
        for number, row_cells in sheet.rows:
            row = RowReader(sheet, number, row_cells)
            code = _code(row, sheet, str(given.get("target", "")), index)
            reading.rows.setdefault(code, {}).setdefault(sheet.file, []).append(number)
            draft = reading.drafts.get(code) or _Draft(code, state.targets.get(code))
            draft.asks_rank = draft.asks_rank or row.has("rank")
            head = _head(row, draft, f"{sheet.file}:{number}")
            line = _line(row, draft, reading.naming)
            missing = unranked.get(code, {}).get(sheet.file, [])
            if missing:
                row.refuse("rank", _RANK_MISSING, tuple(missing[1:]))
            if reading.naming.settle(row) and line is not None:
                if code not in reading.drafts:
                    index.add(code)
                    reading.drafts[code] = draft
                draft.head |= head
                key = line.kind, line.lowest, line.stand_ins
                draft.doubled += key in draft.lines
                draft.lines[key] = draft.lines.get(key, 0) + line.quantity
            # The missing rank is told once for all rows of a target.
            reading.errors += row.errors[:-1] if missing and number != missing[0] else row.errors
    return reading


_HEAD: Mapping[str, Callable[[str], Any]] = {
    "target": cells.name_of("target code"),
    "name": cells.name_of("target name"),
    "year": cells.year,
    "rank": cells.whole("rank", 1, MAX_RANK),
    "value": cells.whole("value", 0, MAX_VALUE),
    "parked": cells.yes_or_no,
}
_COLUMNS = {"name": "target_name", "year": "year", "rank": "rank", "value": "value", "parked": "parked"}
_RANK_MISSING = (
    "The rank is missing: no good row of this target says it. Write it in one of them, 1 for the first (targets may "
    "share one), say --rank, or leave the column out with --column rank= to put new targets behind all others."
)


def _default(name: str, text: str) -> Any:
    try:
        return _HEAD[name](text)
    except DataError as error:
        raise UsageError(error.message, error.mend) from None


def _code(row: RowReader, sheet: Sheet, given: str, index: NameIndex) -> str:
    """The code of the row's target, spelled as the bench or an earlier row spells it."""
    if row.has("target") and not given:
        code = row.require("target", _HEAD["target"])
    else:
        try:
            code = row.read("target", _HEAD["target"], given) or _HEAD["target"](sheet.stem)
        except DataError:
            row.refuse("target", "Neither a column nor the name of the file says which target this is. Say --target.")
            return ""
    try:
        return (index.by_key(code) or code) if code else ""
    except DataError as error:
        row.refuse("target", str(error))
        return ""


def _head(row: RowReader, draft: _Draft, where: str) -> dict[str, tuple[Any, str]]:
    """What the row says of its target as a whole; an error where an earlier row says otherwise."""
    said: dict[str, tuple[Any, str]] = {}
    for name, column in _COLUMNS.items():
        value = row.read(column, _HEAD[name], None)
        if value is None:
            continue
        earlier, there = draft.head.get(name, (value, where))
        if earlier != value:
            words = {True: "yes", False: "no"}.get(earlier, earlier) if name == "parked" else earlier
            row.refuse(column, f"{there} says {words} for the same target. Make them agree.")
        said[name] = earlier, there
    return said


def _quantity(text: str) -> int:
    if not text.strip("0"):
        raise DataError("A line cannot ask for 0 pieces.", f"Leave the row out, or write 1 to {MAX_QUANTITY}.")
    return cells.whole("quantity", 1, MAX_QUANTITY)(text)


def _line(row: RowReader, draft: _Draft, naming: Naming) -> Line | None:
    name = row.read("part_name", cells.name_of("part name"), "")
    family = row.read("family", cells.family, "")
    part = row.require("part", lambda text: naming.part(text, name, family))
    shade = row.require("shade", naming.shade)
    quantity = row.require("quantity", _quantity)
    if part is None or shade is None or quantity is None:
        # The other cells are still looked at, so that all that is wrong is told at once.
        row.read("lowest", Grade.from_label, Grade.G3)
        return None
    kind = Kind(part, shade)
    old = draft.known.get(kind) or Line(kind, 1)
    lowest = row.read("lowest", Grade.from_label, Line(kind, 1).lowest) if row.has("lowest") else old.lowest
    stand_ins = row.keep("stand_ins", lambda text: _stand_ins(row.items(text), kind, naming), (), old.stand_ins)
    if draft.lines.get((kind, lowest, stand_ins), 0) + quantity > MAX_QUANTITY:
        row.refuse(
            "quantity", f"With the rows before it the target would ask for more than {MAX_QUANTITY} of the kind."
        )
        return None
    return Line(kind, quantity, lowest, stand_ins)


def _stand_ins(items: Sequence[str], kind: Kind, naming: Naming) -> tuple[StandIn, ...]:
    """Stand-ins written ``part in shade (cost)``.

    Without a shade the line's own is meant, without a part (``in white``) the line's own part, without a cost 1.
    """
    found: list[StandIn] = []
    for item in items:
        parts = _COST.fullmatch(item)
        text, cost = (parts["kind"], parts["cost"]) if parts else (item, None)
        if cost is not None and not re.fullmatch(r"\s*[1-9]\s*", cost):
            if re.search(r"\d", cost) and naming.known_part(item) is None:
                raise DataError(f"{cost[:20]!r} is no cost.", "Write a whole number from 1 to 9 in brackets.")
            # Words in brackets belong to the name.
            text, cost = item, None
        other = _stand_in_kind(text, kind, naming)
        if other == kind:
            raise DataError("A kind cannot stand in for itself.")
        if other in (stand_in.kind for stand_in in found):
            raise DataError(f"{other} is named twice.")
        found.append(StandIn(other, int(cost) if cost else 1))
    return tuple(found)


def _stand_in_kind(text: str, kind: Kind, naming: Naming) -> Kind:
    known = naming.known_part(text)
    words = _IN.fullmatch(text) if known is None else None
    if words is None:
        return Kind(known or naming.part(text), kind.shade)
    return Kind(naming.part(words["part"]) if words["part"] else kind.part, naming.shade(words["shade"]))


def _plan(
    drafts: Iterable[_Draft],
    state: State,
    given: Mapping[str, Any],
    naming: Naming,
    errors: tuple[RowError, ...],
    notes: list[str],
) -> Plan:
    new: list[Target] = []
    changed: list[tuple[Target, Change]] = []
    unchanged: list[str] = []
    ranks = [target.rank for target in state.targets.values()]
    last: list[str] = []
    for draft in drafts:
        target = _target(draft, given, min(MAX_RANK, max(ranks, default=0) + 1))
        ranks.append(target.rank)
        if draft.doubled:
            rows = "1 row repeats" if draft.doubled == 1 else f"{draft.doubled} rows repeat"
            notes.append(f"{draft.code}: {rows} a line; the quantities are added up.")
        if draft.old is None:
            new.append(target)
            if "rank" not in draft.head and "rank" not in given:
                last.append(target.code)
        elif draft.old == target:
            unchanged.append(target.code)
        else:
            changed.append((target, target_change(draft.old, target)))
    if last:
        notes.append(f"No rank is said of {', '.join(last)}, so all others that are there come first.")
    return Plan(
        errors,
        tuple(target.code for target in new),
        tuple(change for _, change in changed),
        tuple(unchanged),
        created_parts=tuple(naming.parts),
        created_shades=tuple(naming.shades),
        parts=tuple(naming.parts),
        shades=tuple(naming.shades),
        targets=(*new, *(target for target, _ in changed)),
        notes=tuple(notes),
    )


def _target(draft: _Draft, given: Mapping[str, Any], next_rank: int) -> Target:
    """The target as it will be: what the rows say, else what was given, else what the bench holds."""
    said = dict(given) | {name: value for name, (value, _) in draft.head.items()}
    old = draft.old or Target(draft.code, draft.code, rank=next_rank)
    lines = tuple(Line(kind, quantity, lowest, stand) for (kind, lowest, stand), quantity in draft.lines.items())
    return old._replace(
        name=said.get("name", old.name),
        year=said.get("year", old.year),
        rank=said.get("rank", old.rank),
        value=said.get("value", old.value),
        parked=said.get("parked", old.parked),
        lines=lines,
    )
