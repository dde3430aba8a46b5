"""Locks of the plan as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.plan_lock import Choice, Lock, checked_lock
from sortbench.store.document_fields import Document, known, text_in, whole_in, without_empty

_LOCK = frozenset({"target", "line", "part", "shade", "choice", "offer"})


def lock_document(lock: Lock) -> Document:
    """A lock; without an offer that field is left out.

    Raises:
        DataError: the lock cannot be kept.
    """
    lock = checked_lock(lock)
    assert lock.kind is not None
    return {
        "target": lock.target,
        "line": lock.number,
        "part": lock.kind.part,
        "shade": lock.kind.shade,
        "choice": str(lock.choice),
    } | without_empty(offer=lock.offer)


def lock_from(document: Mapping[str, Any]) -> Lock:
    """A lock again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _LOCK)
    word = text_in(document, "choice")
    if word not in list(Choice):
        raise DataError(f"{word[:40]!r} is nothing that a plan can do.")
    kind = Kind(text_in(document, "part"), text_in(document, "shade"))
    number = whole_in(document, "line") or 0
    return checked_lock(Lock(text_in(document, "target"), number, Choice(word), text_in(document, "offer", ""), kind))
