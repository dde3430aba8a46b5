"""Batches and treatments as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.treatment import Treatment, checked_treatment
from sortbench.model.wash import Batch, Entry, Stage, StageEvent, Stirring, Tray, Weighing, checked
from sortbench.store.document_fields import (
    Document,
    flag_in,
    known,
    list_in,
    number_in,
    text_in,
    whole_in,
    without_empty,
)

_USUAL = Batch("")
_BATCH = frozenset({*Batch._fields})
_TRAY = frozenset({"name", "tare_g"})
_ENTRY = frozenset({"at", "stage", "stirred", "tray", "grams", "struck"})
_TREATMENT = frozenset({*Treatment._fields})


def batch_document(batch: Batch) -> Document:
    """A batch; what is as usual or not known is left out.

    Raises:
        DataError: the batch holds what cannot be.
    """
    checked(batch)
    document: Document = {"code": batch.code}
    for field in ("name", "soak_h", "stir_min", "drying_h", "resolution_g", "temp_c", "rh_percent", "note"):
        if (value := getattr(batch, field)) != getattr(_USUAL, field):
            document[field] = value
    return document | without_empty(
        trays=[without_empty(name=tray.name, tare_g=tray.tare_g) for tray in batch.trays],
        entries=[_entry_document(entry) for entry in batch.entries],
    )


def batch_from(document: Mapping[str, Any]) -> Batch:
    """A batch again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _BATCH)
    return checked(
        Batch(
            text_in(document, "code"),
            text_in(document, "name", ""),
            tuple(map(_entry_from, list_in(document, "entries"))),
            tuple(map(_tray_from, list_in(document, "trays"))),
            _number_or(document, "soak_h", _USUAL.soak_h),
            _number_or(document, "stir_min", _USUAL.stir_min),
            _number_or(document, "drying_h", _USUAL.drying_h),
            number_in(document, "resolution_g"),
            number_in(document, "temp_c"),
            number_in(document, "rh_percent"),
            text_in(document, "note", ""),
        )
    )


def treatment_document(treatment: Treatment) -> Document:
    """A treatment; what is not known is left out.

    Raises:
        DataError: the treatment holds what cannot be.
    """
    document = checked_treatment(treatment)._asdict()
    for field in ("grade", "grade_after"):
        grade: Grade | None = document[field]
        document[field] = grade.label if grade else None
    document["struck"] = treatment.struck or None
    return without_empty(**document)


def treatment_from(document: Mapping[str, Any]) -> Treatment:
    """A treatment again; raises as ``batch_from``."""
    known(document, _TREATMENT)
    return checked_treatment(
        Treatment(
            text_in(document, "id"),
            text_in(document, "at"),
            text_in(document, "part"),
            text_in(document, "shade"),
            _grade(document, "grade"),
            whole_in(document, "quantity") or 0,
            number_in(document, "strength_ww"),
            number_in(document, "hours"),
            number_in(document, "temp_c"),
            whole_in(document, "improved") or 0,
            whole_in(document, "unchanged") or 0,
            whole_in(document, "broken") or 0,
            _grade(document, "grade_after"),
            text_in(document, "note", ""),
            flag_in(document, "struck"),
        )
    )


def _entry_document(entry: Entry) -> Document:
    at = entry.at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    document: Document = {"at": at}
    if isinstance(entry, StageEvent):
        document["stage"] = entry.stage.value
    elif isinstance(entry, Stirring):
        document["stirred"] = True
    else:
        document |= without_empty(tray=entry.tray, grams=entry.grams)
    return document | ({"struck": True} if entry.struck else {})


def _entry_from(document: Any) -> Entry:
    known(document, _ENTRY)
    at, struck = _time(text_in(document, "at")), flag_in(document, "struck")
    if "stage" in document:
        return StageEvent(_stage(text_in(document, "stage")), at, struck)
    if flag_in(document, "stirred"):
        return Stirring(at, struck)
    grams = number_in(document, "grams")
    if grams is None:
        raise DataError("An entry of a batch is neither a stage, a stirring nor a weighing.")
    return Weighing(at, text_in(document, "tray", ""), grams, struck)


def _tray_from(document: Any) -> Tray:
    known(document, _TRAY)
    return Tray(text_in(document, "name", ""), number_in(document, "tare_g"))


def _time(text: str) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise DataError(f"{text[:40]!r} is no time.") from None
    if at.tzinfo is None:
        raise DataError(f"The time {text[:40]!r} has no time zone.")
    return at.astimezone(UTC)


def _stage(word: str) -> Stage:
    try:
        return Stage(word)
    except ValueError:
        raise DataError(f"{word[:40]!r} is no stage of a batch.") from None


def _grade(document: Mapping[str, Any], field: str) -> Grade | None:
    return Grade.from_label(text_in(document, field)) if field in document else None


def _number_or(document: Mapping[str, Any], field: str, usual: float) -> float:
    value = number_in(document, field)
    return usual if value is None else value
