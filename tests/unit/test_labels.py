"""Labels of bins and crates: what they say, where it lies on the sheet, and whether a scanner reads them."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageDraw
from reportlab.pdfbase.pdfmetrics import stringWidth
from small_bench import TARGETS

from sortbench.bench import Bench
from sortbench.cli.main import run
from sortbench.desks.label_desk import Label, Tint, labels_of
from sortbench.engine.labelling.code_square import QUIET, Modules, square_of
from sortbench.engine.labelling.scanned import code_text
from sortbench.model.bins import Bin
from sortbench.model.errors import DataError, UsageError
from sortbench.papers.label_files import pdf_of, svg_of, write_labels
from sortbench.papers.label_page import LEAST_MODULE, PAPERS, Sheet, sheets_of, wide

SVG = "{http://www.w3.org/2000/svg}"
DOTS_A_MM = 300 / 25.4
"""A plain office printer."""
HARD = ("B7", "row 2, third", "Ü-7 «grau»", "B*4#x!3", "T-03", "箱7", "x" * 120)
"""Labels as people may write them."""


def label(mark: str = "B7", name: str = "", tints: tuple[Tint, ...] = (), words: tuple[str, ...] = ()) -> Label:
    return Label(mark, name, tints, words, code_text(mark))


def bin_called(bench: Bench, mark: str) -> None:
    """One more bin, as an import would make it."""
    with bench.folder.documents.edit() as draft:
        draft.bins.append(Bin(mark))
    bench.reload()


def laid_out(found: list[Label], size: tuple[float, float] = (62, 36), paper: str = "A4") -> tuple[Sheet, ...]:
    return sheets_of(found, [square_of(each.scanned) for each in found], PAPERS[paper], size)


def read(modules: Modules, dots: int, quiet: int = QUIET) -> list[str]:
    """What an independent reader of codes makes of one, drawn with so many dots a module."""
    side = len(modules) + 2 * quiet
    pixels = np.full((side, side), 255, np.uint8)
    pixels[quiet : side - quiet, quiet : side - quiet] = np.where(np.array(modules), 0, 255)
    return [each.text for each in zxingcpp.read_barcodes(np.kron(pixels, np.ones((dots, dots), np.uint8)))]


class TestWhatIsSaid:
    def test_bins_in_their_order_then_crates_by_rank(self, bench: Bench) -> None:
        found = labels_of(bench, bins=True, crates=True)
        assert [each.mark for each in found] == ["FLAWED", "FADED", "B1", "B2", "REST", "T-01", "T-02", "T-03"]
        assert found[2] == Label("B1", "", (Tint("red", "b3261e"),), ("plate", "holds 5 pieces"), "@B1")
        assert found[3].words == ("holds 10 g",)  # its shade is shown, and nothing else is asked for
        assert found[4].words == ("everything else",)
        assert found[5] == Label("T-01", "Signal Hut", (), ("1988 · 5 pieces",), "@T-01")

    def test_only_what_is_named(self, bench: Bench) -> None:
        assert [each.mark for each in labels_of(bench, bins=True, crates=True, only=("t-02", "b1"))] == ["B1", "T-02"]
        with pytest.raises(DataError, match="'B9'"):
            labels_of(bench, bins=True, crates=True, only=("B1", "B9"))

    def test_a_crate_that_bears_the_label_of_a_bin_is_refused(self, bench: Bench) -> None:
        bin_called(bench, "t-01")
        with pytest.raises(DataError, match="could not tell them apart"):
            labels_of(bench, bins=False, crates=True)
        assert labels_of(bench, bins=True, crates=False)

    @pytest.mark.parametrize("mark", HARD)
    def test_whatever_a_bin_is_called_its_code_holds_it(self, bench: Bench, mark: str) -> None:
        bin_called(bench, mark)
        found = labels_of(bench, bins=True, crates=False, only=(mark,))[0]
        bench.enter("plate 2x4 red")
        bench.enter(found.scanned)
        assert bench.held.bin == mark and bench.picture.ledger.pieces == 1
        assert "holds bin" in bench.search(found.scanned).enter

    def test_a_crate_says_what_it_lacks(self, bench: Bench) -> None:
        bench.enter("plate 2x4 red")
        answer = bench.enter("@T-01")
        assert answer.text == (  # type: ignore[union-attr]
            "crate T-01, Signal Hut: 1 of 5 to standard, 4 missing: 2 × plate 2x4 red; 2 × brick 2x4 red"
        )
        assert "says what crate T-01 lacks" in bench.search("@t-01").enter

    def test_a_label_with_a_mark_behind_it_is_no_label(self, bench: Bench) -> None:
        bench.enter("plate 2x4 red")
        bench.enter("@B2 *4")
        assert bench.picture.ledger.pieces == 5 and not bench.held.bin


class TestCodes:
    @pytest.mark.parametrize("mark", HARD)
    def test_an_independent_reader_reads_them(self, mark: str) -> None:
        modules = square_of(code_text(mark))
        for dots in (2, 3, 8):
            assert read(modules, dots) == [f"@{mark}"]

    def test_they_are_built_as_the_standard_says(self) -> None:
        """ISO/IEC 18004:2015: sides of 17 + 4 v modules (7.3.1 and table 1), three finder patterns (6.3.3), timing
        patterns in row and column 6 (6.3.5), a dark module above the lower left pattern (7.9.1). Clauses from memory.
        """
        for text in ("@B7", "@" + "x" * 90):
            modules = square_of(text)
            side = len(modules)
            assert side >= 21 and (side - 17) % 4 == 0 and {len(row) for row in modules} == {side}
            finder = [[max(abs(x - 3), abs(y - 3)) != 2 for x in range(7)] for y in range(7)]
            for top, left in ((0, 0), (0, side - 7), (side - 7, 0)):
                assert [list(row[left : left + 7]) for row in modules[top : top + 7]] == finder
            for at in range(8, side - 8):
                assert modules[6][at] == modules[at][6] == (at % 2 == 0)
            assert modules[side - 8][8]

    def test_a_part_of_the_code_may_be_dirty(self) -> None:
        """Level M restores about 15 % (ISO/IEC 18004:2015, 5.1): one codeword in a hundred is little."""
        modules = [list(row) for row in square_of("@B7")]
        for x, y in ((12, 12), (13, 12), (12, 13), (13, 13)):
            modules[y][x] = not modules[y][x]
        assert read(tuple(map(tuple, modules)), 4) == ["@B7"]

    def test_what_no_code_holds_is_refused(self) -> None:
        with pytest.raises(DataError, match="too long for a code"):
            square_of("@" + "x" * 5000)


class TestSheets:
    def test_labels_lie_side_by_side_within_the_edges_of_the_paper(self) -> None:
        for paper, (width, height) in PAPERS.items():
            sheets = laid_out([label(f"B{number}") for number in range(50)], paper=paper)
            assert sum(len(sheet.labels) for sheet in sheets) == 50 and len(sheets) > 1
            for sheet in sheets:
                assert (sheet.width, sheet.height) == (width, height)
                for placed in sheet.labels:
                    assert placed.x >= 6 and placed.x + placed.width <= width - 6
                    assert placed.y >= 6 and placed.y + placed.height <= height - 6
                for one in sheet.labels:
                    for other in sheet.labels:
                        if one is not other:
                            assert abs(one.x - other.x) >= one.width or abs(one.y - other.y) >= one.height

    @pytest.mark.parametrize("size", [(40, 20), (62, 36), (100, 60), (48, 48)])
    def test_everything_lies_within_its_label_and_beside_the_quiet_edge_of_the_code(
        self, size: tuple[float, float]
    ) -> None:
        tints = tuple(Tint(f"grey, kind {number}", "9ba19d") for number in range(9))
        full = label(
            "B7", "Beekeeper's Yard, second crate of three", tints, ("grade 4 and better or worse " * 9, "row 2")
        )
        for each in (full, label("W" * 30), label("B7", words=("x" * 200,))):
            for placed in laid_out([each], size)[0].labels:
                edge = 0.5 + QUIET * placed.square.module
                side = len(placed.square.modules) * placed.square.module
                assert placed.square.module >= LEAST_MODULE
                assert placed.square.x - placed.x >= edge - 1e-6
                quiet_ends = placed.square.x + side + QUIET * placed.square.module
                assert placed.y <= placed.square.y - QUIET * placed.square.module
                assert placed.square.y + side + QUIET * placed.square.module <= placed.y + placed.height
                for words in placed.words:
                    assert words.x >= quiet_ends - 1e-6
                    right = words.x + stringWidth(words.text, "Helvetica-Bold", words.size)
                    assert right <= placed.x + placed.width
                    assert placed.y < words.y - words.size * 0.7 and words.y <= placed.y + placed.height
                for patch in placed.patches:
                    assert patch.y + patch.height <= placed.y + placed.height

    def test_no_letter_is_reckoned_narrower_than_it_is(self) -> None:
        """Against Adobe's metrics of Helvetica bold, the wider of the two, as reportlab brings them along."""
        for char in bytes(range(32, 127)).decode() + "ÄÖÜäöüßéèñçÆæØøÅå·×…—–«»€":
            assert wide(char, 10.0) >= stringWidth(char, "Helvetica-Bold", 10.0), char

    def test_a_name_that_is_made_smaller_to_fit_is_not_cut_as_well(self) -> None:
        """What fits by a hair fits, however its width was rounded; only at the least size, 3 mm, may a name be cut."""

        def printed(text: str, size: float, bold: bool) -> float:
            return float(stringWidth(text, "Helvetica-Bold", size))

        smaller = 0
        for mark in ("FLAWED", "FLAWED2", *("WIDE NAME 12345"[:letters].strip() for letters in range(5, 15))):
            for width in range(50, 90, 3):
                squares = [square_of(code_text(mark))]
                for measure in (printed, wide):
                    placed = sheets_of([label(mark)], squares, PAPERS["A4"], (width, 36), measure)[0].labels[0]
                    assert placed.words[0].text == mark or placed.words[0].size == 3.0
                    smaller += 3.0 < placed.words[0].size < 10.0
        assert smaller > 100

    def test_shades_that_find_no_room_are_told(self) -> None:
        tints = tuple(Tint(f"shade {number}", "9ba19d") for number in range(9))
        placed = laid_out([label(tints=tints, words=("plate",))])[0].labels[0]
        said = [words.text for words in placed.words]
        shown = [text for text in said if text.startswith("shade ")]
        assert len(shown) == len(placed.patches) > 0
        assert f"and {9 - len(shown)} more shades" in said and "plate" in said

    @pytest.mark.parametrize("size", [(39, 36), (62, 19), (300, 36), (62, 290)])
    def test_sizes_that_cannot_be(self, size: tuple[float, float]) -> None:
        with pytest.raises(UsageError, match="cannot be"):
            laid_out([label()], size)

    def test_a_code_that_would_be_too_fine_says_how_large_the_label_must_be(self) -> None:
        long = label("x" * 200)
        with pytest.raises(UsageError) as refused:
            laid_out([long], (40, 20))
        wide_mm, high_mm = map(float, re.findall(r"(\d+)x(\d+) mm with", refused.value.mend)[0])
        assert laid_out([long], (wide_mm + 1, high_mm + 1))


def drawn(svg: str) -> Image.Image:
    """The codes of an SVG as a printer of 300 dots an inch puts them down; an own reader of the few shapes in it."""
    root = ET.fromstring(svg)
    size = [round(float(root.attrib[side].removesuffix("mm")) * DOTS_A_MM) for side in ("width", "height")]
    picture = Image.new("L", (size[0], size[1]), 255)
    draw = ImageDraw.Draw(picture)
    for path in root.iter(f"{SVG}path"):
        for x, y, wide_mm, high in re.findall(r"M([\d.]+) ([\d.]+)h([\d.]+)v([\d.]+)h-[\d.]+z", path.attrib["d"]):
            left, top = float(x) * DOTS_A_MM, float(y) * DOTS_A_MM
            corner = left + float(wide_mm) * DOTS_A_MM - 1, top + float(high) * DOTS_A_MM - 1
            draw.rectangle((round(left), round(top), round(corner[0]), round(corner[1])), fill=0)
    return picture


class TestFiles:
    def test_every_code_of_a_printed_sheet_is_read(self, bench: Bench) -> None:
        found = labels_of(bench, bins=True, crates=True)
        sheet = laid_out(list(found))[0]
        read_off = {each.text for each in zxingcpp.read_barcodes(np.array(drawn(svg_of(sheet))))}
        assert read_off == {each.scanned for each in found}

    def test_an_svg_has_its_size_in_millimetres(self) -> None:
        root = ET.fromstring(svg_of(laid_out([label()], paper="Letter")[0]))
        assert (root.attrib["width"], root.attrib["height"]) == ("215.9mm", "279.4mm")
        assert root.attrib["viewBox"] == "0 0 215.9 279.4"

    def test_what_people_wrote_is_text_and_nothing_else(self) -> None:
        unsafe = label("B<7>", "&amp; <script>x</script>", (Tint('"red"', "b3261e"), Tint("none", "")), ("]]> [/]",))
        root = ET.fromstring(svg_of(laid_out([unsafe], (100, 60))[0]))
        texts = [each.text for each in root.iter(f"{SVG}text")]
        assert not list(root.iter(f"{SVG}script"))
        assert {"B<7>", '"red"', "]]> [/]"} <= set(texts)
        assert texts[1] == "&amp; <script>x</script>"

    def test_a_pdf_has_sheets_of_the_papers_size_and_is_the_same_twice(self) -> None:
        found = [label(f"B{number}", words=("plate",)) for number in range(30)]
        squares = [square_of(each.scanned) for each in found]
        for width, height in PAPERS.values():
            data = pdf_of(found, squares, (width, height))
            boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", data)
            assert len(boxes) == 2
            for box in boxes:  # points of 1/72 inch (ISO 32000-1, 8.3.2.3)
                assert [float(side) / 72 * 25.4 for side in box] == pytest.approx([width, height], abs=0.02)
            assert data == pdf_of(found, squares, (width, height))

    def test_letters_that_a_pdf_lacks_are_told_not_dropped(self, tmp_path: Path) -> None:
        with pytest.raises(DataError, match=r"no letter '箱'.*--font"):
            write_labels(tmp_path / "l.pdf", [label("箱7")])
        write_labels(tmp_path / "l.pdf", [label("Größe «7» – 5 €")])
        write_labels(tmp_path / "l.svg", [label("箱7")])
        assert "箱7" in (tmp_path / "l.svg").read_text("utf-8")

    def test_a_file_that_is_no_typeface_is_refused(self, tmp_path: Path) -> None:
        (tmp_path / "no.ttf").write_bytes(b"no typeface at all")
        with pytest.raises(UsageError, match="no TrueType typeface"):
            write_labels(tmp_path / "l.pdf", [label()], font=tmp_path / "no.ttf")
        with pytest.raises(UsageError, match="in PDF only"):
            write_labels(tmp_path / "l.svg", [label()], font=tmp_path / "no.ttf")

    @pytest.mark.parametrize("name", ["l.svg", "l.pdf"])
    def test_labels_take_the_place_of_labels_and_of_nothing_else(self, tmp_path: Path, name: str) -> None:
        file = tmp_path / name
        write_labels(file, [label("B1")])
        before = file.read_bytes()
        write_labels(file, [label("B2")])
        assert file.read_bytes() != before
        for other in (b"a letter to a friend", b"%PDF-1.4\n% a bill", b"<svg/>"):
            file.write_bytes(other)
            with pytest.raises(UsageError, match="--overwrite"):
                write_labels(file, [label("B1")])
            assert file.read_bytes() == other
        write_labels(file, [label("B1")], overwrite=True)
        assert file.read_bytes() == before


class TestTheCommand:
    def call(self, *args: str, code: int = 0) -> None:
        assert run(list(args), lambda _: 0) == code

    def test_sheets_of_svg_are_numbered_files(
        self, bench_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        file = tmp_path / "out" / "l.svg"
        file.parent.mkdir()
        self.call("--bench", str(bench_folder), "labels", str(file), "--size", "150x120")
        out, err = capsys.readouterr()
        assert out.split() == [str(file.with_name(name)) for name in ("l.svg", "l-2.svg", "l-3.svg", "l-4.svg")]
        assert "8 labels; print at actual size" in err
        assert all(Path(line).exists() for line in out.split())

    def test_bins_crates_and_names(
        self, bench_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        for args, marks in (
            (["--bins"], ["FLAWED", "FADED", "B1", "B2", "REST"]),
            (["--crates"], [target.code for target in TARGETS]),
            (["B1", "t-02"], ["B1", "T-02"]),
        ):
            file = tmp_path / "l.svg"
            self.call("--bench", str(bench_folder), "labels", str(file), *args)
            assert re.findall(r"<title>(.*?)</title>", file.read_text("utf-8")) == marks

    def test_wrong_usage(self, bench_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        at = ["--bench", str(bench_folder), "labels"]
        self.call(*at, str(tmp_path / "l.txt"), code=2)
        self.call(*at, str(tmp_path / "l.svg"), "--size", "big", code=2)
        self.call(*at, str(tmp_path / "l.svg"), "--paper", "A5", code=2)
        self.call(*at, str(tmp_path / "l.svg"), "B99", code=1)
        assert not list(tmp_path.glob("l.*"))
