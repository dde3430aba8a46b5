"""Spot checks and recounts in the bench's documents: kept as they are, damage refused by name."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from sortbench.engine.merging.tables import Sides, merge_tables
from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.spot_check import Drawing, Find, Heap, Level, Recount, SpotCheck
from sortbench.model.tally import Cell, Fate
from sortbench.store.documents import Documents

AT = "2026-03-01T09:30:00.000Z"
RED = Cell("B7", "plate-2x4", "red", "", Grade.G4_5, (Flaw.BENT, Flaw.CRACKED))
COARSE = Cell("B7", "", "red", "plate", None, ())
COUNTED = (Heap(RED, 60), Heap(COARSE, 31))
FINDS = (
    Find(AT, 3, RED),
    Find(AT, 1, None),
    Find(AT, 2, RED._replace(grade=None, flaws=()), struck=True),
    Find(AT, 3, None, left_over=True),
)
SPOTS = (
    SpotCheck("S1", AT, "B7", Level.II, "1.0", Drawing.COUNTED_OFF, 4711, COUNTED, FINDS, "Ann"),
    SpotCheck("S2", AT, "B7", Level.III, "0.65", Drawing.SCOOP, 0, COUNTED, struck=True),
)
RECOUNTS = (Recount("R1", AT, "B7", COUNTED, "Ann", AT, AT), Recount("R2", AT, "B9", (), struck=True))


@pytest.fixture
def documents(tmp_path: Path) -> Documents:
    made = Documents(tmp_path / "bench.json")
    made.create()
    with made.edit() as draft:
        draft.spots = {check.id: check for check in SPOTS}
        draft.recounts = {recount.id: recount for recount in RECOUNTS}
    return made


def test_what_is_kept_is_read_again(documents: Documents) -> None:
    for late in (False, True):
        found = documents.load(late=late)
        assert (tuple(found.spots.values()), tuple(found.recounts.values())) == (SPOTS, RECOUNTS)


def damaged(documents: Documents, table: str, change: dict[str, Any]) -> None:
    tables = json.loads(documents.path.read_text())
    tables[table]["1"] |= change
    documents.path.write_text(json.dumps(tables))
    with pytest.raises(BenchError, match=f"'{table}', document 1"):
        documents.load()
    documents.load(late=True)  # counting goes on


@pytest.mark.parametrize(
    "change",
    [
        {"level": "IV"},
        {"aql": "2"},
        {"drawing": "guess"},
        {"seed": "1"},
        {"seed": None},
        {"counted": 5},
        {"counted": []},
        {"counted": [{"part": "x", "shade": "red", "quantity": 0}]},
        {"counted": [{"part": "x", "shade": "red", "quantity": 1, "bin": "B9"}]},
        {"counted": [{"part": "x", "shade": "red", "quantity": 1, "grade": "6"}]},
        {"finds": [{"at": AT, "quantity": 1, "missing": True, "part": "x"}]},
        {"finds": [{"at": AT, "quantity": 1, "flaws": ["burnt"]}]},
        {"finds": [{"at": AT, "quantity": 1, "left_over": True, "shade": "red"}]},
        {"finds": [{"at": AT, "quantity": 1, "left_over": True, "missing": True}]},
        {"finds": ["x"]},
        {"struck": 1},
        {"colour": "red"},
    ],
)
def test_a_damaged_spot_check_is_refused_by_name(documents: Documents, change: dict[str, Any]) -> None:
    damaged(documents, "spots", change)


@pytest.mark.parametrize("change", [{"id": "S1"}, {"at": ""}, {"bin": ""}, {"counted": [{}]}, {"by": " "}, {"x": 1}])
def test_a_damaged_recount_is_refused_by_name(documents: Documents, change: dict[str, Any]) -> None:
    damaged(documents, "recounts", change)


def test_what_cannot_be_is_not_kept(documents: Documents) -> None:
    before = documents.path.read_bytes()
    with pytest.raises(DataError), documents.edit() as draft:
        draft.spots["S1"] = SPOTS[0]._replace(counted=(Heap(RED._replace(fate=Fate.WASH), 1),))
    with pytest.raises(DataError, match="stands under the key"), documents.edit() as draft:
        draft.recounts["R3"] = RECOUNTS[0]
    assert documents.path.read_bytes() == before


def test_two_copies_of_a_bench_brought_together_keep_both_checks_of_one_number() -> None:
    longer = SPOTS[0]._replace(finds=(*FINDS, Find(AT, 1, RED)))
    theirs = {
        "spots": {"S1": SPOTS[0]._replace(seed=5)},
        "recounts": {"R1": RECOUNTS[0]._replace(bin="B9", counted=())},
    }
    found = merge_tables({"spots": {"S1": SPOTS[0]}, "recounts": {"R1": RECOUNTS[0]}}, theirs, Sides(["both"]))
    assert [(key, row.id, row.seed) for key, row in found.tables["spots"].items()] == [
        ("S1", "S1", 4711),
        ("S2", "S2", 5),
    ]
    assert [(key, row.bin) for key, row in found.tables["recounts"].items()] == [("R1", "B7"), ("R2", "B9")]
    found = merge_tables({"spots": {"S1": SPOTS[0]}}, {"spots": {"S1": longer}}, Sides())
    assert (found.newer, found.tables["spots"]["S1"]) == (("spots/S1",), longer)
