"""The bench screen under keys: what is struck is counted, what is counted is shown, what is wrong is said."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual import events

from sortbench.bench import Bench
from sortbench.desks.additions import add_part
from sortbench.model.catalogue import Kind, Part
from sortbench.model.errors import WriteError
from sortbench.model.tally import Fate, What
from sortbench.store.tally_log import SittingLog
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.bench import BenchScreen
from tests.tui.looking import enter, line_with, lines, press, styles_of, text

PLATE = Kind("plate-2x4", "white")
SIZES = [(80, 24), (120, 36), (200, 60), (40, 20)]


def counted(bench: Bench, kind: Kind = PLATE) -> int:
    return bench.picture.counted(kind)


async def test_typing_counts_and_the_receipt_says_what_where_and_for_whom(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        assert counted(bench) == 3
        receipt = line_with(app, "✓ 3 ×")
        assert "plate 2x4 · white" in receipt
        assert "→ B1" in receipt
        assert "Glasshouse line 1 (3)" in text(app)
        assert "3 pieces" in lines(app)[0]


async def test_results_say_their_bin_and_which_target_needs_them_before_enter(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, *"wh pl 24")
        first = line_with(app, "▸")
        assert "plate 2x4" in first
        assert "white" in first
        assert "B1" in first
        assert "Glasshouse 1 +5" in first
        assert "→ Glasshouse, line 1, then 5 more" in text(app)
        assert "+4" in line_with(app, "◂ Glasshouse")


async def test_a_narrow_screen_still_tells_the_line_of_the_crate(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *"gr br 24")
        assert "Glasshouse 2" in line_with(app, "▸") or "… 2" in line_with(app, "▸")


async def test_what_coarse_pieces_may_bring_is_drawn_apart(app: SortbenchApp, bench: Bench) -> None:
    bench.hold_shade("white")
    bench.count_coarse("B1", 5)  # white, of any shape: Glasshouse asks for seven such pieces, Funicular Halt for two
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f2")
        row = line_with(app, "0/15")
        assert "░" in row and "▒" not in row
        await enter(pilot, "wh pl 24")
        row = line_with(app, "1/15")
        assert row.index("█") < row.index("░")
    assert [row.possible for row in bench.target_rows()] == [6, 2]


async def test_an_empty_line_counts_the_same_again(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24")
        await press(pilot, "enter", "enter")
        assert counted(bench) == 3


async def test_down_highlights_another_result_and_enter_counts_that_one(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, *"plate white")
        second = [line for line in lines(app)[4:] if "plate" in line and "white" in line][1]
        await press(pilot, "down", "enter")
        named = "plate-1x2" if "plate 1x2" in second else "plate-2x4"
        assert counted(bench, Kind(named, "white")) == 1


async def test_undo_and_redo_are_shown_and_survive_each_other(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *4")
        await enter(pilot, "wh pl 12")
        await press(pilot, "ctrl+z")
        assert "undone: 1 × plate 1x2 white" in text(app)
        await press(pilot, "ctrl+z")
        assert bench.picture.ledger.pieces == 0
        assert "0 pieces" in lines(app)[0]
        await press(pilot, "ctrl+y", "ctrl+y")
        assert bench.picture.ledger.pieces == 5
        assert "brought back: 1 × plate 1x2 white" in text(app)


async def test_a_held_shade_is_shown_and_applies_until_let_go(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, ".grey")
        assert "grey, early" in lines(app)[0]
        await enter(pilot, "br 24")
        assert counted(bench, Kind("brick-2x4", "grey, early")) == 1
        await enter(pilot, ".")
        assert "grey, early" not in lines(app)[0]


async def test_keypad_one_key_counts_one_piece(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, ".white")
        await press(pilot, "escape")
        slot = next(slot.key for slot in bench.pad.view().slots if slot.name == "plate 2x4")
        assert f"{slot} w plate 2x4" in text(app)
        await press(pilot, slot, slot, slot)
        assert counted(bench) == 3
        assert "plate 2x4 · white" in line_with(app, "✓ 1 ×")
        await press(pilot, "enter")
        assert counted(bench) == 4
        await press(pilot, ".")
        assert counted(bench) == 3


async def test_keypad_grade_wash_and_discard_change_the_last_piece(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *2")
        await press(pilot, "escape", "-")
        assert "instead of" in text(app)
        assert "4  → B1" in line_with(app, "✓ 2 ×")
        await press(pilot, "*")
        assert "set aside for another wash" in text(app)
        await press(pilot, "x")
        assert "discarded" in text(app)
        assert bench.picture.ledger.in_bin("B1") == {}


async def test_a_piece_found_dirty_is_set_aside_in_one_key_while_typing_and_on_the_keypad(
    app: SortbenchApp, bench: Bench
) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "f9")
        assert bench.picture.ledger.of_fate(Fate.WASH) == 1
        await press(pilot, "escape", "f9")
        assert bench.picture.ledger.of_fate(Fate.WASH) == 2
        assert sum(fill.waiting for fill in bench.picture.fill.all()) == 2


@pytest.mark.parametrize("size", SIZES)
async def test_the_keypad_is_drawn_as_soon_as_typing_is_left(
    app: SortbenchApp, bench: Bench, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await enter(pilot, ".white")
        await press(pilot, "escape")
        await pilot.pause()
        assert "plate" in "\n".join(lines(app)[5:22]), text(app)
        await press(pilot, "/", *"arch")
        await pilot.pause()
        assert "arch 1x6x2" in text(app)


async def test_keys_typed_while_resizing_stay_and_count_once(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, *"wh pl")
        for size in ((80, 24), (40, 20), (200, 60)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert line_with(app, "> wh pl")
        await press(pilot, *" 24 *2", "enter")
        assert counted(bench) == 2


@pytest.mark.parametrize("size", SIZES)
async def test_every_size_shows_entry_receipt_target_and_bin(app: SortbenchApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await pilot.pause()
        shown = text(app)
        assert "✓ 3 ×" in shown
        assert "Glass" in shown
        assert "3/4" not in shown  # a line's figures are not a target's
        assert "3/15" in shown
        assert "B1" in shown
        assert "3/10" in shown
        assert all(len(line) <= size[0] for line in lines(app))


async def test_a_picked_tally_is_corrected(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await enter(pilot, "wh pl 12")
        await press(pilot, "up", "up")
        assert "▸" in line_with(app, "plate 2x4                white")
        await enter(pilot, "*5 !3")
        assert counted(bench) == 5
        assert "instead of 3 × plate 2x4 white" in text(app)
        assert next(iter(bench.recent(1))).grade.label == "3"  # type: ignore[union-attr]


async def test_a_picked_tally_is_voided_on_the_keypad_and_stays_in_sight(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "escape", "up", "delete")
        assert counted(bench) == 0
        assert line_with(app, "✗  ").split()[1:5] == ["3", "w", "plate", "2x4"]


async def test_escape_lets_go_of_a_picked_tally_and_keeps_typing(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "up")
        assert "picked" in text(app)
        await press(pilot, "escape")
        assert "picked" not in text(app)
        await enter(pilot, "wh pl 12")
        assert bench.picture.ledger.pieces == 4


async def test_pasted_lines_are_counted_only_after_enter(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        app.screen.focused.post_message(events.Paste("wh pl 24 *2\nwh pl 12\n"))  # type: ignore[union-attr]
        await pilot.pause()
        assert "2 lines pasted" in text(app)
        assert bench.picture.ledger.pieces == 0
        await press(pilot, "enter")
        assert bench.picture.ledger.pieces == 3


async def test_pasted_lines_are_shown_with_what_they_would_do(app: SortbenchApp, bench: Bench) -> None:
    lines = ["wh pl 24 *2", "*3", "wh pl 24 *0", "zebra", ".brick red", "pl 12", "@B2", *["wh br 24"] * 30]
    async with app.run_test(size=(120, 36)) as pilot:
        app.screen.focused.post_message(events.Paste("\n".join(lines)))  # type: ignore[union-attr]
        await pilot.pause()
        assert "2 × plate 2x4 · white" in line_with(app, "wh pl 24 *2   ")
        assert line_with(app, "3 more of the line above").split()[0] == "*3"
        assert "✗" in line_with(app, "would count nothing")
        assert "✗" in line_with(app, "zebra")
        assert "held for the lines below" in line_with(app, ".brick red")
        assert "plate" not in line_with(app, "  pl 12")
        assert re.search(r"and [23]\d more lines", text(app))
        assert counted(bench) == 0
        await press(pilot, "w")
        assert "held for the lines below" not in text(app)
        await press(pilot, "backspace")
        assert "held for the lines below" in text(app)
        await press(pilot, "escape")
        assert "held for the lines below" not in text(app) and counted(bench) == 0


async def test_a_wrong_line_among_pasted_ones_stops_there_and_says_so(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        app.screen.focused.post_message(events.Paste("wh pl 24\nwh pl 24 *0\nwh pl 24\n"))  # type: ignore[union-attr]
        await pilot.pause()
        await press(pilot, "enter")
        assert counted(bench) == 1
        assert "would count nothing" in line_with(app, "✗") and line_with(app, "1 more wait")
        assert line_with(app, "> wh pl 24 *0")
        await press(pilot, "backspace", "2", "enter", "enter")
        assert counted(bench) == 4 and line_with(app, "1 pasted line counted")


async def test_a_refused_line_comes_back_to_be_mended(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *0")
        assert "✗" in line_with(app, "would count nothing")
        assert line_with(app, "> wh pl 24 *0")
        await press(pilot, "backspace", "2", "enter")
        assert counted(bench) == 2


async def test_a_disk_that_refuses_is_told_and_the_line_comes_back(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise WriteError("The log cannot be written: no space left.", "Make room.")

    monkeypatch.setattr(SittingLog, "append", refuse)
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24")
        assert "no space left" in line_with(app, "✗")
        assert line_with(app, "> wh pl 24")
        assert counted(bench) == 0
        await press(pilot, "x")
        assert "no space left" not in text(app)


async def test_overflow_is_told_by_glyph_word_and_number(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *12")
        assert "▲ B1 overflows" in text(app)
        row = line_with(app, "12/10")
        assert "▲ B1" in row
        assert "2 over" in row


async def test_names_that_look_like_markup_are_only_text(app: SortbenchApp, bench: Bench) -> None:
    add_part(bench, Part("odd-1", "[red]x", "other", aliases=("odd",)))
    add_part(bench, Part("odd-2", "[/", "other", aliases=("oddly",)))
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "odd white")
        assert "[red]x" in line_with(app, "✓ 1 ×")
        await enter(pilot, "oddly white")
        assert "[/" in line_with(app, "✓ 1 ×")
        for screen in ("f3", "f4", "f5", "f2"):
            await press(pilot, screen)
        assert any("[/" in line for line in lines(app))


async def test_writing_up_a_list_is_shown_and_tallies_go_to_it(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        bench.write_up("T-03")
        await enter(pilot, "wh pl 12 *7")
        assert "writing up Funicular Halt" in lines(app)[0]
        assert "→ the list" in line_with(app, "✓ 7 ×")
        assert bench.recent(1)[0].what is What.LINE
        assert bench.picture.ledger.pieces == 0


async def test_nothing_struck_at_once_is_lost(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24")
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        for _ in range(200):
            screen.entry.post_message(events.Key("enter", "\r"))
        await pilot.pause()
        await pilot.pause()
        assert counted(bench) == 201
        assert "201 pieces" in lines(app)[0]


async def test_what_another_sitting_counts_appears(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        with Bench.open(bench.path) as other:
            other.enter("wh pl 24 *6")
        app._follow()
        await pilot.pause()
        assert "6 pieces" in lines(app)[0]
        assert counted(bench) == 6


async def test_the_highlighted_result_is_marked_without_colour(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, *"plate white")
        assert line_with(app, "▸")
        assert any(style.reverse for style in styles_of(app, "plate 2x4") + styles_of(app, "plate 1x2"))


async def test_crates_say_to_standard_present_short_and_lines_complete_under_their_headings(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *4")
        title = line_with(app, "━ crates")
        row = line_with(app, "Glasshouse  ")
        for heading, figure in (("to standard", "4"), ("▒ present", "4/15"), ("short", "11"), ("lines", "1/4")):
            end = title.index(heading) + len(heading)
            assert row[:end].split()[-1] == figure, (heading, row)


@pytest.mark.parametrize("width", [90, 100, 110])
async def test_a_figure_of_the_crates_never_stands_without_its_heading(app: SortbenchApp, width: int) -> None:
    async with app.run_test(size=(width, 30)) as pilot:
        await enter(pilot, "wh pl 24 *4")
        title, row = line_with(app, "━ crates"), line_with(app, "Glasshouse  ")
        after = row.partition("4/15")[2].split()
        assert [*after[:1]] == (["11"] if "short" in title else [])
        if "short" in title:
            assert row[: title.index("short") + len("short")].split()[-1] == "11"


async def test_a_tally_put_right_that_fills_the_same_line_is_not_called_unneeded(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24")
        await press(pilot, "escape", "-")
        assert "instead of 1 × plate 2x4 white" in text(app)
        assert "no target needs it" not in text(app)
        await press(pilot, "/")
        await enter(pilot, "wh pl 12")
        assert "no target needs it" in text(app)


async def test_a_line_of_a_list_is_shown_without_a_grade(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        bench.write_up("T-03")
        await enter(pilot, "wh pl 12 *2")
        assert "plate 1x2 · white  → the list" in text(app)
        assert line_with(app, "→ T-03").split() == ["2", "w", "plate", "1x2", "white", "→", "T-03"]


@pytest.mark.parametrize("size", SIZES)
async def test_an_empty_bench_says_how_to_begin(tmp_path: Path, size: tuple[int, int]) -> None:
    with Bench.create(tmp_path / "empty") as bench:
        app = SortbenchApp(lambda: bench)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await press(pilot, "escape")
            assert "This bench knows no parts and shades yet" in " ".join(text(app).split())
            assert "no targets yet" in text(app)
            assert "no bins yet" in text(app)
            await enter(pilot, "+trough 2x4")
            assert "No shade is known yet" in text(app)
            await press(pilot, "ctrl+u", "escape")
            assert "nothing lies here yet" in text(app)
