"""Tables come back as they were written; rubbish is refused and nothing else."""

from __future__ import annotations

import contextlib
from pathlib import Path

from hypothesis import example, given
from hypothesis import strategies as st

from sortbench.model.errors import DataError
from sortbench.store.tables import guard_formula, parse_table, read_table, table_bytes, unguard, write_table

# All text that can be written at all, with the characters that mean something to a reader of tables made frequent.
TEXT = st.text(
    st.one_of(
        st.sampled_from(",;\t|\"'\r\n=+-@ "),
        st.characters(exclude_categories=("Cs",), exclude_characters="\0"),
    ),
    max_size=12,
)
# Headers are read with outer blanks dropped and inner ones made one.
HEADER = TEXT.map(lambda text: " ".join(text.split())).filter(bool)


@st.composite
def contents(draw: st.DrawFn) -> tuple[list[str], list[list[str]]]:
    headers = draw(st.lists(HEADER, min_size=1, max_size=5, unique=True))
    row = st.lists(TEXT, min_size=len(headers), max_size=len(headers)).filter(lambda cells: any(map(str.strip, cells)))
    return headers, draw(st.lists(row, max_size=6))


# Headers that a reader could take for another delimiter, for the line that names it, or for a byte order mark.
@example((["a;b"], [["x;y"]]))
@example((["a|b", "c|d"], [["1", "2"]]))
@example((["sep=;"], [["x"]]))
@example((["\ufeffa"], [["x"]]))
@given(contents())
def test_what_is_written_comes_back(content: tuple[list[str], list[list[str]]]) -> None:
    headers, rows = content
    table = parse_table(table_bytes(headers, rows), "x")
    assert list(table.headers) == headers
    assert [list(row.cells) for row in table.rows] == rows
    assert (table.encoding, table.delimiter) == ("utf-8", ",")


def test_what_is_written_to_disk_comes_back(tmp_path: Path) -> None:
    @given(contents())
    def check(content: tuple[list[str], list[list[str]]]) -> None:
        write_table(tmp_path / "x.csv", *content)
        assert [list(row.cells) for row in read_table(tmp_path / "x.csv").rows] == content[1]

    check()


@given(TEXT)
def test_a_guard_is_undone_and_leaves_no_formula(cell: str) -> None:
    guarded = guard_formula(cell)
    assert unguard(guarded) == cell
    assert guarded[:1] not in set("=+-@\t\r\n")


@given(st.binary(max_size=200))
def test_rubbish_is_a_table_or_refused(data: bytes) -> None:
    with contextlib.suppress(DataError):
        table = parse_table(data, "x")
        assert table.headers
        assert len(set(table.headers)) == len(table.headers)


@given(st.text(st.sampled_from('a,;\t|"\r\n\0= é'), max_size=60), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_near_tables_are_a_table_or_refused(text: str, codec: str) -> None:
    with contextlib.suppress(DataError):
        table = parse_table(text.encode(codec), "x")
        assert [row.number for row in table.rows] == sorted({row.number for row in table.rows})
