"""The bins screen: load, content, overflow, split."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.model.bins import Bin
from sortbench.model.tally import Fate
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.bench import BenchScreen
from tests.tui.looking import line_with, lines, press, text


@pytest.fixture
def filled(bench: Bench) -> Bench:
    """White over the rim of B1: nine plates and four slopes where ten pieces fit."""
    bench.enter("wh pl 24 *9")
    bench.enter("wh slope *4 !3")
    bench.enter("gr br 24 *2")
    return bench


async def test_a_bin_says_count_capacity_grams_rule_and_place(app: SortbenchApp, filled: Bench) -> None:
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f4")
        row = line_with(app, "13/10")
        assert "14 g" in row  # 9 x 1.0 g + 4 x 1.2 g = 13.8 g
        assert "white" in row
        assert "row 1, left" in row
        assert "5/500 g" in line_with(app, "brick or arch")
        assert "15 pieces in 3 bins" in lines(app)[0]


async def test_grams_are_only_a_lower_bound_where_a_mass_is_not_known(app: SortbenchApp, filled: Bench) -> None:
    filled.enter("arch red")
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f4", "down")
        assert "≥ 5/500 g" in line_with(app, "brick or arch")
        assert "mass of 1 not known" in text(app)


async def test_overflow_is_told_by_glyph_word_and_number_and_how_to_split(app: SortbenchApp, filled: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4")
        row = line_with(app, "13/10")
        assert "▲ B1" in row
        assert "3 over" in row
        assert "▲ 1 bin overflowing" in lines(app)[0]
        assert "B1 overflows, 3 over" in text(app)
        assert "a bin of its own" in text(app)


async def test_content_follows_the_chosen_bin(app: SortbenchApp, filled: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4")
        assert "in B1 13 pieces of 2 kinds" in text(app)
        assert "slope 45 2x2" in text(app)
        await press(pilot, "down")
        assert "in B2 2 pieces of 1 kind" in text(app)
        assert "slope 45 2x2" not in text(app)
        await press(pilot, "up", "right", "down")
        assert "slope 45 2x2" in line_with(app, "▸")
        await press(pilot, "left", "down")
        assert "B2" in line_with(app, "▸")


async def test_a_split_waits_for_y_and_carries_the_pieces(app: SortbenchApp, filled: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4", "s")
        assert "y does it" in text(app)
        assert len(filled.bin_rows()) == 3
        await press(pilot, "y")
        assert len(filled.bin_rows()) == 4
        assert not any(row.overflowing for row in filled.bin_rows())
        assert filled.picture.ledger.pieces == 15
        assert "overflowing" not in text(app)
        assert "B1" in line_with(app, "▸")


async def test_any_other_key_lets_the_split_go(app: SortbenchApp, filled: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        for other in ("escape", "z", "down", "x"):
            await press(pilot, "f4", "s", other, "y")
            assert len(filled.bin_rows()) == 3, other
        assert not isinstance(app.screen, BenchScreen)


async def test_s_and_y_far_from_each_other_but_s_twice_splits_nothing(app: SortbenchApp, filled: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4", "s", "s", "s")
        assert len(filled.bin_rows()) == 3


async def test_a_bin_that_does_not_overflow_is_not_split(app: SortbenchApp, filled: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4", "down", "s")
        assert "B2 does not overflow" in line_with(app, "✗")


async def test_pieces_in_no_bin_are_told(app: SortbenchApp, filled: Bench) -> None:
    filled.put_aside(Fate.WASH)
    filled.put_aside(Fate.OUT)
    heap = next(cell for cell in filled.picture.ledger.in_bin("B1") if cell.part)
    filled.sitting.carry(heap, 2, filled.target_rows()[0].code)
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4")
        assert "set aside for another wash 1" in lines(app)[0]
        assert "discarded 1" in lines(app)[0]
        assert "picked into crates 2" in lines(app)[0]


async def test_without_bins_it_says_what_would_fill_it(empty_bench: Bench) -> None:
    app = SortbenchApp(lambda: empty_bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "escape", "f4")
        assert "i brings bins in from a table" in text(app)
        await press(pilot, "s", "right", "down", "y", "end")
        assert "i brings bins in from a table" in text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)


@pytest.mark.parametrize("size", [(40, 20), (80, 24), (200, 60), (20, 6)])
async def test_every_size_is_drawn(app: SortbenchApp, filled: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4")
        await pilot.resize_terminal(*size)
        await pilot.pause()
        assert all(len(line) <= size[0] for line in lines(app))
        if size[0] >= 40:
            assert "3 over" in line_with(app, "▲ B1")
            assert "plate 2x4" in text(app)


async def test_more_bins_than_lines_scroll_with_the_cursor(app: SortbenchApp, bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        draft.bins[:] = [Bin(f"C{n}") for n in range(1, 81)]
    bench.reload()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4", "end")
        assert "C80" in line_with(app, "▸")
        await press(pilot, "home")
        assert "C1 " in line_with(app, "▸")


async def test_labels_that_look_like_markup_are_only_text(app: SortbenchApp, bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        draft.bins.append(Bin("[/]", place="[red]x"))
    bench.reload()
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f4", "end")
        assert "[red]x" in line_with(app, "▸   [/]")


async def test_the_cursor_begins_on_a_bin_that_overflows(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("wh pl 24 *2 @B2")
    bench.enter("wh pl 24 *600 @B2")
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4")
        assert "B2" in line_with(app, "▸")


async def test_a_new_bin_is_typed_asked_about_and_put_up(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f4", "n", *"B7 plte *60", "enter")
        assert "Did you mean 'plate'?" in text(app)
        await press(pilot, *["backspace"] * len("plte *60"), *"plate brick red *60", "enter")
        assert "Put up B7 for brick red; plate, which holds 60 pieces?" in text(app)
        await press(pilot, "y")
        assert "B7 is put up" in text(app) and "in B7 0 pieces" in text(app)
    # Before the bin that takes everything else, so that its rule is tried.
    assert [row.label for row in bench.bin_rows()] == ["B1", "B2", "B7", "B3"]


async def test_a_bench_without_bins_says_which_key_puts_one_up(empty_bench: Bench) -> None:
    app = SortbenchApp(lambda: empty_bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "escape", "f4")
        assert "n puts one up" in text(app)
        await press(pilot, "n", *"REST", "enter", "y")
        assert "everything else" in text(app)
    assert [row.label for row in empty_bench.bin_rows()] == ["REST"]
