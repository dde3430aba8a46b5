"""`sortbench photo`: pieces on a picture judged and counted from the shell."""

from __future__ import annotations

from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.model.grade import Grade
from tests.synthetic_photo import Scene
from tests.unit.cli_bench import call, make_bench, rows

SCENE = Scene("d8d8d4", ("d8d8d4", "d4ccb0", "c43a2b", "c9b48c"), light=(0.95, 0.92, 0.85), noise=1.0)
MARKS = SCENE.marks
ALL = ("--card", str(MARKS.card), "--reference", str(MARKS.reference), *(f"--piece={area}" for area in MARKS.pieces))


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    return SCENE.save(tmp_path, "plates")


def test_one_row_a_piece_with_rank_grade_and_difference(picture: Path) -> None:
    result = call("photo", picture, *ALL)
    assert result.exit_code == 0
    head, *lines = result.stdout.splitlines()
    assert head.split()[:4] == ["piece", "rank", "grade", "may"]
    assert [line.split()[:3] for line in lines] == [["1", "1", "5"], ["2", "2", "1"], ["3", "4", "1"], ["4", "3", "1"]]
    assert "an estimate" in result.stderr
    assert "plain paper" in result.stderr
    assert "--card-reflectance says" in result.stderr
    assert "no yellowness for piece 3: the piece is outside the scope" in result.stderr
    assert "told apart by their difference alone" in result.stderr


def test_json_has_all_figures_by_name(picture: Path) -> None:
    first, second, red, worst = rows(call("photo", picture, *ALL, "--card-reflectance", "0.9", "--json"), "photo")
    assert (first["number"], first["grade"], first["rank"], first["why_not"]) == (1, "5", 1, None)
    assert first["area"] == str(MARKS.pieces[0])
    assert second["grade_best"] and second["grade_worst"]
    assert second["difference"] > 5 * second["difference_u"] > 0
    assert second["yellowness_change"] > 10 and second["why_no_yellowness"] is None
    assert red["yellowness_change"] is None and red["why_no_yellowness"]
    assert (second["lightness"], second["a"], second["b"]) == pytest.approx(SCENE.truth[1][1], abs=1.5)
    assert worst["saturated"] is True and second["record"] is None


def test_percents_and_a_grid_mean_the_same_pieces(picture: Path) -> None:
    """The pieces lie in two columns and two lines of 80 pixels from 100, 20 on; the reference is the first of them."""
    found = rows(
        call(
            "photo",
            picture,
            *("--card", "8%,16%,16%,70%", "--reference", "110,30,20,20"),
            *("--piece", "132,30,20,20", "--grid", "180,20,160,160,2x2", "--json"),
        ),
        "photo",
    )
    assert [row["area"] for row in found][1:3] == ["200,40,40,40", "280,40,40,40"]
    assert found[0]["grade"] == "5"


def test_a_piece_that_cannot_be_judged_is_told_and_the_exit_code_says_so(picture: Path) -> None:
    across_an_edge = "220,24,50,50"
    result = call("photo", picture, *ALL[:4], "--piece", across_an_edge, "--piece", str(MARKS.pieces[0]))
    assert result.exit_code == 1
    assert "as if it" in result.stdout
    assert "1 of 2 pieces could not be judged" in result.stderr


def test_judged_pieces_are_counted_with_grade_and_reading(picture: Path, tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "bench")
    result = call("--bench", folder, "photo", picture, *ALL, "--kind", "plate 2x4 white", "--count")
    assert result.exit_code == 0, result.stderr
    assert result.stdout.count("1 × plate 2x4, white") == 4
    with Bench.open(folder) as bench:
        assert bench.picture.ledger.pieces == 4
        records = [bench.picture.ledger.records[rid] for rid in bench.sitting.history]
        assert [record.cell.grade for record in records if record.cell] == [Grade.G5, Grade.G1, Grade.G1, Grade.G1]
        assert all(record.lab and record.way == "photo" for record in records)
        assert records[1].lab == pytest.approx(SCENE.truth[1][1], abs=1.5)


def test_json_names_the_records_and_a_bin_may_be_said(picture: Path, tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "bench")
    marks = (*ALL, "--kind", "plate 2x4 white", "--count", "--bin", "rest", "--json")
    found = rows(call("--bench", folder, "photo", picture, *marks), "photo")
    assert all("/" in row["record"] for row in found)
    with Bench.open(folder) as bench:
        assert {row.label: row.pieces for row in bench.bin_rows()} == {"REST": 4, "B1": 0}


def test_a_preview_has_percents_to_mark_by(picture: Path) -> None:
    result = call("photo", picture, "--preview", env={"COLUMNS": "80", "LINES": "24"})
    assert result.exit_code == 0
    ruler, first, *_ = result.stdout.splitlines()
    assert ruler.split()[:3] == ["%0", "10", "20"]
    assert first.startswith("  0% ")
    assert "█████" in result.stdout
    assert "340 × 180 pixels" in result.stderr


@pytest.mark.parametrize(
    ("args", "code", "words"),
    [
        ((), 2, "--preview helps to find them"),
        (("--card", "1,2,3"), 1, "is no rectangle"),
        (("--card", "10%,10%,120%,5%"), 1, "more than the whole picture"),
        (("--card", "0,0,20,-5"), 1, "is no rectangle"),
        (ALL[:4], 1, "No piece is marked"),
        (ALL[:2], 1, "No unaged piece is marked"),
        (ALL[4:], 1, "No white or grey card"),
        ((*ALL[:4], "--grid", "0,0,90,90"), 1, "no columns and lines"),
        ((*ALL[:4], "--grid", "0,0,90,90,100x100"), 1, "too many cells"),
        ((*ALL[:4], "--piece", "4000,0,90,90"), 1, "outside the picture"),
        ((*ALL, "--card-reflectance", "90"), 1, "card that reflects"),
        ((*ALL, "--count"), 2, "--count needs --kind"),
        ((*ALL, "--kind", "plate 2x4 white"), 2, "--count needs --kind"),
        ((*ALL, "--preview", "--json"), 2, "do not go together"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_words(picture: Path, args: tuple[str, ...], code: int, words: str) -> None:
    result = call("photo", picture, *args)
    assert result.exit_code == code
    assert words in result.stderr


def test_nothing_is_counted_where_the_kind_is_unknown_or_no_piece_was_judged(picture: Path, tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "bench")
    assert call("--bench", folder, "photo", picture, *ALL, "--kind", "comet 9x9", "--count").exit_code == 1
    edge = (*ALL[:4], "--piece", "220,24,50,50", "--kind", "plate 2x4 white", "--count")
    assert "none is counted" in call("--bench", folder, "photo", picture, *edge).stderr
    with Bench.open(folder) as bench:
        assert bench.picture.ledger.pieces == 0


def test_a_list_being_written_up_takes_no_pieces(picture: Path, tmp_path: Path) -> None:
    from sortbench.desks.photo_desk import PhotoTable, count_pieces
    from sortbench.model.catalogue import Kind
    from sortbench.model.errors import DataError

    table = PhotoTable(picture)
    with Bench.open(make_bench(tmp_path / "bench")) as bench:
        bench.write_up("T-03")
        with pytest.raises(DataError, match="Bell Foundry is being written up"):
            count_pieces(bench, Kind("plate-2x4", "white"), table.judge(MARKS))


def test_marks_stand_on_the_preview_above_what_is_read(picture: Path) -> None:
    result = call("photo", picture, *ALL, "--preview", env={"COLUMNS": "80", "LINES": "24"})
    before, after = result.stdout.split("piece  rank", 1)
    assert all(f"{label}··" in before for label in ("C", "R", "1", "2", "3", "4"))
    assert len(after.splitlines()) == 5


def test_the_help_says_what_to_mind_before_a_picture_is_taken() -> None:
    text = call("photo", "--help").stdout
    assert "Before the picture is taken" in text and "UV lamps" in text
    assert "sortbench photo plates.jpg --preview" in text
