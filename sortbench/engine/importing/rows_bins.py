"""Lists of bins: ordered, the first rule that fits wins, one bin for the rest at the end."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from sortbench.engine.entering.naming import NameIndex
from sortbench.engine.importing import cells
from sortbench.engine.importing.cells import RowError, RowReader, Sheet
from sortbench.engine.importing.differences import bin_change
from sortbench.engine.importing.intake_plan import Naming, Plan, State
from sortbench.model.bins import Bin, Rule
from sortbench.model.errors import DataError, UsageError
from sortbench.model.grade import Grade

REST = "REST"
"""Label of the bin for the rest where nobody gives one."""


def read_bins(sheets: Sequence[Sheet], state: State, defaults: Mapping[str, str]) -> Plan:
    """Bins, told apart by label, in the order of the file; bins it does not name follow, the one for the rest is last.

    Args:
        sheets: the files.
        state: what the bench knows.
        defaults: ``rest``, the label of the bin for the rest where neither file nor bench has one; may be missing.

    Raises:
        UsageError: that label cannot be meant.
    """
    naming = Naming(state)
    known = {box.label: box for box in state.bins}
    index = NameIndex("bin", ((label, ()) for label in known))
    found: dict[str, tuple[Bin, str]] = {}
    errors: list[RowError] = []
    notes: list[str] = []
    for sheet in sheets:
        for number, row_cells in sheet.rows:
            row = RowReader(sheet, number, row_cells)
            where = f"{sheet.file}:{number}"
            box = _bin(row, naming, index, known)
            if box is not None and not row.errors:
                _compare(row, box, where, found, notes)
            if naming.settle(row) and box is not None and box.label not in found:
                index.add(box.label)
                found[box.label] = box, where
            errors += row.errors
    bins = _ordered([box for box, _ in found.values()], state.bins, defaults.get("rest", ""), notes)
    return _plan(bins, known, naming, tuple(errors), notes)


def _bin(row: RowReader, naming: Naming, index: NameIndex, known: Mapping[str, Bin]) -> Bin | None:
    label = row.require("label", cells.name_of("bin label"))
    if label is None:
        return None
    try:
        label = index.by_key(label) or label
    except DataError as error:
        row.refuse("label", str(error))
    old = known.get(label) or Bin(label)
    rule = Rule(
        row.keep("shade", lambda text: _each(row, text, naming.shade), (), old.rule.shades),
        row.keep("family", lambda text: _each(row, text, cells.family), (), old.rule.families),
        row.keep("part", lambda text: _each(row, text, naming.part), (), old.rule.parts),
        row.keep("lowest", Grade.from_label, None, old.rule.lowest),
        row.keep("highest", Grade.from_label, None, old.rule.highest),
        row.keep("flaw", lambda text: _each(row, text, cells.flaw), (), old.rule.flaws),
    )
    if rule.lowest is not None and rule.highest is not None and rule.lowest > rule.highest:
        row.refuse("lowest", f"The lowest grade {rule.lowest.label} lies above the highest {rule.highest.label}.")
    capacity = row.keep("capacity", cells.whole("capacity", 1, 10_000_000), None, old.capacity)
    capacity_g = row.keep("capacity_g", cells.grams, None, old.capacity_g)
    place = row.keep("place", cells.name_of("place"), "", old.place)
    try:
        return Bin(label, rule, capacity, capacity_g, place)
    except DataError as error:
        row.refuse("capacity_g", str(error))
        return None


def _each(row: RowReader, text: str, convert: Callable[[str], str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(convert(item) for item in row.items(text)))


def _compare(row: RowReader, box: Bin, where: str, found: Mapping[str, tuple[Bin, str]], notes: list[str]) -> None:
    """Hold a bin against those of the rows before it."""
    if box.label in found:
        earlier, there = found[box.label]
        if earlier != box:
            row.refuse("label", f"{there} says something else of it. Keep one of the two rows.")
        else:
            notes.append(f"{where} says the same as {there} and is passed over.")
    elif box.rule.catch_all:
        other = next(((b.label, there) for b, there in found.values() if b.rule.catch_all), None)
        if other:
            row.refuse("label", f"Bin {other[0]} ({other[1]}) takes the rest already. Give one of the two a rule.")


def _ordered(listed: Sequence[Bin], old: Sequence[Bin], rest_label: str, notes: list[str]) -> tuple[Bin, ...]:
    """All bins in their new order with exactly one for the rest, at the end."""
    if not listed:
        return tuple(old)
    labels = {box.label for box in listed}
    others = [box for box in old if box.label not in labels]
    ruled = [box for box in (*listed, *others) if not box.rule.catch_all]
    rest = [box for box in listed if box.rule.catch_all]
    kept = [box for box in others if box.rule.catch_all]
    if rest and kept:
        notes.append(f"Bin {rest[0].label} takes the rest now; {kept[0].label}, which did, is taken off the list.")
    elif rest and listed[-1] is not rest[0]:
        notes.append(f"Bin {rest[0].label} takes the rest, so it stands last.")
    elif not rest and not kept:
        label = _rest_label(rest_label, {box.label for box in ruled})
        notes.append(f"No bin takes the rest, so bin {label} is added for it.")
        kept = [Bin(label)]
    return (*ruled, (rest or kept)[0])


def _rest_label(wanted: str, taken: set[str]) -> str:
    try:
        label = cells.name_of("bin label")(wanted) if wanted else REST
    except DataError as error:
        raise UsageError(error.message, error.mend) from None
    return next(name for name in (label, *(f"{label} {n}" for n in range(2, len(taken) + 3))) if name not in taken)


def _plan(
    bins: tuple[Bin, ...], known: Mapping[str, Bin], naming: Naming, errors: tuple[RowError, ...], notes: list[str]
) -> Plan:
    labels = [box.label for box in bins]
    if [label for label in labels if label in known] != [label for label in known if label in labels]:
        notes.append("The order of the bins changes; the first rule that fits a piece wins.")
    return Plan(
        errors,
        tuple(label for label in labels if label not in known),
        tuple(bin_change(known[b.label], b) for b in bins if b.label in known and known[b.label] != b),
        tuple(b.label for b in bins if known.get(b.label) == b),
        tuple(label for label in known if label not in labels),
        tuple(naming.parts),
        tuple(naming.shades),
        tuple(naming.parts),
        tuple(naming.shades),
        bins=None if bins == tuple(known.values()) else bins,
        notes=tuple(notes),
    )
