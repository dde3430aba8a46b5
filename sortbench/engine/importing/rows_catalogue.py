"""Lists of parts and of shades."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from sortbench.engine.entering.naming import NameIndex, guess_family, part_index, shade_index, spell_code
from sortbench.engine.importing import cells
from sortbench.engine.importing.cells import RowError, RowReader, Sheet
from sortbench.engine.importing.differences import Change, part_change, shade_change
from sortbench.engine.importing.intake_plan import Plan, State
from sortbench.model.catalogue import Part, Shade, Years
from sortbench.model.errors import DataError

Thing = TypeVar("Thing", Part, Shade)


def read_parts(sheets: Sequence[Sheet], state: State, _defaults: Mapping[str, str]) -> Plan:
    """Parts, told apart by code; what a list has no column for stays as it was."""
    index = part_index(state.parts)
    errors, notes, parts = _read(sheets, index, lambda row: _part(row, index, state.parts), lambda part: part.code)
    new, changed, unchanged = _sorted_out(parts, state.parts, lambda part: part.code, part_change)
    return Plan(
        errors,
        tuple(part.code for part in new),
        tuple(change for _, change in changed),
        tuple(part.code for part in unchanged),
        parts=(*new, *(part for part, _ in changed)),
        notes=notes,
    )


def read_shades(sheets: Sequence[Sheet], state: State, _defaults: Mapping[str, str]) -> Plan:
    """Shades, told apart by name; what a list has no column for stays as it was."""
    index = shade_index(state.shades)
    errors, notes, shades = _read(sheets, index, lambda row: _shade(row, index, state.shades), lambda shade: shade.name)
    new, changed, unchanged = _sorted_out(shades, state.shades, lambda shade: shade.name, shade_change)
    return Plan(
        errors,
        tuple(shade.name for shade in new),
        tuple(change for _, change in changed),
        tuple(shade.name for shade in unchanged),
        shades=(*new, *(shade for shade, _ in changed)),
        notes=notes,
    )


def _part(row: RowReader, index: NameIndex, known: Mapping[str, Part]) -> Part | None:
    text = row.require("code", cells.name_of("part code"))
    if text is None:
        return None
    code = _known_key(row, "code", text, index)
    old = known.get(code) or Part(code or spell_code(text), text, "")
    name = row.read("name", cells.name_of("part name"), old.name)
    family = row.read("family", cells.family, old.family) or guess_family(name, text)
    mass = row.keep("mass", cells.grams, None, old.mass_g)
    years = _years(row, old.years)
    care = row.keep("care", lambda cell: tuple(dict.fromkeys(map(cells.care_mark, row.items(cell)))), (), old.care)
    try:
        return Part(old.code, name, family, row.keep("aliases", row.names("alias"), (), old.aliases), mass, years, care)
    except DataError as error:
        row.refuse("mass", str(error))
        return None


def _shade(row: RowReader, index: NameIndex, known: Mapping[str, Shade]) -> Shade | None:
    name = row.require("name", cells.name_of("shade name"))
    if name is None:
        return None
    key = _known_key(row, "name", name, index)
    old = known.get(key) or Shade(key or name)
    rgb = row.keep("rgb", cells.rgb, "", old.rgb)
    years = _years(row, old.years)
    return Shade(old.name, rgb, years, row.keep("aliases", row.names("alias"), (), old.aliases))


def _known_key(row: RowReader, field: str, text: str, index: NameIndex) -> str:
    try:
        return index.by_key(text) or ""
    except DataError as error:
        row.refuse(field, str(error))
        return ""


def _years(row: RowReader, old: Years) -> Years:
    first = row.keep("first_year", cells.year, None, old.first)
    last = row.keep("last_year", cells.year, None, old.last)
    try:
        return Years(first, last)
    except DataError as error:
        row.refuse("last_year" if row.text("last_year") else "first_year", str(error))
        return old


def _read(
    sheets: Sequence[Sheet],
    index: NameIndex,
    convert: Callable[[RowReader], Thing | None],
    key: Callable[[Thing], str],
) -> tuple[tuple[RowError, ...], tuple[str, ...], list[Thing]]:
    """Rows into things; the same thing twice is taken once, two things of one key are an error of the later row."""
    errors: list[RowError] = []
    notes: list[str] = []
    found: dict[str, tuple[Thing, str]] = {}
    field = "code" if sheets and sheets[0].match.guesses[0].field.name == "code" else "name"
    for sheet in sheets:
        for line, row_cells in sheet.rows:
            row = RowReader(sheet, line, row_cells)
            thing = convert(row)
            if thing is not None and not row.errors:
                earlier, where = found.setdefault(key(thing), (thing, f"{sheet.file}:{line}"))
                index.add(key(thing))
                if earlier != thing:
                    row.refuse(field, f"{where} says something else of it. Keep one of the two rows.")
                elif where != f"{sheet.file}:{line}":
                    notes.append(f"{sheet.file}:{line} says the same as {where} and is passed over.")
            errors += row.errors
    return tuple(errors), tuple(notes), [thing for thing, _ in found.values()]


def _sorted_out(
    things: Sequence[Thing],
    known: Mapping[str, Thing],
    key: Callable[[Thing], str],
    difference: Callable[[Thing, Thing], Change],
) -> tuple[list[Thing], list[tuple[Thing, Change]], list[Thing]]:
    """New things, changed ones with their difference, and those the bench holds just so."""
    new: list[Thing] = []
    changed: list[tuple[Thing, Change]] = []
    unchanged: list[Thing] = []
    for thing in things:
        old = known.get(key(thing))
        if old is None:
            new.append(thing)
        elif old == thing:
            unchanged.append(thing)
        else:
            changed.append((thing, difference(old, thing)))
    return new, changed, unchanged
