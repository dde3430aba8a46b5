"""Bringing in files: looked at first, written whole or not at all, and nothing written where nothing changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sortbench.desks.intake import IntakePreview, commit, documents_of, preview
from sortbench.model.bins import Bin
from sortbench.model.errors import BenchError, DataError, UsageError, WriteError
from sortbench.store.documents import Documents
from sortbench.store.folder import BenchFolder
from sortbench.store.tables import read_table

LIST = "Teil;Farbe;Menge\r\nplate 2×4;grey, late;12\r\narch-1x6x2;white;2\r\n"


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    return BenchFolder.create(tmp_path / "bench").path


@pytest.fixture
def documents(bench: Path) -> Documents:
    return documents_of(bench)


@pytest.fixture
def file(tmp_path: Path) -> Callable[..., Path]:
    def write(text: str, name: str = "T-07.csv") -> Path:
        path = tmp_path / name
        path.write_bytes(text.encode())
        return path

    return write


def look(documents: Documents, what: str, *paths: Path, **more: dict[str, str]) -> IntakePreview:
    return preview(documents, what, paths, **more)  # type: ignore[arg-type]


def everything_in(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_list_is_shown_then_written(documents: Documents, bench: Path, file: Callable[..., Path]) -> None:
    before = everything_in(bench)
    seen = look(documents, "targets", file(LIST))
    assert everything_in(bench) == before
    assert [part.code for part in seen.plan.created_parts] == ["plate-2x4", "arch-1x6x2"]
    assert (seen.plan.new, seen.errors, seen.same) == (("T-07",), (), False)
    assert commit(documents, seen).written
    now = documents.load()
    assert set(now.parts) == {"plate-2x4", "arch-1x6x2"}
    assert set(now.shades) == {"grey, late", "white"}
    assert now.targets["T-07"].pieces == 14


def test_the_same_file_again_leaves_the_bench_untouched(
    documents: Documents, bench: Path, file: Callable[..., Path]
) -> None:
    commit(documents, look(documents, "targets", file(LIST)))
    before, stamp = everything_in(bench), documents.stamp()
    seen = look(documents, "targets", file(LIST))
    assert seen.same
    assert not seen.learns
    assert not commit(documents, seen).written
    assert everything_in(bench) == before
    assert documents.stamp() == stamp


def test_a_changed_file_shows_its_difference(documents: Documents, file: Callable[..., Path]) -> None:
    commit(documents, look(documents, "targets", file(LIST)))
    seen = look(documents, "targets", file(LIST.replace(";12", ";15")))
    change = seen.plan.changed[0]
    assert change.key == "T-07"
    assert [(field.field, field.old, field.new) for field in change.fields] == [
        ("plate-2x4 · grey, late, grade 3", "12", "15")
    ]
    commit(documents, seen)
    assert documents.load().targets["T-07"].pieces == 17


def test_one_bad_row_and_nothing_is_written(documents: Documents, bench: Path, file: Callable[..., Path]) -> None:
    before = everything_in(bench)
    seen = look(documents, "targets", file(LIST + "tile;white;-3\r\n"))
    assert [(e.line, e.column, e.value) for e in seen.errors] == [(4, "Menge", "-3")]
    with pytest.raises(DataError, match="1 row is bad"):
        commit(documents, seen)
    assert everything_in(bench) == before


def test_bad_rows_are_put_aside_with_the_reason(documents: Documents, bench: Path, file: Callable[..., Path]) -> None:
    bad = '"[red]x";=1+1;0\r\n'
    path = file(LIST + bad + "tile;white;1;a;b\r\n")
    result = commit(documents, look(documents, "targets", path), skip_bad=True)
    assert documents.load().targets["T-07"].pieces == 14
    assert [item.relative_to(bench) for item in result.refused] == [Path("refused/T-07.csv.refused.csv")]
    table = read_table(result.refused[0])
    assert table.headers == ("Teil", "Farbe", "Menge", "column 4", "column 5", "refused because")
    assert table.rows[0].cells[:3] == ("[red]x", "=1+1", "0")
    assert table.rows[0].cells[5].startswith("line 4: Menge: ")
    assert table.rows[1].cells[:5] == ("tile", "white", "1", "a", "b")
    assert b",'=1+1," in result.refused[0].read_bytes()
    # Once more: the same rows make no second file, others do.
    assert commit(documents, look(documents, "targets", path), skip_bad=True).refused == result.refused
    other = commit(documents, look(documents, "targets", file(LIST + "tile;white;x\r\n")), skip_bad=True)
    assert other.refused[0].name == "T-07.csv.refused-2.csv"
    assert not other.written


def test_mended_refused_rows_can_be_brought_in(documents: Documents, file: Callable[..., Path]) -> None:
    text = "code;name;mass\r\na;one;1\r\nb;two;-2\r\n"
    result = commit(documents, look(documents, "parts", file(text, "parts.csv")), skip_bad=True)
    refused = result.refused[0]
    refused.write_bytes(refused.read_bytes().replace(b"'-2", b"2"))
    commit(documents, look(documents, "parts", refused))
    assert documents.load().parts["b"].mass_g == 2.0


def test_refused_rows_never_leave_the_bench(
    documents: Documents, bench: Path, tmp_path: Path, file: Callable[..., Path]
) -> None:
    (tmp_path / "elsewhere").mkdir()
    (bench / "refused").symlink_to(tmp_path / "elsewhere")
    before = documents.stamp()
    with pytest.raises(BenchError, match="link"):
        commit(documents, look(documents, "targets", file(LIST + "tile;white;0\r\n")), skip_bad=True)
    assert list((tmp_path / "elsewhere").iterdir()) == []
    assert documents.stamp() == before


def test_a_disk_that_refuses_leaves_the_bench_as_it_was(
    documents: Documents, file: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = look(documents, "targets", file(LIST))

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", full)
        with pytest.raises(WriteError):
            commit(documents, seen)
    assert not documents.load().targets
    assert commit(documents, seen).written


def test_a_bench_changed_meanwhile_is_looked_at_again(documents: Documents, file: Callable[..., Path]) -> None:
    seen = look(documents, "targets", file(LIST))
    commit(documents, look(documents, "shades", file("name\nGREY (late)\n", "shades.csv")))
    with pytest.raises(DataError, match="changed while you looked"):
        commit(documents, seen)
    assert not documents.load().targets


def test_a_match_is_remembered_for_files_with_the_same_headers(documents: Documents, file: Callable[..., Path]) -> None:
    text = "A;B;C\r\nplate-2x4;white;1\r\n"
    assert look(documents, "targets", file(text)).unreadable
    fixed = {"part": "A", "shade": "B", "quantity": "C"}
    commit(documents, look(documents, "targets", file(text), fixed=fixed))
    seen = look(documents, "targets", file("C;A;B\r\n2;arch-1x6x2;white\r\n", "T-08.csv"))
    assert {guess.why for guess in seen.files[0].match.guesses if guess.index >= 0} == {"as last time"}
    assert seen.plan.targets[0].lines[0].quantity == 2


def test_a_file_that_lacks_a_column_cannot_be_skipped_over(documents: Documents, file: Callable[..., Path]) -> None:
    seen = look(documents, "targets", file("Teil;Notiz\r\na;b\r\n"))
    with pytest.raises(DataError, match="lacks a column"):
        commit(documents, seen, skip_bad=True)


def test_several_files_at_once(documents: Documents, file: Callable[..., Path]) -> None:
    first, second = file(LIST), file("Part,Colour,Qty\nplate-2x4,White,3\n", "T-08.csv")
    seen = look(documents, "targets", first, second, first, fixed={"quantity": "Qty"})
    assert [item.path for item in seen.files] == [first, second]
    commit(documents, seen)
    assert {code: target.pieces for code, target in documents.load().targets.items()} == {"T-07": 14, "T-08": 3}
    with pytest.raises(UsageError, match="no column 'Qti'"):
        look(documents, "targets", first, second, fixed={"quantity": "Qti"})


def test_bins_are_written_in_order(documents: Documents, file: Callable[..., Path]) -> None:
    text = "Bin;Colours;Capacity\nB1;white;300\nB2;grey, late;\n"
    commit(documents, look(documents, "bins", file(text, "bins.csv"), defaults={"rest": "SPILL"}))
    now = documents.load()
    assert [box.label for box in now.bins] == ["B1", "B2", "SPILL"]
    assert now.bins[-1] == Bin("SPILL")
    assert set(now.shades) == {"white", "grey, late"}
    assert look(documents, "bins", file(text, "bins.csv")).same


def test_what_is_no_list_is_refused(documents: Documents, tmp_path: Path, file: Callable[..., Path]) -> None:
    with pytest.raises(UsageError, match="parts, shades, targets, bins"):
        look(documents, "boxes", file(LIST))
    with pytest.raises(BenchError):
        documents_of(tmp_path / "none")


def test_a_file_name_that_is_no_code_needs_one_said(documents: Documents, file: Callable[..., Path]) -> None:
    path = file(LIST, "a\u202eb.csv")
    seen = look(documents, "targets", path)
    assert all("Say --target" in error.reason for error in seen.errors)
    assert len(seen.errors) == 2
    assert look(documents, "targets", path, defaults={"target": "T-09"}).plan.new == ("T-09",)
