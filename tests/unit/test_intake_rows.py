"""Rows of a list mean what they plainly say; all else is refused with line, column, value and reason."""

from __future__ import annotations

import pytest

from sortbench.engine.entering.naming import guess_family, name_key, nearest_name, spell_code
from sortbench.engine.importing.intake_plan import State
from sortbench.engine.importing.intake_rows import work_out
from sortbench.model.catalogue import Care, Kind, Part, Shade, Years
from tests.unit.intake_sheets import KNOWN, PLATE, complaints, plan_of, sheet

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
    "name", ["\x1b[2J", "a\u202eb", "a\x07", "a\u200bb", "\ue000", "\u2028", "a" * 201, "a" * 10_000, "\ud800", "\x7f"]
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


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("whit", "white"),
        ("fence", "fence-1x4x2"),
        ("fence-1x4x3", "fence-1x4x2"),
        ("haed", "figure-head"),
        ("face", "figure-head"),
        ("qqq", ""),
    ],
)
def test_the_nearest_name_is_one_that_somebody_may_have_meant(text: str, near: str) -> None:
    known = {"white": (), "cream": ("off-white",), "fence-1x4x2": ("fence 1x4x2",), "figure-head": ("face", "head")}
    assert nearest_name(text, known) == near
    assert nearest_name(text, {}) == ""
