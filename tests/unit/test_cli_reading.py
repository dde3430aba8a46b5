"""Commands that read: tables for people, JSON with the columns of the count sheet for programs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sortbench.model.sheet_tables import table
from tests.unit.cli_bench import call, make_bench, rows


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = make_bench(tmp_path / "b")
    result = call("--bench", folder, "tally", "plate 2x4 white *14 !4", "brick 2x4 grey late #crack *2", "pane white")
    assert result.exit_code == 0, result.stderr
    return folder


@pytest.mark.parametrize(
    ("args", "what"),
    [
        (["counts"], "counts"),
        (["counts", "--spare"], "spares"),
        (["targets"], "targets"),
        (["targets", "T-03"], "fills"),
        (["bins"], "bins"),
        (["log"], "tallies"),
    ],
    ids=str,
)
def test_json_has_the_columns_of_the_count_sheet(bench: Path, args: list[str], what: str) -> None:
    found = rows(call("--bench", bench, *args, "--json"), what)
    assert found
    for row in found:
        assert tuple(row) == table(what).headers


def test_counts(bench: Path) -> None:
    found = rows(call("--bench", bench, "counts", "--json"), "counts")
    assert {(row["bin"], row["part"], row["shade"], row["grade"], row["flaw"], row["quantity"]) for row in found} == {
        ("B1", "plate-2x4", "white", "4", None, 14),
        ("B1", "pane", "white", "5", None, 1),
        ("REST", "brick-2x4", "grey, late", "5", "cracked", 2),
    }
    assert [row["bin"] for row in found] == ["B1", "B1", "REST"]


def test_counts_can_be_narrowed(bench: Path) -> None:
    def quantities(*args: str) -> list[int]:
        return [row["quantity"] for row in rows(call("--bench", bench, "counts", "--json", *args), "counts")]

    assert quantities("--in", "rest") == [2]
    assert quantities("--shade", "white", "--part", "plate-2x4") == [14]
    assert quantities("--shade", "grey, early") == []
    missing = call("--bench", bench, "counts", "--part", "plate-2x5", "--json")
    assert (missing.exit_code, missing.stdout) == (1, "")
    assert "Did you mean 'plate-2x4'?" in missing.stderr
    assert call("--bench", bench, "counts", "--spare", "--shade", "whit").exit_code == 1
    assert call("--bench", bench, "counts", "--in", "B99").exit_code == 1


def test_spare_is_what_no_target_needs(bench: Path) -> None:
    found = rows(call("--bench", bench, "counts", "--spare", "--json"), "spares")
    assert {(row["part"], row["bin"], row["grade"], row["flaw"], row["quantity"]) for row in found} == {
        ("plate-2x4", "B1", "4", None, 2),
        ("brick-2x4", "REST", "5", "cracked", 2),
        ("pane", "B1", "5", None, 1),
    }
    in_bin = rows(call("--bench", bench, "counts", "--spare", "--in", "b1", "--json"), "spares")
    assert [row["part"] for row in in_bin] == ["pane", "plate-2x4"]
    assert "5 pieces that no target needs in 3 heaps" in call("--bench", bench, "counts", "--spare").stderr
    assert "No such pieces." in call("--bench", bench, "counts", "--spare", "--shade", "grey, early").stderr


def test_targets(bench: Path) -> None:
    first, second = rows(call("--bench", bench, "targets", "--json"), "targets")
    assert (first["target"], first["quantity"], first["present"], first["to_standard"], first["short"]) == (
        "T-03",
        13,
        12,
        12,
        1,
    )
    assert (first["lines"], first["complete"]) == (2, 1)
    assert second["target"] == "T-05"
    lines = rows(call("--bench", bench, "targets", "T-03", "--short", "--json"), "fills")
    assert [(row["line"], row["part"], row["short"], row["period"]) for row in lines] == [(2, "bell", 1, "unknown")]


def test_target_that_is_not_there(bench: Path) -> None:
    result = call("--bench", bench, "targets", "T-99")
    assert result.exit_code == 1
    assert "T-03" in result.stderr


def test_bins_mark_what_overflows(bench: Path) -> None:
    result = call("--bench", bench, "bins")
    lines = {line.split()[0]: line for line in result.stdout.splitlines()}
    assert "OVER" in lines["B1"]
    assert "OVER" not in lines["REST"]
    assert "everything else" in lines["REST"]
    over = rows(call("--bench", bench, "bins", "--over", "--json"), "bins")
    assert [(row["bin"], row["order"], row["capacity"], row["quantity"]) for row in over] == [("B1", 1, 10, 15)]


def test_log(bench: Path) -> None:
    found = rows(call("--bench", bench, "log", "--json"), "tallies")
    assert [row["what"] for row in found] == ["open", "tally", "tally", "tally"]
    assert all(row["holds"] for row in found)
    assert len(rows(call("--bench", bench, "log", "--last", "2", "--json"), "tallies")) == 2
    assert rows(call("--bench", bench, "log", "--sitting", "1999", "--json"), "tallies") == []


def test_tables_show_names_as_they_are(bench: Path) -> None:
    result = call("--bench", bench, "counts")
    assert "[red]pane[/" in result.stdout
    assert "17 pieces in 3 heaps" in result.stderr
    assert "17 pieces" not in result.stdout


def test_plain_tables_are_aligned(bench: Path) -> None:
    head, *lines = call("--bench", bench, "counts").stdout.splitlines()
    end = head.index("quantity") + len("quantity")
    assert all(len(line) == end for line in lines)
    assert all(
        line.index(shade) == head.index("shade") for line in lines for shade in ("white", "grey") if shade in line
    )


def test_tables_on_a_narrow_terminal_lose_nothing(
    bench: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from sortbench.cli import output

    monkeypatch.setattr(output.sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setenv("NO_COLOR", "1")
    headings = (output.Heading("part", wide=True), output.Heading("n", number=True))
    output.answer_table(headings, [("[/] " + "wedge " * 12, "12345")], "nothing")
    shown = re.sub(r"\x1b\[[0-9;]*m", "", capsys.readouterr().out)
    assert max(len(line) for line in shown.splitlines()) <= 40
    assert shown.count("wedge") == 12
    assert "[/]" in shown
    assert "12345" in shown


def test_control_sequences_never_reach_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    from sortbench.cli import output, say

    output.answer_table((output.Heading("a"),), [("\x1b[2J\x9b31m\u202e",)], "")
    say.say("\x1b]0;x\x07")
    output.answer_mappings("x", [{"a": "\x1b\x9b\u202e"}])
    shown = capsys.readouterr()
    assert not set("\x1b\x9b\u202e\x07") & set(shown.out + shown.err)


def test_empty_bench_says_what_to_do(tmp_path: Path) -> None:
    call("new", tmp_path / "b")
    for args, says in (
        (["counts"], "Nothing is counted yet."),
        (["targets"], "sortbench import targets"),
        (["bins"], "sortbench add bin"),
        (["log"], "The log is empty."),
    ):
        result = call("--bench", tmp_path / "b", *args)
        assert result.exit_code == 0
        assert result.stdout == ""
        assert says in result.stderr


def test_pile(bench: Path) -> None:
    assert call("--bench", bench, "pile").stdout == ""
    assert call("--bench", bench, "pile", "100").exit_code == 0
    result = call("--bench", bench, "pile")
    assert result.stdout.strip() == "100"
    assert "17 counted, 83 left" in result.stderr
    assert rows(call("--bench", bench, "pile", "--json"), "pile") == [
        {"quantity": 100, "low": 100, "high": 100, "counted": 17}
    ]
    assert call("--bench", bench, "pile", "0").exit_code == 1
    assert call("--bench", bench, "pile", "--forget").exit_code == 0
    assert call("--bench", bench, "pile").stdout == ""
    assert call("--bench", bench, "pile", "5", "--forget").exit_code == 2


def test_targets_say_why_pieces_that_are_there_are_not_to_standard(tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "years")
    assert "years" not in call("--bench", folder, "targets").stderr
    assert call("--bench", folder, "tally", "bell grey late").exit_code == 0
    for args in (["targets"], ["targets", "T-03"]):
        assert "1 of them not to standard because years are not known" in call("--bench", folder, *args).stderr
    assert "years" not in call("--bench", folder, "targets", "T-05").stderr


def test_a_log_without_such_a_sitting_is_not_called_empty(bench: Path) -> None:
    assert "No sitting's name starts so" in call("--bench", bench, "log", "--sitting", "1999").stderr
