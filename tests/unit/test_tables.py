"""Delimited files of any dialect are read as they are meant, and written as RFC 4180 has it."""

from __future__ import annotations

import csv
import itertools
from pathlib import Path

import pytest

from sortbench.model.errors import BenchError, DataError, WriteError
from sortbench.store import tables
from sortbench.store.tables import guard_formula, parse_table, read_table, table_bytes, unguard, write_table

HEADERS = ("Teil", "Farbe", "Menge", "Notiz")
ROWS = (
    ("plate-2x4", "grey, late", "12", 'the "good" ones'),
    ("arch-1x6x2", "weiß; matt", "3", "two\nlines"),
    ("slope45-2x2", "grün|hell\tund dunkel", "7", ""),
    ("", "", "", "only the last cell"),
)
ENCODINGS = {
    "utf-8": (b"", "utf-8"),
    "utf-8 with mark": (b"\xef\xbb\xbf", "utf-8"),
    "utf-16-le": (b"\xff\xfe", "utf-16-le"),
    "utf-16-be": (b"\xfe\xff", "utf-16-be"),
    "windows-1252": (b"", "cp1252"),
}


@pytest.mark.parametrize(
    ("delimiter", "encoding", "line_end", "quoting"),
    list(itertools.product(",;\t|", ENCODINGS, ("\r\n", "\n"), (csv.QUOTE_MINIMAL, csv.QUOTE_ALL))),
)
def test_every_dialect_is_read_as_meant(
    tmp_path: Path, delimiter: str, encoding: str, line_end: str, quoting: int
) -> None:
    path = tmp_path / "list.csv"
    mark, codec = ENCODINGS[encoding]
    with (tmp_path / "text").open("w+", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, delimiter=delimiter, lineterminator=line_end, quoting=quoting)  # type: ignore[arg-type]
        writer.writerow(HEADERS)
        writer.writerows(ROWS)
        file.seek(0)
        path.write_bytes(mark + file.read().encode(codec))
    table = read_table(path)
    assert table.headers == HEADERS
    assert tuple(row.cells for row in table.rows) == ROWS
    assert (table.delimiter, table.encoding) == (delimiter, encoding)
    assert [row.number for row in table.rows] == [2, 3, 5, 6]


@pytest.mark.parametrize("codec", ["utf-16-le", "utf-16-be"])
def test_wide_text_without_a_mark_is_known_by_its_nul_bytes(codec: str) -> None:
    table = parse_table("part;shade\narch-1x6x2;weiß\n".encode(codec), "x")
    assert table.encoding == codec
    assert table.rows[0].cells == ("arch-1x6x2", "weiß")


# RFC 4180, section 2, rules 1 to 7; the texts and what they mean, checked against the csv module in strict mode.
RFC_4180 = [
    ("a,b\r\n1,2\r\n", [["a", "b"], ["1", "2"]]),
    ('"a","b ""q"""\r\n', [["a", 'b "q"']]),
    ('"x\r\ny",z', [["x\r\ny", "z"]]),
    ("a,,c\r\n", [["a", "", "c"]]),
    ('" lead ",t\r\n', [[" lead ", "t"]]),
    # The examples printed in the section itself.
    ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
    ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
    ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]),
    ('"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]),
]


@pytest.mark.parametrize(("text", "records"), RFC_4180)
def test_worked_examples_of_rfc_4180(text: str, records: list[list[str]]) -> None:
    columns = ",".join(f"c{place}" for place in range(len(records[0])))
    table = parse_table(f"{columns}\r\n{text}".encode(), "x")
    assert [list(row.cells) for row in table.rows] == records


def test_the_line_of_a_record_is_where_it_starts() -> None:
    text = 'a,b\n\n1,"x\ny\nz"\n\n,\n2,w\n'
    assert [row.number for row in parse_table(text.encode(), "x").rows] == [3, 8]


def test_a_first_line_may_name_the_delimiter() -> None:
    table = parse_table(b"sep=;\r\na,b;c\r\n1,2;3\r\n", "x")
    assert table.headers == ("a,b", "c")
    assert table.rows == ((3, ("1,2", "3")),)
    assert parse_table(b"sep=#\na#b\n1#2\n", "x").rows[0].cells == ("1", "2")


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("Name;Mass\nbrick;2,3\nplate;1,1\n", ";"),
        ("part\tshade\nplate\tgrey, late\nplate\tgrey, early\n", "\t"),
        ("part|shade, if known|n\na|b, c|1\na|d, e|2\n", "|"),
        ("part,aliases\na,b|c\nd,e|f|g;h\n", ","),
        ("a;b;c\n1;2\n1;2\n", ";"),
        ('a,"x;y;z"\n1,2\n', ","),
        ("only\nx;y\nz\n", ","),
        ("a,b\n", ","),
    ],
)
def test_the_delimiter_is_the_one_that_splits_header_and_rows_alike(text: str, delimiter: str) -> None:
    assert parse_table(text.encode(), "x").delimiter == delimiter


def test_headers_are_told_apart() -> None:
    table = parse_table(b"Name,Name, ,Name (2),Name,\n1,2,3,4,5,6\n", "x")
    assert table.headers == ("Name", "Name (3)", "column 3", "Name (2)", "Name (4)", "column 6")


def test_rows_keep_the_cells_they_have() -> None:
    assert [row.cells for row in parse_table(b"a,b\n1\n1,2,3\n", "x").rows] == [("1",), ("1", "2", "3")]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no header"),
        (b"\n\n ,\n", "no header"),
        (b"a,b\n1,\x812\n", "offset 6"),
        (b"a,b\n1,\0x\n", "NUL"),
        (b'a,b\n1,"x\n2,y\n', "line 2: a quoted cell that starts in this record is never closed"),
        (b'a,b\n1,"x"y\n', "line 2: after a closing quote mark"),
        ("a,b\ngrün,grün".encode() + b"\xff\n", "not text in UTF-8: byte 0xFF at offset 15"),
        (b"\xef\xbb\xbfa,\xff\n", "offset 5"),
        (b"\xff\xfea\0,", "UTF-16"),
        (b"\xff\xfe\0\0a\0\0\0", "UTF-32"),
        (b"PK\x03\x04rest", "spreadsheet workbook"),
        (b"a,b\n" + b"x" * 200_000 + b",2\n", "longer than"),
    ],
)
def test_what_is_no_table_is_refused_with_the_reason(data: bytes, words: str) -> None:
    with pytest.raises(DataError, match=words.replace("(", r"\(")) as caught:
        parse_table(data, "pile.csv")
    assert "pile.csv" in caught.value.message


def test_missing_folders_and_large_files_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(DataError, match="no file"):
        read_table(tmp_path / "none.csv")
    with pytest.raises(DataError, match="cannot be read"):
        read_table(tmp_path)
    monkeypatch.setattr(tables, "MAX_BYTES", 10)
    (tmp_path / "large.csv").write_bytes(b"a,b\n" * 3)
    with pytest.raises(DataError, match="larger than"):
        read_table(tmp_path / "large.csv")


# Leading characters as in OWASP, "CSV Injection", full-width forms included.
@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@x", "\tx", "\rx", "\nx", "＝1", "'=1", "''@"])
def test_what_a_spreadsheet_would_run_is_guarded(cell: str) -> None:
    assert guard_formula(cell) == f"'{cell}"
    assert unguard(guard_formula(cell)) == cell


@pytest.mark.parametrize("cell", ["", "'", "'tis", "a=1", "1-2", "''"])
def test_other_cells_stay_as_they_are(cell: str) -> None:
    assert guard_formula(cell) == unguard(cell) == cell


def test_written_as_rfc_4180_has_it(tmp_path: Path) -> None:
    write_table(tmp_path / "out.csv", ["a", "b"], [["=1", 'x"y'], ["grün", "1,2"]])
    assert (tmp_path / "out.csv").read_bytes() == 'a,b\r\n\'=1,"x""y"\r\ngrün,"1,2"\r\n'.encode()
    assert [path.name for path in tmp_path.iterdir()] == ["out.csv"]


def test_nothing_is_written_through_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.csv").write_text("kept")
    (tmp_path / "link.csv").symlink_to(tmp_path / "real.csv")
    with pytest.raises(BenchError, match="link"):
        write_table(tmp_path / "link.csv", ["a"], [])
    assert (tmp_path / "real.csv").read_text() == "kept"


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "out.csv"
    write_table(path, ["a"], [["old"]])

    def full(_: int, __: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sortbench.store.durable.write_all", full)
    with pytest.raises(WriteError, match="No space left"):
        write_table(path, ["a"], [["new"]])
    assert read_table(path).rows[0].cells == ("old",)
    assert [entry.name for entry in tmp_path.iterdir()] == ["out.csv"]


@pytest.mark.parametrize(("cell", "words"), [("x\0y", "NUL"), ("\ud800", r"U\+D800")])
def test_what_no_reader_would_take_is_not_written(cell: str, words: str) -> None:
    with pytest.raises(DataError, match=words):
        table_bytes(["a"], [[cell]])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le"])
def test_a_second_byte_order_mark_is_no_part_of_the_first_header(encoding: str) -> None:
    data = "\ufeffpart;shade\r\nplate-2x4;red\r\n".encode(encoding)
    assert parse_table(data, "list.csv").headers == ("part", "shade")
