"""The grammar of the entry line: words to look up, and marks for quantity, grade, flaw and bin."""

from __future__ import annotations

import re
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Flaws, Grade, flaws_of
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.text import clean_name, shown

GRAMMAR: tuple[tuple[str, str], ...] = (
    ("gr pl 2x4", "a piece: word starts, abbreviations and small typos will do, in any order"),
    ("pl24", "sizes may be written 2x4, 2×4, 2 x 4, 2-4 or just 24"),
    ("pl24 *12", "twelve pieces"),
    ("pl24 !3", "grade 3; grades run from 5 (no change in colour) to 1, half steps as !4-5"),
    ("pl24 #crack", "a flaw, by the start of its name; several may be given"),
    ("pl24 @B7", "into bin B7"),
    ("pl24*12!4#worn@B7", "marks may stand close together"),
    ("", "the same again"),
    ("*5", "five more of the same"),
    (".gr e", "hold a shade for all that follows; .!4 holds a grade, .@B7 a bin"),
    (".", "let go of all that is held"),
    (
        "@B7",
        "a bin's label and nothing else holds the bin, as scanning it does; a target's code says what is missing",
    ),
    ("+hinge plate 1x2", "a part that is not in the catalogue yet: add it and count the piece"),
)
"""The entry line by example: what is typed, what it means. Help, help sheet and README print this table."""

_MARK = r"([*!#@])([^*!#@]*)"
_SHOWN = 24


class Entry(NamedTuple):
    """What an entry line says.

    Attributes:
        words: what is left to look up, blanks normalised; empty if none.
        quantity: pieces, 1 to MAX_QUANTITY; None if not said.
        grade: None if not said.
        flaws: empty if none was said.
        bin: a bin's label as typed, empty if not said.
        hold: the line sets what is held: the shade that the words name, the grade, the bin; let go if all are empty.
        add: the words name a new part.
    """

    words: str = ""
    quantity: int | None = None
    grade: Grade | None = None
    flaws: Flaws = ()
    bin: str = ""
    hold: bool = False
    add: bool = False

    def __str__(self) -> str:
        """The line that says this."""
        marks = []
        if self.quantity is not None:
            marks.append(f"*{self.quantity}")
        if self.grade is not None:
            marks.append(f"!{self.grade.label}")
        marks += [f"#{flaw.value.replace(' ', '-')}" for flaw in self.flaws]
        if self.bin:
            marks.append(f"@{self.bin}")
        prefix = "." if self.hold else "+" if self.add else ""
        # Words that begin with a prefix mark may not open the line.
        words_last = not prefix and self.words.startswith((".", "+"))
        return prefix + " ".join([*marks, self.words] if words_last else [self.words, *marks]).strip()


def parse(text: str) -> Entry:
    """Read an entry line.

    A line that starts with ``.`` holds, one that starts with ``+`` adds a part. The marks ``*``, ``!``, ``#`` and
    ``@`` take what follows them up to a blank or the next mark; every other character belongs to a word.

    Raises:
        DataError: a mark that cannot be meant, or is given twice; says which.
    """
    line = text.strip()
    hold, add = line.startswith("."), line.startswith("+")
    words: list[str] = []
    marks: dict[str, list[str]] = {"*": [], "!": [], "#": [], "@": []}
    for chunk in (line[1:] if hold or add else line).split():
        first = re.search(_MARK, chunk)
        plain = chunk[: first.start()] if first else chunk
        if plain:
            words.append(plain)
        for found in re.finditer(_MARK, chunk):
            marks[found[1]].append(found[2])
    entry = Entry(
        words=" ".join(words),
        quantity=_quantity(_only("*", "quantity", marks["*"])),
        grade=_grade(_only("!", "grade", marks["!"])),
        flaws=flaws_of(_flaw(value) for value in marks["#"]),
        bin=_bin(_only("@", "bin", marks["@"])),
        hold=hold,
        add=add,
    )
    if hold and (entry.quantity is not None or entry.flaws):
        raise DataError(
            "A quantity or a flaw cannot be held.",
            "Hold a shade, a grade or a bin, as in .grey !4 @B7; the rest later.",
        )
    if add and not entry.words:
        raise DataError("The new part has no name.", "Write it after the mark, as in +hinge plate 1x2.")
    return entry


def _only(mark: str, what: str, values: list[str]) -> str | None:
    if len(values) > 1:
        given = " and ".join(mark + _brief(value) for value in values[:2])
        raise DataError(f"There is more than one {what}: {given}.", "Leave one.")
    return values[0] if values else None


def _quantity(value: str | None) -> int | None:
    if value is None:
        return None
    if not value:
        raise DataError("No number follows the * mark.", "Write it close to the mark, as in *12.")
    digits = value.lstrip("0")
    if not (value.isascii() and value.isdecimal()):
        raise DataError(f"*{_brief(value)} is no number of pieces.", f"Write a whole number, *1 to *{MAX_QUANTITY}.")
    if not digits:
        raise DataError(f"*{_brief(value)} would count nothing.", f"Write *1 to *{MAX_QUANTITY}, or undo a count.")
    if len(digits) > len(str(MAX_QUANTITY)) or int(digits) > MAX_QUANTITY:
        raise DataError(f"*{_brief(value)} is too many for one entry.", f"The most is *{MAX_QUANTITY}.")
    return int(digits)


def _grade(value: str | None) -> Grade | None:
    if value is None:
        return None
    if not value:
        raise DataError("No grade follows the ! mark.", "Write it close to the mark, as in !3 or !4-5.")
    return Grade.from_label(value)


def _flaw(value: str) -> Flaw:
    if not value:
        names = ", ".join(flaw.value for flaw in Flaw)
        raise DataError(
            "No flaw follows the # mark.", f"Write its start close to the mark, as in #crack. Known: {names}."
        )
    return Flaw.from_text(value)


def _bin(value: str | None) -> str:
    if value is None:
        return ""
    if not value:
        raise DataError("No bin follows the @ mark.", "Write its label close to the mark, as in @B7.")
    return clean_name(value, "bin label")


def _brief(value: str) -> str:
    return shown(value if len(value) <= _SHOWN else value[: _SHOWN - 1] + "…")
