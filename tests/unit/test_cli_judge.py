"""Judging colour readings from the shell, and counting with them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.desks.additions import add_shade
from sortbench.engine.condition.colour import hex_to_lab
from sortbench.model.catalogue import Kind, Shade, Years
from sortbench.model.grade import Grade
from sortbench.model.tally import What
from tests.unit.cli_bench import call, make_bench, rows


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = make_bench(tmp_path / "b")
    with Bench.open(folder) as opened:
        add_shade(opened, Shade("cream", "e9dfc0", Years(1960, 2000), ("ivory",)))
        add_shade(opened, Shade("red", "b8201f", Years(1960, 2000)))
    return folder


def judged(bench: Path, *args: str) -> list[dict[str, object]]:
    return rows(call("--bench", bench, "judge", *args, "--json"), "judgements")


def test_a_piece_against_an_unaged_one(bench: Path) -> None:
    # The first two rows of the drifting white of test_judging: dE_F 4.106, CIEDE2000 3.495, rating 2.73.
    (row,) = judged(bench, "plate 2x4 white", "--reading", "lab 92 -.56 6", "--reference", "lab 93 -0.8 2")
    assert (row["part"], row["shade"], row["grade"], row["reference_measured"]) == ("plate-2x4", "white", "2-3", True)
    assert row["change"] == pytest.approx(4.106, abs=0.01)
    assert row["difference"] == pytest.approx(3.495, abs=0.01)
    assert row["rating"] == pytest.approx(2.73, abs=0.01)
    assert (row["limit"], row["drift"], row["record"]) == ("beyond acceptable", "yellower, darker", None)


def test_without_a_reference_the_list_value_stands_in_and_says_so(bench: Path) -> None:
    result = call("--bench", bench, "judge", "cream", "--reading", "#d9cba0")
    assert result.exit_code == 0
    assert "judged against #e9dfc0, the colour that the catalogue lists for cream" in result.stderr
    assert "no measured piece" in result.stderr
    assert judged(bench, "cream", "--reading", "#d9cba0")[0]["reference_measured"] is False


def test_a_shade_of_no_known_colour_needs_a_reference(bench: Path) -> None:
    result = call("--bench", bench, "judge", "white", "--reading", "#d9cba0")
    assert result.exit_code == 1
    assert "--reference" in result.stderr
    assert judged(bench, "white", "--reading", "#d9cba0", "--reference", "#f4f4f4")[0]["grade"] == "1"


def test_several_readings_are_ranked_where_the_grade_has_ended(bench: Path) -> None:
    texts = ["#b99a55", "#f2efe4", "#d9c48f"]
    args = [part for text in texts for part in ("--reading", text)]
    found = judged(bench, "white", *args, "--reference", "#f4f4f4")
    assert [row["reading"] for row in found] == texts
    assert [row["rank"] for row in found] == [3, 1, 2]
    assert [row["saturated"] for row in found] == [True, False, True]
    result = call("--bench", bench, "judge", "white", *args, "--reference", "#f4f4f4")
    assert "the difference tells such pieces apart" in result.stderr


def test_no_yellowness_of_red_and_the_reason(bench: Path) -> None:
    (row,) = judged(bench, "red", "--reading", "#a02010")
    assert (row["yellowness"], row["yellowness_change"], row["whiteness"]) == (None, None, None)
    assert "570 to 580 nm" in str(row["why_no_yellowness"])
    assert "too dark" in str(row["why_no_whiteness"])
    assert row["difference"]
    assert "607 nm" in call("--bench", bench, "judge", "red", "--reading", "#a02010").stderr


def test_uncertainties_give_the_grades_that_may_be(bench: Path) -> None:
    args = ("white", "--reading", "lab 92 -0.56 6", "--reference", "lab 93 -0.8 2")
    (sure,), (unsure,) = judged(bench, *args), judged(bench, *args, "--uncertainty", "0.5")
    assert sure["grade_best"] == sure["grade_worst"] == sure["grade"] == unsure["grade"]
    assert sure["difference_u"] is None
    assert isinstance(unsure["difference_u"], float)
    assert Grade.from_label(str(unsure["grade_worst"])) < Grade.from_label(str(unsure["grade_best"]))
    told = call("--bench", bench, "judge", *args, "--uncertainty", "0.5")
    assert f"{unsure['grade_best']} to {unsure['grade_worst']}" in told.stdout
    assert "±" in told.stdout


def test_pieces_are_counted_with_the_grade_and_the_reading(bench: Path) -> None:
    args = ("plate 2x4 cream", "--reading", "#d9cba0", "--count", "3", "--bin", "rest")
    result = call("--bench", bench, "judge", *args)
    assert result.exit_code == 0, result.stderr
    grade = judged(bench, *args[:3])[0]["grade"]
    assert f"3 × plate 2x4, cream, grade {grade} -> REST" in result.stdout
    with Bench.open(bench) as opened:
        (record,) = (each for each in opened.picture.ledger.records.values() if each.what is What.TALLY)
        assert record.cell is not None
        assert (record.cell.kind, record.quantity, record.way) == (Kind("plate-2x4", "cream"), 3, "judged")
        assert record.cell.grade is not None and record.cell.grade.label == grade
        assert record.lab == pytest.approx(hex_to_lab("d9cba0"), abs=0.0051)
    assert judged(bench, *args)[0]["record"]


@pytest.mark.parametrize(
    ("args", "code", "words"),
    [
        (("cream", "--reading", "#d9c"), 1, "is no colour reading"),
        (("cream", "--reading", "lab 1,5 2 3"), 1, "Decimals take a point"),
        (("cream", "--reading", "#d9cba0", "--reference", "pale"), 1, "is no colour reading"),
        (("grey", "--reading", "#d9cba0"), 1, "Could be grey, "),
        (("bell cream", "--reading", "#d9cba0", "--count", "0"), 1, "0 pieces cannot be counted"),
        (("bell cream", "--reading", "#d9cba0", "--count", "1", "--bin", "B7"), 1, "No bin is labelled 'B7'"),
        (("cream", "--reading", "#d9cba0", "--uncertainty", "nan"), 1, "not plausible"),
        (("cream", "--reading", "#d9cba0", "--uncertainty", "-1"), 1, "not plausible"),
        (("qqqqq", "--reading", "#d9cba0"), 1, "Nothing is called"),
        (("\x1b[2J", "--reading", "#d9cba0"), 1, "Nothing is called"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_counted(
    bench: Path, args: tuple[str, ...], code: int, words: str
) -> None:
    result = call("--bench", bench, "judge", *args)
    assert result.exit_code == code, result.stderr
    assert words in result.stderr
    assert "\x1b" not in result.stderr
    assert json.loads(call("--bench", bench, "counts", "--json").stdout)["rows"] == []


@pytest.mark.parametrize(
    "args",
    [
        ("cream",),
        ("cream", "--reading", "#d9cba0", "--bin", "REST"),
        ("cream", "--reading", "#d9cba0", "--count", "2"),
        ("bell cream", "--reading", "#d9cba0", "--reading", "#d9cba1", "--count", "2"),
    ],
)
def test_asked_in_a_way_that_cannot_be_meant(bench: Path, args: tuple[str, ...]) -> None:
    result = call("--bench", bench, "judge", *args)
    assert result.exit_code == 2
    assert json.loads(call("--bench", bench, "counts", "--json").stdout)["rows"] == []


def test_a_part_alone_is_not_given_a_shade_by_a_guess(bench: Path) -> None:
    call("--bench", bench, "tally", "plate 2x4 red *3")
    result = call("--bench", bench, "judge", "plate 2x4", "--reading", "#a02010")
    assert result.exit_code == 1
    assert "names no shade" in result.stderr


def test_other_names_of_a_shade(bench: Path) -> None:
    assert judged(bench, "Ivory", "--reading", "#d9cba0")[0]["shade"] == "cream"
    assert judged(bench, "bell ivory", "--reading", "#d9cba0")[0]["part"] == "bell"
