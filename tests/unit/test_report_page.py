"""The page of a report: it says what is counted, draws to scale, runs nothing, and is told apart without colour."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from contrast import DRAWN, TEXT, contrast
from page import Page
from small_bench import BRICK, PLATE, TILE, make_folder
from working import START, Clock, count_for_a_while

from sortbench.bench import Bench
from sortbench.desks.additions import add_bin, add_part, add_shade, add_target
from sortbench.desks.pile_desk import set_pile
from sortbench.desks.report_desk import BinFigures, ShadePieces, report_of
from sortbench.engine.board import BinRow
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.grade import Grade
from sortbench.model.target import Line, Target
from sortbench.papers.page_parts import cell_text, progress_plot
from sortbench.papers.report_drawings import FULL, MAYBE, NONE, PART, PATTERNS, bar, tray
from sortbench.papers.report_page import page_of
from sortbench.papers.report_style import DARK, DRAWN_ROLES, LIGHT, TEXT_ROLES

HOSTILE = "</title><script>alert(1)</script>\"'><img src=x onerror=alert(1)> &amp; \u202eover"


@pytest.fixture
def worked(tmp_path: Path) -> Path:
    """A bench on which two sittings counted plates, bricks and tiles, with a pile and a batch in the wash."""
    path = make_folder(tmp_path / "mill-lane")
    for day, acts in ((1, 60), (2, 90)):
        clock = Clock(START.replace(day=day))
        with Bench.open(path, clock) as bench:
            count_for_a_while(bench, clock, [PLATE, BRICK, TILE], acts, seed=day)
            bench.count_coarse("REST", 4)
    with Bench.open(path) as bench:
        set_pile(bench, 900, 800, 1100)
        bench.washing.new("whites, plates")
    return path


def page(path: Path, brief: bool = False) -> Page:
    with Bench.open(path) as bench:
        return Page(page_of(report_of(bench), brief=brief))


def test_it_says_what_was_counted_and_links_to_its_parts(worked: Path) -> None:
    found = page(worked)
    with Bench.open(worked) as bench:
        pieces = bench.picture.ledger.pieces
        rows, bins = bench.target_rows(), bench.bin_rows()
    assert found.balanced
    assert f"counted{pieces:,} of 3 kinds" in found.text
    assert f"of 900 ({800 - pieces:,} to {1100 - pieces:,})" in found.text
    for row in rows:
        assert row.name in found.text
    for each in bins:
        assert each.label in found.text
    assert "whites, plates" in found.text and "Bench mill-lane" in found.text
    places = [each.attributes["id"] for each in found.elements if "id" in each.attributes]
    links = [each.attributes["href"] for each in found.all("a")]
    assert len(places) == len(set(places))
    assert links == [f"#{each.attributes['id']}" for each in found.all("section")]
    brief = page(worked, brief=True)
    assert [each.attributes["id"] for each in brief.all("section")] == ["targets", "bins", "conditions", "wash", "work"]
    assert "were left out" in brief.text


def test_it_runs_and_fetches_nothing(worked: Path) -> None:
    found = page(worked)
    assert not {"script", "link", "img", "iframe", "object", "embed", "use"} & {each.tag for each in found.elements}
    for each in found.elements:
        assert not [name for name in each.attributes if name.startswith("on") or name in ("src", "style")]
    policy = [each.attributes.get("content", "") for each in found.all("meta")]
    assert any("default-src 'none'" in each for each in policy)


def test_user_text_is_text_and_nothing_else(tmp_path: Path) -> None:
    path = make_folder(tmp_path / "a&b <mark>")
    name = HOSTILE.replace("\u202e", "")
    with Bench.open(path) as bench:
        add_part(bench, Part("odd", name, "plate"))
        add_shade(bench, Shade("[red]<b>x"))
        add_bin(bench, Bin("<u>B", Rule(parts=("odd",)), place=name))
        add_target(bench, Target("T<s>", name, 1988, 4, (Line(Kind("odd", "[red]<b>x"), 2),)))
        bench.count(Kind("odd", "[red]<b>x"), 5, Grade.G5, way="typed")
        report = report_of(bench)
        text = page_of(report._replace(name=f"{report.name} {HOSTILE}"))
    found = Page(text)
    assert found.balanced
    assert not {"script", "img", "mark", "u", "s"} & {each.tag for each in found.elements}
    assert name in found.text and "[red]<b>x" in found.text and "T<s>" in found.text and "<u>B" in found.text
    assert "\u202e" not in text and "\ufffdover" in text
    assert "Bench a&amp;b &lt;mark&gt;" in text


def test_long_words_may_be_broken_and_stay_whole_as_text() -> None:
    word = "<" + "w" * 120
    assert Page(cell_text(f"a {word} b")).text == f"a {word} b"
    assert max(len(each) for each in cell_text(word).replace("&lt;", "<").split("<wbr>")) <= 24
    assert cell_text("20260301T093000Z-w3brqm plate 2x4") == "20260301T093000Z-w3brqm plate 2x4"


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#777777", "#ffffff", 4.478),
        ("#767676", "#ffffff", 4.542),
        ("#ff0000", "#ffffff", 3.998),
        ("#5f6368", "#1e1e1e", 2.756),
    ],
)
def test_the_reckoning_of_contrast_is_that_of_wcag(one: str, other: str, ratio: float) -> None:
    """Values of wcag-contrast-ratio 0.9, which coloraide confirms, to 0.005."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_letters_and_drawings_stand_out_from_the_ground(colours: dict[str, str]) -> None:
    for role in TEXT_ROLES:
        assert contrast(colours[role], colours["ground"]) >= TEXT, role
    for role in DRAWN_ROLES:
        assert contrast(colours[role], colours["ground"]) >= DRAWN, role
    assert set(LIGHT) == set(DARK)


def test_what_bars_show_is_told_apart_by_pattern_and_in_words() -> None:
    looks = {FULL, PART, MAYBE, NONE}
    assert len(looks) == 4
    patterns = {each.attributes["id"] for each in Page(PATTERNS).all("pattern")}
    assert {look[look.index("#") + 1 : -2] for look in looks if "url" in look} <= patterns
    drawn = Page(bar([(30, FULL), (10, PART), (20, MAYBE)], 100, "30 to standard, 40 present of 100"))
    (svg,) = drawn.all("svg")
    assert (svg.attributes["role"], svg.attributes["aria-label"]) == ("img", "30 to standard, 40 present of 100")
    *parts, rim = drawn.all("rect")
    whole = float(rim.attributes["width"])
    assert [float(each.attributes["width"]) / whole for each in parts] == pytest.approx([0.3, 0.1, 0.2], abs=0.001)
    lefts = [float(each.attributes["x"]) for each in parts]
    assert lefts == pytest.approx([1, 1 + 0.3 * whole, 1 + 0.4 * whole], abs=0.06)


def test_a_bar_of_nothing_is_empty() -> None:
    assert len(Page(bar([(0, FULL), (0, PART)], 0, "")).all("rect")) == 1


def box(pieces: int, capacity: int | None, *shades: ShadePieces) -> BinFigures:
    over = max(0, pieces - (capacity or pieces))
    row = BinRow("B1", "everything else", "", pieces, capacity, None, pieces, None, over, 0.0, len(shades))
    return BinFigures(row, shades, "")


def heights(drawn: str) -> list[float]:
    """Of the layers in a tray, from the lowest up."""
    return [float(each.attributes["height"]) for each in Page(drawn).all("rect") if "fill" in each.attributes]


def test_a_tray_is_filled_as_high_as_it_is_full() -> None:
    red, grey = ShadePieces("red", "b3261e", 30), ShadePieces("grey, early", "9ba19d", 10)
    (quarter,) = heights(tray(box(30, 120, red)))
    half = heights(tray(box(40, 80, red, grey)))
    (full,) = heights(tray(box(30, 30, red)))
    (over,) = heights(tray(box(30, 20, red)))
    assert (quarter / full, sum(half) / full) == pytest.approx((0.25, 0.5), abs=0.01)
    assert half[0] / half[1] == pytest.approx(3, rel=0.02)
    assert over > full
    assert heights(tray(box(0, 20))) == []
    unknown = tray(box(30, None, red))
    assert heights(unknown)[0] / full == pytest.approx(0.5)
    assert "open" in unknown and "open" not in tray(box(30, 30, red))


def test_a_tray_says_its_shades_and_draws_the_many_as_one() -> None:
    shades = tuple(ShadePieces(f"shade {n}", f"{n:06x}", 20 - n) for n in range(10))
    drawn = tray(box(155, 200, *shades))
    assert len(heights(drawn)) == 6
    (svg,) = Page(drawn).all("svg")
    assert svg.attributes["aria-label"].endswith("shade 4 16, 5 other shades 65")  # 15 + 14 + 13 + 12 + 11
    unknown = tray(box(5, 10, ShadePieces("", "", 3), ShadePieces("odd", "", 2)))
    assert unknown.count("url(#unknown)") == 2 and "shade not looked at 3, odd 2" in unknown


def test_the_line_of_progress_ends_at_all_that_was_counted(worked: Path) -> None:
    with Bench.open(worked) as bench:
        sittings = report_of(bench).records.sittings
    (line, *_) = Page("".join(progress_plot(sittings, 900))).all("path")
    points = [tuple(map(float, each.split())) for each in line.attributes["d"][1:].split("L")]
    # The plot is 150 high with its floor at 158, and 1,000 is the round number above a pile of 900.
    counted = [round((158 - y) / 150 * 1000) for _, y in points]
    total = sum(each.pieces for each in sittings)
    assert counted[0] == 0 and counted == sorted(counted)
    assert counted[-1] == pytest.approx(total, abs=1)
    assert points[-1][0] == 640
    assert not list(progress_plot(()))


def test_an_empty_bench_says_what_would_fill_it(tmp_path: Path) -> None:
    with Bench.create(tmp_path / "new") as bench:
        text = page_of(report_of(bench))
    found = Page(text)
    assert found.balanced
    for words in ("Nothing is counted yet", "sortbench import targets", "sortbench add bin", "No batch is noted"):
        assert words in found.text
    assert not re.search(r"\b(nan|None|inf)\b", found.text)
