"""`sortbench wash`: the pull list, batches noted and struck, the scrub list, and what each says in JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from sortbench.bench import Bench
from sortbench.desks.additions import add_part
from sortbench.model.catalogue import Care, Kind, Part
from sortbench.model.grade import Grade
from sortbench.model.tally import Fate
from tests.unit.cli_bench import call, make_bench, rows

NINE = "2026-03-04T09:00:00Z"
PLATE = Kind("plate-2x4", "white")


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    return make_bench(tmp_path / "b")


def entries(bench: Path, code: str = "W1") -> list[tuple[Any, ...]]:
    return [
        (row["number"], row["at"][11:16], row["what"], row["net_g"], row["struck"])
        for row in rows(call("--bench", bench, "wash", "show", code, "--json"), "batch entries")
    ]


def note(bench: Path, *args: str) -> str:
    result = call("--bench", bench, "wash", *args)
    assert result.exit_code == 0, result.stderr
    assert result.stdout == ""
    return result.stderr


def test_a_batch_noted_after_the_fact(bench: Path) -> None:
    said = note(bench, "new", "whites", "--soak", "2", "--step", "0.1", "--at", NINE)
    assert said.startswith("W1: soak from 2026-03-04 ")
    assert "softening point (ASTM D1525)" in said and "common practice, no source" in said
    note(bench, "stir", "w1", "--at", "2026-03-04T09:20:00Z")
    note(bench, "stage", "W1", "drying", "--at", "2026-03-04T11:10:00Z")
    note(bench, "tray", "W1", "400")
    assert "feel or weigh" not in note(bench, "weigh", "W1", "960.5", "--at", "2026-03-04T11:10:00Z")
    note(bench, "strike", "W1", "2")
    assert entries(bench) == [
        (1, "09:00", "soak", None, False),
        (2, "09:20", "stirred", None, True),
        (3, "11:10", "drying", None, False),
        (4, "11:10", "960.5 g", 560.5, False),
    ]
    note(bench, "strike", "W1", "2", "--back")
    assert not any(row[4] for row in entries(bench))
    shown = call("--bench", bench, "wash", "show", "W1")
    assert [line.split()[0] for line in shown.stdout.splitlines()] == ["no.", "1", "2", "3", "4"]
    assert "the tray: 560.5 g of pieces" in shown.stderr and "To mind" in shown.stderr


def test_what_is_due(bench: Path) -> None:
    assert "Nothing is due" in call("--bench", bench, "wash", "due").stderr
    note(bench, "new", "whites", "--at", "-25")
    note(bench, "new", "greys", "--at", "-3:00")
    note(bench, "stage", "W2", "dry")
    found = rows(call("--bench", bench, "wash", "due", "--json"), "batches")
    assert [(row["batch"], row["stage"], row["urgency"]) for row in found] == [("W1", "soak", "now")]
    assert found[0]["due"].startswith("stir now")
    assert call("--bench", bench, "wash", "due").stdout.splitlines()[1].startswith("W1     whites  soak   stir now")
    everything = rows(call("--bench", bench, "wash", "show", "--json"), "batches")
    assert [row["batch"] for row in everything] == ["W1", "W2"]


def test_a_batch_is_changed(bench: Path) -> None:
    note(bench, "new", "--at", "-5")
    assert call("--bench", bench, "wash", "set", "W1").exit_code == 2
    note(bench, "set", "W1", "--name", "greys", "--stir", "4", "--temp", "19", "--humidity", "55")
    assert rows(call("--bench", bench, "wash", "due", "--json"), "batches")[0]["due"].startswith("stir now")


@pytest.mark.parametrize(
    ("args", "code", "why"),
    [
        (("stage", "W9", "dry"), 1, "No batch has the code 'W9'"),
        (("stage", "W1", "boil"), 2, "'boil'"),
        (("stage", "W1", "soak"), 1, "already"),
        (("stage", "W1", "rinse", "--at", "tomorrow"), 1, "is no time"),
        (("weigh", "W1", "heavy"), 2, "'heavy'"),
        (("weigh", "W1", "500"), 1, "not drying yet"),
        (("strike", "W1", "7"), 1, "no entry 7"),
        (("strike", "W1", "--back"), 2, "Name the number"),
        (("set", "W1", "--soak", "99"), 1, "A soak of 99 h"),
        (("dry-when", "--change", "0.1"), 2, "both --change and --hours"),
        (("dry-when", "soon"), 1, "is no criterion"),
        (("pull", "T-99"), 1, "T-99"),
        (("pull", "T-03", "--counted"), 2, "not both"),
        (("scrubbed", "plate 2x4 white"), 1, "0 of plate 2x4 in white wait"),
    ],
)
def test_what_cannot_be_is_told(bench: Path, args: tuple[str, ...], code: int, why: str) -> None:
    note(bench, "new", "--at", "-1:00")
    result = call("--bench", bench, "wash", *args)
    assert (result.exit_code, why in result.stderr) == (code, True), result.stderr


def test_the_pull_list(bench: Path) -> None:
    with Bench.open(bench) as opened:
        add_part(opened, Part("torso", "torso", "figure", mass_g=1.0, care=(Care.PRINT,)))
        opened.enter("torso white *3")
        opened.enter("[red]pane white *2")
    nothing = call("--bench", bench, "wash", "pull")
    assert nothing.stdout == "" and "0 stay out, 0 need a hand after the tub, 13 simply go in" in nothing.stderr
    assert "mask" in nothing.stderr
    found = rows(call("--bench", bench, "wash", "pull", "--counted", "--json"), "pull")
    assert [(row["part"], row["in_tub"], row["quantity"], row["shades"]) for row in found] == [
        ("torso", False, 3, {"white": 3})
    ]
    assert (found[0]["reasons"], found[0]["source"]) == (["figure"], "common practice, no source")
    small = call("--bench", bench, "wash", "pull", "T-03", "--small", "1.5")
    assert [line.split() for line in small.stdout.splitlines()[1:2]] == [
        ["NO", "12", "plate", "2x4", "white", "12", "very", "small", "(1", "g)"]
    ]
    # The figure is kept for the next time.
    assert rows(call("--bench", bench, "wash", "pull", "--json"), "pull")[0]["part"] == "plate-2x4"


def test_the_criterion(bench: Path) -> None:
    def chosen() -> list[str]:
        return [
            row["code"]
            for row in rows(call("--bench", bench, "wash", "dry-when", "--json"), "criteria")
            if row["chosen"]
        ]

    assert chosen() == ["24h-0.1"]
    note(bench, "dry-when", "4h-0.2")
    assert chosen() == ["4h-0.2"]
    assert "set by you" in note(bench, "dry-when", "--change", "0.5", "--hours", "3")
    assert chosen() == ["own"]
    assert "from memory" in call("--bench", bench, "wash", "dry-when").stdout


def test_the_scrub_list(bench: Path) -> None:
    assert "Nothing waits" in call("--bench", bench, "wash", "scrub").stderr
    with Bench.open(bench) as opened:
        for grade in (Grade.G3, Grade.G4, Grade.G4):
            opened.count(PLATE, 1, grade)
            opened.put_aside(Fate.WASH)
        opened.count(PLATE, 5)
    listed = rows(call("--bench", bench, "wash", "scrub", "--json"), "scrub")
    assert [(row["grade"], row["quantity"], row["in_tub"], row["targets"]) for row in listed] == [
        ("4", 2, True, {"T-03": 2}),
        ("3", 1, True, {"T-03": 1}),
    ]
    refused = call("--bench", bench, "wash", "scrubbed", "plate 2x4 white *4")
    assert refused.exit_code == 1 and "3 of plate 2x4 in white wait for a wash, not 4" in refused.stderr
    note(bench, "scrubbed", "plate 2x4 white !3", "--grade", "5")
    note(bench, "scrubbed", "plate 2x4 white *1")
    left = rows(call("--bench", bench, "wash", "scrub", "--json"), "scrub")
    assert [(row["grade"], row["quantity"]) for row in left] == [("4", 1)]
    counts = rows(call("--bench", bench, "counts", "--json"), "counts")
    assert {(row["grade"], row["fate"]): row["quantity"] for row in counts} == {
        ("5", "kept"): 6,
        ("4", "kept"): 1,
        ("4", "to wash"): 1,
    }
    assert "1 piece waits for a wash" in call("--bench", bench, "wash", "scrub").stderr


def test_json_has_no_words_around_it(bench: Path) -> None:
    note(bench, "new", "[/red]", "--at", "-1")
    for args in (("due",), ("show",), ("show", "W1"), ("pull",), ("scrub",), ("dry-when",)):
        result = call("--bench", bench, "wash", *args, "--json")
        assert (result.stderr, json.loads(result.stdout)["format"]) == ("", 1)
