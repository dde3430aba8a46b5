"""`sortbench records`: tables for people, rows for programs, a page that runs and fetches nothing."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from cli_bench import call, rows
from small_bench import BRICK, PLATE, make_folder
from working import START, Clock, count_for_a_while

from sortbench.bench import Bench
from sortbench.model.grade import Grade
from sortbench.model.spot_check import Drawing, Find, Heap, Level, SpotCheck
from sortbench.model.tally import Cell

BAR = re.compile("[▁-█⠀-⣿]")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A bench on which two sittings counted, a day apart: 80 and 120 acts."""
    path = make_folder(tmp_path / "bench")
    for day, acts in ((1, 80), (2, 120)):
        clock = Clock(START.replace(day=day))
        with Bench.open(path, clock) as bench:
            count_for_a_while(bench, clock, [PLATE, BRICK], acts, seed=day)
    return path


def note_check(path: Path) -> None:
    """A spot check of three white pieces: one is not there."""
    cell = Cell("REST", *PLATE, "", Grade.G5, ())
    finds = Find("2026-03-03T10:01:00Z", 2, cell), Find("2026-03-03T10:02:00Z", 1, None)
    check = SpotCheck("S1", "2026-03-03T10:00:00Z", "REST", Level.II, "4.0", Drawing.SCOOP, 7, (Heap(cell, 90),), finds)
    with Bench.open(path) as bench:
        bench.keep(lambda draft: draft.spots.update({"S1": check, "S2": check._replace(id="S2", struck=True)}))


def test_all_sittings_and_what_they_come_to_together(folder: Path) -> None:
    found = rows(call("--bench", folder, "records", "--json"), "records")
    together, first, second = found
    assert (together["sitting"], together["spot_checks"], together["spot_checks_together"]) == (None, [], None)
    assert together["quantity"] == first["quantity"] + second["quantity"]
    assert together["put_right"] == 2 + 3  # every fortieth act took a tally back
    assert together["tallies"] == 78 + 117
    assert together["work_s"] == pytest.approx(first["work_s"] + second["work_s"])
    counts = rows(call("--bench", folder, "counts", "--json"), "counts")
    assert together["quantity"] == sum(row["quantity"] for row in counts)
    assert (first["began"][:10], len(second["pauses"])) == ("2026-03-01", 1)
    # The pause lies behind the sixtieth act, and the act itself took a few seconds more.
    assert second["pauses"][0]["length_s"] == pytest.approx(17 * 60, abs=30)
    assert sum(each["to_s"] - each["from_s"] for each in second["course"]) == pytest.approx(second["work_s"])
    assert second["per_minute_low"] < second["per_minute"] < second["per_minute_high"]
    assert {way["way"] for way in together["ways"]} == {"pad", "typed", "photo"}
    result = call("--bench", folder, "records")
    assert re.search(r"^sitting +began \(UTC\) +at work +pauses +tallies +pieces +a minute", result.stdout)
    assert re.search(rf"^{second['sitting']} +2026-03-02 09:30 +.* +2\.6 % +[▁-█]+$", result.stdout, re.MULTILINE)
    assert re.search(r"^on the keypad +\d", result.stdout, re.MULTILINE)
    assert f"{together['quantity']:,} pieces in 195 tallies" in result.stderr


def test_one_sitting_alone_shows_its_course_with_the_figures_below(folder: Path) -> None:
    result = call("--bench", folder, "records", "--sitting", "20260302T093000Z")
    (row,) = rows(call("--bench", folder, "records", "--sitting", "20260302", "--json"), "records")[1:]
    assert "pieces a minute over the time at work\n40 │" in result.stdout
    table = re.findall(r"^(\d:\d\d:\d\d)  (\d:\d\d:\d\d) +([\d.]+) +([\d.]+)$", result.stdout, re.MULTILINE)
    assert [float(line[2]) for line in table] == [pytest.approx(each["quantity"], abs=0.051) for each in row["course"]]
    assert "a pause of 0:17:" in result.stderr
    refused = call("--bench", folder, "records", "--sitting", "1999")
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert "No sitting's name starts with '1999'" in refused.stderr and "20260302T093000Z-" in refused.stderr


def test_where_plots_cannot_be_shown_the_figures_are(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plots = [call("--bench", folder, "records", *more).stdout for more in ((), ("--sitting", "20260302"))]
    monkeypatch.setattr("sortbench.cli.records._prints", lambda text: text.isascii())
    plain = [call("--bench", folder, "records", *more).stdout for more in ((), ("--sitting", "20260302"))]
    assert all(BAR.search(text) for text in plots)
    assert not any(BAR.search(text) for text in plain)
    assert plain[1] == plots[1][plots[1].index("   from") :]


def test_spot_checks_tell_the_share_of_wrong_pieces(folder: Path) -> None:
    note_check(folder)
    together = rows(call("--bench", folder, "records", "--json"), "records")[0]
    (check,) = together["spot_checks"]
    assert (check["spot_check"], check["looked"], check["wrong"]) == ("S1", 3, 1)
    # Clopper-Pearson for 1 of 3 by its definition: (1 - p)^3 = 0.975 at the lower end, p^3 + 3 p^2 (1 - p) with
    # 1 - p in its place at the upper: P(X <= 1) = 0.025.
    low, high = check["share_low"], check["share_high"]
    assert (1 - low) ** 3 == pytest.approx(0.975, abs=1e-5)
    assert (1 - high) ** 3 + 3 * high * (1 - high) ** 2 == pytest.approx(0.025, abs=1e-5)
    assert (check["standing"], check["sample"], together["spot_checks_together"]) == ("not done", 13, None)
    assert re.search(
        r"^S1 +2026-03-03  REST +3 of 13 +1  33\.3 %.*not done", call("--bench", folder, "records").stdout, re.M
    )


def test_only_checks_that_are_done_are_put_together(folder: Path) -> None:
    note_check(folder)

    def done(wrong: int, right: int) -> SpotCheck:
        open_one = bench.documents.spots["S1"]
        due, gone = open_one.finds
        return open_one._replace(finds=(due._replace(quantity=right), gone._replace(quantity=wrong)))

    with Bench.open(folder) as bench:
        found = {"S3": done(1, 12), "S4": done(2, 4)}  # accepted; refused when the second was found wrong
        bench.keep(lambda draft: draft.spots.update({key: each._replace(id=key) for key, each in found.items()}))
    together = rows(call("--bench", folder, "records", "--json"), "records")[0]
    assert [each["standing"] for each in together["spot_checks"]] == ["not done", "accepted", "recount the bin"]
    assert (together["spot_checks_together"]["looked"], together["spot_checks_together"]["wrong"]) == (19, 3)
    said = call("--bench", folder, "records")
    assert re.search(r"^done +19 of 26 +3  15\.8 %", said.stdout, re.M)
    assert "not done are left out" in said.stderr and "rather too many wrong" in said.stderr


class Page(HTMLParser):
    """What a page is made of."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def test_the_page_has_plots_with_the_figures_beside_them_and_needs_nothing_else(folder: Path, tmp_path: Path) -> None:
    note_check(folder)
    path = tmp_path / "records.html"
    assert call("--bench", folder, "records", "--html", path).exit_code == 0
    text = path.read_text("utf-8")
    page = Page(text)
    found = rows(call("--bench", folder, "records", "--json"), "records")
    courses = [len(row["course"]) for row in found[1:]]
    assert page.tags.count("svg") == 3  # one of all sittings, one a sitting
    assert page.tags.count("rect") == sum(courses) + len(courses)
    assert page.tags.count("table") == 5  # ways, spot checks, sittings, two courses
    assert not {"script", "img", "link", "iframe"} & set(page.tags)
    assert not [name for name, _ in page.attributes if name.startswith("on") or name in ("src", "href")]
    assert "url(" not in text and "default-src 'none'" in text
    said = " ".join(page.texts)
    for row in found[1:]:
        assert row["sitting"] in said and f"{row['per_minute']:.1f}" in said
    heights = [float(value or 0) for name, value in page.attributes if name == "height"]
    assert heights and all(0 <= height <= 150 for height in heights)
    again = call("--bench", folder, "records", "--html", path, "--sitting", "20260301")
    assert again.exit_code == 0, "a page of the same sort is replaced"
    path.write_text("mine\n")
    refused = call("--bench", folder, "records", "--html", path)
    assert (refused.exit_code, path.read_text()) == (2, "mine\n")
    assert call("--bench", folder, "records", "--html", path, "--overwrite").exit_code == 0


def test_a_bench_without_counts(tmp_path: Path) -> None:
    path = make_folder(tmp_path / "bench")
    result = call("--bench", path, "records")
    assert (result.exit_code, result.stdout) == (0, "")
    assert "No pieces of the pile were counted yet." in result.stderr
    (together,) = rows(call("--bench", path, "records", "--json"), "records")
    assert (together["quantity"], together["per_minute"], together["began"]) == (0, None, None)
    assert call("--bench", path, "records", "--html", tmp_path / "r.html").exit_code == 0
    assert "svg viewBox" not in (tmp_path / "r.html").read_text("utf-8")


def test_a_damaged_table_of_spot_checks_is_told_by_name(folder: Path) -> None:
    note_check(folder)
    tables: dict[str, Any] = json.loads((folder / "bench.json").read_text())
    next(iter(tables["spots"].values()))["aql"] = "none"
    (folder / "bench.json").write_text(json.dumps(tables))
    result = call("--bench", folder, "records")
    assert result.exit_code == 3
    assert "'spots'" in result.stderr
