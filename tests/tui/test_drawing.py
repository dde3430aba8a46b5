"""The rows of the further screens: pure functions from figures to spans, in any width, with any text."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from sortbench.engine.board import BinRow, HeapRow, LineRow, PadView, RecordRow, SlotRow, TargetRow
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, RecordId, What
from sortbench.model.text import shown
from sortbench.tui.drawing import bins_rows, help_rows, log_rows, target_rows
from sortbench.tui.drawing.list_rows import holds_words, local_time, searchable, wrapped
from sortbench.tui.drawing.pad_rows import pad_rows
from sortbench.tui.widgets.palette import LOOKS
from sortbench.tui.widgets.rows import Row, RowsOnDemand, row_width

WORDS = st.text(max_size=60).map(shown)
COUNTS = st.integers(0, 99_999)
WIDTHS = st.integers(1, 220)
KIND = Kind("plate-2x4", "white")


def plain(row: Row) -> str:
    return "".join(text for text, _ in row)


def line(number: int = 1, need: int = 4, present: int = 0, standard: int = 0, name: str = "plate 2x4") -> LineRow:
    return LineRow(number, KIND, name, "f4f4f0", Grade.G3, need, present, standard, need - present, True, ())


def target(year: int | None = 1987, unknown: int = 0) -> TargetRow:
    return TargetRow("T-07", "Glasshouse", 1, year, 10, 4, 2, 6, 3, 1, unknown)


def bin_of(pieces: int, capacity: int | None = 10, over_g: float = 0.0, grams: float | None = 12.0) -> BinRow:
    over = max(0, pieces - capacity) if capacity else 0
    return BinRow("B1", "white", "row 1", pieces, capacity, grams, 0, None, over, over_g, 2)


def record(
    seq: int, what: What = What.TALLY, voids: int | None = None, holds: bool = True, **more: object
) -> RecordRow:
    named = {
        "name": "plate 2x4",
        "shade": "white",
        "quantity": 3,
        "bin": "B1",
        "to_bin": "",
        "to_fate": Fate.KEPT,
        "fate": Fate.KEPT,
        "target": "",
    } | more
    if what is What.VOID:
        named |= {"name": "", "shade": "", "quantity": 0, "bin": ""}
    return RecordRow(
        id=RecordId("20260301T093000Z-k3f9", seq),
        at="2026-03-01T09:30:00.000Z",
        what=what,
        rgb="f4f4f0",
        grade=Grade.G5,
        flaws=(),
        voids=RecordId("20260301T093000Z-k3f9", voids) if voids else None,
        holds=holds,
        way="typed",
        own=True,
        **named,  # type: ignore[arg-type]
    )


@settings(max_examples=60, deadline=None)
@given(
    name=WORDS, shade=WORDS, place=WORDS, pieces=COUNTS, need=st.integers(1, 99_999), width=WIDTHS, lit=st.booleans()
)
def test_no_row_is_wider_than_its_panel_whatever_it_holds(
    name: str, shade: str, place: str, pieces: int, need: int, width: int, lit: bool
) -> None:
    kind = Kind(name, shade)
    row = LineRow(1, kind, name, "", Grade.G3, need, pieces, 0, need, None, ((place, pieces), ("", 1)))
    full = BinRow(place, name, shade, pieces, 10, None, pieces, 5.5, max(0, pieces - 10), 0.0, 1)
    heap = HeapRow(Cell(place, name, shade, "", Grade.G4_5, (Flaw.WORN, Flaw.CRACKED)), name, "", pieces)
    entry = record(7, name=name, shade=shade, bin=place, quantity=pieces)
    rows = [
        target_rows.line_row(row, lit, width),
        target_rows.line_headings(width),
        *target_rows.head_rows(target(), 0, 2, width),
        bins_rows.bin_row(full, lit, width),
        bins_rows.heap_row(heap, lit, width),
        *bins_rows.head_rows([full], pieces, pieces, pieces, width),
        log_rows.record_row(entry, {entry.id: entry}, lit, width),
        *log_rows.head_rows([entry], width),
        *wrapped(name, "text", width, 3),
    ]
    for drawn in rows:
        assert row_width(drawn) <= width
        assert all(style in LOOKS or style.startswith("#") for _, style in drawn)


@settings(max_examples=20, deadline=None)
@given(width=st.integers(10, 220))
def test_no_row_of_the_help_sheet_is_wider_than_the_screen(width: int) -> None:
    for drawn in help_rows.sheet_rows("typing", (("gr pl 2x4", "a piece"), ("", "the same again")), "/bench", width):
        assert row_width(drawn) <= max(width, 16)


def test_wrapped_words_are_all_there_while_there_are_lines() -> None:
    words = "three pieces of the arch lie in B2 and one was set aside"
    rows = wrapped(words, "text", 20, 9)
    assert " ".join(plain(row) for row in rows) == words
    assert all(cell_len(plain(row)) <= 20 for row in rows)


def test_wrapped_words_without_lines_end_in_an_ellipsis() -> None:
    assert plain(wrapped("three pieces of the arch lie in B2", "text", 12, 2)[-1]).endswith("…")
    assert wrapped("", "text", 12, 2) == ()


@pytest.fixture
def zone() -> Iterator[None]:
    """A clock half a day and half an hour from Greenwich, so that a mix-up of zones cannot hide."""
    before = os.environ.get("TZ")
    os.environ["TZ"] = "XST-05:30"
    time.tzset()
    local_time.cache_clear()
    yield
    if before is None:
        del os.environ["TZ"]
    else:
        os.environ["TZ"] = before
    time.tzset()
    local_time.cache_clear()


def test_times_are_local(zone: None) -> None:
    assert local_time("2026-03-01T20:45:07.123Z") == "2026-03-02 02:15:07"


def test_a_time_that_is_none_is_shown_as_it_stands() -> None:
    assert local_time("yesterday, about tea") == "yesterday, about tea"


def test_filters_take_words_in_any_order_case_and_way_of_writing_sizes() -> None:
    text = searchable("Plate 2×4", "grey, early")
    assert holds_words(text, "EARLY 2x4")
    assert holds_words(text, "2×4 plate")
    assert holds_words(searchable("plate-1x2", "T-07"), "1x2 t-0")
    assert not holds_words(text, "plate late")


def test_lines_in_view_by_words_and_by_short() -> None:
    lines = (line(1, present=4), line(2, present=1), line(3, name="arch 1x6x2"))
    assert [each.number for each in target_rows.lines_in_view(lines, "", True)] == [2, 3]
    assert [each.number for each in target_rows.lines_in_view(lines, "arch", True)] == [3]
    assert target_rows.lines_in_view(lines[:1], "plate", True) == ()
    assert len(target_rows.lines_in_view(lines, "", False)) == 3


def test_a_complete_line_and_the_cursor_are_told_by_glyphs_side_by_side() -> None:
    row = plain(target_rows.line_row(line(present=4, standard=4), True, 120))
    assert row.startswith("▸ ✓")
    assert not plain(target_rows.line_row(line(), False, 120)).startswith(("▸", " ✓"))


def test_why_pieces_are_not_to_standard_is_said_only_when_years_are_the_reason() -> None:
    assert target_rows.period_words(target()) == ""
    assert "years are not known" in target_rows.period_words(target(unknown=2))
    assert "the target's year is not known" in target_rows.period_words(target(year=None, unknown=1))


def test_overflow_by_pieces_and_by_grams() -> None:
    assert bins_rows.over_words(bin_of(13)) == "3 over"
    assert bins_rows.over_words(bin_of(3, over_g=20.4)) == "20 g over"
    assert bins_rows.over_words(bin_of(10)) == ""
    assert "▲" in plain(bins_rows.bin_row(bin_of(13), False, 60))
    assert "▲" not in plain(bins_rows.bin_row(bin_of(10), False, 60))


def test_an_overflow_that_no_rule_can_split_says_so() -> None:
    assert "larger bin" in bins_rows.split_words(bin_of(13), "")
    assert bins_rows.split_words(bin_of(9), "") == ""


def test_unknown_mass_is_said_not_guessed() -> None:
    assert "not known" in plain(bins_rows.bin_row(bin_of(3, grams=None), False, 120))


def test_what_a_record_says() -> None:
    records = [
        record(2),
        record(3, What.VOID, voids=2),
        record(4, What.VOID, voids=3),
        record(5, voids=2),
        record(6, What.MOVE, to_bin="B2"),
        record(7, What.MOVE, to_fate=Fate.WASH),
        record(8, What.MOVE, to_fate=Fate.OUT),
        record(9, What.LINE),
        record(10, What.MOVE, to_bin="T-01", to_fate=Fate.CRATE),
        record(11, What.MOVE, bin="T-01", fate=Fate.CRATE, to_bin="B2"),
        record(12, What.RESERVE, bin="", target="T-01"),
        record(13, What.REGRADE, became=(Grade.G3, (Flaw.BENT,)), lab=(88.1, -1.2, 14.0)),
    ]
    by_id = {each.id: each for each in records}
    said = [log_rows.what_words(each, by_id) for each in records]
    assert said == [
        "counted", "taken back", "brought back", "put right", "carried", "set aside", "discarded", "written up",
        "picked", "put back", "reserved", "judged",
    ]  # fmt: skip
    # An undo and a redo name the pieces at the end of the chain.
    assert "plate 2x4" in plain(log_rows.record_row(by_id[records[2].id], by_id, False, 140))
    assert "B1 → B2" in plain(log_rows.record_row(records[4], by_id, False, 140))
    for each, where in zip(records[8:11], ("B1 → crate T-01", "crate T-01 → B2", "for T-01"), strict=True):
        assert where in plain(log_rows.record_row(each, by_id, False, 140))
    assert "5 → 3 bent" in plain(log_rows.record_row(records[11], by_id, False, 160))
    assert "grade 5 → 3 bent; read as Lab 88.1 -1.2 14; B1" in log_rows.record_words(records[11], by_id)


def test_a_void_whose_record_is_gone_is_still_shown() -> None:
    lone = record(3, What.VOID, voids=2)
    assert "taken back" in plain(log_rows.record_row(lone, {lone.id: lone}, False, 140))
    assert "voids record 2" in log_rows.record_words(lone, {lone.id: lone})


@pytest.mark.parametrize("width", [40, 80, 140])
def test_void_is_told_by_glyph_and_word_in_every_width(width: int) -> None:
    gone = record(2, holds=False)
    assert "✗ void" in plain(log_rows.record_row(gone, {gone.id: gone}, False, width))


def test_rows_on_demand_make_only_what_is_asked_for() -> None:
    made: list[int] = []

    def make(index: int) -> Row:
        made.append(index)
        return ((str(index), "text"),)

    rows = RowsOnDemand(10_000, make)
    assert len(rows) == 10_000
    assert [plain(row) for row in rows[5_000:5_003]] == ["5000", "5001", "5002"]
    assert plain(rows[-1]) == "9999"
    assert made == [5_000, 5_001, 5_002, 9_999]
    with pytest.raises(IndexError):
        rows[10_000]


PAGES = ("red", "green", "white", "black", "grey, early", "tan", "brown, early", "brown, late", "cream")
PAD_KEYS = (("0", "shades"), ("Enter", "again"), (".", "undo"))


def tray(kind: str, names: tuple[str, ...], width: int, lines: int, note: str = "") -> str:
    slots = tuple(SlotRow(str(key), name, "", name, "9c9a8e", False, 0, 0) for key, name in enumerate(names, 1))
    view = PadView("all shades", kind, 0, slots, PAGES if kind == "kinds" else (), note)
    return "\n".join(plain(row) for row in pad_rows(view, PAD_KEYS, width, lines))


@pytest.mark.parametrize("width", [65, 43])
def test_every_page_of_the_keypad_is_on_the_screen_with_its_key(width: int) -> None:
    shown_pages = tray("kinds", ("plate 2x4",) * 9, width, 12)
    for key, what in zip("asdfghjkl", PAGES, strict=True):
        assert f"{key} {what[:2]}" in shown_pages
    if width == 65:
        assert "g grey, early" in shown_pages and "k brown, late" in shown_pages


def test_shades_that_differ_behind_the_comma_are_told_apart_on_a_narrow_tray() -> None:
    shown_tray = tray("shades", ("grey, early", "grey, late", "red"), 43, 12)
    assert "early" in shown_tray and "late" in shown_tray and "…" not in shown_tray


def test_the_keys_below_the_tray_do_not_move_when_it_asks_something() -> None:
    for lines in (9, 12, 20):
        resting = tray("kinds", ("plate 2x4",) * 9, 65, lines).splitlines()
        asking = tray("kinds", ("plate 2x4",) * 9, 65, lines, "pin which slot?").splitlines()
        assert len(resting) == len(asking) and resting[-1] == asking[-1]


def test_a_long_name_is_parted_on_a_narrow_tray_and_a_pin_takes_nothing_from_it() -> None:
    slots = (
        SlotRow("7", "arch 1x3x2 half", "", "white", "f4f4f0", False, 8, 0),
        SlotRow("8", "plate 2x4", "", "white", "f4f4f0", True, 86, 0),
        SlotRow("9", "rail straight 8", "", "white", "f4f4f0", False, 12, 0),
    )
    rows = [plain(row) for row in pad_rows(PadView("white", "kinds", 0, slots, ("plate",)), PAD_KEYS, 43, 12)]
    assert "arch" in rows[0] and "plate 2x4" in rows[0] and "…" not in rows[0] + rows[1]
    assert "half" in rows[1] and "8" in rows[1] and "‡" in rows[1] and "short 86" in rows[1]
