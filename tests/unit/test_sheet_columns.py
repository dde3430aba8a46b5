"""Tables written column by column in batches: the same bytes, the same refusals, and never a whole table at once."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench.model.errors import DataError
from sortbench.model.sheet import BinRow, CountRow, PartRow, TallyRow
from sortbench.model.sheet_cells import FORMAT
from sortbench.model.sheet_sharing import SpareRow
from sortbench.model.sheet_tables import table
from sortbench.store import sheet_columns, sheet_reading
from sortbench.store.sheet_columns import encoded
from sortbench.store.sheet_reading import decoded
from sortbench.store.tables import guard_formula


def written(name: str, rows: Sequence[Any]) -> bytes:
    return b"".join(encoded(table(name), rows, lambda done: None))


@pytest.fixture(autouse=True)
def small_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_columns, "_BATCH", 3)
    monkeypatch.setattr(sheet_columns, "MOST_KNOWN", 4)
    monkeypatch.setattr(sheet_reading, "MOST_KNOWN", 4)


texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=8) | st.sampled_from(
    ['"', "a,b", "a\rb", "\n", '""', " a ", "=1+1,", "'", ""]
)


@given(st.lists(st.tuples(texts, texts, st.integers(1, 9)), max_size=11))
def test_cells_are_quoted_as_the_standard_library_quotes_them(said: list[tuple[str, str, int]]) -> None:
    """The csv module of the standard library is the reference for RFC 4180."""
    rows = [CountRow(bin, part, "red", "", "", "", "kept", quantity) for bin, part, quantity in said]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(CountRow._fields)
    writer.writerows([guard_formula(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    assert written("counts", rows) == out.getvalue().encode()


def test_numbers_that_are_equal_but_not_alike_are_each_written_as_they_are() -> None:
    masses = (1.0, 1, 0.0, -0.0, None, 1.0, 2.5)
    rows = [PartRow(f"p-{n}", "", "", "", mass, None, None, "") for n, mass in enumerate(masses)]
    lines = written("parts", rows).decode().splitlines()[1:]
    assert [line.split(",")[4] for line in lines] == ["1.0", "1", "0.0", "-0.0", "", "1.0", "2.5"]


def test_a_flag_and_a_number_are_told_apart() -> None:
    rows = [TallyRow("s", 1, "2026-03-01T09:30:00Z", "tally", *[""] * 10, 1, "", "", True)]
    assert written("tallies", rows).splitlines()[1].decode().split(",")[14:18] == ["1", "", "", "true"]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (SpareRow("p-8", "red", "", 0), "row 8, column quantity: 0 is out of bounds"),
        (SpareRow("p-8", "", "", 1), "row 8, column shade: the cell is empty"),
        (SpareRow("p-8", "re\0d", "", 1), "row 8, column shade: a character that does not belong into a text"),
        (SpareRow("p-3", "red", "", 9), "row 8: p-3, red stands already in 3"),
    ],
)
def test_what_is_wrong_is_named_with_its_place_in_whichever_batch(wrong: SpareRow, says: str) -> None:
    rows = [SpareRow(f"p-{n}", "red", "", 1) for n in range(1, 12)]
    rows[7] = wrong
    with pytest.raises(DataError) as caught:
        written("spares", rows)
    assert caught.value.message == f"{table('spares').title}, {says}" + "." * (not caught.value.message.endswith(says))


def test_the_first_of_two_faults_is_told() -> None:
    rows = [BinRow(f"B{n}", None, "", "", "", "", "", "", None, None, "", 1) for n in range(9)]
    rows[4] = rows[1]
    rows[7] = rows[7]._replace(quantity=-1)
    with pytest.raises(DataError, match="row 5: B1 stands already in 2"):
        written("bins", rows)


def read(content: bytes, name: str = "spares") -> list[Any]:
    return list(decoded(table(name), content, Path("table.csv"), FORMAT))


def test_what_was_written_is_read_though_little_is_remembered() -> None:
    rows = [SpareRow(f"p-{n % 7}", f"shade {n}", "'=", n % 3 + 1, bin="a,b") for n in range(40)]
    assert read(written("spares", rows)) == rows


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (b"p-8,red,,1", b"p-8,red,,0", "table.csv, line 10, column quantity: 0 is out of bounds."),
        (b"p-8,red,,1", b"p-8,red,,x", "table.csv, line 10, column quantity: 'x' is no integer."),
        (b"p-8,", b"p-3,", "table.csv, line 10: p-3, red stands already in 5."),
        (b"p-8,", b"p-\xff,", "table.csv, byte {byte}: not UTF-8."),
    ],
)
def test_what_is_wrong_is_named_with_its_place_when_it_is_read(old: bytes, new: bytes, says: str) -> None:
    content = written("spares", [SpareRow(f"p-{n}", "red", "", 1) for n in range(12)])
    assert old in content
    with pytest.raises(DataError) as caught:
        read(content.replace(old, new))
    assert caught.value.message == says.format(byte=content.index(old) + 2)


class _Log(Sequence[TallyRow]):
    """A log whose rows are made when they are come to."""

    def __init__(self, length: int) -> None:
        self.made = 0
        self._length = length

    def __len__(self) -> int:
        return self._length

    def __getitem__(self, index: Any) -> Any:
        raise AssertionError("rows are gone through, not looked up")

    def __iter__(self) -> Iterator[TallyRow]:
        for number in range(1, self._length + 1):
            self.made = number
            yield TallyRow("s", number, "2026-03-01T09:30:00Z", "tally", *[""] * 10, 1, "", "", True)


def test_rows_are_made_as_the_file_grows_and_each_once() -> None:
    log, told = _Log(10), list[int]()
    pieces = encoded(table("tallies"), log, told.append)
    next(pieces)
    assert log.made == 0
    for expected in (3, 6, 9, 10):
        next(pieces)
        assert log.made == expected
    assert list(pieces) == []
    assert told == [3, 3, 3, 1]
