"""Fields of documents, read with their types checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sortbench.model.errors import DataError

Document = dict[str, Any]


def without_empty(**fields: Any) -> Document:
    """Fields of a document; what is not known or empty is left out."""
    return {name: value for name, value in fields.items() if value is not None and value != "" and value != []}


def known(document: Any, fields: frozenset[str]) -> None:
    """Make sure of a document that it is one, and has no other fields.

    Raises:
        DataError: it is none, or a field is not among these.
    """
    if not isinstance(document, Mapping):
        raise DataError("A document was expected.")
    if not fields.issuperset(document):
        unknown = min(set(document) - fields)
        raise DataError(f"The field {unknown[:40]!r} is not known.")


def text_in(document: Mapping[str, Any], field: str, default: str | None = None) -> str:
    """A text; the default where the field is missing, DataError where there is none."""
    value = document.get(field, default)
    if type(value) is not str:
        raise DataError(f"The field {field!r} is missing or no text.")
    return value


def list_in(document: Mapping[str, Any], field: str) -> list[Any]:
    """A list, empty where the field is missing; DataError where it is no list."""
    value = document.get(field)
    if value is None:
        return []
    if type(value) is not list:
        raise DataError(f"The field {field!r} is no list.")
    return value


def texts_in(document: Mapping[str, Any], field: str) -> tuple[str, ...]:
    """A list of texts; as ``list_in``."""
    values = list_in(document, field)
    if not all(type(value) is str for value in values):
        raise DataError(f"The field {field!r} is no list of texts.")
    return tuple(values)


def whole_in(document: Mapping[str, Any], field: str) -> int | None:
    """A whole number, None where the field is missing; DataError where it is none."""
    value = document.get(field)
    if value is not None and type(value) is not int:
        raise DataError(f"The field {field!r} is no whole number.")
    return value


def flag_in(document: Mapping[str, Any], field: str) -> bool:
    """True or false, false where the field is missing; DataError where it is neither."""
    value = document.get(field, False)
    if type(value) is not bool:
        raise DataError(f"The field {field!r} is neither true nor false.")
    return value


def number_in(document: Mapping[str, Any], field: str) -> float | None:
    """A number, None where the field is missing; DataError where it is none."""
    value = document.get(field)
    if value is not None and type(value) not in (int, float):
        raise DataError(f"The field {field!r} is no number.")
    return None if value is None else float(value)
