"""Logs, documents and count sheets of earlier versions are read as they were, and records are still written alike.

``golden`` holds what the versions of these formats wrote: a log is named by its format here, by its sitting on a bench;
the descriptor of the count sheet lacks its schemas, which are not read.
"""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Kind
from sortbench.model.errors import WriteError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.lot import Lot
from sortbench.model.tally import Cell, Fate, RecordId, What
from sortbench.store.count_sheet import read_count_sheet
from sortbench.store.documents import FORMAT, Documents
from sortbench.store.log_reading import read_log
from sortbench.store.log_repair import examine
from sortbench.store.record_codec import encode
from tests.unit.test_count_sheet import sheet
from tests.unit.test_documents import BATCH, BINS, PART, SHADE, SWAPS, TARGET, TREATMENT
from tests.unit.test_offer_documents import ATTIC, MILL_LANE, OFFERS, PRICES
from tests.unit.test_order_documents import ORDERS

SITTING = "20260301T093000Z-k3f9xq"
GOLDEN = Path(__file__).parent / "golden"
PLATE = Cell("B7", "plate-2x4", "grey, late", "", Grade.G4_5, (Flaw.CRACKED,))
TILE = Cell("B1", "tile-1x1", "white", "", Grade.G3, ())
COARSE = Cell("B3", "", "red", "plate", None, ())
DIRTY = (Flaw.CRACKED, Flaw.RESIDUE)
ASIDE = PLATE._replace(bin="", fate=Fate.WASH)


def golden(form: int, folder: Path) -> Path:
    """The log of an earlier format, under the name it had."""
    return Path(shutil.copy(GOLDEN / f"log-format-{form}.jsonl", folder / f"{SITTING}.jsonl"))


@pytest.mark.parametrize("form", [1, 2, 3])
def test_records_of_an_earlier_format_are_still_written_the_same(tmp_path: Path, form: int) -> None:
    path = golden(form, tmp_path)
    lines = path.read_bytes().splitlines(keepends=True)
    records = read_log(path).records
    assert examine(path) == []
    assert [record.id for record in records] == [RecordId(SITTING, seq) for seq in range(1, len(lines) + 1)]
    assert records[0].what is What.OPEN
    assert [encode(record) for record in records[1:]] == lines[1:]


def test_counts_of_the_first_format(tmp_path: Path) -> None:
    ledger = Ledger(read_log(golden(1, tmp_path)).records)
    assert dict(ledger.counts) == {PLATE: 9, PLATE._replace(bin="B9"): 2, ASIDE: 1, TILE: 5, COARSE: 40}
    assert dict(ledger.written("T-07")) == {Kind("tile-1x1", "white"): 6}
    assert ledger.of_fate(Fate.OUT) == 0


def test_counts_of_the_second_format_with_its_crates_and_reserves(tmp_path: Path) -> None:
    ledger = Ledger(read_log(golden(2, tmp_path)).records)
    crated = PLATE._replace(bin="T-07", fate=Fate.CRATE)
    assert dict(ledger.counts) == {PLATE: 8, PLATE._replace(bin="B9"): 2, ASIDE: 1, TILE: 5, COARSE: 40, crated: 1}
    assert ledger.reserved(Kind("plate-2x4", "grey, late")) == {(Grade.G4_5, (Flaw.CRACKED,)): {"T-07": 1}}


def test_counts_of_the_third_format_with_pieces_judged_anew_and_measured(tmp_path: Path) -> None:
    ledger = Ledger(read_log(golden(3, tmp_path)).records)
    crated, judged = PLATE._replace(bin="T-07", fate=Fate.CRATE), PLATE._replace(grade=Grade.G4, flaws=DIRTY)
    assert dict(ledger.counts) == {
        PLATE: 5,
        judged: 3,
        PLATE._replace(bin="B9"): 2,
        ASIDE: 1,
        TILE: 6,
        TILE._replace(grade=None): 1,
        COARSE: 40,
        crated: 1,
    }
    assert ledger.readings(Kind("tile-1x1", "white")) == {
        (Grade.G3, ()): [(2, (88.1, -1.2, 14.0))],
        (None, ()): [(1, (60.0, 0.0, 20.5))],
    }


@pytest.mark.parametrize("form", [2, 3])
def test_a_count_sheet_of_an_earlier_format_says_what_it_said(form: int) -> None:
    assert read_count_sheet(GOLDEN / f"sheet-format-{form}") == replace(sheet(), format=form)


def test_documents_of_the_third_format_are_read_and_written_in_the_new_one(tmp_path: Path) -> None:
    golden_file = GOLDEN / "documents-format-3.json"
    documents = Documents(Path(shutil.copy(golden_file, tmp_path / "bench.json")))
    found = documents.load()
    assert (found.version, found.parts, found.shades) == (3, {PART.code: PART}, {SHADE.name: SHADE})
    assert (found.targets, found.bins, tuple(found.swaps.values())) == ({TARGET.code: TARGET}, BINS, SWAPS)
    assert (found.batches, found.treatments) == ({BATCH.code: BATCH}, {TREATMENT.id: TREATMENT})
    assert set(found.sellers.values()) == {MILL_LANE, ATTIC} and tuple(found.offers.values()) == OFFERS
    assert (tuple(found.prices.values()), tuple(found.orders.values())) == (PRICES, ORDERS)
    assert found.lots == {"A": Lot("A", "attic lot", "2026-03-01", "Attic & Co")}
    with documents.edit() as draft:
        draft.settings["pile"] = 40
    assert documents.load() == found._replace(version=FORMAT, settings={**found.settings, "pile": 40})
    kept = tmp_path / "backups" / "bench-format-3.json"
    assert kept.read_bytes() == golden_file.read_bytes()
    with documents.edit() as draft:
        draft.settings["pile"] = 41
    assert list(kept.parent.iterdir()) == [kept]


def test_an_upgrade_whose_backup_cannot_be_written_changes_nothing(tmp_path: Path) -> None:
    documents = Documents(Path(shutil.copy(GOLDEN / "documents-format-3.json", tmp_path / "bench.json")))
    before = documents.path.read_bytes()
    (tmp_path / "backups").write_text("in the way")
    with pytest.raises(WriteError, match="Nothing was changed"), documents.edit() as draft:
        draft.settings["pile"] = 40
    assert documents.path.read_bytes() == before


def test_a_second_upgrade_keeps_the_first_backup(tmp_path: Path) -> None:
    for pile in (1, 2):
        documents = Documents(tmp_path / "bench.json")
        documents.path.write_text(
            f'{{"meta": {{"1": {{"format": 1}}}}, "parts": {{}}, "settings": {{"1": '
            f'{{"name": "pile", "value": {pile}}}}}}}'
        )
        with documents.edit() as draft:
            draft.settings["pile"] = 40
    assert sorted(path.name for path in (tmp_path / "backups").iterdir()) == [
        "bench-format-1-2.json",
        "bench-format-1.json",
    ]
