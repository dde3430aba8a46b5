"""`sortbench pick`: the list, ticking it off, and what it writes."""

from __future__ import annotations

import csv
import io
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from sortbench.bench import Bench
from sortbench.desks.additions import add_bin, add_part, add_shade, add_target
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.grade import Flaw, Grade
from sortbench.model.sheet_sharing import PickSheetRow
from sortbench.model.target import Line, StandIn, Target
from tests.unit.cli_bench import call, make_bench, rows

PLATE, BELL, LATE = Kind("plate-2x4", "white"), Kind("bell", "grey, late"), Kind("bell", "grey, early")


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """Bell Foundry asks for twelve white plates and a late bell; there are ten plates and an early bell too many."""
    folder = make_bench(tmp_path / "b")
    with Bench.open(folder) as opened:
        add_target(opened, Target("T-09", "Glasshouse", 1990, 3, (Line(LATE, 1, stand_ins=(StandIn(BELL, 2),)),)))
        opened.count(PLATE, 8, Grade.G4)
        opened.count(PLATE, 2, Grade.G3, (Flaw.CHIPPED,))
        opened.count(BELL, 2)
    return folder


def listed(bench: Path, *args: str) -> list[dict[str, Any]]:
    return rows(call("--bench", bench, "pick", *args, "--json"), "pick")


def test_the_list_in_a_table(bench: Path) -> None:
    result = call("--bench", bench, "pick", "T-03")
    assert result.exit_code == 0, result.stderr
    lines = [line.split() for line in result.stdout.splitlines()]
    assert lines[0] == ["row", "bin", "pieces", "piece", "grade", "line", "note"]
    assert lines[1] == ["[", "]", "1", "B1", "8", "plate", "2x4,", "white", "4", "1"]
    assert lines[2] == ["[", "]", "2", "B1", "2", "plate", "2x4,", "white", "3", "1", "chipped"]
    assert lines[3] == ["[", "]", "3", "REST", "1", "bell,", "grey,", "late", "5", "2"]
    assert "11 pieces to pick in 3 rows; 0 in the crate. 2 more are asked for and not there. List " in result.stderr


def test_json_has_the_columns_of_the_table(bench: Path) -> None:
    found = listed(bench, "T-03")
    assert tuple(found[0]) == PickSheetRow._fields
    assert found[1] == {
        "done": False,
        "number": 2,
        "bin": "B1",
        "place": None,
        "fate": "kept",
        "left": 2,
        "picked": 0,
        "quantity": 2,
        "part": "plate-2x4",
        "name": "plate 2x4",
        "shade": "white",
        "grade": "3",
        "flaw": "chipped",
        "lines": "1",
        "stands_in_for": None,
        "target": "T-03",
    }
    (stand_in,) = listed(bench, "T-09")
    assert stand_in["stands_in_for"] == "bell, grey, early"
    assert "stands in for bell, grey, early" in call("--bench", bench, "pick", "T-09").stdout


def test_rows_ticked_off_and_put_back(bench: Path) -> None:
    result = call("--bench", bench, "pick", "T-03", "--tick", "1,3")
    assert (result.exit_code, result.stdout) == (0, "")
    assert "picked: 9 pieces in 2 rows" in result.stderr
    assert "2 pieces to pick in 1 rows; 9 in the crate." in result.stderr
    assert [(row["done"], row["left"], row["picked"]) for row in listed(bench, "T-03")] == [
        (True, 0, 8),
        (False, 2, 0),
        (True, 0, 1),
    ]
    assert [row["number"] for row in listed(bench, "T-03", "--left")] == [2]
    assert "[x]" in call("--bench", bench, "pick", "T-03").stdout
    back = call("--bench", bench, "pick", "T-03", "--put-back", "1=3")
    assert "put back: 3 × plate 2x4, white (B1)" in back.stderr
    assert [(row["left"], row["picked"]) for row in listed(bench, "T-03")] == [(3, 5), (2, 0), (0, 1)]
    assert "5 more in the crate already" in call("--bench", bench, "pick", "T-03").stdout
    assert "picked: 5 pieces in 2 rows" in call("--bench", bench, "pick", "T-03", "--all").stderr
    done = call("--bench", bench, "pick", "T-03", "--left")
    assert "All of it is ticked off." in done.stderr
    assert "Nothing is left to pick; 11 in the crate." in done.stderr
    counts = rows(call("--bench", bench, "counts", "--json"), "counts")
    assert {(row["target"], row["quantity"]) for row in counts if row["fate"] == "in a crate"} == {
        ("T-03", 8),
        ("T-03", 2),
        ("T-03", 1),
    }


def test_ranges_of_rows_and_some_pieces_of_one(bench: Path) -> None:
    assert call("--bench", bench, "pick", "T-03", "--tick", "1-2", "--tick", "3=1").exit_code == 0
    assert [row["done"] for row in listed(bench, "T-03")] == [True, True, True]


@pytest.mark.parametrize(
    ("args", "code", "words"),
    [
        (["T-99"], 1, "No target has the code 'T-99'"),
        (["T-03", "--tick", "4"], 1, "has no row 4. It has 3."),
        (["T-03", "--tick", "1=9"], 1, "has 8 left to pick, not 9"),
        (["T-03", "--tick", "1,1"], 1, "Row 1 is named twice"),
        (["T-03", "--put-back", "1"], 1, "has 0 in the crate"),
        (["T-05", "--tick", "1"], 1, "It is empty: no piece counted so far is for it."),
        (["T-03", "--tick", "x"], 2, "'x' names no rows; say 4, 4-7, 4,6 or 4=2."),
        (["T-03", "--tick", "3-1"], 2, "'3-1' names no rows"),
        (["T-03", "--tick", "0"], 2, "'0' names no rows"),
        (["T-03", "--tick", ""], 2, "'' names no rows"),
        (["T-03", "--tick", "1-900000"], 2, "names no rows"),
        (["T-03", "--tick", "1", "--all"], 2, "do not go together"),
        (["T-03", "--tick", "1", "--put-back", "2"], 2, "do not go together"),
        (["T-03", "--tick", "1", "--list", "zz"], 1, "The list of Bell Foundry changed: it is"),
        ([], 2, "Missing argument 'TARGET'"),
    ],
)
def test_what_cannot_be_meant_is_told_and_nothing_is_carried(
    bench: Path, args: list[str], code: int, words: str
) -> None:
    result = call("--bench", bench, "pick", *args)
    assert (result.exit_code, result.stdout) == (code, "")
    assert words in " ".join(result.stderr.split())
    assert all(row["picked"] == 0 for row in listed(bench, "T-03"))


def test_the_mark_of_a_list_lets_it_be_ticked_until_it_changes(bench: Path) -> None:
    mark = call("--bench", bench, "pick", "T-03").stderr.split("List ")[1].strip(". \n")
    assert call("--bench", bench, "pick", "T-03", "--list", mark, "--tick", "1").exit_code == 0
    assert call("--bench", bench, "pick", "T-03", "--list", mark.upper(), "--tick", "2").exit_code == 0
    call("--bench", bench, "tally", "plate 2x4 white !5")
    refused = call("--bench", bench, "pick", "T-03", "--list", mark, "--tick", "3")
    assert refused.exit_code == 1
    assert "Write it anew, and tick by its numbers." in refused.stderr


def test_an_empty_list_is_said(bench: Path) -> None:
    assert "No piece counted so far is for it." in call("--bench", bench, "pick", "T-05").stderr
    assert listed(bench, "T-05") == []


# Files


class Page(HTMLParser):
    """Checks that a page is sound and keeps what it holds."""

    VOID = frozenset({"meta", "br", "hr"})

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.cells: list[list[str]] = []
        self.text = ""
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag not in self.VOID:
            self.open.append(tag)
        if tag == "tr":
            self.cells.append([])
        if tag in ("td", "th"):
            self.cells[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.cells and {"td", "th"} & {*self.open}:
            self.cells[-1][-1] += data
        if "style" not in self.open:
            self.text += data


def page_of(bench: Path, target: str, file: Path, *args: str) -> Page:
    result = call("--bench", bench, "pick", target, "--html", file, *args)
    assert result.exit_code == 0, result.stderr
    assert result.stdout.strip() == str(file)
    return Page(file.read_text("utf-8"))


def test_the_page_has_a_box_for_each_row_and_ticks_what_is_picked(bench: Path, tmp_path: Path) -> None:
    call("--bench", bench, "pick", "T-03", "--tick", "2")
    page = page_of(bench, "T-03", tmp_path / "list.html")
    assert page.cells == [
        ["", "row", "pieces", "piece", "shade", "grade", "flaws", "line", "note"],
        ["B1"],
        ["", "1", "8", "plate 2x4", "white", "4", "", "1", ""],
        ["✓", "2", "2", "plate 2x4", "white", "3", "chipped", "1", ""],
        ["REST"],
        ["", "3", "1", "bell", "grey, late", "5", "", "2", ""],
    ]
    assert "Pick list: Bell Foundry" in page.text
    assert "9 pieces to pick in 2 rows; 2 in the crate." in page.text
    mark = call("--bench", bench, "pick", "T-03").stderr.split("List ")[1].strip(". \n")
    assert f"list {mark}" in page.text
    assert len([value for name, value in page.attributes if (name, value) == ("class", "box")]) == 3
    assert "size: A4" in (tmp_path / "list.html").read_text("utf-8")
    left = page_of(bench, "T-03", tmp_path / "left.html", "--left")
    assert [row[1] for row in left.cells if len(row) > 1] == ["row", "1", "3"]


HOSTILE = [
    "<script>alert(1)</script>",
    "\" onload=alert(1) x='",
    "&lt;b&gt; &amp;",
    "</td></table><img src=//example.invalid/x>",
    "[/] [red]x",
    "=HYPERLINK(1)",
    "-->]]>",
]


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    """A bench where everything that has a name has one that a page, a spreadsheet or a terminal might run."""
    with Bench.create(tmp_path / "h") as bench:
        lines = []
        for number, name in enumerate(HOSTILE):
            add_part(bench, Part(f"{name} {number}", name, "plate"))
            add_shade(bench, Shade(name, "aa0000"))
            add_bin(bench, Bin(name, Rule(shades=(name,)), place=name))
            lines.append(Line(Kind(f"{name} {number}", name), 1, stand_ins=(StandIn(Kind("x", name)),)))
        add_target(bench, Target(HOSTILE[0], HOSTILE[3], 1990, 1, tuple(lines)))
        for line in lines:
            bench.count(line.kind, 1)
        return bench.path


def test_the_page_needs_nothing_from_elsewhere_and_runs_nothing(hostile: Path, tmp_path: Path) -> None:
    page = page_of(hostile, HOSTILE[0], tmp_path / "list.html")
    text = (tmp_path / "list.html").read_text("utf-8")
    known = "html head meta title style body h1 p table thead tbody tr th td span"
    assert page.tags == set(known.split())
    allowed = {"lang", "charset", "name", "content", "http-equiv", "class", "scope", "colspan", "style", "role"}
    assert {name for name, _ in page.attributes} <= allowed | {"aria-label"}
    assert {value for name, value in page.attributes if name == "style"} == {"background:#aa0000"}
    assert ("content", "default-src 'none'; style-src 'unsafe-inline'") in page.attributes
    # The name that holds an address is there as text only: no attribute can hold it, and no style names one.
    assert not any(word in text for word in ("http:", "https:", "url(", "@import", "<script", "<img"))
    for name in HOSTILE:
        assert sum(name in cell for row in page.cells for cell in row) >= 2
    assert page.text.count(HOSTILE[3]) >= 2


def test_the_table_is_guarded_and_comes_back_row_by_row(hostile: Path, tmp_path: Path) -> None:
    result = call("--bench", hostile, "pick", HOSTILE[0], "--csv", tmp_path / "list.csv")
    assert result.exit_code == 0, result.stderr
    data = (tmp_path / "list.csv").read_bytes()
    assert data.count(b"\r\n") == len(HOSTILE) + 1
    header, *found = csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True)
    assert tuple(header) == PickSheetRow._fields
    assert all(cell[:1] not in ("=", "+", "-", "@") for row in found for cell in row)
    names = [row[header.index("name")] for row in found]
    assert sorted(names) == sorted(("'" + name if name[0] in "=-" else name) for name in HOSTILE)
    assert call("--bench", hostile, "pick", HOSTILE[0]).exit_code == 0


def test_an_earlier_list_is_replaced_and_nothing_else(bench: Path, tmp_path: Path) -> None:
    for option, name in (("--csv", "list.csv"), ("--html", "list.html")):
        file = tmp_path / name
        assert call("--bench", bench, "pick", "T-03", option, file).exit_code == 0
        first = file.read_bytes()
        call("--bench", bench, "pick", "T-03", "--tick", "1")
        assert call("--bench", bench, "pick", "T-03", option, file).exit_code == 0
        assert file.read_bytes() != first
        call("--bench", bench, "pick", "T-03", "--put-back", "1")
        file.write_text("mine")
        refused = call("--bench", bench, "pick", "T-03", option, file)
        assert refused.exit_code == 2
        assert "holds something else" in refused.stderr and "--overwrite" in refused.stderr
        assert file.read_text() == "mine"
        assert call("--bench", bench, "pick", "T-03", option, file, "--overwrite").exit_code == 0
        assert file.read_text("utf-8") != "mine"


def test_a_bench_is_never_written_over(bench: Path) -> None:
    before = {path: path.read_bytes() for path in bench.rglob("*") if path.is_file()}
    (log,) = (bench / "tallies").glob("*.jsonl")
    for file in (bench / "bench.json", log, bench / "tallies" / "new.csv"):
        refused = call("--bench", bench, "pick", "T-03", "--csv", file, "--overwrite")
        assert refused.exit_code == 2
        assert "belongs to a bench" in refused.stderr
    assert {path: path.read_bytes() for path in bench.rglob("*") if path.is_file()} == before
    assert call("--bench", bench, "pick", "T-03", "--csv", bench / "list.csv").exit_code == 0


def test_a_disk_that_refuses_is_told(bench: Path, tmp_path: Path) -> None:
    refused = call("--bench", bench, "pick", "T-03", "--csv", tmp_path / "no" / "such" / "folder.csv")
    assert refused.exit_code == 3
    assert "could not be written" in refused.stderr
