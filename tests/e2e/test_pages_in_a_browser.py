"""The pages that the program writes, opened and printed by a real browser. Skipped where there is no Chromium."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from chromium import MISSING, PROGRAM, Browser
from small_bench import BRICK, PLATE, TILE, make_folder
from working import START, Clock, count_for_a_while

from sortbench.bench import Bench
from sortbench.desks.additions import add_bin, add_part, add_shade, add_target
from sortbench.desks.pile_desk import set_pile
from sortbench.desks.report_desk import report_of
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.grade import Grade
from sortbench.model.target import Line, Target
from sortbench.papers.records_page import page_of as records_page
from sortbench.papers.report_page import page_of
from sortbench.papers.report_style import DARK, LIGHT

pytestmark = pytest.mark.skipif(PROGRAM is None, reason=MISSING)

A4_MM = (210, 297)
"""ISO 216, A4; its sides may be off by 2 mm, ours by what rounding to points may do."""

A4_TEXT_PX = round((210 - 2 * 16) / 25.4 * 96)
"""The width between the margins of a printed sheet, in the pixels of CSS (1/96 inch)."""

UNSAFE = "<script>document.title='run'</script>"
LONG = "W" * 180


@pytest.fixture
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """Chromium with a profile of its own, which is removed: it is large."""
    profile = tmp_path_factory.mktemp("chromium")
    yield Browser(profile)
    shutil.rmtree(profile, ignore_errors=True)


def hostile(folder: Path) -> Path:
    """A bench on which two sittings counted, whose names try to be elements and to burst the page."""
    path = make_folder(folder / "bench")
    odd = Kind("odd", f"grey {LONG}")
    with Bench.open(path) as bench:
        add_part(bench, Part("odd", f"{UNSAFE}{LONG}", "plate"))
        add_shade(bench, Shade(odd.shade, "9ba19d"))
        add_bin(bench, Bin(f"B{LONG}", Rule(parts=("odd",)), capacity=3, place=f"row {LONG}"))
        add_target(bench, Target(f"T-{LONG}", f"{UNSAFE}{LONG}", 1988, 4, (Line(odd, 99_999), Line(BRICK, 4))))
    for day, acts in ((1, 60), (2, 80)):
        clock = Clock(START.replace(day=day))
        with Bench.open(path, clock) as bench:
            count_for_a_while(bench, clock, [PLATE, BRICK, TILE], acts, seed=day)
            bench.count(odd, 500, Grade.G2, way="typed")
            bench.count_coarse("REST", 4)
            set_pile(bench, 12_900, 12_800, 13_100)
    with Bench.open(path) as bench:
        bench.washing.new(f"whites {LONG}")
    return path


@pytest.fixture
def report(tmp_path: Path) -> Path:
    """The report of such a bench."""
    file = tmp_path / "report.html"
    with Bench.open(hostile(tmp_path)) as bench:
        file.write_text(page_of(report_of(bench)), "utf-8")
    return file


def test_a_browser_has_nothing_to_complain_of_and_nothing_runs(report: Path, browser: Browser) -> None:
    opened = browser.open(report)
    assert opened.console == ()
    assert "<script" not in opened.dom and "&lt;script&gt;" in opened.dom
    assert re.search(r"<title>Bench bench</title>", opened.dom)
    for place in ("targets", "bins", "conditions", "wash", "work", "missing", "spares"):
        assert f'<section id="{place}"' in opened.dom


def test_a_browser_would_complain_of_a_page_that_runs_something(report: Path, browser: Browser) -> None:
    """The check before this one sees what it looks for."""
    text = report.read_text("utf-8")
    report.write_text(text.replace("</main>", "<script>1</script></main>"), "utf-8")
    assert any("Content Security Policy" in line for line in browser.open(report).console)


def test_it_prints_on_a4(report: Path, browser: Browser, tmp_path: Path) -> None:
    sheets = browser.printed(report, tmp_path / "report.pdf")
    assert len(sheets) >= 3  # overview, what is missing, what is spare: each list begins on a sheet of its own
    for sheet in sheets:
        assert sheet == pytest.approx(A4_MM, abs=0.5)


def test_nothing_reaches_past_the_edge_of_a_sheet_or_a_small_screen(report: Path, browser: Browser) -> None:
    """Tables that are wider than a small screen scroll by themselves; on paper nothing can, so there none may be."""
    script = """
        const root = document.documentElement;
        const wide = [...document.querySelectorAll('.wide')].filter(each => each.scrollWidth > each.clientWidth);
        return [root.scrollWidth - root.clientWidth, wide.length].join(' ');
    """
    assert browser.measure(report, script, width=500).split()[0] == "0"
    assert browser.measure(report, script, width=A4_TEXT_PX, printed=True) == "0 0"


@pytest.mark.parametrize(("dark", "colours"), [(False, LIGHT), (True, DARK)], ids=["light", "dark"])
def test_its_ground_is_that_of_the_browser(report: Path, browser: Browser, dark: bool, colours: dict[str, str]) -> None:
    script = "const s = getComputedStyle(document.body); return s.backgroundColor + ' ' + s.color;"
    found = [
        tuple(map(int, each)) for each in re.findall(r"(\d+), (\d+), (\d+)", browser.measure(report, script, dark=dark))
    ]
    assert found == [tuple(bytes.fromhex(colours[role][1:])) for role in ("ground", "ink")]


def test_swatches_have_the_colours_of_their_shades(report: Path, browser: Browser) -> None:
    script = """
        const cells = [...document.querySelectorAll('.swatch')].map(each => each.parentElement.textContent + ' '
            + getComputedStyle(each).backgroundColor);
        return [...new Set(cells)].join('|');
    """
    found = browser.measure(report, script).split("|")
    assert {"red rgb(179, 38, 30)", "white rgb(244, 244, 244)", f"grey {LONG} rgb(155, 161, 157)"} <= set(found)
    assert not [each for each in found if each.endswith("rgba(0, 0, 0, 0)") and not each.startswith("shade not looked")]


def test_records_of_the_work_open_without_complaint(tmp_path: Path, browser: Browser) -> None:
    file = tmp_path / "records.html"
    with Bench.open(hostile(tmp_path)) as bench:
        file.write_text(records_page(report_of(bench).records), "utf-8")
    opened = browser.open(file)
    assert opened.console == () and opened.dom.count("<svg") == 3
