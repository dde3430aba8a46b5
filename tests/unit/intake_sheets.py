"""Small lists and a small catalogue for the tests of what is brought in."""

from __future__ import annotations

from sortbench.engine.importing.cells import Sheet
from sortbench.engine.importing.columns import match_columns
from sortbench.engine.importing.fields import FIELDS
from sortbench.engine.importing.intake_plan import Plan, State
from sortbench.engine.importing.intake_rows import work_out
from sortbench.model.catalogue import Part, Shade

PLATE = Part("plate-2x4", "plate 2x4", "plate", ("flat 2x4",))
TILE = Part("tile-1x1", "tile 1x1", "tile")
GREY = Shade("grey, late", "9ba19d", aliases=("cloudy grey",))
WHITE = Shade("white", "f4f4f4")
KNOWN = State({PLATE.code: PLATE, TILE.code: TILE}, {GREY.name: GREY, WHITE.name: WHITE})


def sheet(what: str, header: str, *lines: str, delimiter: str = ",", file: str = "T-07.csv") -> Sheet:
    headers = header.split(delimiter)
    rows = tuple((number, tuple(line.split(delimiter))) for number, line in enumerate(lines, 2))
    return Sheet(file, file.removesuffix(".csv"), delimiter, match_columns(headers, FIELDS[what], {}, {}), rows)


def plan_of(what: str, header: str, *lines: str, state: State = KNOWN, **defaults: str) -> Plan:
    return work_out(what, [sheet(what, header, *lines, delimiter=";")], state, defaults)


def complaints(plan: Plan) -> list[tuple[int, str, str]]:
    return [(error.line, error.column, error.value) for error in plan.errors]
