"""Weighings in the bench's documents: kept as they are, damage refused by name."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from sortbench.engine.merging.tables import Sides, merge_tables
from sortbench.model.errors import BenchError, DataError
from sortbench.model.weighing import Handful, Load, Scale, Weighing
from sortbench.store.documents import Documents

AT = "2026-03-01T09:30:00.000Z"
WEIGHINGS = (
    Weighing("G1", AT, "plate-2x4", Scale(0.1, 0.05), (Handful(20, 35.3, 12.5), Handful(9, 9.0))),
    Weighing("G2", AT, "plate-2x4", Scale(0.1), (), Load(155.5, 12.5), "s/4", 143.2, 142.4, 144.0, 143, "once more"),
    Weighing("G3", AT, "bell", Scale(1.0, 0.5, 0.2), (), Load(155.5), struck=True),
)


@pytest.fixture
def documents(tmp_path: Path) -> Documents:
    made = Documents(tmp_path / "bench.json")
    made.create()
    with made.edit() as draft:
        draft.weighings = {each.id: each for each in WEIGHINGS}
    return made


@pytest.mark.parametrize("late", [False, True])
def test_what_is_kept_is_read_again(documents: Documents, late: bool) -> None:
    assert tuple(documents.load(late).weighings.values()) == WEIGHINGS


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"id": "7"}, "number of a weighing"),
        ({"at": ""}, "no time"),
        ({"part": ""}, "no part"),
        ({"colour": "red"}, "colour"),
        ({"handfuls": []}, "Nothing was on the scale"),
        ({"handfuls": [{"pieces": 0, "gross_g": 2.0, "tare_g": 1.0}]}, "0 pieces"),
        ({"handfuls": [{"pieces": 2, "gross_g": 1.0, "tare_g": 1.0}]}, "no pieces are left"),
        ({"handfuls": [{"pieces": 2, "gross_g": 1.0}]}, "tare_g"),
        ({"scale": {"step_g": 0.0, "repeat_g": 0.0, "error_g": 0.0}}, "steps of 0 g"),
        ({"scale": {"step_g": 0.1, "repeat_g": -1, "error_g": 0.0}}, "repeatability"),
        ({"scale": None}, "document was expected"),
        ({"by_hand": 5}, "by hand"),
        ({"load": {"gross_g": 2e9, "tare_g": 0.0}}, "no reading"),
        ({"note": "a\u202eb"}, "note"),
    ],
)
def test_a_damaged_weighing_is_refused_by_name(change: dict[str, Any], word: str) -> None:
    """What cannot be is refused on its way in as well as on its way out."""
    from sortbench.store.weighing_codec import weighing_document, weighing_from

    document = weighing_document(WEIGHINGS[0]) | change
    with pytest.raises(DataError) as refused:
        weighing_from(document)
    assert word in refused.value.message


def test_damage_in_the_file_names_the_table(documents: Documents) -> None:
    tables = json.loads(documents.path.read_text())
    tables["weighings"]["2"]["part"] = ""
    documents.path.write_text(json.dumps(tables))
    with pytest.raises(BenchError, match="weighings"):
        documents.load()


def test_a_weighing_under_another_key_is_not_written(documents: Documents) -> None:
    with pytest.raises(DataError, match="G1"), documents.edit() as draft:
        draft.weighings["G9"] = WEIGHINGS[0]
    assert tuple(documents.load().weighings.values()) == WEIGHINGS


def test_two_weighings_of_one_number_are_both_kept_where_benches_are_merged() -> None:
    ours, theirs = WEIGHINGS[0], WEIGHINGS[1]._replace(id="G1")
    merged = merge_tables({"weighings": {"G1": ours}}, {"weighings": {"G1": theirs}}, Sides(["both"]))
    assert merged.tables["weighings"] == {"G1": ours, "G2": theirs._replace(id="G2")}
