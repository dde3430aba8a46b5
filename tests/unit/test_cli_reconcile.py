"""`sortbench reconcile`, `reserve` and `release`."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from sortbench.bench import Bench
from sortbench.desks.additions import add_part, add_shade, add_target
from sortbench.model.catalogue import Kind, Part, Shade, Years
from sortbench.model.target import Line, Policy, StandIn, Target
from tests.unit.cli_bench import call, make_bench, rows

PLATE, BRICK, CREAM = Kind("plate-2x4", "white"), Kind("brick-2x4", "white"), Kind("plate-2x4", "cream")


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """T-03 (rank 1) asks for 12 plates and a bell, T-07 (rank 3) for 6 plates, or cream ones; 14 plates are there."""
    folder = make_bench(tmp_path / "b")
    with Bench.open(folder) as opened:
        add_shade(opened, Shade("cream", years=Years(1960, 2000)))
        line = Line(PLATE, 6, stand_ins=(StandIn(CREAM, 2),))
        add_target(opened, Target("T-07", "Glasshouse", 1990, 3, (line,), value=40))
    result = call("--bench", folder, "tally", "plate 2x4 white *13 !4", "plate 2x4 white @REST", "plate 2x4 cream *2")
    assert result.exit_code == 0, result.stderr
    return folder


def reconcile(bench: Path, *args: str) -> list[dict[str, Any]]:
    return rows(call("--bench", bench, "reconcile", *args, "--json"), "reconcile")


def present(bench: Path, *args: str) -> dict[str, int]:
    return {row["target"]: row["present"] for row in reconcile(bench, *args)}


def documents(bench: Path) -> bytes:
    return (bench / "bench.json").read_bytes()


def test_how_far_each_target_is(bench: Path) -> None:
    bell, hut, glass = reconcile(bench)
    assert (bell["target"], bell["rank"], bell["quantity"], bell["present"], bell["short"]) == ("T-03", 1, 13, 12, 1)
    assert (hut["target"], hut["quantity"]) == ("T-05", 0)
    assert (glass["present"], glass["to_standard"], glass["stand_ins"], glass["value"]) == (4, 4, 2, 40)
    assert (glass["lines"], glass["complete"], glass["parked"], glass["before"]) == (1, 0, False, None)
    table = call("--bench", bench, "reconcile")
    assert "Bell Foundry" in table.stdout
    assert "16 of 19 pieces; 0 spare" in table.stderr
    assert "What if" not in table.stderr


def test_what_is_spare_is_the_same_in_sum_and_heap_by_heap(bench: Path) -> None:
    call("--bench", bench, "tally", "bell white *3", "plate 2x4 white *9")
    (said,) = re.findall(r"; (\d+) spare", call("--bench", bench, "reconcile").stderr)
    assert int(said) == sum(
        row["quantity"] for row in rows(call("--bench", bench, "reconcile", "--spare", "--json"), "spares")
    )
    assert int(said) > 0


def test_what_coarse_pieces_may_bring_is_told(bench: Path) -> None:
    assert [row["possible"] for row in reconcile(bench)] == [12, 0, 4]
    with Bench.open(bench) as opened:
        opened.hold_shade("white")
        opened.count_coarse("B1", 1)
    assert [row["possible"] for row in reconcile(bench)] == [12, 0, 5]
    assert re.search(r"T-07 +Glasshouse +6 +4 +5 +4 ", call("--bench", bench, "reconcile").stdout)


def test_lines_with_their_pieces_and_where_they_lie(bench: Path) -> None:
    (line,) = rows(call("--bench", bench, "reconcile", "T-07", "--json"), "lines")
    assert (line["target"], line["line"], line["part"], line["shade"]) == ("T-07", 1, "plate-2x4", "white")
    assert (line["quantity"], line["present"], line["short"], line["stand_ins"]) == (6, 4, 2, 2)
    found = [(piece["shade"], piece["grade"], piece["quantity"], piece["cost"]) for piece in line["pieces"]]
    assert found == [("white", "4", 2, 0), ("cream", "5", 2, 2)]
    lies = {"bin": "B1", "target": None, "place": None, "fate": "kept", "quantity": 2}
    assert line["pieces"][0]["places"] == [lies]
    assert line["may_stand_in"] == [{"part": "plate-2x4", "shade": "cream", "cost": 2, "refused": False}]
    assert line["better"][0] == "2 more plate 2x4 in white; or plate 2x4 in cream"


def test_lines_as_a_table(bench: Path) -> None:
    result = call("--bench", bench, "reconcile", "T-07", "T-03")
    assert result.exit_code == 0
    assert re.search(r"T-07 +1 +plate 2x4, white +4/6 +4 +2 +2 × grade 4 from B1\n", result.stdout)
    assert re.search(r"\n +2 × plate 2x4, cream, grade 5 from REST \(stands in, cost 2\)\n", result.stdout)
    assert "what would improve it" in result.stdout
    short = call("--bench", bench, "reconcile", "T-03", "--short")
    assert "bell" in short.stdout
    assert "from B1" not in short.stdout


def test_a_target_that_is_not_there(bench: Path) -> None:
    for args in (["T-99"], ["--rank", "T-99=1"], ["--park", "T-99"], ["--allow", "T-99", "plate white", "plate cream"]):
        result = call("--bench", bench, "reconcile", *args)
        assert (result.exit_code, result.stdout) == (1, "")
        assert "T-03" in result.stderr


def test_spares(bench: Path) -> None:
    call("--bench", bench, "tally", "bell white *3 #bent")
    (spare,) = rows(call("--bench", bench, "reconcile", "--spare", "--json"), "spares")
    assert (spare["part"], spare["grade"], spare["flaw"], spare["quantity"]) == ("bell", "5", "bent", 3)
    assert [(place["bin"], place["quantity"]) for place in spare["places"]] == [("B1", 3)]
    assert "3 pieces that no target needs" in call("--bench", bench, "reconcile", "--spare").stderr
    # What is parked needs nothing.
    parked = rows(call("--bench", bench, "reconcile", "--spare", "--park", "T-03", "--json"), "spares")
    assert sum(row["quantity"] for row in parked) == 3 + 10


@pytest.mark.parametrize(
    ("args", "after"),
    [
        (["--rank", "T-07=1", "--rank", "T-03=2"], {"T-07": 6, "T-03": 10}),
        (["--park", "T-03"], {"T-07": 6, "T-03": 0}),
        (["--refuse", "T-07", "plate 2x4 white", "plate 2x4 cream"], {"T-07": 2, "T-03": 12}),
        (["--policy", "showpiece"], {"T-07": 4, "T-03": 12}),
    ],
    ids=["rank", "park", "refuse", "policy"],
)
def test_what_if_shows_every_target_and_writes_nothing_until_kept(
    bench: Path, args: list[str], after: dict[str, int]
) -> None:
    before, file = present(bench), documents(bench)
    told = {row["target"]: row for row in reconcile(bench, *args)}
    assert {code: told[code]["present"] for code in after} == after
    assert {code: row["before"]["present"] for code, row in told.items()} == before
    result = call("--bench", bench, "reconcile", *args)
    assert "Nothing is written" in result.stderr
    assert documents(bench) == file
    assert present(bench) == before
    kept = call("--bench", bench, "reconcile", *args, "--keep")
    assert kept.exit_code == 0
    assert "kept: " in kept.stderr
    assert documents(bench) != file
    assert {code: present(bench)[code] for code in after} == after
    again = call("--bench", bench, "reconcile", *args)
    assert "All of it is so already." in again.stderr


def test_what_was_kept_is_taken_back_by_the_opposite(bench: Path) -> None:
    before = present(bench)
    there = ["--park", "T-03", "--refuse", "T-07", "plate 2x4 white", "plate 2x4 cream"]
    back = ["--unpark", "T-03", "--allow", "T-07", "plate 2x4 white", "plate 2x4 cream"]
    assert call("--bench", bench, "reconcile", *there, "--keep").exit_code == 0
    assert present(bench) != before
    assert call("--bench", bench, "reconcile", *back, "--keep").exit_code == 0
    assert present(bench) == before


def test_a_change_is_shown_as_before_and_after(bench: Path) -> None:
    result = call("--bench", bench, "reconcile", "--rank", "T-07=1", "--park", "T-03")
    assert re.search(r"3 -> 1 +T-07 +Glasshouse +6 +4 -> 6 +4 -> 6 +2 -> 0 +complete", result.stdout)
    assert re.search(r"12 -> 0 .* parked", result.stdout)
    assert "What if: Glasshouse has rank 1; Bell Foundry is parked." in result.stderr


def test_lines_can_be_asked_with_a_change_as_well(bench: Path) -> None:
    (line,) = rows(call("--bench", bench, "reconcile", "T-07", "--park", "T-03", "--json"), "lines")
    assert (line["present"], line["stand_ins"]) == (6, 0)


def test_the_policy_that_was_kept_is_the_bench_s(bench: Path) -> None:
    call("--bench", bench, "reconcile", "--policy", "showpiece", "--keep")
    with Bench.open(bench) as opened:
        assert opened.policy is Policy.SHOWPIECE


def test_why(bench: Path) -> None:
    result = call("--bench", bench, "reconcile", "--explain", "plate 2x4 white")
    first, *more = result.stdout.splitlines()
    assert first == "14 plate 2x4 in white: 14 on lines, 0 spare."
    assert more[-1] == (
        "- 2 (grade 4) go to Glasshouse, line 1, to standard. If one of them did not go there, Bell Foundry would have "
        "worse pieces: 1 (grade 5) would take its place, and it would go to Bell Foundry, line 1."
    )
    found = rows(call("--bench", bench, "reconcile", "--explain", "plate 2x4 white", "--json"), "reasons")
    assert [(row["target"], row["line"], row["quantity"], row["criterion"]) for row in found] == [
        ("T-03", 1, 1, "quality"),
        ("T-03", 1, 11, "present"),
        ("T-07", 1, 2, "quality"),
    ]
    assert found[0]["instead"] == [{"part": "plate-2x4", "shade": "white", "grade": "4", "flaw": None, "quantity": 1}]
    assert found[0]["elsewhere"] == [{"target": "T-07", "line": 1}]
    assert found[1]["worse"] == {"T-03": 1}
    assert list(found[2]["worse"]) == ["T-03"]
    # With a change, the reasons are those that would hold then.
    parked = rows(
        call("--bench", bench, "reconcile", "--explain", "plate white", "--park", "T-03", "--json"), "reasons"
    )
    assert [row["target"] for row in parked] == ["T-07", "T-07", None]


def test_why_a_kind_that_is_none_or_could_be_two(bench: Path) -> None:
    result = call("--bench", bench, "reconcile", "--explain", "zzz")
    assert (result.exit_code, result.stdout) == (1, "")
    assert "Nothing is called 'zzz'" in result.stderr
    with Bench.open(bench) as opened:
        for code in ("hinge-1x2", "hinge-1x4"):
            add_part(opened, Part(code, code.replace("-", " "), "hinge"))
    tie = call("--bench", bench, "reconcile", "--explain", "hinge white")
    assert tie.exit_code == 1
    assert "Could be" in tie.stderr


def test_the_best_order(bench: Path) -> None:
    pytest.importorskip("highspy")
    call("--bench", bench, "tally", "bell grey late")
    # 18 plates are asked for, and 16 are there: the one or the other can be completed. Only the glasshouse is worth
    # something, so it is taken either way.
    by_count = call("--bench", bench, "reconcile", "--best-order")
    assert "Complete together: Glasshouse (1 of 3). No order does better." in by_count.stderr
    assert "What if: Glasshouse has rank 1; Bell Foundry has rank 2" in by_count.stderr
    # What is asked besides takes part: a parked target is completed by no order.
    parked = call("--bench", bench, "reconcile", "--best-order", "--park", "T-07")
    assert "Complete together: Bell Foundry (1 of 3)" in parked.stderr
    by_value = call("--bench", bench, "reconcile", "--best-order", "--by", "value", "--keep")
    assert "Complete together: Glasshouse (40 in value). No order does better." in by_value.stderr
    assert "No value is told of Bell Foundry, Signal Hut" in by_value.stderr
    assert [row["target"] for row in reconcile(bench) if row["complete"] == row["lines"] > 0] == ["T-07"]


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--keep"], "say what is to change"),
        (["--short"], "name a TARGET"),
        (["--spare", "T-03"], "leave TARGET"),
        (["--explain", "plate", "--spare"], "leave TARGET"),
        (["--rank", "T-03"], "as in T-03=1"),
        (["--rank", "T-03=first"], "as in T-03=1"),
        (["--park", "T-03", "--unpark", "T-03"], "cannot be parked and not"),
        (["--policy", "best"], "complete"),
    ],
)
def test_wrong_usage(bench: Path, args: list[str], words: str) -> None:
    result = call("--bench", bench, "reconcile", *args)
    assert (result.exit_code, result.stdout) == (2, "")
    assert words in result.stderr


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--rank", "T-03=0"], "no rank 0"),
        (["--rank", "T-03=10000"], "no rank 10000"),
        (["--refuse", "T-03", "plate 2x4 white", "plate 2x4 cream"], "does not stand in for"),
        (["--refuse", "T-07", "bell white", "plate 2x4 cream"], "does not ask for"),
    ],
)
def test_a_change_that_cannot_be(bench: Path, args: list[str], words: str) -> None:
    for more in ([], ["--keep"]):
        file = documents(bench)
        result = call("--bench", bench, "reconcile", *args, *more)
        assert (result.exit_code, result.stdout) == (1, "")
        assert words in result.stderr
        assert documents(bench) == file


# Reserve and release


def reserved(bench: Path) -> list[tuple[str, str, str, str | None, int]]:
    found = rows(call("--bench", bench, "reserve", "--json"), "reserved")
    return [(row["target"], row["shade"], row["grade"], row["flaw"], row["quantity"]) for row in found]


def test_pieces_are_set_aside_the_best_first_and_let_go_the_worst_first(bench: Path) -> None:
    result = call("--bench", bench, "reserve", "T-07", "plate 2x4 white *3")
    assert result.exit_code == 0
    assert "1 × plate 2x4 white set aside for Glasshouse" in result.stderr
    assert reserved(bench) == [("T-07", "white", "4", None, 2), ("T-07", "white", "5", None, 1)]
    assert present(bench) == {"T-03": 11, "T-05": 0, "T-07": 5}
    assert call("--bench", bench, "release", "T-07", "plate 2x4 white *2").exit_code == 0
    assert reserved(bench) == [("T-07", "white", "5", None, 1)]
    assert call("--bench", bench, "release", "T-07", "plate 2x4 white").exit_code == 0
    assert reserved(bench) == []


def test_a_grade_that_is_said_is_meant(bench: Path) -> None:
    call("--bench", bench, "reserve", "T-07", "plate 2x4 white *2 !4", "plate 2x4 cream")
    assert reserved(bench) == [("T-07", "cream", "5", None, 1), ("T-07", "white", "4", None, 2)]
    result = call("--bench", bench, "reserve", "T-03", "plate 2x4 white !5 *2")
    assert result.exit_code == 1
    assert "2 of plate 2x4 in white (grade 5) cannot be set aside: 1 are free." in result.stderr
    assert call("--bench", bench, "release", "T-07", "--all").exit_code == 0
    assert reserved(bench) == []


def test_entries_that_are_refused_are_told_and_the_others_hold(bench: Path) -> None:
    result = call(
        "--bench", bench, "reserve", "T-07", "zzz", "plate 2x4 white @B1", ".white", "plate 2x4 white *99", "*3"
    )
    assert result.exit_code == 1
    for words in ("entry 1: zzz", "Leave the bin out", "names no pieces", "14 are free", "5 of 5 entries refused"):
        assert words in result.stderr
    result = call("--bench", bench, "reserve", "T-07", "zzz", "plate 2x4 white", "--json")
    assert result.exit_code == 1
    assert reserved(bench) == [("T-07", "white", "5", None, 1)]


def test_nothing_to_let_go(bench: Path) -> None:
    for args in (["plate 2x4 white"], ["--all"]):
        result = call("--bench", bench, "release", "T-07", *args)
        assert result.exit_code == 1
        assert "set aside for T-07" in result.stderr
    assert call("--bench", bench, "release", "T-07").exit_code == 2
    assert call("--bench", bench, "release", "T-07", "plate", "--all").exit_code == 2
    assert call("--bench", bench, "reserve", "T-99", "plate 2x4 white").exit_code == 1
    assert "Nothing is set aside." in call("--bench", bench, "reserve").stderr


def test_what_is_set_aside_as_a_table(bench: Path) -> None:
    call("--bench", bench, "reserve", "T-07", "plate 2x4 white *2")
    result = call("--bench", bench, "reserve", "T-07")
    assert re.search(r"T-07 +plate 2x4 +white +4 +1", result.stdout)
    assert call("--bench", bench, "reserve", "T-03").stdout == ""
