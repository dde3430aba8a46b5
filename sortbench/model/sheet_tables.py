"""The tables of a count sheet: what each column holds, and which column refers to which."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from sortbench.model.grade import Grade
from sortbench.model.sheet import (
    PERIODS,
    BinRow,
    CountRow,
    FillRow,
    PartRow,
    Row,
    ShadeRow,
    TallyRow,
    TargetRow,
)
from sortbench.model.sheet_sharing import AllocationRow, ShortfallRow, SpareRow
from sortbench.model.sheet_stand_ins import ReservedRow, StandInRow
from sortbench.model.tally import Fate, What
from sortbench.model.target import MAX_QUANTITY, MAX_VALUE

GRADES = tuple(grade.label for grade in sorted(Grade))


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds, in the terms of a Table Schema field.

    Attributes:
        type: ``string``, ``integer``, ``number``, ``boolean`` or ``datetime``.
        meaning: for the reader of the sheet.
        required: an empty cell is an error.
        minimum, maximum: smallest and largest number, None for no bound.
        choices: the only values allowed, empty for any.
        pattern: a regular expression that the whole text must meet, empty for any text.
        since: format of the sheet from which on there is such a column.
    """

    type: str
    meaning: str
    required: bool = False
    minimum: int | None = None
    maximum: int | None = None
    choices: tuple[str, ...] = ()
    pattern: str = ""
    since: int = 1


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the count sheet.

    Attributes:
        name: its key, also the name of its file without the ending.
        row: the row class; its fields are the columns, in order.
        columns: what each column holds, by field name.
        key: columns that together tell one row from all others, empty if there are none.
        refers: column -> (table, column) in which every value given must stand.
        since: format of the sheet from which on there is such a table.
    """

    name: str
    title: str
    row: type[Row]
    columns: Mapping[str, Column]
    key: tuple[str, ...] = ()
    refers: Mapping[str, tuple[str, str]] | None = None
    since: int = 1

    @property
    def headers(self) -> tuple[str, ...]:
        """Column names in order."""
        return self.row._fields


def _text(meaning: str, required: bool = False) -> Column:
    return Column("string", meaning, required)


def _choice(meaning: str, choices: tuple[str, ...], required: bool = False) -> Column:
    return Column("string", meaning, required, choices=choices)


def _number(meaning: str, least: int = 0, required: bool = True, most: int | None = None) -> Column:
    return Column("integer", meaning, required, least, most)


_GRADE = _choice("Grey-scale rating for change in colour (ISO 105-A05): 5 no change, 1 severe", GRADES)
_FLAW = _text("Flaws, several joined by ' | '")
_FAMILY = _text("Shape family")
_FATES = tuple(fate.value for fate in Fate)
_YEARS = {
    "first_year": Column("integer", "First year it was made", minimum=1900, maximum=2200),
    "last_year": Column("integer", "Last year it was made", minimum=1900, maximum=2200),
}
_FILLED = {
    "quantity": _number("Pieces asked for"),
    "present": _number("Pieces there, in any grade"),
    "to_standard": _number("Pieces there whose grade and period are right"),
    "short": _number("Pieces missing"),
}
_PART_AND_SHADE = {"part": ("parts", "code"), "shade": ("shades", "name")}

TABLES: tuple[Table, ...] = (
    Table(
        "counts",
        "Pieces counted, by heap of like pieces",
        CountRow,
        {
            "bin": _text("Where the pieces lie; empty for pieces in a crate, put aside or thrown out"),
            "part": _text("Code of the part; empty where only shade or family were looked at"),
            "shade": _text("Name of the shade"),
            "family": _FAMILY,
            "grade": _GRADE,
            "flaw": _FLAW,
            "fate": _choice("What becomes of the pieces", _FATES, required=True),
            "quantity": _number("Pieces", 1),
            "target": Column("string", "For pieces in a crate, code of its target", since=2),
        },
        refers=_PART_AND_SHADE | {"bin": ("bins", "bin"), "target": ("targets", "target")},
    ),
    Table(
        "fills",
        "Lines of the targets and how far each is filled",
        FillRow,
        {
            "target": _text("Code of the target", True),
            "line": _number("Place on the target's list", 1),
            "part": _text("Code of the part", True),
            "shade": _text("Name of the shade", True),
            "lowest": _choice("Lowest grade that still meets the standard", GRADES, True),
        }
        | _FILLED
        | {"period": _choice("Whether the kind was made when the set was sold", tuple(PERIODS.values()), True)},
        key=("target", "line"),
        refers=_PART_AND_SHADE | {"target": ("targets", "target")},
    ),
    Table(
        "allocation",
        "Which pieces each line of each target has, heap by heap",
        AllocationRow,
        {
            "target": _text("Code of the target", True),
            "line": _number("Place on the target's list", 1),
            "asked_part": _text("Code of the part that the line asks for", True),
            "asked_shade": _text("Name of the shade that the line asks for", True),
            "part": _text("Code of the pieces' part", True),
            "shade": _text("Name of the pieces' shade", True),
            "grade": _GRADE,
            "flaw": _FLAW,
            "bin": _text("Where the pieces lie; empty for pieces in the target's crate, or put aside"),
            "fate": _choice("What became of the pieces", _FATES, required=True),
            "set_aside": Column("boolean", "Set aside for this target by hand, and not yet in its crate", True),
            "quantity": _number("Pieces", 1),
            "cost": _number("Cost in correctness of the stand-in; 0 for the kind that is asked for"),
            "to_standard": Column("boolean", "Whether grade, flaws and period are all right", True),
            "period": _choice("Whether the pieces were made when the set was sold", tuple(PERIODS.values()), True),
        },
        key=("target", "line", "part", "shade", "grade", "flaw", "bin", "fate", "set_aside"),
        refers=_PART_AND_SHADE
        | {
            "target": ("targets", "target"),
            "asked_part": ("parts", "code"),
            "asked_shade": ("shades", "name"),
            "bin": ("bins", "bin"),
        },
        since=2,
    ),
    Table(
        "shortfall",
        "Lines that lack pieces, or have some that are not to standard; parked targets are left out",
        ShortfallRow,
        {
            "target": _text("Code of the target", True),
            "line": _number("Place on the target's list", 1),
            "part": _text("Code of the part", True),
            "shade": _text("Name of the shade", True),
            "lowest": _choice("Lowest grade that still meets the standard", GRADES, True),
            "short": _number("Pieces missing"),
            "below_standard": _number("Pieces there whose grade, flaws or period are not right"),
        },
        key=("target", "line"),
        refers=_PART_AND_SHADE | {"target": ("targets", "target")},
        since=2,
    ),
    Table(
        "spares",
        "Pieces that no target needs, heap by heap",
        SpareRow,
        {
            "part": _text("Code of the part", True),
            "shade": _text("Name of the shade", True),
            "family": _FAMILY,
            "quantity": _number("Pieces", 1),
            "grade": replace(_GRADE, since=2),
            "flaw": replace(_FLAW, since=2),
            "bin": Column("string", "Where the pieces lie; empty for pieces in a crate, or put aside", since=2),
            "fate": replace(_choice("What became of the pieces", _FATES), since=2),
            "target": Column(
                "string", "Code of the one target that may have them: set aside for it, or in its crate", since=2
            ),
        },
        key=("part", "shade", "grade", "flaw", "bin", "fate", "target"),
        refers=_PART_AND_SHADE | {"bin": ("bins", "bin"), "target": ("targets", "target")},
    ),
    Table(
        "tallies",
        "Every record of the log",
        TallyRow,
        {
            "sitting": _text("Sitting in which it was entered", True),
            "number": _number("Number within the sitting", 1),
            "at": Column("datetime", "Time of entry, UTC", True),
            "what": _choice("What the record says", tuple(what.value for what in What), True),
            "bin": _text("Bin counted into; for a move, bin taken from; where the fate is a crate, code of its target"),
            "part": _text("Code of the part"),
            "shade": _text("Name of the shade"),
            "family": _text("Shape family, where the part was not looked at"),
            "grade": _GRADE,
            "flaw": _FLAW,
            "fate": _choice("What becomes of the pieces", _FATES),
            "to_bin": _text("For a move, bin put into; where its fate is a crate, code of its target"),
            "to_fate": _choice("For a move, what became of the pieces", _FATES),
            "target": _text(
                "Code of the target of a line written up, of pieces set aside, or of a crate that such pieces went into"
            ),
            "quantity": _number("Pieces", most=MAX_QUANTITY),
            "voids": Column(
                "string", "Sitting/number of the record that this one voids or replaces", pattern=".+/[0-9]{1,18}"
            ),
            "way": _text("How it was entered"),
            "holds": Column("boolean", "False once another record voids it", True),
            "to_grade": replace(_GRADE, meaning="For a regrade, the grade the pieces were found in", since=3),
            "to_flaw": replace(_FLAW, meaning="For a regrade, the flaws the pieces were found with", since=3),
            "lab_l": Column("number", "Measured on the pieces: CIELAB L*, D65, 2 degrees", since=3),
            "lab_a": Column("number", "CIELAB a* of the same reading", since=3),
            "lab_b": Column("number", "CIELAB b* of the same reading", since=3),
        },
        key=("sitting", "number"),
    ),
    Table(
        "targets",
        "Targets, all lines together",
        TargetRow,
        {
            "target": _text("Code of the target", True),
            "name": _text("Name"),
            "year": Column("integer", "Year it was sold", minimum=1900, maximum=2200),
            "rank": _number("1 comes first; targets of one rank are filled evenly", 1),
            "lines": _number("Lines on its list"),
            "complete": _number("Lines with nothing missing"),
        }
        | _FILLED
        | {
            "value": Column(
                "integer", "What the finished set is worth, whole units of money", minimum=0, maximum=MAX_VALUE, since=2
            ),
            "parked": Column("boolean", "Takes nothing for now", True, since=2),
            "waiting": Column("integer", "Pieces there that wait for a wash", minimum=0, since=3),
        },
        key=("target",),
    ),
    Table(
        "bins",
        "Bins, in the order in which their rules are tried",
        BinRow,
        {
            "bin": _text("Label", True),
            "order": Column("integer", "Place in the order of rules; empty if the bin is not set up", minimum=1),
            "shade": _text("Rule: any of these shades"),
            "family": _text("Rule: any of these shape families"),
            "part": _text("Rule: any of these parts"),
            "lowest": _choice("Rule: this grade and better", GRADES),
            "highest": _choice("Rule: this grade and worse", GRADES),
            "flaw": _text("Rule: any of these flaws"),
            "capacity": Column("integer", "Pieces it holds", minimum=1),
            "capacity_g": Column("number", "Grams it holds", minimum=0),
            "place": _text("Where it stands"),
            "quantity": _number("Pieces in it"),
        },
        key=("bin",),
    ),
    Table(
        "parts",
        "Parts of the catalogue",
        PartRow,
        {
            "code": _text("Key", True),
            "name": _text("Name"),
            "family": _FAMILY,
            "aliases": _text("Other names, joined by ' | '"),
            "mass_g": Column("number", "Grams of one piece", minimum=0),
        }
        | _YEARS
        | {"care": _text("Care marks, joined by ' | '")},
        key=("code",),
    ),
    Table(
        "shades",
        "Shades of the catalogue",
        ShadeRow,
        {"name": _text("Key", True), "rgb": Column("string", "sRGB, six hex digits", pattern="[0-9a-f]{6}")}
        | _YEARS
        | {"aliases": _text("Other names, joined by ' | '")},
        key=("name",),
    ),
    Table(
        "stand_ins",
        "What may be taken for what: rules of the catalogue, stand-ins of the lists, and those refused on a target",
        StandInRow,
        {
            "target": _text("Code of the target; empty for a rule that holds for all of them"),
            "line": Column("integer", "Place on the target's list that names the stand-in", minimum=1),
            "part": _text("Code of the part asked for; empty in a rule about shades"),
            "shade": _text("Name of the shade asked for; empty in a rule about parts"),
            "stand_in_part": _text("Code of the part that stands in"),
            "stand_in_shade": _text("Name of the shade that stands in"),
            "cost": Column("integer", "Cost in correctness, 1 slight to 9 plain to see; empty if refused", minimum=0),
            "refused": Column("boolean", "May not stand in on this target", True),
        },
        refers=_PART_AND_SHADE
        | {
            "target": ("targets", "target"),
            "stand_in_part": ("parts", "code"),
            "stand_in_shade": ("shades", "name"),
        },
        since=2,
    ),
    Table(
        "reserved",
        "Pieces set aside for a target by hand and not yet in its crate",
        ReservedRow,
        {
            "target": _text("Code of the target", True),
            "part": _text("Code of the part", True),
            "shade": _text("Name of the shade", True),
            "grade": _GRADE,
            "flaw": _FLAW,
            "quantity": _number("Pieces", 1),
        },
        key=("target", "part", "shade", "grade", "flaw"),
        refers=_PART_AND_SHADE | {"target": ("targets", "target")},
        since=2,
    ),
)
"""Every table of the count sheet, the most wanted first."""


def table(name: str) -> Table:
    """The table of that name."""
    return next(found for found in TABLES if found.name == name)
