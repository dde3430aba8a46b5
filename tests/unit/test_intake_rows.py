"""Rows of a list mean what they plainly say; everything else is refused with line, column, value and reason."""

from __future__ import annotations

import pytest

from sortbench.engine.cells import Sheet
from sortbench.engine.columns import match_columns
from sortbench.engine.fields import FIELDS
from sortbench.engine.intake_plan import Plan, State
from sortbench.engine.intake_rows import work_out
from sortbench.engine.naming import guess_family, name_key, spell_code
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Care, Kind, Part, Shade, Years
from sortbench.model.errors import UsageError
from sortbench.model.grade import Grade
from sortbench.model.target import Line, StandIn, Target

PLATE = Part("plate-2x4", "plate 2x4", "plate", ("flat 2x4",))
TILE = Part("tile-1x1", "tile 1x1", "tile")
GREY = Shade("grey, late", "9ba19d", aliases=("bluish stone",))
WHITE = Shade("white", "f4f4f4")
KNOWN = State({PLATE.code: PLATE, TILE.code: TILE}, {GREY.name: GREY, WHITE.name: WHITE})


def sheet(what: str, header: str, *lines: str, delimiter: str = ",", file: str = "T-07.csv") -> Sheet:
    headers = header.split(delimiter)
    rows = tuple((number, tuple(line.split(delimiter))) for number, line in enumerate(lines, 2))
    return Sheet(file, file.removesuffix(".csv"), delimiter, match_columns(headers, FIELDS[what], {}, {}), rows)


def plan_of(what: str, header: str, *lines: str, state: State = KNOWN, **defaults: str) -> Plan:
    return work_out(what, [sheet(what, header, *lines, delimiter=";")], state, defaults)


def complaints(plan: Plan) -> list[tuple[int, str, str]]:
    return [(error.line, error.column, error.value) for error in plan.errors]


# Numbers


@pytest.mark.parametrize(
    "text", ["0", "-3", "12.0", "1e3", "1,000", "x", "+4", "٣", "１２", "²", "100000", "9" * 5000, "0x10", "1_0"]
)
def test_quantities_are_plain_whole_numbers(text: str) -> None:
    plan = plan_of("targets", "part;shade;quantity", f"plate-2x4;white;{text}")
    assert complaints(plan) == [(2, "quantity", text)]
    assert plan.same


@pytest.mark.parametrize(("text", "number"), [("1", 1), ("007", 7), ("99999", 99_999), (" 12 ", 12)])
def test_quantities_that_are_meant(text: str, number: int) -> None:
    assert plan_of("targets", "part;shade;quantity", f"plate-2x4;white;{text}").targets[0].lines[0].quantity == number


@pytest.mark.parametrize(
    ("text", "mass"), [("2.3", 2.3), ("2,3", 2.3), ("2,32 g", 2.32), ("0,125", 0.125), ("1.250", 1.25), ("12", 12.0)]
)
def test_masses_take_a_decimal_comma(text: str, mass: float) -> None:
    assert plan_of("parts", "code;mass", f"arch-1x6x2;{text}").parts[0].mass_g == mass


@pytest.mark.parametrize("text", ["1,250", "-1", "1e1", "nan", "inf", "1.2.3", "٣", "0", "10001", ".5", "2 kg"])
def test_masses_that_cannot_be_meant(text: str) -> None:
    assert complaints(plan_of("parts", "code;mass", f"arch-1x6x2;{text}")) == [(2, "mass", text)]


@pytest.mark.parametrize(
    ("first", "last", "column"), [("1899", "", "from"), ("86", "", "from"), ("", "2201", "to"), ("1993", "1986", "to")]
)
def test_years_are_plausible_and_in_order(first: str, last: str, column: str) -> None:
    assert [(e.line, e.column) for e in plan_of("parts", "code;from;to", f"a;{first};{last}").errors] == [(2, column)]


@pytest.mark.parametrize(("text", "rgb"), [("#9ba19d", "9ba19d"), ("9BA19D", "9ba19d"), ("", "")])
def test_srgb_values(text: str, rgb: str) -> None:
    assert plan_of("shades", "name;rgb", f"tan;{text}").shades == (Shade("tan", rgb),)


@pytest.mark.parametrize("text", ["#9ba", "9ba19", "red", "##9ba19d", "9ba19g", "٣٣٣٣٣٣"])
def test_srgb_values_that_are_none(text: str) -> None:
    assert complaints(plan_of("shades", "name;rgb", f"tan;{text}")) == [(2, "rgb", text)]


# Names

# Unicode Standard Annex 15, Unicode Normalization Forms, figures 3 to 5 and the composition exclusions (U+0958),
# checked with the unicodedata module. U+0020 to U+FFFF as hexadecimal numbers: text, its form NFC.
UAX_15 = [
    ("0041 030A", "00C5"),
    ("212B", "00C5"),
    ("0065 0301", "00E9"),
    ("FB01", "FB01"),
    ("006F 0308", "00F6"),
    ("1E9B 0323", "1E9B 0323"),
    ("0071 0307 0323", "0071 0323 0307"),
    ("0958", "0915 093C"),
]


@pytest.mark.parametrize(("text", "composed"), UAX_15)
def test_names_are_kept_in_nfc(text: str, composed: str) -> None:
    name, kept = ("".join(chr(int(code, 16)) for code in codes.split()) for codes in (text, composed))
    assert plan_of("shades", "name", name).shades[0].name == kept


@pytest.mark.parametrize(
    "name", ["[/", "[red]x", "[0]", "=1+1", "-x", "@a", "'=1", "<b>", "%s", "{0}", "\\x1b", "a" * 200]
)
def test_names_are_data(name: str) -> None:
    plan = plan_of("targets", "part;shade;quantity", f"{name};{name};1")
    assert plan.created_parts[0].name == plan.created_shades[0].name == name
    assert plan.targets[0].lines[0].kind == Kind(plan.created_parts[0].code, name)


@pytest.mark.parametrize(
    "name", ["\x1b[2J", "a\u202eb", "a\x07", "a\r\nb", "\ue000", "\u2028", "a" * 201, "a" * 10_000, "\ud800", "\x7f"]
)
def test_names_that_would_harm_are_refused(name: str) -> None:
    plan = plan_of("targets", "part;shade;quantity", f"{name};white;1", f"plate-2x4;{name};1")
    assert complaints(plan) == [(2, "part", name), (3, "shade", name)]
    assert plan.same
    plan = plan_of("parts", "code;name;aliases", f"a;{name};b|{name}")
    assert [column for _, column, _ in complaints(plan)] == ["name", "aliases"]


@pytest.mark.parametrize(
    ("one", "other"),
    [("Plate 2×4", "plate-2x4"), ("plate  2 x 4", "plate_2x4"), ("Grey (late)", "grey, late"), ("ＰＬＡＴＥ", "plate")],
)
def test_spellings_of_one_name(one: str, other: str) -> None:
    assert name_key(one) == name_key(other)


@pytest.mark.parametrize(("one", "other"), [("tile 1 2x2", "tile 12x2"), ("plate 2x4", "plate 2x41"), ("a.1", "a1")])
def test_different_names_stay_different(one: str, other: str) -> None:
    assert name_key(one) != name_key(other)


def test_codes_are_spelled_from_the_shape() -> None:
    assert spell_code("Slope 45 2 × 2, inverted") == "slope-45-2x2-inverted"
    assert spell_code("Q-17/b") == "Q-17/b"


@pytest.mark.parametrize(
    ("text", "family"),
    [
        ("plate-2x4", "plate"),
        ("slope45-2x2-inv", "slope"),
        ("Round Bricks 2x2", "round"),
        ("Arches", "arch"),
        ("thing", "other"),
    ],
)
def test_the_family_is_the_first_one_named(text: str, family: str) -> None:
    assert guess_family(text) == family


# Parts and shades


def test_a_part_in_full() -> None:
    plan = plan_of(
        "parts",
        "code;name;family;aliases;mass;first year;last year;care",
        "arch-1x6x2;arch 1x6x2;Arches;bow 6 | bridge;3,4;1986;1993;print|deep",
    )
    assert plan.parts == (
        Part(
            "arch-1x6x2",
            "arch 1x6x2",
            "arch",
            ("bow 6", "bridge"),
            3.4,
            Years(1986, 1993),
            (Care.PRINT, Care.DEEP_HOLLOW),
        ),
    )
    assert (plan.new, plan.changed, plan.errors) == (("arch-1x6x2",), (), ())


def test_a_column_that_is_not_there_leaves_what_is_known_and_an_empty_cell_empties() -> None:
    assert plan_of("parts", "code;name", "Plate 2×4;flat plate").parts[0].aliases == PLATE.aliases
    plan = plan_of("parts", "code;aliases", "plate-2x4;")
    assert plan.parts[0].aliases == ()
    assert [(c.field, c.old, c.new) for c in plan.changed[0].fields] == [("aliases", "flat 2x4", "")]


def test_all_that_is_wrong_in_a_file_is_told() -> None:
    plan = plan_of("parts", "code;mass;from;care", ";-1;x;", "b;1;1990;shiny", "c;1;1990;print", "b2;1", "d;1;2;3;4")
    assert complaints(plan) == [(2, "code", ""), (3, "care", "shiny"), (6, "", "4"), (6, "from", "2"), (6, "care", "3")]
    assert [part.code for part in plan.parts] == ["c", "b2"]


def test_a_short_row_lacks_only_what_may_be_left_out() -> None:
    plan = plan_of("targets", "part;shade;quantity;year", "plate-2x4;white;3", "plate-2x4;white")
    assert complaints(plan) == [(3, "quantity", "")]
    assert "ends before" in plan.errors[0].reason


def test_one_code_twice_is_an_error_unless_the_rows_agree() -> None:
    plan = plan_of("parts", "code;name", "a;first", "A;first", "a;second")
    assert complaints(plan) == [(4, "code", "a")]
    assert "T-07.csv:2" in plan.errors[0].reason
    assert [part.name for part in plan.parts] == ["first"]
    assert plan.notes == ("T-07.csv:3 says the same as T-07.csv:2 and is passed over.",)


def test_lists_are_parted_by_bars_and_by_semicolons_where_these_are_free() -> None:
    free = work_out("parts", [sheet("parts", "code,aliases", "a,x;y | z")], KNOWN, {})
    assert free.parts[0].aliases == ("x", "y", "z")
    assert plan_of("parts", "code;aliases", "a;x|y, z").parts[0].aliases == ("x", "y, z")


# Targets


@pytest.mark.parametrize("text", ["plate-2x4", "PLATE 2 x 4", "Plate 2×4", "Flat 2×4"])
def test_a_part_goes_by_code_name_or_alias(text: str) -> None:
    plan = plan_of("targets", "part;shade;quantity", f"{text};Bluish Stone;3")
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


# All


@pytest.mark.parametrize(
    ("what", "header", "lines"),
    [
        ("parts", "code;name;mass;care;aliases", ["a b;;1,5;print;x|y", "c;=1+1;;;"]),
        ("shades", "name;rgb;from", ["tan;#FFAA00;1990", "[red]x;;"]),
        (
            "targets",
            "set;part;shade;quantity;stand-ins",
            ["A;new 2×2;sand;3;in tan (2)", "A;new 2x2;sand;3;in tan (2)", "B;tile;tan;1;"],
        ),
        ("bins", "label;shade;family", ["B1;white|tan;", "B2;;bricks", "ALL;;"]),
    ],
)
def test_the_same_file_again_changes_nothing(what: str, header: str, lines: list[str]) -> None:
    first = plan_of(what, header, *lines)
    assert not first.same
    after = State(
        {**KNOWN.parts, **{part.code: part for part in first.parts}},
        {**KNOWN.shades, **{shade.name: shade for shade in first.shades}},
        {target.code: target for target in first.targets},
        first.bins or (),
    )
    again = plan_of(what, header, *lines, state=after)
    assert again.same
    assert (again.new, again.changed, again.removed) == ((), (), ())
    assert again.unchanged


def test_a_file_without_a_needed_column_is_refused_whole() -> None:
    plan = plan_of("targets", "part;remark", "a;b")
    assert [(error.line, error.value) for error in plan.errors] == [(1, "part, remark")]
    assert "shade and quantity" in plan.errors[0].reason
