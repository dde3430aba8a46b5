"""`sortbench report`: where the page goes, and the same figures as rows for programs."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_bench import call, rows
from small_bench import BRICK, PLATE, make_folder

from sortbench.bench import Bench
from sortbench.model.grade import Grade
from sortbench.model.tally import Fate


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A bench with a dozen plates, of which one went out, and a brick with its crate."""
    path = make_folder(tmp_path / "bench")
    with Bench.open(path) as bench:
        bench.count(PLATE, 12, Grade.G5, way="pad")
        bench.put_aside(Fate.OUT)
        bench.count(BRICK, 1, Grade.G3, way="typed")
        bench.count_coarse("REST", 2)
    return path


def test_the_page_goes_into_the_bench_or_where_it_is_told(folder: Path, tmp_path: Path) -> None:
    first = call("--bench", folder, "report")
    kept = folder / "reports" / "report.html"
    assert (first.exit_code, first.stdout) == (0, "")
    assert str(kept) in first.stderr and kept.read_text("utf-8").startswith("<!doctype html>")
    assert call("--bench", folder, "report", "--brief").exit_code == 0, "an earlier report is replaced"
    assert 'id="missing"' not in kept.read_text("utf-8")
    path = tmp_path / "friday.html"
    assert call("--bench", folder, "report", "--html", path).exit_code == 0
    assert 'id="missing"' in path.read_text("utf-8")
    path.write_text("mine\n")
    refused = call("--bench", folder, "report", "--html", path)
    assert (refused.exit_code, path.read_text()) == (2, "mine\n")
    assert "--overwrite" in refused.stderr
    assert call("--bench", folder, "report", "--html", path, "--overwrite").exit_code == 0
    assert "mine" not in path.read_text("utf-8")


def test_something_else_in_the_place_of_the_report_is_left_alone(folder: Path) -> None:
    (folder / "reports").mkdir()
    (folder / "reports" / "report.html").write_text("mine\n")
    assert call("--bench", folder, "report").exit_code == 2
    assert (folder / "reports" / "report.html").read_text() == "mine\n"
    (folder / "reports" / "report.html").unlink()
    (folder / "reports").rmdir()
    (folder / "reports").write_text("a file")
    refused = call("--bench", folder, "report")
    assert refused.exit_code == 3 and "--html" in refused.stderr


def test_options_that_say_nothing_are_refused(folder: Path) -> None:
    assert call("--bench", folder, "report", "--overwrite").exit_code == 2
    assert call("--bench", folder, "report", "--json", "--brief").exit_code == 2
    assert not (folder / "reports").exists()


def test_the_same_figures_as_rows(folder: Path, tmp_path: Path) -> None:
    (row,) = rows(call("--bench", folder, "report", "--json"), "report")
    assert not (folder / "reports").exists()
    assert (row["bench"], row["quantity"], row["kinds"], row["pile"]) == ("bench", 14, 2, None)
    # 3 and 4 of 11 plates go to the hut and the tramway; the brick is below no standard: lines ask for grade 3.
    assert row["whereabouts"] == {"to_standard": 8, "below_standard": 0, "spare": 4, "coarse": 2, "discarded": 1}
    assert [(each["target"], each["present"], each["short"]) for each in row["targets"]] == [
        ("T-01", 4, 1),
        ("T-02", 4, 1),
        ("T-03", 0, 0),
    ]
    (over,) = [each for each in row["bins"] if each["over"] or each["over_g"]]
    assert (over["bin"], over["over"], over["shades"]) == ("B1", 6, {"red": 11})
    assert [(each["target"], each["line"], each["short"]) for each in row["shortfall"]] == [
        ("T-01", 2, 1),
        ("T-02", 1, 1),
    ]
    assert sum(each["quantity"] for each in row["spares"]) == 4
    assert row["records"][0]["quantity"] == 15  # what went out was counted too
    both = call("--bench", folder, "report", "--json", "--html", tmp_path / "r.html")
    (again,) = rows(both, "report")
    assert {**again, "at": row["at"]} == row and (tmp_path / "r.html").exists()
