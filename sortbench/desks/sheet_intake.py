"""A count sheet read back into a bench: looked at first, then counted heap by heap."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from sortbench.bench import Bench
from sortbench.engine.sharing.stand_ins import way_back
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.sheet import CountRow, CountSheet
from sortbench.model.tally import Cell, What
from sortbench.model.target import MAX_QUANTITY, Line, StandIn, Swap, SwapOf, Target, checked_value, refusals_of
from sortbench.store.count_sheet import read_count_sheet

_TARGETS_SINCE = 2
"""Format of the sheet from which on it says all of its targets, the stand-ins of their lists included."""


@dataclass(frozen=True, slots=True)
class SheetIntake:
    """What reading a count sheet in would do.

    Attributes:
        cells: pieces still to be counted, heap by heap; those in crates into the crates of their targets.
        reserved: pieces still to be set aside, by what they are and the code of the target.
        parts, shades: what the catalogue lacks.
        targets: what the bench has no target of that code for.
        swaps: stand-in rules that the bench does not have.
        notes: what is left out, and why.
        known: pieces of the sheet that are counted here already, from an earlier reading of the same counts.
        way: how its records are marked in the log.
    """

    cells: Mapping[Cell, int]
    reserved: Mapping[tuple[Cell, str], int]
    parts: tuple[Part, ...]
    shades: tuple[Shade, ...]
    targets: tuple[Target, ...]
    swaps: tuple[Swap, ...]
    notes: tuple[str, ...]
    known: int
    way: str

    @property
    def pieces(self) -> int:
        """Pieces still to be counted."""
        return sum(self.cells.values())

    @property
    def nothing(self) -> bool:
        """Whether the bench has all of it already."""
        return not (self.cells or self.reserved or self.targets or self.swaps)


def preview_sheet(bench: Bench, folder: Path, *, changed: bool = False) -> SheetIntake:
    """Work out what reading a count sheet in would do; nothing is written.

    Pieces are marked with a digest of the counts they came from and of the bench they were counted at, so that reading
    the same sheet again adds nothing, reading one whose reading was cut short adds what is missing, and two benches may
    have counted the very same.

    Args:
        changed: also take tables that were changed since the export.

    Raises:
        DataError: no sound count sheet, or one that was exported from this very bench.
    """
    sheet = read_count_sheet(folder, changed=changed, whole_log=False)
    sittings = {rid.sitting for rid in bench.picture.ledger.records}
    if any(row.sitting in sittings for row in sheet.tallies):
        raise DataError(
            f"{folder} was exported from this bench: its pieces are counted here already.",
            "Read it into another bench, one made with `sortbench new`.",
        )
    # A sitting belongs to one bench, and the first one of a bench stays its first.
    origin = min(((row.at, row.sitting) for row in sheet.tallies), default=("", ""))[1]
    way, earlier = f"sheet {_digest(sheet.counts, origin)}", f"sheet {_digest(sheet.counts)}"
    wanted: dict[Cell, int] = {}
    for row in sheet.counts:
        wanted[row.cell] = wanted.get(row.cell, 0) + row.quantity
    reserved = {(row.cell, row.target): row.quantity for row in sheet.reserved}
    known = _take_off_known(bench, {way, earlier}, wanted, reserved)
    notes: list[str] = []
    targets = _new_targets(bench, sheet, notes)
    swaps = _new_swaps(bench, sheet, notes)
    parts, shades = _spoken(sheet, targets, swaps)
    catalogue = bench.catalogue
    return SheetIntake(
        {cell: quantity for cell, quantity in wanted.items() if quantity > 0},
        {key: quantity for key, quantity in reserved.items() if quantity > 0},
        tuple(row.part for row in sheet.parts if row.code in parts and row.code not in catalogue.parts),
        tuple(row.shade for row in sheet.shades if row.name in shades and row.name not in catalogue.shades),
        targets,
        swaps,
        tuple(notes),
        known,
        way,
    )


def _digest(rows: Iterable[CountRow], origin: str = "") -> str:
    """A digest of counts and of where they come from.

    Without an origin, and of rows that no crate is named in, it is what earlier versions marked pieces with.
    """
    fields = CountRow._fields
    texts = []
    for row in sorted(rows):
        told = fields if row.target else fields[: fields.index("target")]
        texts.append(f"CountRow({', '.join(f'{name}={getattr(row, name)!r}' for name in told)})")
    return hashlib.sha256("\n".join(texts + [origin] * bool(origin)).encode()).hexdigest()[:12]


def _take_off_known(
    bench: Bench, ways: set[str], wanted: dict[Cell, int], reserved: dict[tuple[Cell, str], int]
) -> int:
    """Take off what an earlier reading of the same sheet counted and set aside already; pieces counted by it."""
    ledger = bench.picture.ledger
    known = 0
    for record in ledger.told(lambda _, way: way in ways):
        if record.cell is None:
            continue
        if record.what is What.TALLY:
            wanted[record.cell] = wanted.get(record.cell, 0) - record.quantity
            known += record.quantity
        elif record.what is What.RESERVE:
            key = record.cell, record.target
            reserved[key] = reserved.get(key, 0) - record.quantity
    return known


def _new_targets(bench: Bench, sheet: CountSheet, notes: list[str]) -> tuple[Target, ...]:
    """The targets of the sheet that the bench has none of the same code for."""
    if sheet.format < _TARGETS_SINCE:
        return ()
    lines: dict[str, dict[int, Line]] = {}
    stand_ins: dict[tuple[str, int | None], list[StandIn]] = {}
    refused: dict[str, list[tuple[Kind, Kind]]] = {}
    for other in sheet.stand_ins:
        if other.refused:
            refused.setdefault(other.target, []).append(other.kinds)
        elif other.target:
            stand_in = StandIn(other.kinds[1], other.cost or 1)
            stand_ins.setdefault((other.target, other.line), []).append(stand_in)
    for row in sheet.fills:
        own = tuple(stand_ins.get((row.target, row.line), ()))
        line = Line(Kind(row.part, row.shade), row.quantity, Grade.from_label(row.lowest), own)
        lines.setdefault(row.target, {})[row.line] = line
    found = []
    for head in sheet.targets:
        known = bench.documents.targets.get(head.target)
        if known is not None:
            if head.name and known.name != head.name:
                notes.append(f"The bench has another target {head.target}, {known.name}: {head.name} is left out.")
            continue
        target = Target(
            head.target,
            head.name or head.target,
            head.year,
            head.rank,
            tuple(line for _, line in sorted(lines.get(head.target, {}).items())),
            checked_value(head.value),
            head.parked,
            refusals_of(refused.get(head.target, ())),
        )
        found.append(target)
    return tuple(found)


def _new_swaps(bench: Bench, sheet: CountSheet, notes: list[str]) -> tuple[Swap, ...]:
    """The stand-in rules of the sheet that the bench does not have, as far as they lead back in no circle with its own.

    Raises:
        DataError: a rule that cannot be meant.
    """
    rules = dict(bench.documents.swaps)
    found = []
    for swap in (row.rule for row in sheet.stand_ins if not row.target):
        if swap.key in rules:
            if rules[swap.key].cost != swap.cost:
                notes.append(f"{swap.instead} for {swap.wanted} costs {rules[swap.key].cost} here: that stays.")
            continue
        if way_back(swap, partial(_onward, rules, swap.of)):
            notes.append(f"{swap.instead} for {swap.wanted} is left out: the rules here lead the other way round.")
            continue
        rules[swap.key] = swap
        found.append(swap)
    return tuple(found)


def _onward(rules: Mapping[tuple[SwapOf, str, str], Swap], of: SwapOf, wanted: str) -> list[str]:
    """What may be taken for a part or a shade by some rules."""
    return [rule.instead for rule in rules.values() if (rule.of, rule.wanted) == (of, wanted)]


def _spoken(sheet: CountSheet, targets: Iterable[Target], swaps: Iterable[Swap]) -> tuple[set[str], set[str]]:
    """Parts and shades that what is brought in speaks of."""
    kinds = [Kind(row.part, row.shade) for row in sheet.counts]
    kinds += [Kind(row.part, row.shade) for row in sheet.reserved]
    for target in targets:
        for line in target.lines:
            kinds += [line.kind, *(stand_in.kind for stand_in in line.stand_ins)]
        kinds += [kind for pair in target.refused for kind in pair]
    parts, shades = ({kind[place] for kind in kinds} for place in (0, 1))
    names = {"part": parts, "shade": shades}
    for swap in swaps:
        names[swap.of.value].update((swap.wanted, swap.instead))
    return parts, shades


def take_in(bench: Bench, intake: SheetIntake, progress: Callable[[int, int], None] = lambda done, whole: None) -> None:
    """Bring in what a sheet says: what is set up, then its pieces heap by heap, then what is set aside.

    Args:
        progress: told pieces counted so far and pieces to be counted.

    Raises:
        WriteError: the disk refused; what was counted up to then stands, and reading again adds the rest.
    """
    if intake.parts or intake.shades or intake.targets or intake.swaps:
        with bench.folder.documents.edit() as draft:
            for part in intake.parts:
                draft.parts.setdefault(part.code, part)
            for shade in intake.shades:
                draft.shades.setdefault(shade.name, shade)
            for target in intake.targets:
                draft.targets.setdefault(target.code, target)
            for swap in intake.swaps:
                draft.swaps.setdefault(swap.key, swap)
        bench.reload()
    done = 0
    for cell, quantity in intake.cells.items():
        for some in _portions(quantity):
            bench.sitting.record(What.TALLY, cell, some, way=intake.way)
            done += some
            progress(done, intake.pieces)
    for (cell, code), quantity in intake.reserved.items():
        for some in _portions(quantity):
            # Not asked for as by hand: the sheet may hold more set aside than there are pieces left.
            bench.sitting.record(What.RESERVE, cell, some, target=code, way=intake.way)


def _portions(quantity: int) -> Iterable[int]:
    """A quantity in parts that one record can hold."""
    whole, rest = divmod(quantity, MAX_QUANTITY)
    return [MAX_QUANTITY] * whole + [rest] * bool(rest)
