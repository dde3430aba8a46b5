"""Rules about stand-ins: what a row can mean, what leads back in a circle, and what changes on a bench."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from sortbench.cli.main import cli
from sortbench.engine.importing.intake_plan import State
from sortbench.engine.importing.intake_rows import work_out
from sortbench.model.catalogue import Part, Shade
from sortbench.model.target import Swap, SwapOf
from sortbench.store.folder import BenchFolder
from tests.unit.intake_sheets import complaints, plan_of, sheet

PARTS = (
    Part("hinge-a", "hinge, early", "hinge"),
    Part("hinge-b", "hinge, late", "hinge", ("hinge with ribs",)),
    Part("hinge-c", "hinge, last", "hinge"),
    Part("tile-1x1", "tile 1x1", "tile"),
)
SHADES = (Shade("grey, early"), Shade("grey, late", aliases=("cool grey",)), Shade("white"))
KNOWN = State({part.code: part for part in PARTS}, {shade.name: shade for shade in SHADES})
B_FOR_A = Swap(SwapOf.PART, "hinge-a", "hinge-b")
LATE_FOR_EARLY = Swap(SwapOf.SHADE, "grey, early", "grey, late", 2)
PART_HEADER = "part;stand-in part;cost"


def known_with(*swaps: Swap) -> State:
    return State(KNOWN.parts, KNOWN.shades, swaps={swap.key: swap for swap in swaps})


def test_rules_of_parts_and_of_shades_in_one_list() -> None:
    plan = plan_of(
        "stand-ins",
        "part;stand-in part;shade;stand-in shade;cost",
        "hinge-a;hinge-b;;;",
        ";;Grey (early);cool grey;2",
        state=KNOWN,
    )
    assert (plan.errors, plan.swaps) == ((), (B_FOR_A, LATE_FOR_EARLY))
    assert plan.new == ("hinge-b for hinge-a", "grey, late for grey, early")


@pytest.mark.parametrize(
    ("header", "row", "swap"),
    [
        ("Part;Substitute", "hinge, early;HINGE B", B_FOR_A),
        ("Teil;Ersatz;Kosten", "hinge-a;hinge with ribs;1", B_FOR_A),
        ("pièce;remplacement;coût", "hinge-a;hinge-b;", B_FOR_A),
        ("Stand-in colour;Colour;Cost", "grey, late;grey, early;2", LATE_FOR_EARLY),
        ("earlier shade;later shade;penalty", "grey-early;grey-late;2", LATE_FOR_EARLY),
        ("wanted prat;stand in prat", "hinge-a;hinge-b", B_FOR_A),
    ],
)
def test_columns_are_found_by_what_people_call_them(header: str, row: str, swap: Swap) -> None:
    assert plan_of("stand-ins", header, row, state=KNOWN).swaps == (swap,)


@pytest.mark.parametrize(
    ("row", "column", "value", "reason"),
    [
        ("hinge-a;hinge, early;;;1", "stand-in part", "hinge, early", "A part cannot stand in for itself."),
        (";;white;White;1", "stand-in shade", "White", "A shade cannot stand in for itself."),
        ("hinge-a;hinge-x;;;1", "stand-in part", "hinge-x", "has no part of that name. Did you mean hinge-"),
        ("hinge-a;hinge wiht ribs;;;1", "stand-in part", "hinge wiht ribs", "Did you mean hinge-b?"),
        ("qqqq;hinge-a;;;1", "part", "qqqq", "has no part of that name. Bring in the parts first."),
        (";;gray, early;white;1", "shade", "gray, early", "has no shade of that name. Did you mean grey, early?"),
        (";;;;3", "shade", "", "neither a part and its stand-in nor a shade"),
        ("hinge-a;hinge-b;white;grey, late;1", "shade", "white", "parts and shades. Write a rule for each"),
        ("hinge-a;;;grey, late;1", "shade", "", "parts and shades"),
        ("hinge-a;;;;1", "stand-in part", "", "The cell is empty"),
        (";hinge-b;;;1", "part", "", "The cell is empty"),
        ("hinge-a;hinge-b;;;0", "cost", "0", "runs from 1 to 9"),
        ("hinge-a;hinge-b;;;10", "cost", "10", "runs from 1 to 9"),
        ("hinge-a;hinge-b;;;high", "cost", "high", "no whole number"),
        ("hinge-a;hinge\x1b;;;1", "stand-in part", "hinge\x1b", "does not print"),
        ("hinge;hinge-b;;;1", "part", "hinge", "has no part of that name"),
    ],
)
def test_rows_that_cannot_be_meant(row: str, column: str, value: str, reason: str) -> None:
    header = "part;stand-in part;shade;stand-in shade;cost"
    plan = plan_of("stand-ins", header, "hinge-b;hinge-c;;;1", row, state=KNOWN)
    (error,) = plan.errors
    assert (error.file, error.line, error.column, error.value) == ("T-07.csv", 3, column, value)
    assert reason in error.reason
    assert plan.swaps == (Swap(SwapOf.PART, "hinge-b", "hinge-c"),)


def test_a_name_that_several_parts_go_by_is_not_guessed() -> None:
    twins = State({code: Part(code, "small hinge", "hinge") for code in ("p1", "p2")}, {})
    plan = plan_of("stand-ins", PART_HEADER, "p1;small hinge;1", state=twins)
    assert "p1, p2" in plan.errors[0].reason


def test_a_pair_given_twice() -> None:
    plan = plan_of("stand-ins", PART_HEADER, "hinge-a;hinge-b;", "hinge-a;hinge-b;1", "hinge-a;hinge-b;2", state=KNOWN)
    assert complaints(plan) == [(4, "cost", "2")]
    assert "T-07.csv:2 says 1 for the same two" in plan.errors[0].reason
    assert [note for note in plan.notes if "says the same" in note] == [
        "T-07.csv:3 says the same as T-07.csv:2 and is passed over."
    ]
    assert plan.swaps == (B_FOR_A,)


# Circles


def test_two_parts_that_stand_in_for_each_other_are_a_circle() -> None:
    plan = plan_of("stand-ins", PART_HEADER, "hinge-a;hinge-b;", "hinge-b;hinge-a;", state=KNOWN)
    assert complaints(plan) == [(3, "stand-in part", "hinge-a")]
    assert (
        "hinge-b stands in for hinge-a (T-07.csv:2), hinge-a stands in for hinge-b (this row)" in plan.errors[0].reason
    )


def test_a_longer_circle_names_every_rule_of_it() -> None:
    first = sheet("stand-ins", "part,stand-in part", "tile-1x1,hinge-c", "hinge-a,hinge-b", file="a.csv")
    second = sheet("stand-ins", "part,stand-in part", "hinge-b,hinge-c", "hinge-c,hinge-a", file="b.csv")
    plan = work_out("stand-ins", [first, second], KNOWN, {})
    (error,) = plan.errors
    assert (error.file, error.line) == ("b.csv", 3)
    words = (
        "hinge-b stands in for hinge-a (a.csv:3), hinge-c stands in for hinge-b (b.csv:2), "
        "hinge-a stands in for hinge-c (this row)"
    )
    assert words in error.reason
    assert plan.swaps is not None and len(plan.swaps) == 3


def test_a_circle_with_a_rule_that_the_bench_has() -> None:
    plan = plan_of("stand-ins", PART_HEADER, "hinge-b;hinge-a;", state=known_with(B_FOR_A))
    assert complaints(plan) == [(2, "stand-in part", "hinge-a")]
    assert "hinge-b stands in for hinge-a (which the bench has)" in plan.errors[0].reason
    assert plan.same
    replaced = plan_of("stand-ins", PART_HEADER, "hinge-b;hinge-a;", state=known_with(B_FOR_A), replace="yes")
    assert (replaced.errors, replaced.swaps) == ((), (Swap(SwapOf.PART, "hinge-b", "hinge-a"),))


def test_a_chain_is_no_circle_and_parts_and_shades_do_not_mix() -> None:
    parts = {name: Part(name, name) for name in ("x", "y", "z")}
    state = State(parts, {name: Shade(name) for name in parts})
    header = "part;stand-in part;shade;stand-in shade"
    plan = plan_of("stand-ins", header, "x;y;;", "y;z;;", "x;z;;", ";;y;x", state=state)
    assert plan.errors == ()
    assert plan.swaps is not None and len(plan.swaps) == 4


# What a bench holds


def test_the_same_list_again_changes_nothing_and_another_shows_the_difference() -> None:
    state = known_with(LATE_FOR_EARLY, B_FOR_A)
    again = plan_of("stand-ins", PART_HEADER, "hinge-a;hinge-b;1", state=state)
    assert (again.same, again.unchanged, again.removed) == (True, ("hinge-b for hinge-a",), ())
    plan = plan_of("stand-ins", PART_HEADER, "hinge-a;hinge-b;4", "hinge-a;hinge-c;", state=state)
    (change,) = plan.changed
    assert [(change.key, f.field, f.old, f.new) for f in change.fields] == [("hinge-b for hinge-a", "cost", "1", "4")]
    assert plan.new == ("hinge-c for hinge-a",)
    assert plan.swaps == (LATE_FOR_EARLY, B_FOR_A._replace(cost=4), Swap(SwapOf.PART, "hinge-a", "hinge-c"))


def test_replacing_takes_the_others_off_the_list() -> None:
    plan = plan_of(
        "stand-ins", PART_HEADER, "hinge-a;hinge-b;1", state=known_with(LATE_FOR_EARLY, B_FOR_A), replace="yes"
    )
    assert (plan.removed, plan.swaps) == (("grey, late for grey, early",), (B_FOR_A,))
    assert plan_of("stand-ins", PART_HEADER, "hinge-a;hinge-b;1", state=known_with(B_FOR_A), replace="yes").same


def test_a_list_without_a_pair_of_columns_is_told_once() -> None:
    plan = plan_of("stand-ins", "part;cost", "hinge-a;1", "hinge-b;2", state=KNOWN)
    assert complaints(plan) == [(1, "", "part, cost")]
    assert plan.errors[0].also == (2, 3)
    assert "--column stand_in_part=HEADER" in plan.errors[0].reason


# The command


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BenchFolder:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    folder = BenchFolder.create(tmp_path / "bench")
    with folder.documents.edit() as draft:
        draft.parts.update(KNOWN.parts)
        draft.shades.update(KNOWN.shades)
    return folder


def call(*words: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(cli, ["--bench", "bench", "import", "stand-ins", *words])
    return result.exit_code, result.stdout, result.stderr


def test_the_command_writes_shows_remembers_and_writes_no_more(bench: BenchFolder) -> None:
    Path("rules.csv").write_text("A;B;C\nhinge-a;hinge-b;1\nhinge-a;hinge-c;3\n")
    columns = ("--column", "part=A", "--column", "stand_in_part=B", "--column", "cost=C")
    code, _, told = call(*columns, "--dry-run", "rules.csv")
    assert (code, bench.documents.load().swaps) == (0, {})
    assert "New stand-ins (2): hinge-b for hinge-a; hinge-c for hinge-a" in told
    assert call(*columns, "--yes", "rules.csv")[0] == 0
    swaps = tuple(bench.documents.load().swaps.values())
    assert swaps == (B_FOR_A, Swap(SwapOf.PART, "hinge-a", "hinge-c", 3))
    before = bench.documents.path.read_bytes()
    code, _, told = call("--yes", "rules.csv")
    assert code == 0 and "holds all of this already" in told and "as last time" in told
    assert bench.documents.path.read_bytes() == before
    Path("rules.csv").write_text("A;B;C\nhinge-a;hinge-b;2\n")
    code, out, told = call("--json", "--yes", "--replace", "rules.csv")
    answer = json.loads(out)
    assert answer["changed"] == [{"key": "hinge-b for hinge-a", "field": "cost", "old": "1", "new": "2"}]
    assert (answer["removed"], answer["written"]) == (["hinge-c for hinge-a"], True)
    assert tuple(bench.documents.load().swaps.values()) == (B_FOR_A._replace(cost=2),)


def test_bad_rules_are_left_out_and_put_aside(bench: BenchFolder) -> None:
    Path("rules.csv").write_text("part,stand-in part\nhinge-a,hinge-b\nhinge-b,hinge-a\nhinge-b,hinge-d\n")
    code, _, told = call("--yes", "rules.csv")
    assert code == 1 and not bench.documents.load().swaps
    assert 'rules.csv:3  stand-in part  "hinge-a"  This closes a circle' in told
    assert 'rules.csv:4  stand-in part  "hinge-d"  The catalogue has no part of that name.' in told
    assert call("--yes", "--skip-bad", "rules.csv")[0] == 0
    assert tuple(bench.documents.load().swaps.values()) == (B_FOR_A,)
    refused = (bench.path / "refused" / "rules.csv.refused.csv").read_text()
    assert 'hinge-b,hinge-a,"line 3: stand-in part: This closes a circle' in refused


def test_all_rows_of_a_target_without_a_rank_are_put_aside(bench: BenchFolder) -> None:
    Path("list.csv").write_text(
        "set,rank,part,shade,quantity\nA,,tile-1x1,white,1\nB,1,tile-1x1,white,1\nA,,hinge-a,white,2\n"
    )
    words = ["--bench", "bench", "import", "targets", "--yes", "--skip-bad", "list.csv"]
    result = CliRunner().invoke(cli, words)
    assert result.exit_code == 0
    assert "2 bad rows would be left out" in result.stderr
    assert result.stderr.count("The rank is missing") == 1
    assert set(bench.documents.load().targets) == {"B"}
    refused = (bench.path / "refused" / "list.csv.refused.csv").read_text()
    assert refused.count("The rank is missing") == 2
