"""``sortbench which-sets``: what was counted held against the library and the targets, and a list made a target."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest
from cli_bench import call, make_bench

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.library import SetList, Wanted
from sortbench.store.library import save_library

SHAPES = [f"shape {number}" for number in range(60)]


def lists() -> dict[str, SetList]:
    """Twelve sets of twenty shapes each, drawn from sixty."""
    made, draw = {}, random.Random(4)
    for number in range(12):
        names = draw.sample(SHAPES, 20)
        made[f"VW-{number:02}"] = SetList(
            f"VW-{number:02}", f"Set {number}", tuple(Wanted(n, "White", 3) for n in names)
        )
    return made


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """A bench with a library, on which half of one of its sets was counted."""
    folder = make_bench(tmp_path / "bench")
    save_library(folder, lists())
    with Bench.open(folder) as opened:
        for wanted in lists()["VW-04"].lines:
            opened.enter(f"+{wanted.part} white")
            opened.count(Kind(opened.sitting.picture.ledger.records[opened.sitting.history[-1]].cell.part, "white"))
    return folder


def answer(bench: Path, *more: str) -> dict[str, Any]:
    result = call("--bench", bench, "which-sets", "--json", *more)
    assert result.exit_code == 0, result.stderr
    said: dict[str, Any] = json.loads(result.stdout)
    assert (said["format"], said["what"]) == (1, "which-sets")
    return said


def test_the_set_in_the_pile_comes_first_with_its_names_matched_to_the_catalogue(bench: Path) -> None:
    assert call("--bench", bench, "pile", "45").exit_code == 0
    said = answer(bench, "--top", "3")
    first = said["rows"][0]
    assert (first["set"], first["lines_seen"], first["lines"], first["target"]) == ("VW-04", 20, 20, False)
    assert first["chance"] > 0.9 > said["rows"][1]["chance"]
    assert first["complete"]["low"] <= 40 / 60 + 0.3 and first["complete"]["high"] >= 40 / 60
    assert (said["counted"], said["pile"], said["lists"], len(said["rows"])) == (40, 45, 13, 3)
    shown = call("--bench", bench, "which-sets")
    assert "VW-04" in shown.stdout.splitlines()[1] and "40 pieces counted of a pile of 45" in shown.stderr


def test_without_a_pile_the_completeness_is_not_made_up(bench: Path) -> None:
    assert all(each["complete"] is None for each in answer(bench)["rows"])
    assert "sortbench pile" in call("--bench", bench, "which-sets").stderr


def test_pieces_that_were_ordered_say_nothing(bench: Path) -> None:
    before = answer(bench)
    with Bench.open(bench) as opened:
        kind = next(iter(opened.picture.ledger.kinds))
        opened.count(kind, 30, way="parcel O-1/1")
    after = answer(bench)
    assert after["counted"] == before["counted"]
    assert [each["set"] for each in after["rows"]] == [each["set"] for each in before["rows"]]


def test_voided_tallies_count_no_longer(bench: Path) -> None:
    with Bench.open(bench) as opened:
        for rid in list(opened.picture.ledger.records):
            if opened.picture.ledger.holds(rid) and opened.picture.ledger.records[rid].quantity:
                opened.void(rid)
    said = answer(bench)
    assert (said["counted"], said["rows"], said["sought"]) == (0, [], [])
    assert "Nothing was counted yet that any list asks for" in call("--bench", bench, "which-sets").stderr


def test_a_list_is_made_a_target_after_being_asked(bench: Path) -> None:
    asked = call("--bench", bench, "which-sets", "--make-target", "VW-04")
    assert asked.exit_code == 1 and "--yes" in asked.stderr
    made = call("--bench", bench, "which-sets", "--make-target", "VW-04", "--yes")
    assert made.exit_code == 0 and "new target: VW-04 Set 4, 20 lines" in made.stderr
    with Bench.open(bench) as opened:
        target = opened.documents.targets["VW-04"]
        assert [line.quantity for line in target.lines] == [3] * 20
        assert {line.kind.shade for line in target.lines} == {"white"}, "the shade is the catalogue's, not spelled anew"
        assert target.rank > max(each.rank for code, each in opened.documents.targets.items() if code != "VW-04")
    said = answer(bench)
    assert said["lists"] == 13 and said["rows"][0]["target"] is True
    twice = call("--bench", bench, "which-sets", "--make-target", "VW-04", "--yes")
    assert twice.exit_code == 1 and "is there already" in twice.stderr
    nothing = call("--bench", bench, "which-sets", "--make-target", "nope", "--yes")
    assert nothing.exit_code == 1 and "no list 'nope'" in nothing.stderr


def test_a_bench_with_no_lists_says_what_to_do(tmp_path: Path) -> None:
    with Bench.create(tmp_path / "bare"):
        pass
    said = call("--bench", tmp_path / "bare", "which-sets")
    assert said.exit_code == 0 and "sortbench import library" in said.stderr
