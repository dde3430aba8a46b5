"""Every single bit of a small bench flipped, file by file: found, or nothing that is told changes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from small_bench import make_folder, shown, ticking

from sortbench.bench import Bench
from sortbench.desks.lot_desk import LotDesk, Paid
from sortbench.desks.pile_desk import set_pile
from sortbench.model.errors import BenchError
from sortbench.model.lot import Spent
from sortbench.store.documents import BenchDocuments, Documents
from sortbench.store.folder import BenchFolder, Severity


@pytest.fixture
def counted(tmp_path: Path) -> Path:
    """A small bench of two sittings: tallies, a correction, an undo, pieces in a crate, a judged grade."""
    folder = make_folder(tmp_path / "bench")
    clock = ticking()
    for lines in (("pl24 re *3", "br24 re !4", "ti22 wh *2"), ("pl24 re #crack", "ar gr e *7")):
        with Bench.open(folder, clock) as bench:
            for line in lines:
                bench.enter(line)
            bench.regrade(down=True)
            bench.undo()
    return folder


def flips(data: bytes, step: int = 1, first: int = 0) -> list[bytes]:
    """The content with one bit flipped, for every ``step``-th of its bits."""
    found = []
    for bit in range(first, 8 * len(data), step):
        changed = bytearray(data)
        changed[bit // 8] ^= 1 << bit % 8
        found.append(bytes(changed))
    return found


def as_told(documents: BenchDocuments) -> tuple[object, ...]:
    """All that the documents say, compared value by value."""
    return tuple(dict(each) if hasattr(each, "keys") else each for each in documents)


def test_a_flipped_bit_in_the_documents_is_found_or_changes_nothing(counted: Path) -> None:
    path = counted / "bench.json"
    data = path.read_bytes()
    documents = Documents(path)
    before = as_told(documents.load())
    found = 0
    for changed in flips(data):
        path.write_bytes(changed)
        try:
            now = documents.load()
        except BenchError as error:
            assert str(path) in error.message and error.mend
            found += 1
        else:
            assert as_told(now) == before, changed
    assert found > 8 * len(data) * 0.8  # the others lie in the seals themselves, or change no word


def test_a_flipped_bit_anywhere_in_a_bench_changes_no_figure(counted: Path) -> None:
    """Through the door that the app takes; every file that lies in the folder, some hundred bits of each."""
    with Bench.open(counted) as bench:
        before = shown(bench)
    files = sorted(file for file in counted.rglob("*") if file.is_file() and file.stat().st_size)
    assert len(files) >= 3
    for file in files:
        data = file.read_bytes()
        step = max(1, 8 * len(data) // 150) | 1  # odd, so that every place in a byte has its turn
        refused = 0
        for changed in flips(data, step):
            file.write_bytes(changed)
            try:
                with Bench.open(counted) as bench:
                    after = shown(bench)
            except BenchError:
                refused += 1
                findings = BenchFolder(counted).check()
                assert any(finding.severity is Severity.DAMAGE for finding in findings), "refused, and yet called sound"
            else:
                assert after == before, file.name
            for other in files:  # what the sitting wrote anew is put back
                assert other == file or other.exists()
        file.write_bytes(data)
        if file.name == "bench.json" or file.suffix == ".jsonl":
            assert refused > 100, file.name
    with Bench.open(counted) as bench:
        assert shown(bench) == before


def test_a_changed_quantity_is_named_and_may_be_taken_as_it_stands(counted: Path) -> None:
    path = counted / "bench.json"
    path.write_text(path.read_text("utf-8").replace('"quantity": 3', '"quantity": 8'), "utf-8")
    with pytest.raises(BenchError, match=r"'targets' is not as it was written.*take \"crc\" and \"seals\" out"):
        Bench.open(counted)
    tables = json.loads(path.read_text("utf-8"))
    tables["meta"]["1"] = {"format": tables["meta"]["1"]["format"]}
    path.write_text(json.dumps(tables), "utf-8")
    with Bench.open(counted) as bench:
        assert bench.documents.targets["T-01"].lines[0].quantity == 8
        set_pile(bench, 900)
    assert '"seals"' in path.read_text("utf-8"), "sealed again with the next change"


def test_a_file_laid_out_anew_says_what_it_said(counted: Path) -> None:
    path = counted / "bench.json"
    before = as_told(Documents(path).load())
    path.write_text(json.dumps(json.loads(path.read_text("utf-8")), indent=1), "utf-8")
    assert as_told(Documents(path).load()) == before


@pytest.mark.parametrize("damage", [('"amount": "4.50"', '"amount": "4.51"'), ('"expenses": {', '"expensez": {')])
def test_a_damaged_ledger_of_lots_is_found_when_asked_for_and_leaves_counting_alone(
    counted: Path, damage: tuple[str, str]
) -> None:
    with Bench.open(counted) as bench:
        LotDesk(bench).spend(Spent.OTHER, Paid("4.50"))
    path = counted / "bench.json"
    path.write_text(path.read_text("utf-8").replace(*damage), "utf-8")
    with Bench.open(counted) as bench:
        assert bench.enter("pl24 re")
        with pytest.raises(BenchError, match="'expenses' is not as it was written"):
            LotDesk(bench).ledger()
    assert [finding.severity for finding in BenchFolder(counted).check()] == [Severity.DAMAGE]
