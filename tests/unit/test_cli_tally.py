"""Counting from the shell."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sortbench.engine.entry import GRAMMAR
from tests.unit.cli_bench import call, make_bench, rows


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    return make_bench(tmp_path / "b")


def counted(bench: Path) -> dict[tuple[str, str], int]:
    found: dict[tuple[str, str], int] = {}
    for row in rows(call("--bench", bench, "counts", "--json"), "counts"):
        key = (row["part"], row["shade"])
        found[key] = found.get(key, 0) + row["quantity"]
    return found


def test_receipt_says_what_where_and_who_took_it(bench: Path) -> None:
    result = call("--bench", bench, "tally", "plate 2x4 white *12")
    assert result.exit_code == 0
    assert result.stdout.startswith("12 × plate 2x4, white -> B1; Bell Foundry line 1 +12")
    assert "B1 OVERFLOWS" in result.stdout
    assert "12 in all" in result.stdout


def test_what_is_held_stays_until_the_end(bench: Path) -> None:
    result = call("--bench", bench, "tally", ".grey late", "brick *3", "bell", "*2")
    assert result.exit_code == 0, result.stderr
    assert counted(bench) == {("brick-2x4", "grey, late"): 3, ("bell", "grey, late"): 3}


def test_lines_of_standard_input(bench: Path) -> None:
    result = call("--bench", bench, "tally", text=".white\n\n plate *2 \nbrick\n")
    assert result.exit_code == 0, result.stderr
    assert len(result.stdout.splitlines()) == 3
    assert counted(bench) == {("plate-2x4", "white"): 2, ("brick-2x4", "white"): 1}


def test_bad_lines_are_told_by_number_and_the_rest_goes_on(bench: Path) -> None:
    result = call("--bench", bench, "tally", text="plate white\n\nqqqqq\nplate white *-3\nbrick white\n")
    assert result.exit_code == 1
    assert "entry 3: qqqqq" in result.stderr
    assert "entry 4: plate white *-3" in result.stderr
    assert "2 of 4 entries refused, 2 taken" in result.stderr
    assert counted(bench) == {("plate-2x4", "white"): 1, ("brick-2x4", "white"): 1}


def test_strict_stops_at_the_first(bench: Path) -> None:
    result = call("--bench", bench, "tally", "--strict", "plate white", "qqqqq", "brick white")
    assert result.exit_code == 1
    assert counted(bench) == {("plate-2x4", "white"): 1}


def test_equally_good_kinds_are_never_guessed(bench: Path) -> None:
    call("--bench", bench, "add", "part", "hinge-left", "hinge left", "--family", "hinge")
    call("--bench", bench, "add", "part", "hinge-mild", "hinge mild", "--family", "hinge")
    result = call("--bench", bench, "tally", "hinge white")
    assert result.exit_code == 1
    assert "hinge left" in result.stderr
    assert "hinge mild" in result.stderr
    assert counted(bench) == {}
    assert call("--bench", bench, "tally", "--first", "hinge white").exit_code == 0
    assert sum(counted(bench).values()) == 1


def test_writing_up_a_list_counts_nothing(bench: Path) -> None:
    result = call("--bench", bench, "tally", "--target", "T-05", text=".white\nplate *6\nbrick *2\n*2\n")
    assert result.exit_code == 0, result.stderr
    assert counted(bench) == {}
    lines = rows(call("--bench", bench, "targets", "T-05", "--json"), "fills")
    assert [(row["part"], row["shade"], row["quantity"]) for row in lines] == [
        ("plate-2x4", "white", 6),
        ("brick-2x4", "white", 4),
    ]


def test_target_that_is_not_there(bench: Path) -> None:
    result = call("--bench", bench, "tally", "--target", "T-99", "plate white")
    assert result.exit_code == 1
    assert counted(bench) == {}


def test_json(bench: Path) -> None:
    result = call("--bench", bench, "tally", "--json", "plate white *2 !4", ".white", "qqqqq")
    assert result.exit_code == 1
    answer = json.loads(result.stdout)
    assert (answer["format"], answer["what"]) == (1, "receipts")
    receipt, notice, error = answer["rows"]
    assert {key: receipt[key] for key in ("entry", "number", "bin", "part", "shade", "grade", "flaw", "quantity")} == {
        "entry": "plate white *2 !4",
        "number": 1,
        "bin": "B1",
        "part": "plate-2x4",
        "shade": "white",
        "grade": "4",
        "flaw": None,
        "quantity": 2,
    }
    assert receipt["crates"] == [{"target": "T-03", "line": 1, "quantity": 2}]
    assert notice["notice"]
    assert "Nothing is called" in error["error"]


def test_new_part_in_one_gesture(bench: Path) -> None:
    result = call("--bench", bench, "tally", ".white", "+round cap 2x2 *3")
    assert result.exit_code == 0, result.stderr
    assert sum(counted(bench).values()) == 3
    assert "added" in result.stdout


@pytest.mark.parametrize(
    "entry", ["x" * 5000, "plate \x1b[2J", "plate white *0", "plate white *1e9", "@NONE plate white"]
)
def test_hostile_entries_are_refused_harmlessly(bench: Path, entry: str) -> None:
    result = call("--bench", bench, "tally", entry)
    assert result.exit_code == 1
    assert "\x1b" not in result.stderr + result.stdout
    assert max(len(line) for line in result.stderr.splitlines()) < 300
    assert counted(bench) == {}


def test_help_prints_the_grammar() -> None:
    text = " ".join(call("tally", "--help").stdout.split())
    for example, meaning in GRAMMAR:
        assert example in text
        assert meaning in text


def test_a_shade_to_hold_is_not_guessed_among_several(bench: Path) -> None:
    refused = call("--bench", bench, "tally", ".gr", "plate 2x4")
    assert refused.exit_code == 1
    assert "Could be grey, " in refused.stderr
    assert call("--bench", bench, "tally", "--first", ".gr").exit_code == 0
    assert call("--bench", bench, "tally", ".gr e", ".grey late", ".wh", ".").exit_code == 0


def test_a_shade_is_not_guessed_by_the_length_of_its_name(bench: Path) -> None:
    refused = call("--bench", bench, "tally", "plate 2x4 gr")
    assert refused.exit_code == 1
    assert "Could be plate 2x4 in grey, late or plate 2x4 in grey, early" in refused.stderr
    assert counted(bench) == {}
    assert call("--bench", bench, "tally", "--first", "plate 2x4 gr").exit_code == 0


def test_two_parts_of_one_name_are_told_apart_by_their_codes(bench: Path) -> None:
    assert call("--bench", bench, "add", "part", "plate", "plate 2x4", "--family", "plate").exit_code == 0
    refused = call("--bench", bench, "tally", "plate 2x4 grey late")
    assert refused.exit_code == 1
    assert "plate 2x4 in grey, late could be part plate" in refused.stderr
    assert "part plate-2x4" in refused.stderr
