"""Lists of targets and of bins: what they name, what they replace, and what cannot be meant."""

from __future__ import annotations

import pytest

from sortbench.engine.intake_plan import State
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.errors import UsageError
from sortbench.model.grade import Grade
from sortbench.model.target import Line, StandIn, Target
from tests.unit.intake_sheets import KNOWN, WHITE, complaints, plan_of

# Targets


@pytest.mark.parametrize("text", ["plate-2x4", "PLATE 2 x 4", "Plate 2×4", "Flat 2×4"])
def test_a_part_goes_by_code_name_or_alias(text: str) -> None:
    plan = plan_of("targets", "part;shade;quantity", f"{text};Cloudy Grey;3")
    assert plan.targets[0].lines == (Line(Kind("plate-2x4", "grey, late"), 3),)
    assert not plan.created_parts


def test_missing_parts_and_shades_are_created_once() -> None:
    plan = plan_of(
        "targets",
        "part;part name;shape family;shade;quantity",
        "Round brick 2 x 2;;;Sand;3",
        "round-brick-2x2;;;sand;4",
        "q1;Bell, large;instrument;tan;1",
    )
    assert plan.created_parts == (
        Part("round-brick-2x2", "Round brick 2 x 2", "round"),
        Part("q1", "Bell, large", "instrument"),
    )
    assert plan.created_shades == (Shade("Sand"), Shade("tan"))
    assert [line.quantity for line in plan.targets[0].lines] == [7, 1]
    assert any("1 row repeats a line" in note for note in plan.notes)


def test_a_refused_row_creates_nothing() -> None:
    plan = plan_of(
        "targets", "part;shade;quantity;stand-ins", "new one;sand;0;", "plate-2x4;white;1;other thing in tan (0)"
    )
    assert (plan.created_parts, plan.created_shades, plan.targets) == ((), (), ())
    assert [error.column for error in plan.errors] == ["quantity", "stand-ins"]


def test_a_name_that_several_go_by_is_not_guessed() -> None:
    twins = State({code: Part(code, "small plate", "plate") for code in ("p1", "p2")}, {"white": WHITE})
    plan = plan_of("targets", "part;shade;quantity", "small plate;white;1", "p2;white;1", state=twins)
    assert "p1, p2" in plan.errors[0].reason
    assert plan.targets[0].lines[0].kind.part == "p2"


def test_rows_that_differ_stay_lines_of_their_own() -> None:
    plan = plan_of(
        "targets", "part;shade;quantity;grade", "plate-2x4;white;1;5", "plate-2x4;white;2;4/5", "plate-2x4;white;3;"
    )
    assert [(line.quantity, line.lowest) for line in plan.targets[0].lines] == [
        (1, Grade.G5),
        (2, Grade.G4_5),
        (3, Grade.G3),
    ]


@pytest.mark.parametrize(
    ("text", "stand_ins"),
    [
        ("", ()),
        ("tile-1x1", (StandIn(Kind("tile-1x1", "white"), 1),)),
        ("Tile 1×1 in grey, late (2)", (StandIn(Kind("tile-1x1", "grey, late"), 2),)),
        ("in Grey (late)", (StandIn(Kind("plate-2x4", "grey, late"), 1),)),
        (
            "in grey, late (9) | tile-1x1 (3)",
            (StandIn(Kind("plate-2x4", "grey, late"), 9), StandIn(Kind("tile-1x1", "white"), 3)),
        ),
    ],
)
def test_stand_ins(text: str, stand_ins: tuple[StandIn, ...]) -> None:
    plan = plan_of("targets", "part;shade;quantity;stand-ins", f"plate-2x4;white;1;{text}")
    assert plan.errors == ()
    assert plan.targets[0].lines[0].stand_ins == stand_ins
    assert not plan.created_shades


@pytest.mark.parametrize(
    "text", ["tile-1x1 (0)", "tile-1x1 (12)", "tile-1x1 (-1)", "plate-2x4 in white", "tile-1x1|tile-1x1 in white"]
)
def test_stand_ins_that_cannot_be_meant(text: str) -> None:
    assert complaints(plan_of("targets", "part;shade;quantity;stand-ins", f"plate-2x4;white;1;{text}")) == [
        (2, "stand-ins", text)
    ]


def test_many_targets_in_one_file_take_the_ranks_after_those_known() -> None:
    state = State(KNOWN.parts, KNOWN.shades, {"T-01": Target("T-01", "Glasshouse", rank=4)})
    plan = plan_of(
        "targets",
        "set;set name;year;rank;part;shade;quantity",
        "T-02;Signal Hut;1988;;plate-2x4;white;1",
        "T-03;Bell Foundry;;1;tile-1x1;white;2",
        "T-02;;1988;;tile-1x1;white;3",
        state=state,
    )
    assert [(t.code, t.name, t.year, t.rank, t.pieces) for t in plan.targets] == [
        ("T-02", "Signal Hut", 1988, 5, 4),
        ("T-03", "Bell Foundry", None, 1, 2),
    ]


def test_rows_of_one_target_must_agree_on_its_head() -> None:
    plan = plan_of("targets", "set;year;part;shade;quantity", "A;1988;tile-1x1;white;1", "A;1989;tile-1x1;white;1")
    assert complaints(plan) == [(3, "year", "1989")]
    assert "T-07.csv:2 says 1988" in plan.errors[0].reason


def test_the_target_is_said_by_column_else_given_else_the_files_name() -> None:
    row = "plate-2x4;white;1"
    assert plan_of("targets", "part;shade;quantity", row).targets[0].code == "T-07"
    given = plan_of("targets", "part;shade;quantity", row, target="X", name="Hut", year="1988", rank="2").targets[0]
    assert (given.code, given.name, given.year, given.rank) == ("X", "Hut", 1988, 2)
    header = "set;part;shade;quantity"
    assert [t.code for t in plan_of("targets", header, f"Y;{row}", f";{row}", target="X").targets] == ["Y", "X"]
    assert complaints(plan_of("targets", header, f";{row}")) == [(2, "set", "")]


@pytest.mark.parametrize("defaults", [{"year": "88"}, {"rank": "0"}, {"target": "\x1b"}, {"name": "Hut"}])
def test_defaults_that_cannot_be_meant(defaults: dict[str, str]) -> None:
    with pytest.raises(UsageError):
        plan_of("targets", "set;part;shade;quantity", "A;tile-1x1;white;1", "B;tile-1x1;white;1", **defaults)


def test_a_changed_list_shows_its_lines() -> None:
    old = Target("T-07", "Hut", 1988, 2, (Line(Kind("plate-2x4", "white"), 4), Line(Kind("tile-1x1", "white"), 1)))
    state = State(KNOWN.parts, KNOWN.shades, {"T-07": old})
    plan = plan_of("targets", "part;shade;quantity", "plate-2x4;white;6", "tile-1x1;grey, late;1", state=state)
    assert [(c.field, c.old, c.new) for c in plan.changed[0].fields] == [
        ("plate-2x4 · white, grade 3", "4", "6"),
        ("tile-1x1 · white, grade 3", "1", ""),
        ("tile-1x1 · grey, late, grade 3", "", "1"),
    ]
    assert (plan.targets[0].name, plan.targets[0].year, plan.targets[0].rank) == ("Hut", 1988, 2)
    turned = plan_of("targets", "part;shade;quantity", "tile-1x1;white;1", "plate-2x4;white;4", state=state)
    assert turned.changed[0].fields[0].field == "order of lines"


def test_a_list_without_grades_and_stand_ins_leaves_those_that_were_set() -> None:
    set_by_hand = Line(Kind("plate-2x4", "white"), 4, Grade.G4_5, (StandIn(Kind("tile-1x1", "white"), 3),))
    state = State(KNOWN.parts, KNOWN.shades, {"T-07": Target("T-07", "Hut", 1988, 2, (set_by_hand,))})
    assert plan_of("targets", "part;shade;quantity", "plate-2x4;white;4", state=state).same
    emptied = plan_of("targets", "part;shade;quantity;grade;stand-ins", "plate-2x4;white;4;;", state=state)
    assert emptied.targets[0].lines == (Line(Kind("plate-2x4", "white"), 4),)


def test_a_sum_beyond_the_largest_quantity_is_refused() -> None:
    plan = plan_of("targets", "part;shade;quantity", "tile-1x1;white;99999", "tile-1x1;white;1")
    assert complaints(plan) == [(3, "quantity", "1")]


# Bins


def test_a_bin_in_full_and_one_for_the_rest() -> None:
    plan = plan_of(
        "bins",
        "label;shade;family;part;lowest grade;highest grade;flaw;capacity;capacity_g;place",
        "B1;White|grey, late;plates;plate 2×4;2;4-5;cracked|any;300;1500,5;row 1",
    )
    rule = Rule(("white", "grey, late"), ("plate",), ("plate-2x4",), Grade.G2, Grade.G4_5, ("cracked", "any"))
    assert plan.bins == (Bin("B1", rule, 300, 1500.5, "row 1"), Bin("REST"))
    assert any("bin REST is added" in note for note in plan.notes)


def test_the_bin_for_the_rest_stands_last_and_alone() -> None:
    plan = plan_of("bins", "label;shade", "REST;", "B1;white", "OVER;")
    assert complaints(plan) == [(4, "label", "OVER")]
    assert plan.bins == (Bin("B1", Rule(("white",))), Bin("REST"))
    assert plan_of("bins", "label;shade", "B1;white", rest="SPILL").bins == (Bin("B1", Rule(("white",))), Bin("SPILL"))
    assert plan_of("bins", "label;shade", "REST;white").bins == (Bin("REST", Rule(("white",))), Bin("REST 2"))


def test_bins_that_the_file_does_not_name_stay_behind_those_it_names() -> None:
    old = (Bin("A", Rule(("white",))), Bin("B", Rule(("grey, late",)), 50), Bin("REST"))
    state = State(KNOWN.parts, KNOWN.shades, {}, old)
    plan = plan_of("bins", "label;capacity", "b;60", state=state)
    assert plan.bins == (Bin("B", Rule(("grey, late",)), 60), old[0], old[2])
    assert any("order of the bins changes" in note for note in plan.notes)
    plan = plan_of("bins", "label;shade", "OVER;", state=state)
    assert plan.bins == (old[0], old[1], Bin("OVER"))
    assert plan.removed == ("REST",)


@pytest.mark.parametrize(
    ("header", "row", "column"),
    [
        ("label;lowest grade", "B;6", "lowest grade"),
        ("label;lowest grade;highest grade", "B;5;3", "lowest grade"),
        ("label;flaw", "B;shiny", "flaw"),
        ("label;capacity", "B;0", "capacity"),
        ("label;capacity", "B;-3", "capacity"),
        ("label;capacity_g", "B;1,500", "capacity_g"),
        ("label;shade", ";white", "label"),
    ],
)
def test_bins_that_cannot_be_meant(header: str, row: str, column: str) -> None:
    plan = plan_of("bins", header, row)
    assert [(error.line, error.column) for error in plan.errors] == [(2, column)]
    assert plan.same
