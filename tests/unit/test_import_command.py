"""``sortbench import`` as scripts and people call it: what is shown, asked, written, and the exit code."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sortbench.cli.main import cli
from sortbench.engine.importing.fields import FIELDS
from sortbench.model.catalogue import Part, Shade
from sortbench.store.folder import BenchFolder

LIST = "Teil;Farbe;Menge\nplate 2×4;grey, late;12\n[/;[red]x;2\n"


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BenchFolder:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    return BenchFolder.create(tmp_path / "bench")


@pytest.fixture
def call(bench: BenchFolder) -> Callable[..., Result]:
    def run(*words: str, answer: str = "") -> Result:
        return CliRunner().invoke(cli, ["--bench", str(bench.path), "import", *words], input=answer)

    return run


def on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sortbench.cli.import_.on_terminal", lambda: True)


def test_off_a_terminal_nothing_is_written_without_yes(call: Callable[..., Result], bench: BenchFolder) -> None:
    Path("T-07.csv").write_text(LIST)
    result = call("targets", "T-07.csv")
    assert result.exit_code == 1
    assert "Say --yes" in result.stderr
    assert not bench.documents.load().targets


def test_yes_writes_and_says_what_on_standard_error(call: Callable[..., Result], bench: BenchFolder) -> None:
    Path("T-07.csv").write_text(LIST)
    result = call("targets", "--yes", "--name", "Signal Hut", "T-07.csv")
    assert (result.exit_code, result.stdout) == (0, "")
    for words in ("another word for it: menge", "[/", "[red]x", "grey, late", "New targets (1): T-07", "1 new"):
        assert words in result.stderr
    target = bench.documents.load().targets["T-07"]
    assert (target.name, target.pieces) == ("Signal Hut", 14)


def test_a_list_that_may_name_only_what_is_known_is_refused_line_by_line(
    call: Callable[..., Result], bench: BenchFolder
) -> None:
    with bench.documents.edit() as draft:
        draft.parts["plate-2x4"] = Part("plate-2x4", "plate 2x4", "plate")
        draft.shades["grey, late"] = Shade("grey, late")
    Path("T-07.csv").write_text(
        'part,shade,quantity\nplate 2x4,"grey, late",12\nplate 2x5,grey late,2\nplate-2x4,gold,1\n'
    )
    result = call("targets", "--yes", "--known-only", "T-07.csv")
    told = " ".join(result.stderr.split())
    assert result.exit_code == 1 and not bench.documents.load().targets
    assert "The catalogue has no part 'plate 2x5'. Did you mean plate-2x4?" in told
    assert "The catalogue has no shade 'gold'." in told
    assert "T-07.csv" in told and "3" in told and "4" in told
    assert call("targets", "--yes", "--known-only", "--skip-bad", "T-07.csv").exit_code == 0
    now = bench.documents.load()
    assert (list(now.parts), list(now.shades), now.targets["T-07"].pieces) == (["plate-2x4"], ["grey, late"], 12)


@pytest.mark.parametrize(("answer", "code", "written"), [("y\n", 0, True), ("n\n", 1, False), ("\n", 1, False)])
def test_on_a_terminal_it_asks(
    call: Callable[..., Result],
    bench: BenchFolder,
    monkeypatch: pytest.MonkeyPatch,
    answer: str,
    code: int,
    written: bool,
) -> None:
    on_a_terminal(monkeypatch)
    Path("T-07.csv").write_text(LIST)
    result = call("targets", "T-07.csv", answer=answer)
    assert result.exit_code == code
    assert "Write this to the bench?" in result.stderr
    assert bool(bench.documents.load().targets) == written


@pytest.mark.parametrize("more", [(), ("--yes",), ("--skip-bad", "--yes")])
def test_a_dry_run_writes_nothing(call: Callable[..., Result], bench: BenchFolder, more: tuple[str, ...]) -> None:
    Path("T-07.csv").write_text(LIST)
    before = bench.documents.stamp()
    result = call("targets", "--dry-run", *more, "T-07.csv")
    assert (result.exit_code, bench.documents.stamp()) == (0, before)
    assert "nothing was written" in result.stderr
    assert not (bench.path / "refused").exists()


def test_bad_rows_are_listed_by_file_line_column_value_and_reason(
    call: Callable[..., Result], bench: BenchFolder
) -> None:
    Path("T-07.csv").write_text(LIST + "\x1b[2J;white;1\ntile;white;1e3\n")
    result = call("targets", "--yes", "T-07.csv")
    assert result.exit_code == 1
    assert 'T-07.csv:5  Menge  "1e3"  The quantity is no whole number.' in result.stderr
    assert 'T-07.csv:4  Teil  "\N{REPLACEMENT CHARACTER}[2J"' in result.stderr
    assert "\x1b" not in result.stderr
    assert not bench.documents.load().targets


def test_skipped_rows_go_to_a_file_that_is_named(call: Callable[..., Result], bench: BenchFolder) -> None:
    Path("T-07.csv").write_text(LIST + "tile;white;0\n")
    result = call("targets", "--yes", "--skip-bad", "T-07.csv")
    assert result.exit_code == 0
    refused = bench.path / "refused" / "T-07.csv.refused.csv"
    assert str(refused) in result.stderr
    assert "tile,white,0," in refused.read_text()
    assert bench.documents.load().targets["T-07"].pieces == 14


def test_a_second_time_there_is_nothing_to_do(call: Callable[..., Result], bench: BenchFolder) -> None:
    Path("T-07.csv").write_text(LIST)
    call("targets", "--yes", "T-07.csv")
    before = bench.documents.path.read_bytes()
    for more in ((), ("--yes",)):
        result = call("targets", *more, "T-07.csv")
        assert result.exit_code == 0
        assert "holds all of this already" in result.stderr
    assert bench.documents.path.read_bytes() == before


def test_json_tells_all_of_it(call: Callable[..., Result]) -> None:
    Path("bins.csv").write_text("Bin,Colours,Capacity\nB1,white|grey,300\nB2,tan,-1\n")
    result = call("bins", "--json", "--yes", "--skip-bad", "bins.csv")
    told = json.loads(result.stdout)
    assert (told["format"], told["what"], told["written"], told["same"]) == (1, "bins", True, False)
    assert told["new"] == ["B1", "REST"]
    assert told["create"]["shades"] == [{"name": "white"}, {"name": "grey"}]
    file = told["files"][0]
    assert {column["field"]: column["header"] for column in file["columns"] if column["header"]} == {
        "label": "Bin",
        "shade": "Colours",
        "capacity": "Capacity",
    }
    assert [(error["line"], error["column"], error["value"]) for error in file["errors"]] == [(3, "Capacity", "-1")]
    assert told["refused"][0].endswith("bins.csv.refused.csv")
    assert json.loads(call("bins", "--json", "bins.csv").stdout)["written"] is False


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("targets", "--column", "shade=Farb", "T-07.csv"), "Did you mean 'Farbe'?"),
        (("targets", "--column", "colour=Farbe", "T-07.csv"), "no field 'colour'"),
        (("targets", "--column", "Farbe", "T-07.csv"), "lacks the equals sign"),
        (("targets", "--year", "88", "T-07.csv"), "year"),
        (("targets", "none.csv"), "none.csv"),
        (("targets",), "FILE"),
        (("boxes", "T-07.csv"), "boxes"),
    ],
)
def test_wrong_usage_is_2(call: Callable[..., Result], words: tuple[str, ...], told: str) -> None:
    Path("T-07.csv").write_text(LIST)
    result = call(*words)
    assert result.exit_code == 2
    assert told in result.stderr


def test_no_bench_is_2_and_a_damaged_one_3(call: Callable[..., Result], bench: BenchFolder) -> None:
    Path("T-07.csv").write_text(LIST)
    bench.documents.path.write_text("{")
    assert call("targets", "--yes", "T-07.csv").exit_code == 3
    bench.documents.path.unlink()
    assert call("targets", "--yes", "T-07.csv").exit_code == 2


def test_rubbish_is_1(call: Callable[..., Result]) -> None:
    Path("parts.csv").write_bytes(b"\x89PNG\r\n\x1a\n\0\0")
    result = call("parts", "--yes", "parts.csv")
    assert result.exit_code == 1
    assert "picture" in result.stderr


@pytest.mark.parametrize("what", ["parts", "shades", "targets", "bins", "stand-ins"])
def test_every_command_helps(call: Callable[..., Result], what: str) -> None:
    result = call(what, "--help")
    assert result.exit_code == 0
    for words in ("Examples:", f"sortbench import {what}", "--dry-run", "--skip-bad", "--column", "--json", "--yes"):
        assert words in result.stdout
    told = " ".join(result.stdout.split())
    assert f"Fields for --column: {', '.join(field.name for field in FIELDS[what])}." in told


def test_a_new_target_is_shown_with_the_length_of_its_list(call: Callable[..., Result]) -> None:
    Path("T-07.csv").write_text("part,shade,quantity\nbell,white,2\nplate 2x4,red,12\n")
    assert "New targets (1): T-07, 2 lines, 14 pieces" in call("targets", "--dry-run", "T-07.csv").stderr


def test_a_file_without_headers_is_told_what_it_lacks(call: Callable[..., Result]) -> None:
    Path("T-07.csv").write_text("4,plate 2x4,white\n")
    assert "The first line must name the columns" in call("targets", "--dry-run", "T-07.csv").stderr
