"""Cells of a list into values, strictly: what is not plainly meant is refused with line, column and reason."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from sortbench.engine.entering.naming import family_word
from sortbench.engine.importing.columns import ColumnMatch
from sortbench.model.catalogue import Care, Years
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw
from sortbench.model.text import clean_name

T = TypeVar("T")

# Not str.strip(): it would also drop line separators and controls, which a name is refused for.
_BLANKS = " \t\u00a0"
_WHOLE = re.compile(r"[0-9]+")
_GRAMS = re.compile(r"([0-9]{1,7})(?:([.,])([0-9]{1,6}))?(?: ?g)?")
_YES = frozenset({"yes", "y", "x", "true", "1", "ja", "oui"})
_NO = frozenset({"no", "n", "-", "false", "0", "nein", "non"})
_HEX = re.compile(r"#?([0-9A-Fa-f]{6})")


@dataclass(frozen=True, slots=True)
class RowError:
    """Why a row is refused.

    Attributes:
        file: the file as the user named it.
        line: where the row starts, from 1.
        column: the header of the cell at fault, empty where the whole row is.
        value: the cell as it stands in the file.
        reason: what is wrong and how to mend it.
        also: lines of other rows of the file that are refused for the same reason.
    """

    file: str
    line: int
    column: str
    value: str
    reason: str
    also: tuple[int, ...] = ()


@dataclass(frozen=True)
class Sheet:
    """One file, taken apart and its columns matched.

    Attributes:
        file: as the user named it.
        stem: its name without folder and ending; what a target is called that names itself nowhere else.
        delimiter: the character between cells.
        match: which column holds what.
        rows: line number and cells of each row.
    """

    file: str
    stem: str
    delimiter: str
    match: ColumnMatch
    rows: tuple[tuple[int, tuple[str, ...]], ...]

    @cached_property
    def places(self) -> Mapping[str, int]:
        """The column of each field that has one, from 0."""
        return {guess.field.name: guess.index for guess in self.match.guesses if guess.index >= 0}


class RowReader:
    """Reads the cells of one row by field and gathers everything that is wrong with it."""

    def __init__(self, sheet: Sheet, line: int, cells: tuple[str, ...]) -> None:
        self.line = line
        self.errors: list[RowError] = []
        self._sheet = sheet
        self._cells = cells
        extra = [cell for cell in cells[len(sheet.match.headers) :] if cell.strip()]
        if extra:
            count = len(sheet.match.headers)
            counts = f"The row has {len(cells)} cells, the header {count}."
            self._add("", extra[0], f"{counts} Put a cell that holds the delimiter in quote marks.")

    def has(self, field: str) -> bool:
        """Whether the list has a column for the field."""
        return field in self._sheet.places

    def text(self, field: str) -> str:
        """The cell without outer blanks; empty where the row is too short or the list has no such column."""
        index = self._sheet.places.get(field, -1)
        return self._cells[index].strip(_BLANKS) if 0 <= index < len(self._cells) else ""

    def read(self, field: str, convert: Callable[[str], T], blank: T) -> T:
        """The converted cell; the blank value where it is empty or, noted as an error, where it cannot be meant."""
        text = self.text(field)
        if not text:
            return blank
        try:
            return convert(text)
        except DataError as error:
            self.refuse(field, str(error))
            return blank

    def keep(self, field: str, convert: Callable[[str], T], blank: T, old: T) -> T:
        """As `read`, but the old value where the list has no column for the field."""
        return self.read(field, convert, blank) if self.has(field) else old

    def require(self, field: str, convert: Callable[[str], T]) -> T | None:
        """The converted cell; None, noted as an error, where it is empty or cannot be meant."""
        if not self.text(field):
            short = self._sheet.places.get(field, -1) >= len(self._cells)
            self.refuse(field, "The row ends before this column." if short else "The cell is empty.")
            return None
        return self.read(field, convert, None)

    def names(self, what: str) -> Callable[[str], tuple[str, ...]]:
        """A converter for several names in one cell, between bars, or semicolons where these do not part the cells."""
        return lambda text: tuple(dict.fromkeys(clean_name(item, what) for item in self.items(text)))

    def items(self, text: str) -> list[str]:
        """The filled pieces of a cell that may hold several."""
        marks = "|" if self._sheet.delimiter == ";" else "|;"
        return [item.strip(_BLANKS) for item in re.split(f"[{marks}]", text) if item.strip(_BLANKS)]

    def refuse(self, field: str, reason: str, also: tuple[int, ...] = ()) -> None:
        """Note that the row is refused for what stands in a field, and with it the rows of other lines."""
        index = self._sheet.places.get(field, -1)
        value = self._cells[index] if 0 <= index < len(self._cells) else ""
        self._add(self._sheet.match.headers[index] if index >= 0 else "", value, reason, also)

    def _add(self, column: str, value: str, reason: str, also: tuple[int, ...] = ()) -> None:
        self.errors.append(RowError(self._sheet.file, self.line, column, value, reason, also))


def name_of(what: str) -> Callable[[str], str]:
    """A converter for one name."""
    return lambda text: clean_name(text, what)


def whole(what: str, least: int, most: int) -> Callable[[str], int]:
    """A converter for whole numbers in ASCII digits; signs, fractions, exponents and separators are refused."""

    def convert(text: str) -> int:
        if not _WHOLE.fullmatch(text):
            raise DataError(f"The {what} is no whole number.", f"Write {least} to {most} in plain digits.")
        digits = text.lstrip("0") or "0"
        number = int(digits) if len(digits) <= len(str(most)) else most + 1
        if not least <= number <= most:
            raise DataError(f"The {what} is out of range.", f"It runs from {least} to {most}.")
        return number

    return convert


def yes_or_no(text: str) -> bool:
    """Whether a cell says yes: ``yes``, ``y``, ``x``, ``true``, ``1``, or the word in German or French; or no.

    Raises:
        DataError: it says neither.
    """
    word = text.casefold()
    if word in _YES or word in _NO:
        return word in _YES
    raise DataError("This says neither yes nor no.", "Write yes or no.")


def grams(text: str) -> float:
    """Grams, with a decimal point or comma and perhaps a ``g`` behind.

    Raises:
        DataError: not such a number, or a comma before just three digits, which may part thousands.
    """
    found = _GRAMS.fullmatch(text)
    if not found:
        raise DataError("This is no mass in grams.", "Write it as 2.32 or 2,32.")
    units, mark, decimals = found.groups()
    if mark == "," and len(decimals) == 3 and units.strip("0"):
        raise DataError(
            f"{text} may be {units}{decimals} or {units}.{decimals}.", f"Write {units}{decimals} or {units}.{decimals}."
        )
    return float(f"{units}.{decimals or 0}")


def year(text: str) -> int:
    """A year, four plain digits from 1900 to 2200."""
    number = whole("year", 1900, 2200)(text)
    return Years(number).first or number


def rgb(text: str) -> str:
    """Six hex digits with or without ``#``, in lower case."""
    found = _HEX.fullmatch(text)
    if not found:
        raise DataError("This is no sRGB value.", "Write six hex digits, as in 9ba19d or #9BA19D.")
    return found.group(1).lower()


def family(text: str) -> str:
    """A shape family in lower case; the plural of a known one is that one."""
    return family_word(clean_name(text, "shape family"))


def flaw(text: str) -> str:
    """A flaw by its word starts, or ``any``."""
    return "any" if text.casefold() == "any" else Flaw.from_text(text).value


def care_mark(text: str) -> Care:
    """A care mark by its word starts.

    Raises:
        DataError: none or several start so.
    """
    wanted = " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
    hits = [mark for mark in Care if mark.value.startswith(wanted)] if wanted else []
    exact = [mark for mark in hits if mark.value == wanted]
    if len(exact or hits) != 1:
        raise DataError(f"{text[:20]!r} is no care mark.", f"Known are {', '.join(mark.value for mark in Care)}.")
    return (exact or hits)[0]
