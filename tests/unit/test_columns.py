"""Columns are found by their headers, each with how sure and why; the user's word comes first."""

from __future__ import annotations

import subprocess
import sys

import pytest

from sortbench.engine.importing.columns import LEAST_ALIKE, match_columns, signature
from sortbench.engine.importing.fields import FIELDS
from sortbench.model.errors import UsageError


def found(what: str, headers: list[str], **fixed: str) -> dict[str, str]:
    match = match_columns(headers, FIELDS[what], {}, fixed)
    return {guess.field.name: guess.header for guess in match.guesses if guess.header}


@pytest.mark.parametrize(
    ("what", "headers", "meant"),
    [
        ("targets", ["Part", "Shade", "Quantity"], ["part", "shade", "quantity"]),
        ("targets", ["Teil", "Farbe", "Menge", "Jahr"], ["part", "shade", "quantity", "year"]),
        ("targets", ["PIÈCE", "couleur", "Quantite"], ["part", "shade", "quantity"]),
        (
            "targets",
            ["Set", "Set name", "Colour", "Part code", "Qty"],
            ["target", "target_name", "shade", "part", "quantity"],
        ),
        ("targets", ["Quantitiy", "Colur", "Parts"], ["quantity", "shade", "part"]),
        ("targets", ["Quantity needed", "Main colour", "Part"], ["quantity", "shade", "part"]),
        ("targets", ["Part", "Part name", "Shade", "Anzahl"], ["part", "part_name", "shade", "quantity"]),
        (
            "targets",
            ["lowest_grade", "stand-ins", "part", "shade", "qty"],
            ["lowest", "stand_ins", "part", "shade", "quantity"],
        ),
        (
            "parts",
            ["Code", "Name", "Family", "Weight (g)", "From", "To"],
            ["code", "name", "family", "mass", "first_year", "last_year"],
        ),
        (
            "parts",
            ["Code", "Aliases", "First year", "Last year", "Care marks"],
            ["code", "aliases", "first_year", "last_year", "care"],
        ),
        ("parts", ["Art.", "Bez.", "Art", "Gew."], ["code", "name", "family", "mass"]),
        ("shades", ["Farbe", "Hex", "von", "bis"], ["name", "rgb", "first_year", "last_year"]),
        (
            "bins",
            ["Bin", "Colours", "Families", "Capacity", "Capacity g", "Place"],
            ["label", "shade", "family", "capacity", "capacity_g", "place"],
        ),
        ("bins", ["Label", "Highest grade", "Lowest grade", "Flaws"], ["label", "highest", "lowest", "flaw"]),
    ],
)
def test_headers_as_people_write_them(what: str, headers: list[str], meant: list[str]) -> None:
    assert found(what, headers) == dict(zip(meant, headers, strict=True))


@pytest.mark.parametrize("what", FIELDS)
def test_the_headers_of_our_own_fields_find_themselves(what: str) -> None:
    names = [field.name for field in FIELDS[what]]
    assert found(what, names) == dict(zip(names, names, strict=True))
    labels = [field.label for field in FIELDS[what]]
    assert found(what, labels) == dict(zip(names, labels, strict=True))


@pytest.mark.parametrize("what", FIELDS)
def test_no_word_stands_for_two_fields_by_name(what: str) -> None:
    for field in FIELDS[what]:
        for word in (field.name, field.label):
            others = [f.name for f in FIELDS[what] if f is not field and word in (f.name, f.label)]
            assert not others, word


@pytest.mark.parametrize("header", ["Remark", "Price", "Picture", "Order date", "refused because", "#", "   "])
def test_foreign_headers_are_left_alone(header: str) -> None:
    match = match_columns(["Part", "Shade", "Quantity", header], FIELDS["targets"], {}, {})
    assert header in match.unused


def test_a_guess_says_how_sure_and_why() -> None:
    match = match_columns(["quantity", "Farbe", "Prat code"], FIELDS["targets"], {}, {})
    told = {guess.field.name: (guess.sure, guess.why) for guess in match.guesses if guess.header}
    assert told["quantity"] == (100, "same name")
    assert told["shade"] == (95, "another word for it: farbe")
    sure, why = told["part"]
    assert LEAST_ALIKE - 10 < sure < 95
    assert "spelled like part code" in why


def test_a_column_serves_one_field_and_the_likeliest_wins() -> None:
    match = match_columns(["Colour", "Color", "Part", "Qty"], FIELDS["targets"], {}, {})
    assert match.index("shade") == 0
    assert match.unused == ("Color",)


@pytest.mark.parametrize(
    ("what", "header", "field", "why"),
    [
        ("targets", "Art.", "part", "short for article"),
        ("parts", "Art", "family", "another word for it: art"),
        ("targets", "Desc.", "part_name", "short for description"),
        ("targets", "Col.", "shade", "short for colour"),
        ("targets", "Qty.", "quantity", "another word for it: qty"),
        ("targets", "Set.", "target", "another word for it: set"),
    ],
)
def test_a_full_stop_says_that_a_word_is_cut_short(what: str, header: str, field: str, why: str) -> None:
    guesses = match_columns(["Key", header], FIELDS[what], {}, {"part": "Key"} if field == "part_name" else {}).guesses
    (found,) = (guess for guess in guesses if guess.header == header)
    assert (found.field.name, found.why) == (field, why)


def test_what_is_missing_is_told() -> None:
    match = match_columns(["Part", "Remark"], FIELDS["targets"], {}, {})
    assert [field.name for field in match.missing] == ["shade", "quantity"]


def test_a_name_serves_where_there_is_no_code() -> None:
    match = match_columns(["Name", "Family"], FIELDS["parts"], {}, {})
    assert match.index("code") == 0
    assert match.index("name") == -1
    assert not match.missing


def test_the_users_word_comes_first() -> None:
    headers = ["Colour", "Other", "Part", "Qty"]
    assert found("targets", headers, shade="Other")["shade"] == "Other"
    assert found("targets", headers, shade="other")["shade"] == "Other"
    assert "part" not in found("targets", headers, part="")


@pytest.mark.parametrize(
    ("fixed", "words"),
    [
        ({"colour": "Colour"}, "no field 'colour'"),
        ({"shade": "Colur"}, "Did you mean 'Colour'"),
        ({"shade": "Part", "part": "Part"}, "named for two fields"),
        ({"shade": "\x1b[2J"}, "no column '\N{REPLACEMENT CHARACTER}"),
    ],
)
def test_what_cannot_be_fixed_is_refused(fixed: dict[str, str], words: str) -> None:
    with pytest.raises(UsageError) as caught:
        match_columns(["Colour", "Part", "Qty"], FIELDS["targets"], {}, fixed)
    assert words in str(caught.value)


def test_an_earlier_match_is_remembered_but_for_lost_headers() -> None:
    headers = ["Part", "A", "B", "Colour"]
    first = match_columns(headers, FIELDS["targets"], {}, {"shade": "A", "quantity": "B", "family": ""})
    again = match_columns(headers, FIELDS["targets"], first.remember, {})
    assert [guess.header for guess in again.guesses] == [guess.header for guess in first.guesses]
    assert again.remember == first.remember
    lost = match_columns(["Part", "B", "Colour"], FIELDS["targets"], first.remember, {})
    assert (lost.index("shade"), lost.index("quantity")) == (2, 1)


def test_a_signature_knows_headers_in_any_order_but_no_others() -> None:
    assert signature("parts", ["a", "b"]) == signature("parts", ["b", "a"])
    assert signature("parts", ["Å"]) == signature("parts", ["A\u030a"])
    others = {
        signature("parts", ["a", "b"]),
        signature("bins", ["a", "b"]),
        signature("parts", ["a", "c"]),
        signature("parts", ["ab"]),
    }
    assert len(others) == 4


def test_known_headers_need_no_fuzzy_search() -> None:
    program = (
        "import sys; from sortbench.engine.importing.columns import match_columns; "
        "from sortbench.engine.importing.fields import FIELDS; "
        "match_columns(['part', 'shade', 'qty'], FIELDS['targets'], {}, {}); sys.exit('rapidfuzz' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


@pytest.mark.parametrize(
    ("what", "headers", "found"),
    [
        ("parts", ["Item", "Description", "Shape"], {"code": "Item", "name": "Description", "family": "Shape"}),
        ("parts", ["Name", "Shape", "Weight"], {"code": "Name", "family": "Shape", "mass": "Weight"}),
        ("targets", ["Shape", "Colour", "Count"], {"part": "Shape", "shade": "Colour", "quantity": "Count"}),
        ("targets", ["Item", "Shape", "Colour", "Qty"], {"part": "Item", "family": "Shape", "shade": "Colour"}),
    ],
)
def test_a_column_of_shapes_holds_families_where_another_one_names_the_parts(
    what: str, headers: list[str], found: dict[str, str]
) -> None:
    guesses = {guess.field.name: guess.header for guess in match_columns(headers, FIELDS[what], {}, {}).guesses}
    assert {name: guesses[name] for name in found} == found
