"""Weighings as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sortbench.model.errors import DataError
from sortbench.model.weighing import Handful, Load, Scale, Weighing, checked_weighing
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

_WEIGHING = frozenset({*Weighing._fields})
_SCALE = frozenset({*Scale._fields})
_HANDFUL = frozenset({*Handful._fields})
_LOAD = frozenset({*Load._fields})


def weighing_document(weighing: Weighing) -> Document:
    """A weighing; what is not told is left out.

    Raises:
        DataError: the weighing holds what cannot be.
    """
    told = {
        "scale": weighing.scale._asdict(),
        "handfuls": [handful._asdict() for handful in weighing.handfuls],
        "load": weighing.load._asdict() if weighing.load else None,
        "struck": weighing.struck or None,
    }
    return without_empty(**checked_weighing(weighing)._asdict() | told)


def weighing_from(document: Mapping[str, Any]) -> Weighing:
    """A weighing again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _WEIGHING)
    load = document.get("load")
    return checked_weighing(
        Weighing(
            text_in(document, "id"),
            text_in(document, "at"),
            text_in(document, "part"),
            _scale_from(document.get("scale")),
            tuple(_handful_from(each) for each in list_in(document, "handfuls")),
            None if load is None else _load_from(load),
            text_in(document, "record", ""),
            number_in(document, "estimate"),
            number_in(document, "low"),
            number_in(document, "high"),
            whole_in(document, "by_hand"),
            text_in(document, "note", ""),
            flag_in(document, "struck"),
        )
    )


def _scale_from(document: Any) -> Scale:
    known(document, _SCALE)
    return Scale(*(_grams(document, field) for field in Scale._fields))


def _handful_from(document: Any) -> Handful:
    known(document, _HANDFUL)
    return Handful(whole_in(document, "pieces") or 0, _grams(document, "gross_g"), _grams(document, "tare_g"))


def _load_from(document: Any) -> Load:
    known(document, _LOAD)
    return Load(_grams(document, "gross_g"), _grams(document, "tare_g"))


def _grams(document: Mapping[str, Any], field: str) -> float:
    value = number_in(document, field)
    if value is None:
        raise DataError(f"The field {field!r} is missing.")
    return value
