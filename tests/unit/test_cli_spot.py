"""`sortbench spot` and `sortbench recount`, as people and other programs call them."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Any

import pytest
from cli_bench import call, rows
from small_bench import counted, make_folder, ticking

from sortbench.bench import Bench
from sortbench.model.bins import Bin
from sortbench.store.folder import BenchFolder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Bin B2 holds 40 bricks of grade 5 and 3 of grade 4."""
    path = make_folder(tmp_path / "bench")
    with Bench.open(path, ticking()) as bench:
        for text in ("br 2x4 red *30", "br 2x4 red *10", "br 2x4 red *3 !4"):
            counted(bench, text)
    return path


def run(folder: Path, *words: str, text: str | None = None) -> str:
    """What a call that must succeed says, on both outputs."""
    result = call("--bench", folder, *words, text=text)
    assert result.exit_code == 0, result.stderr
    return result.stdout + result.stderr


def refused(folder: Path, *words: str, code: int = 1) -> str:
    result = call("--bench", folder, *words)
    assert result.exit_code == code, result.stdout + result.stderr
    return result.stderr


def shown(folder: Path, *words: str, what: str) -> dict[str, Any]:
    (found,) = rows(call("--bench", folder, *words, "--json"), what)
    return found


def test_a_plan_and_its_chances(folder: Path) -> None:
    said = run(folder, "spot", "plan", "b2", "--aql", "4")
    assert "43 pieces counted; level II, limit 4.0: code letter D, look at 13, accept with 1 wrong, recount" in said
    found = shown(folder, "spot", "plan", "B2", "--aql", "4", what="plan of a spot check")
    assert (found["sample"], found["accept"], found["whole"]) == (13, 1, False)
    # scipy 1.17: hypergeom.cdf(1, 43, 5, 13)
    five = next(point for point in found["curve"] if point["wrong"] == 5)
    assert five["accepted"] == pytest.approx(0.518151, abs=1e-6)


def test_a_check_from_the_draw_to_the_verdict(folder: Path) -> None:
    drawn = call("--bench", folder, "spot", "draw", "B2", "--aql", "4", "--seed", "7", "--by", "Ann")
    assert drawn.exit_code == 0 and "S1: bin B2" in drawn.stderr and "looked at by Ann, seed 7" in drawn.stderr
    numbers = [int(word) for word in drawn.stdout.split()]
    found = shown(folder, "spot", "show", "s1", what="spot checks")
    assert found["numbers"] == numbers and len(numbers) == 13 and found["standing"] == "not done"
    assert "S1: 11 of 13 looked at, 0 wrong; 2 still" in run(folder, "spot", "note", "S1", "br 2x4 red *10", "*1 !4-5")
    said = run(folder, "spot", "note", "S1", "pl 2x4 red", "--missing", "1")
    assert "wrong kind: 1 × plate 2x4, red\n  not there: 1\n" in said
    assert "2 wrong, more than 1: count B2 again in full." in said
    assert "15.4 % wrong, 95 % interval 1.9 % to 45.4 %" in said  # scipy 1.17: binomtest(2, 13).proportion_ci()
    assert "recount the bin" in run(folder, "spot", "list")
    assert "accepted" in run(folder, "spot", "strike", "S1", "4") + run(folder, "spot", "note", "S1", "br 2x4 red")
    found = shown(folder, "spot", "show", "S1", what="spot checks")
    assert (found["looked"], found["wrong"], found["standing"]) == (13, 1, "accepted")
    assert [find["struck"] for find in found["finds"]] == [False, False, False, True, False]
    said = run(folder, "spot", "note", "S1", "--left-over", "2")
    assert "13 of 13 looked at, 1 wrong, 2 left over, more than 1: count B2 again" in said
    assert shown(folder, "spot", "show", "S1", what="spot checks")["left_over"] == 2
    assert "S1 is struck" in run(folder, "spot", "strike", "S1")


def test_a_scoop_and_a_bin_that_is_looked_at_whole(folder: Path) -> None:
    assert "take 13 pieces out in one blind scoop" in run(folder, "spot", "draw", "B2", "--scoop")
    run(folder, "tally", "tile 2x2 white *2")
    assert "That is every piece." in run(folder, "spot", "draw", "REST")


def test_wrong_use_and_wrong_data(folder: Path) -> None:
    assert "Give an ENTRY, --missing or --left-over" in refused(folder, "spot", "note", "S1", code=2)
    assert "There is no spot check 'S1'" in refused(folder, "spot", "show", "S1")
    assert "Choose one of 0.65, 1.0" in refused(folder, "spot", "plan", "B2", "--aql", "3")
    assert "No bin is labelled" in refused(folder, "spot", "draw", "nowhere")
    refused(folder, "spot", "plan", "B2", "--level", "IV", code=2)
    refused(folder, "spot", "draw", "B2", "--seed", "-1", code=2)
    assert "Give an ENTRY, or --back" in refused(folder, "recount", "note", "R1", code=2)
    assert "There is no recount 'R1'" in refused(folder, "recount", "end", "R1")


def test_a_recount_blind_until_its_end_then_taken_over(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "R1: bin B2." in run(folder, "recount", "begin", "b2", "--by", "Bo")
    assert "R1: 32 pieces noted so far" in run(folder, "recount", "note", "R1", "br 2x4 red *30", "pl 2x4 red *2")
    assert "taken back: 2 × plate 2x4, red, grade 5" in run(folder, "recount", "note", "R1", "--back")
    run(folder, "recount", "note", "R1", "br 2x4 red *9", "br 2x4 red *3 !3")
    blind = shown(folder, "recount", "show", "R1", what="recounts")
    assert (blind["heaps"], blind["ended"], len(blind["noted"])) == ([], None, 3)
    assert "40" not in run(folder, "recount", "show", "R1")
    said = run(folder, "recount", "end", "R1")
    assert "39 pieces agree; 4 counted were not found again, 3 found were not counted, in 3 heaps." in said
    assert "40         39  differ          brick 2x4, red, grade 5  30 + 10?  30 + 9?" in said
    found = shown(folder, "recount", "show", "R1", what="recounts")
    assert [(each["grade"], each["counted"], each["recounted"], each["held"]) for each in found["heaps"]] == [
        ("5", 40, 39, "differ"),
        ("4", 3, 0, "only counted"),
        ("3", 0, 3, "only recounted"),
    ]
    assert "there is no terminal to ask on" in refused(folder, "recount", "take", "R1")
    monkeypatch.setattr("sortbench.cli.recount_note.on_terminal", lambda: True)
    assert call("--bench", folder, "recount", "take", "R1", text="n\n").exit_code == 1
    said = run(folder, "recount", "take", "R1", text="y\n")
    assert "To put right: 7 pieces in 3 heaps." in said
    assert "put right: 10 -> 9 × brick 2x4, red, grade 5" in said and "counted: 3 × brick 2x4, red, grade 3" in said
    counts = rows(call("--bench", folder, "counts", "--json"), "counts")
    assert sorted((each["grade"], each["quantity"]) for each in counts) == [("3", 3), ("5", 39)]
    assert "taken over" in run(folder, "recount", "list")
    assert "taken over already" in refused(folder, "recount", "take", "R1", "--yes")
    run(folder, "check")


def test_counts_that_agree_leave_nothing_to_take_over(folder: Path) -> None:
    run(folder, "recount", "begin", "B2")
    run(folder, "recount", "note", "R1", "br 2x4 red *40", "br 2x4 red *3 !4")
    assert "Both counts agree: 43 pieces." in run(folder, "recount", "end", "R1")
    assert "nothing to take over" in run(folder, "recount", "take", "R1")
    assert "R1 is open again" in run(folder, "recount", "end", "R1", "--back")
    assert "R1 is struck" in run(folder, "recount", "strike", "R1")


def test_the_examples_of_the_readme_do_what_they_say(tmp_path: Path) -> None:
    path = make_folder(tmp_path / "bench")
    with BenchFolder.open(path).documents.edit() as draft:
        draft.bins.insert(0, Bin("B7"))
    with Bench.open(path, ticking()) as bench:
        counted(bench, "pl 2x4 red *40 @B7")
        counted(bench, "ti 2x2 wh !4 *3 @B7")
    block = (Path(__file__).parents[2] / "README.md").read_text("utf-8").split("<!-- checks -->\n```sh\n")[1]
    said = []
    for line in block.split("```")[0].splitlines():
        words = shlex.split(line, comments=True)
        assert words[0] == "sortbench"
        said.append(run(path, *words[1:]))
    assert "look at 8, accept with 0 wrong" in said[0] and "S1: bin B7" in said[1]
    assert "7 of 8 looked at, 0 wrong; 1 still" in said[3]
    assert "42 pieces agree; 1 counted were not found again" in said[6]
    assert "put right: 40 -> 39 × plate 2x4, red, grade 5" in said[7]
