"""Rows of a list into what they mean for the bench: the one door to the readers of each kind of list."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from sortbench.engine.importing.cells import RowError, Sheet
from sortbench.engine.importing.intake_plan import Plan, State
from sortbench.engine.importing.rows_bins import read_bins
from sortbench.engine.importing.rows_catalogue import read_parts, read_shades
from sortbench.engine.importing.rows_library import read_library
from sortbench.engine.importing.rows_offers import read_offers, read_sellers
from sortbench.engine.importing.rows_stand_ins import read_stand_ins
from sortbench.engine.importing.rows_targets import read_targets

_READERS: Mapping[str, Callable[[Sequence[Sheet], State, Mapping[str, str]], Plan]] = MappingProxyType(
    {
        "parts": read_parts,
        "shades": read_shades,
        "targets": read_targets,
        "bins": read_bins,
        "stand-ins": read_stand_ins,
        "sellers": read_sellers,
        "offers": read_offers,
        "library": read_library,
    }
)


def work_out(what: str, sheets: Sequence[Sheet], state: State, defaults: Mapping[str, str]) -> Plan:
    """What bringing in these files would do.

    Rows that cannot be meant are left aside and told in the plan's errors, all of them. A file that lacks a column
    which its kind of list cannot do without has one error, on its header.

    Args:
        what: one of the lists that :data:`sortbench.engine.importing.fields.FIELDS` names.
        sheets: the files.
        state: what the bench knows.
        defaults: values for what no column says; see the reader of each kind of list.

    Raises:
        UsageError: a default cannot be meant.
    """
    readable = [sheet for sheet in sheets if not sheet.match.missing]
    plan = _READERS[what](readable, state, defaults)
    if len(readable) < len(sheets):
        lacking = [_lacks_columns(sheet) for sheet in sheets if sheet.match.missing]
        plan = replace(plan, errors=(*lacking, *plan.errors))
    return plan


def _lacks_columns(sheet: Sheet) -> RowError:
    labels = " and ".join(field.label for field in sheet.match.missing)
    example = sheet.match.missing[0].name
    reason = f"No column holds the {labels}. Name it with --column {example}=HEADER."
    if all(guess.index < 0 for guess in sheet.match.guesses):
        reason += " The first line must name the columns."
    return RowError(sheet.file, 1, "", ", ".join(sheet.match.headers), reason)
