"""Spot checks and recounts as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any, TypeVar

from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade, flaws_of
from sortbench.model.spot_check import (
    Drawing,
    Find,
    Heap,
    Level,
    Recount,
    SpotCheck,
    checked_recount,
    checked_spot,
)
from sortbench.model.tally import Cell
from sortbench.store.document_fields import (
    Document,
    flag_in,
    known,
    list_in,
    text_in,
    texts_in,
    whole_in,
    without_empty,
)

_SPOT = frozenset({*SpotCheck._fields})
_RECOUNT = frozenset({*Recount._fields})
_CELL = frozenset({"part", "shade", "family", "grade", "flaws"})
_HEAP = _CELL | {"quantity"}
_FIND = _HEAP | {"at", "missing", "struck", "left_over"}

_Word = TypeVar("_Word", bound=StrEnum)


def spot_document(check: SpotCheck) -> Document:
    """A spot check; what is not told is left out.

    Raises:
        DataError: it holds what cannot be.
    """
    check = checked_spot(check)
    told = {
        "counted": [_heap_document(heap) for heap in check.counted],
        "finds": [_find_document(find) for find in check.finds],
        "level": check.level.value,
        "drawing": check.drawing.value,
        "struck": check.struck or None,
    }
    return without_empty(**check._asdict() | told)


def spot_from(document: Mapping[str, Any]) -> SpotCheck:
    """A spot check again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _SPOT)
    label = text_in(document, "bin")
    return checked_spot(
        SpotCheck(
            text_in(document, "id"),
            text_in(document, "at"),
            label,
            _word(Level, text_in(document, "level")),
            text_in(document, "aql"),
            _word(Drawing, text_in(document, "drawing")),
            _whole(document, "seed"),
            tuple(_heap_from(heap, label) for heap in list_in(document, "counted")),
            tuple(_find_from(find, label) for find in list_in(document, "finds")),
            text_in(document, "by", ""),
            flag_in(document, "struck"),
        )
    )


def recount_document(recount: Recount) -> Document:
    """A recount; raises as ``spot_document``."""
    recount = checked_recount(recount)
    told = {"counted": [_heap_document(heap) for heap in recount.counted], "struck": recount.struck or None}
    return without_empty(**recount._asdict() | told)


def recount_from(document: Mapping[str, Any]) -> Recount:
    """A recount again; raises as ``spot_from``."""
    known(document, _RECOUNT)
    label = text_in(document, "bin")
    return checked_recount(
        Recount(
            text_in(document, "id"),
            text_in(document, "at"),
            label,
            tuple(_heap_from(heap, label) for heap in list_in(document, "counted")),
            text_in(document, "by", ""),
            text_in(document, "ended", ""),
            text_in(document, "taken", ""),
            flag_in(document, "struck"),
        )
    )


def _heap_document(heap: Heap) -> Document:
    return without_empty(**_cell_document(heap.cell), quantity=heap.quantity)


def _cell_document(cell: Cell) -> Document:
    return {
        "part": cell.part,
        "shade": cell.shade,
        "family": cell.family,
        "grade": cell.grade.label if cell.grade else "",
        "flaws": [flaw.value for flaw in cell.flaws],
    }


def _find_document(find: Find) -> Document:
    if find.cell is not None:
        found = _cell_document(find.cell)
    else:
        found = {"left_over": True} if find.left_over else {"missing": True}
    return without_empty(at=find.at, quantity=find.quantity, struck=find.struck or None, **found)


def _heap_from(document: Mapping[str, Any], label: str) -> Heap:
    known(document, _HEAP)
    return Heap(_cell_from(document, label), _whole(document, "quantity"))


def _find_from(document: Mapping[str, Any], label: str) -> Find:
    known(document, _FIND)
    missing, left_over = flag_in(document, "missing"), flag_in(document, "left_over")
    if (missing and left_over) or ((missing or left_over) and not _CELL.isdisjoint(document)):
        raise DataError("A piece that was not there, or left over, is said to be something.")
    cell = None if missing or left_over else _cell_from(document, label)
    return Find(text_in(document, "at"), _whole(document, "quantity"), cell, flag_in(document, "struck"), left_over)


def _cell_from(document: Mapping[str, Any], label: str) -> Cell:
    grade = text_in(document, "grade", "")
    return Cell(
        label,
        text_in(document, "part", ""),
        text_in(document, "shade", ""),
        text_in(document, "family", ""),
        Grade.from_label(grade) if grade else None,
        flaws_of(_word(Flaw, text) for text in texts_in(document, "flaws")),
    )


def _whole(document: Mapping[str, Any], field: str) -> int:
    value = whole_in(document, field)
    if value is None:
        raise DataError(f"The field {field!r} is missing.")
    return value


def _word(words: type[_Word], text: str) -> _Word:
    if text not in list(words):
        raise DataError(f"{text[:40]!r} is none of {', '.join(words)}.")
    return words(text)
