"""Lists of targets and of bins: what they name, what they replace, and what cannot be meant."""

from __future__ import annotations

import pytest

from sortbench.engine.importing.intake_plan import State
from sortbench.engine.importing.intake_rows import work_out
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.errors import UsageError
from sortbench.model.grade import Grade
from sortbench.model.target import Line, StandIn, Target
from tests.unit.intake_sheets import KNOWN, WHITE, complaints, plan_of, sheet

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


GLASSHOUSE = Target("T-01", "Glasshouse", rank=4)
WITH_A_TARGET = State(KNOWN.parts, KNOWN.shades, {"T-01": GLASSHOUSE})


def test_without_a_column_of_ranks_new_targets_come_behind_those_known() -> None:
    plan = plan_of(
        "targets",
        "set;set name;year;part;shade;quantity",
        "T-02;Signal Hut;1988;plate-2x4;white;1",
        "T-03;Bell Foundry;;tile-1x1;white;2",
        "T-02;;1988;tile-1x1;white;3",
        "T-01;;;tile-1x1;white;1",
        state=WITH_A_TARGET,
    )
    assert [(t.code, t.name, t.year, t.rank, t.pieces) for t in plan.targets] == [
        ("T-02", "Signal Hut", 1988, 5, 4),
        ("T-03", "Bell Foundry", None, 6, 2),
        ("T-01", "Glasshouse", None, 4, 1),
    ]
    assert any("No rank is said of T-02, T-03" in note for note in plan.notes)


def test_targets_may_share_a_rank_which_one_row_of_each_says() -> None:
    plan = plan_of(
        "targets",
        "set;rank;part;shade;quantity",
        "T-02;1;plate-2x4;white;1",
        "T-03;;tile-1x1;white;2",
        "T-03;1;plate-2x4;white;2",
        "T-02;;tile-1x1;white;3",
    )
    assert (plan.errors, [(t.code, t.rank, t.pieces) for t in plan.targets]) == ((), [("T-02", 1, 4), ("T-03", 1, 4)])
    assert not any("rank" in note for note in plan.notes)


def test_a_rank_that_a_list_leaves_empty_is_missing() -> None:
    header = "set;rank;part;shade;quantity"
    rows = ("T-02;;new one;white;1", "T-03;2;tile-1x1;sand;2", "T-02;;tile-1x1;white;x", "T-02;;tile-1x1;white;1")
    plan = plan_of("targets", header, *rows)
    assert [(e.file, e.line, e.column, e.value, e.also) for e in plan.errors] == [
        ("T-07.csv", 2, "rank", "", (4, 5)),
        ("T-07.csv", 4, "quantity", "x", ()),
    ]
    assert plan.errors[0].reason.startswith("The rank is missing")
    # What only its rows name is not created.
    assert ([t.code for t in plan.targets], plan.created_parts, plan.created_shades) == (["T-03"], (), (Shade("sand"),))
    known = plan_of("targets", header, "T-01;;tile-1x1;white;1", state=WITH_A_TARGET)
    assert [(e.line, e.column) for e in known.errors] == [(2, "rank")]
    assert plan_of("targets", header, "T-02;;tile-1x1;white;1", rank="3").targets[0].rank == 3


def test_a_rank_said_only_in_a_bad_row_is_missing_too() -> None:
    plan = plan_of("targets", "set;rank;part;shade;quantity", "T-02;1;tile-1x1;white;0", "T-02;;tile-1x1;white;2")
    assert complaints(plan) == [(2, "quantity", "0"), (2, "rank", "1")]
    assert (plan.errors[1].also, plan.targets) == ((3,), ())


def test_a_rank_missing_in_one_file_may_stand_in_another() -> None:
    asked = sheet("targets", "set,rank,part,shade,quantity", "T-02,,tile-1x1,white,1", file="a.csv")
    said = sheet("targets", "set,rank,part,shade,quantity", "T-02,3,plate-2x4,white,1", file="b.csv")
    silent = sheet("targets", "set,part,shade,quantity", "T-02,plate-2x4,white,1", file="c.csv")
    assert work_out("targets", [asked, said], KNOWN, {}).targets[0].rank == 3
    plan = work_out("targets", [silent, asked], KNOWN, {})
    assert [(e.file, e.line) for e in plan.errors] == [("c.csv", 2), ("a.csv", 2)]
    assert plan.targets == ()


def test_value_and_parked_are_said_kept_and_changed() -> None:
    header = "set;value;parked;part;shade;quantity"
    target = plan_of("targets", header, "T-02;120;yes;tile-1x1;white;1", "T-02;;;plate-2x4;white;1").targets[0]
    assert (target.value, target.parked) == (120, True)
    state = State(KNOWN.parts, KNOWN.shades, {"T-02": target._replace(refused=((Kind("a", "b"), Kind("c", "b")),))})
    rows = ("T-02;tile-1x1;white;1", "T-02;plate-2x4;white;1")
    assert plan_of("targets", "set;part;shade;quantity", *rows, state=state).same
    plan = plan_of("targets", header, "T-02;90;no;tile-1x1;white;1", "T-02;;;plate-2x4;white;1", state=state)
    assert [(c.field, c.old, c.new) for c in plan.changed[0].fields] == [
        ("value", "120", "90"),
        ("parked", "yes", "no"),
    ]
    assert plan.targets[0].refused == state.targets["T-02"].refused


@pytest.mark.parametrize(
    ("column", "first", "second", "line"),
    [
        ("value", "-1", "", 2),
        ("value", "10000001", "", 2),
        ("value", "12.50", "", 2),
        ("value", "100", "120", 3),
        ("parked", "perhaps", "", 2),
        ("parked", "yes", "no", 3),
    ],
)
def test_values_and_parking_that_cannot_be_meant(column: str, first: str, second: str, line: int) -> None:
    rows = (f"T-02;{first};tile-1x1;white;1", f"T-02;{second};plate-2x4;white;1")
    plan = plan_of("targets", f"set;{column};part;shade;quantity", *rows)
    assert [(error.line, error.column) for error in plan.errors] == [(line, column)]


@pytest.mark.parametrize("text", ["0", "00"])
def test_a_line_that_asks_for_nothing_is_refused_in_plain_words(text: str) -> None:
    plan = plan_of("targets", "part;shade;quantity", f"plate-2x4;white;{text}")
    assert complaints(plan) == [(2, "quantity", text)]
    assert plan.errors[0].reason == "A line cannot ask for 0 pieces. Leave the row out, or write 1 to 99999."


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
