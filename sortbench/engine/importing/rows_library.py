"""Lists of sets for the library: one set in a file, or many. The catalogue need not know what they name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sortbench.engine.entering.naming import NameIndex, name_key, part_index, shade_index
from sortbench.engine.importing import cells
from sortbench.engine.importing.cells import RowError, RowReader, Sheet
from sortbench.engine.importing.differences import Change, FieldChange
from sortbench.engine.importing.intake_plan import Plan, State
from sortbench.model.errors import DataError, UsageError
from sortbench.model.library import SetList, Wanted
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.text import clean_name

_HEAD = {"name": ("list_name", cells.name_of("name of the set")), "year": ("year", cells.year)}
_Key = tuple[str, str]


class _Draft:
    """A list while its rows are read. Values of its head stand with the row that said them."""

    def __init__(self, code: str) -> None:
        self.code = code
        self.head: dict[str, tuple[Any, str]] = {}
        self.lines: dict[_Key, Wanted] = {}
        self.doubled = 0


def read_library(sheets: Sequence[Sheet], state: State, defaults: Mapping[str, str]) -> Plan:
    """Lists, told apart by code; the lines of a file replace those that a list of this code has.

    Args:
        sheets: the files.
        state: what the bench knows.
        defaults: ``list``, ``name`` and ``year`` for rows that do not say them; each may be missing. A file without a
            column of codes is one list, called like the file if no ``list`` is given.

    Raises:
        UsageError: a default cannot be meant, or one name is given for several lists.
    """
    given = {name: _default(name, text) for name, text in defaults.items() if text}
    drafts: dict[str, _Draft] = {}
    errors: list[RowError] = []
    notes: list[str] = []
    index = NameIndex("list", ((code, ()) for code in state.library))
    names = _Names(state)
    unnamed = [sheet.file for sheet in sheets if sheet.match.index("list") < 0 and "list" not in given]
    if unnamed:
        more = f" and {len(unnamed) - 1} more" if unnamed[1:] else ""
        notes.append(f"{unnamed[0]}{more}: no code of the set is said, so the file's name stands for it.")
    for sheet in sheets:
        for number, row_cells in sheet.rows:
            row = RowReader(sheet, number, row_cells)
            code = _code(row, sheet, str(given.get("list", "")), index)
            draft = drafts.get(code) or _Draft(code)
            head = _head(row, draft, f"{sheet.file}:{number}")
            line = _line(row, draft, names)
            errors += row.errors
            if row.errors or line is None:
                continue
            if code not in drafts:
                index.add(code)
                drafts[code] = draft
            draft.head |= head
            key = name_key(line.part), name_key(line.shade)
            if (old := draft.lines.get(key)) is not None:
                draft.doubled += 1
                line = old._replace(quantity=old.quantity + line.quantity)
            draft.lines[key] = line
    if len(drafts) > 1 and "name" in given:
        raise UsageError(f"One name is given for {len(drafts)} lists.", "Name them in a column, or bring in one.")
    doubled = sum(draft.doubled for draft in drafts.values())
    if doubled:
        notes.append(f"{doubled} {'row repeats' if doubled == 1 else 'rows repeat'} a line; quantities are added up.")
    return _plan(drafts.values(), state, given, tuple(errors), notes, names)


class _Names:
    """What the catalogue knows of the names that lists use; it need not know any."""

    def __init__(self, state: State) -> None:
        self._parts = part_index(state.parts)
        self._shades = shade_index(state.shades)
        self._unknown: set[_Key] = set()
        self._kept: dict[_Key, str] = {}  # thousands of lists name the same few hundred parts
        self._of_shades: dict[str, str] = {}

    def part(self, text: str, name: str) -> str:
        """A part as it is kept: as the catalogue or the list writes it, or by its name where only that is known.

        Raises:
            DataError: no possible name, or several parts go by it.
        """
        if (text, name) not in self._kept:
            clean = clean_name(text, "part")
            known = self._parts.find(clean) or (self._parts.find(name) if name else None)
            if known is None:
                self._unknown.add(("part", name_key(clean)))
            self._kept[text, name] = known or clean
        return self._kept[text, name]

    def shade(self, text: str) -> str:
        """A shade as it is kept.

        Raises:
            DataError: no possible name, or several shades go by it.
        """
        if text not in self._of_shades:
            clean = clean_name(text, "shade")
            known = self._shades.find(clean)
            if known is None:
                self._unknown.add(("shade", name_key(clean)))
            self._of_shades[text] = known or clean
        return self._of_shades[text]

    def words(self) -> str:
        """How many names the catalogue lacks; empty if none."""
        counts = [(sum(what == each for each, _ in self._unknown), what) for what in ("part", "shade")]
        told = " and ".join(f"{count:,} {what}{'s' if count != 1 else ''}" for count, what in counts if count)
        return f"The catalogue does not know {told}; they are kept by name, and count once it does." if told else ""


def _default(name: str, text: str) -> Any:
    convert = cells.name_of("code of the set") if name == "list" else _HEAD[name][1]
    try:
        return convert(text)
    except DataError as error:
        raise UsageError(error.message, error.mend) from None


def _code(row: RowReader, sheet: Sheet, given: str, index: NameIndex) -> str:
    """The code of the row's list, spelled as the library or an earlier row spells it."""
    convert = cells.name_of("code of the set")
    if row.has("list") and not given:
        code = row.require("list", convert)
    else:
        try:
            code = row.read("list", convert, given) or convert(sheet.stem)
        except DataError:
            row.refuse("list", "Neither a column nor the name of the file says which set this is. Say --list.")
            return ""
    try:
        return (index.by_key(code) or code) if code else ""
    except DataError as error:
        row.refuse("list", str(error))
        return ""


def _head(row: RowReader, draft: _Draft, where: str) -> dict[str, tuple[Any, str]]:
    """What the row says of its list as a whole; an error where an earlier row says otherwise."""
    said: dict[str, tuple[Any, str]] = {}
    for name, (column, convert) in _HEAD.items():
        value = row.read(column, convert, None)
        if value is None:
            continue
        earlier, there = draft.head.get(name, (value, where))
        if earlier != value:
            row.refuse(column, f"{there} says {earlier} for the same set. Make them agree.")
        said[name] = earlier, there
    return said


def _line(row: RowReader, draft: _Draft, names: _Names) -> Wanted | None:
    name = row.read("part_name", cells.name_of("part name"), "")
    part = row.require("part", lambda text: names.part(text, name))
    shade = row.require("shade", names.shade)
    quantity = row.require("quantity", cells.whole("quantity", 1, MAX_QUANTITY))
    if part is None or shade is None or quantity is None:
        return None
    old = draft.lines.get((name_key(part), name_key(shade)))
    if old is not None and old.quantity + quantity > MAX_QUANTITY:
        row.refuse("quantity", f"With the rows before it the set would ask for more than {MAX_QUANTITY} of the kind.")
        return None
    return Wanted(part, shade, quantity)


def _plan(
    drafts: Iterable[_Draft],
    state: State,
    given: Mapping[str, Any],
    errors: tuple[RowError, ...],
    notes: list[str],
    names: _Names,
) -> Plan:
    new: list[SetList] = []
    changed: list[tuple[SetList, Change]] = []
    unchanged: list[str] = []
    for draft in drafts:
        old = state.library.get(draft.code)
        said = dict(given) | {name: value for name, (value, _) in draft.head.items()}
        name = said.get("name", old.name if old else draft.code)
        year = said.get("year", old.year if old else None)
        made = SetList(draft.code, name, tuple(draft.lines.values()), year)
        if old is None:
            new.append(made)
        elif old == made:
            unchanged.append(made.code)
        else:
            changed.append((made, _change(old, made)))
    if (words := names.words()) and (new or changed):
        notes.append(words)
    return Plan(
        errors,
        tuple(each.code for each in new),
        tuple(change for _, change in changed),
        tuple(unchanged),
        notes=tuple(notes),
        library=(*new, *(made for made, _ in changed)),
    )


def _change(old: SetList, new: SetList) -> Change:
    fields = [
        FieldChange(what, _text(before), _text(after))
        for what, before, after in (("name", old.name, new.name), ("year", old.year, new.year))
        if before != after
    ]
    if old.lines != new.lines:
        fields.append(FieldChange("lines", _size(old), _size(new)))
    return Change(old.code, tuple(fields))


def _text(value: object) -> str:
    return "" if value is None else str(value)


def _size(each: SetList) -> str:
    return f"{len(each.lines):,} lines, {each.pieces:,} pieces"
