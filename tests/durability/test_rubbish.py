"""Rubbish in: refused with a reason or taken; no crash, no hang, no control sequence, no write outside the bench."""

from __future__ import annotations

import os
import re
import shutil
import time
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path

import nasty
import pytest
from click.testing import CliRunner, Result
from hypothesis import example, given, settings
from hypothesis import strategies as st
from small_bench import make_folder, ticking

from sortbench.bench import Bench
from sortbench.cli.context import Session
from sortbench.cli.main import cli
from sortbench.desks import intake
from sortbench.desks.sheet_desk import export
from sortbench.desks.sheet_intake import preview_sheet, take_in
from sortbench.engine.importing.fields import FIELDS
from sortbench.model.errors import BenchError, DataError, SortbenchError
from sortbench.papers.own_files import kept_folder
from sortbench.store.documents import Documents
from sortbench.store.folder import BenchFolder, Severity
from sortbench.store.log_reading import read_log

LISTS = list(nasty.lists())


def call(*args: str | Path) -> Result:
    """Run a command line in this process."""
    return CliRunner().invoke(cli, [str(arg) for arg in args], obj=Session(), prog_name="sortbench")


def steers(text: str) -> list[str]:
    """Characters that steer a terminal, or turn or hide what stands beside them."""
    return [char for char in text if char not in "\n" and unicodedata.category(char) in {"Cc", "Zl", "Zp", "Cs"}] + [
        char for char in text if char in "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    ]


def around(folder: Path, but: Path) -> dict[Path, bytes]:
    """Every file around a bench, with its content; nothing of it may change."""
    return {
        path: path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.is_symlink() and but not in path.parents
    }


@pytest.fixture(scope="module")
def workplace(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder that is also the current one, with a bench in it; what is written there by mistake is seen."""
    folder = tmp_path_factory.mktemp("workplace")
    make_folder(folder / "bench")
    before = Path.cwd()
    os.chdir(folder)
    yield folder
    os.chdir(before)


def cost(act: Callable[[], object]) -> float:
    """Seconds of processor time."""
    begun = time.process_time()
    act()
    return time.process_time() - begun


def test_there_are_more_than_two_hundred_nasty_files() -> None:
    assert len({content for _, content in LISTS}) > 200


@pytest.mark.parametrize("what", FIELDS)
def test_nasty_lists_are_refused_or_taken_and_shown_without_harm(workplace: Path, what: str) -> None:
    """By the command line, looked at and taken with what is good of it."""
    bench = workplace / "bench"
    shutil.rmtree(bench)
    make_folder(bench)
    path = workplace / "list.csv"
    plain = (nasty.HEADER + "\n" + (nasty.ROW + "\n") * 2_000).encode()
    path.write_bytes(plain)
    reference = cost(lambda: call("--bench", bench, "import", what, "--dry-run", path)) / len(plain)
    ends = set()
    turn = list(FIELDS).index(what)
    for name, content in LISTS[turn % 3 :: 3]:  # each file is brought in as two or three sorts of list
        path.write_bytes(content)
        before = around(workplace, bench)
        begun = time.process_time()
        done = call("--bench", bench, "import", what, "--yes", "--skip-bad", path)
        spent = time.process_time() - begun
        assert done.exit_code in (0, 1, 2), (name, done.output, done.exception)
        assert not steers(done.stdout + done.stderr), (name, done.output)
        assert "Traceback" not in done.output, name
        assert around(workplace, bench) == before, name
        # An honest list costs so much a byte; a nasty one may cost more, but not without bound.
        assert spent < 2.0 + 40 * reference * len(content), (name, spent, reference)
        ends.add(done.exit_code)
    assert ends == {0, 1}
    assert [found for found in BenchFolder(bench).check() if found.severity is Severity.DAMAGE] == []
    inside = {path.relative_to(bench).parts[0] for path in bench.rglob("*")}
    assert inside <= {"bench.json", "tallies", "refused", "library", ".bench.lock", ".library.lock"}


def test_nasty_logs_are_refused_with_a_reason_or_read(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "bench")
    with Bench.open(folder, ticking()) as bench:
        bench.enter("pl24 re *3")
        bench.enter("br24 re *2")
    (log,) = (folder / "tallies").glob("*.jsonl")
    good = log.read_bytes()
    mine = list(nasty.logs(log.stem, good))
    for name, content in [*mine[: len(LISTS) : 3], *mine[len(LISTS) - 3 :]]:  # the last ones are made for logs
        log.write_bytes(content)
        try:
            read_log(log)
        except BenchError as error:
            assert str(log) in error.message, name
            assert not steers(error.message), (name, error.message)
            damaged = True
        else:
            damaged = False
        findings = BenchFolder(folder).check()
        assert damaged is any(found.severity is Severity.DAMAGE for found in findings), name
        assert not steers(" ".join(found.what for found in findings)), name
        BenchFolder(folder).repair()
        with Bench.open(folder, ticking()) as bench:  # what is left after a repair can be worked on
            bench.enter("ti22 wh")
            assert bench.bin_rows() and bench.target_rows() and bench.log_rows()
        for path in (folder / "tallies").iterdir():
            path.unlink()


def test_nasty_documents_are_refused_with_a_reason_or_read(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "bench")
    path = folder / "bench.json"
    good = path.read_bytes()
    for name, content in nasty.documents(good):
        path.write_bytes(content)
        try:
            Documents(path).load()
        except BenchError as error:
            assert str(path) in error.message, name
            shown = call("--bench", folder, "targets")
            assert shown.exit_code == 3, (name, shown.output, shown.exception)
            assert not steers(shown.stdout + shown.stderr), (name, shown.stderr)
        else:
            with Bench.open(folder, ticking()) as bench:
                assert bench.policy and bench.pad.view() and bench.bin_rows() is not None, name
                assert bench.pile is None or isinstance(bench.pile, int), name
        assert path.read_bytes() == content, f"{name}: reading changed it"


def test_nasty_descriptions_of_a_count_sheet_are_refused_or_read(tmp_path: Path) -> None:
    first, second = make_folder(tmp_path / "first"), make_folder(tmp_path / "second")
    with Bench.open(first, ticking()) as bench:
        bench.enter("pl24 re *3")
        export(bench, tmp_path / "sheet")
    described = tmp_path / "sheet" / "datapackage.json"
    good = described.read_bytes()
    with Bench.open(second, ticking()) as bench:
        for changed in (False, True):
            for name, content in nasty.descriptors(good):
                described.write_bytes(content)
                try:
                    preview_sheet(bench, tmp_path / "sheet", changed=changed)
                except DataError as error:
                    assert not steers(error.message), name
        described.write_bytes(good)
        for table in sorted((tmp_path / "sheet").glob("*.csv")):
            kept = table.read_bytes()
            for name, content in LISTS[::12]:
                table.write_bytes(content)
                try:
                    take_in(bench, preview_sheet(bench, tmp_path / "sheet", changed=True))
                except SortbenchError as error:
                    assert not steers(error.message), (table.name, name)
            table.write_bytes(kept)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["first", "second", "sheet"]


LINES = st.text(max_size=60) | st.text("*!#@.+-123x ABcrakpl24re[]/\x00\x1b\u202e\ud7ff", max_size=40)


@pytest.fixture(scope="module")
def open_bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    with Bench.open(make_folder(tmp_path_factory.mktemp("entry") / "bench"), ticking()) as bench:
        yield bench


@settings(max_examples=200, deadline=None)
@example(["+" + "x" * 300 + " red"])
@example(["+[/ red", "[/ re"])
@example(["pl24 re *99999", "*99999", "pl24 re *" + "9" * 5_000])
@example(["pl24 re @B1 @B1", "@", "#", "!", "*", ".", "+", ".!", ".@", ".#"])
@given(st.lists(LINES, max_size=5))
def test_whatever_is_typed_is_answered_in_words(open_bench: Bench, typed: list[str]) -> None:
    for line in typed:
        try:
            answer = str(open_bench.enter(line))
        except SortbenchError as error:
            answer = str(error)
        # Inner text of values is repr'd by str() of a tuple; what a person reads must not steer.
        assert not steers(answer), (line, answer)
        assert not re.search("Traceback", answer)


def test_no_list_is_read_or_written_through_a_trick(workplace: Path, tmp_path: Path) -> None:
    """Links, folders and devices in the place of files, and paths that lead out of an export."""
    bench = workplace / "bench"
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "precious.csv").write_text("mine")
    for path in (tmp_path, Path("/dev/null"), tmp_path / "none.csv", Path("x\0y.csv")):
        with pytest.raises(SortbenchError):
            intake.preview(Documents(bench / "bench.json"), "parts", [path])
    (bench / "refused").is_dir() and shutil.rmtree(bench / "refused")
    (bench / "refused").symlink_to(outside)
    bad = tmp_path / "bad.csv"
    bad.write_text("code,name\n,x\nodd-1,odd\n")
    done = call("--bench", bench, "import", "parts", "--yes", "--skip-bad", bad)
    assert done.exit_code == 3 and "link" in done.stderr
    (bench / "refused").unlink()
    for name in ("orders", "records", "reports", "statements"):
        shutil.rmtree(bench / name, ignore_errors=True)
        (bench / name).symlink_to(outside)
        with pytest.raises(SortbenchError, match="link"):
            kept_folder(bench, name)
        (bench / name).unlink()
    (tmp_path / "sheet").symlink_to(outside)
    with Bench.open(bench, ticking()) as opened:
        with pytest.raises(SortbenchError):
            export(opened, tmp_path / "sheet")
        (tmp_path / "half").mkdir()
        (tmp_path / "half" / "counts.csv").symlink_to(outside / "precious.csv")
        with pytest.raises(SortbenchError):
            export(opened, tmp_path / "half", overwrite=True)
    assert {path.name: path.read_text() for path in outside.iterdir()} == {"precious.csv": "mine"}
