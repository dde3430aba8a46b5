"""Locks of the plan in the bench's documents: kept as they are, damage refused by name."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sortbench.model.catalogue import Kind
from sortbench.model.errors import BenchError, DataError
from sortbench.model.plan_lock import Choice, Lock, lock_key
from sortbench.store.documents import Documents

PLATE = Kind("plate-2x4", "white")
LOCKS = (Lock("T-03", 12, Choice.OPEN, "", PLATE), Lock("T/3", 1, Choice.BUY, "17", PLATE))


@pytest.fixture
def documents(tmp_path: Path) -> Documents:
    made = Documents(tmp_path / "bench.json")
    made.create()
    with made.edit() as draft:
        draft.locks = {lock_key(lock): lock for lock in LOCKS}
    return made


def test_what_is_kept_is_read_again(documents: Documents) -> None:
    assert tuple(documents.load().locks.values()) == LOCKS
    assert dict(documents.load(late=True).locks) == {"T-03/12": LOCKS[0], "T/3/1": LOCKS[1]}
    with documents.edit() as draft:
        draft.locks.clear()
    assert not documents.load().locks


@pytest.mark.parametrize(
    ("field", "value"),
    [("choice", "burn"), ("line", 0), ("line", "1"), ("target", ""), ("offer", 5), ("part", None), ("colour", "red")],
)
def test_damage_is_refused_by_name(documents: Documents, field: str, value: object) -> None:
    tables = json.loads(documents.path.read_text())
    tables["locks"]["1"][field] = value
    documents.path.write_text(json.dumps(tables))
    with pytest.raises(BenchError, match="'locks', document 1"):
        documents.load()
    documents.load(late=True)  # counting goes on


@pytest.mark.parametrize(
    "lock",
    [
        Lock("", 1, Choice.KEEP, "", PLATE),
        Lock("T-03", 0, Choice.KEEP, "", PLATE),
        Lock("T-03", 1, Choice.KEEP),
        Lock("T-03", 1, Choice.AWAIT, "", PLATE),
        Lock("T-03", 1, Choice.KEEP, "17", PLATE),
    ],
)
def test_a_lock_that_cannot_be_is_not_kept(documents: Documents, lock: Lock) -> None:
    before = documents.path.read_bytes()
    with pytest.raises(DataError), documents.edit() as draft:
        draft.locks[lock_key(lock)] = lock
    assert documents.path.read_bytes() == before


def test_a_lock_under_another_key_is_refused(documents: Documents) -> None:
    with pytest.raises(DataError, match="stands under the key"), documents.edit() as draft:
        draft.locks["T-03/13"] = LOCKS[0]
