"""The targets screen: one target line by line, filtered, written up, made."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Fate
from sortbench.model.target import Line, Target
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.looking import enter, line_with, lines, press, styles_of, text


async def test_a_line_says_have_need_short_standard_period_and_place(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("gr br 24 *2 !3")
    bench.enter("gr br 24 !2")
    bench.put_aside(Fate.WASH)
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f3")
        assert "T-07 Glasshouse · 1987 · rank 1 · 1 of 2" in lines(app)[0]
        row = line_with(app, "brick 2x4")
        assert row.split()[0] == "2"
        assert "3/6" in row
        assert "grey, early" in row
        assert "right" in row
        assert "B2 2, set aside 1" in row
        assert row.split("3/6")[1].split()[:2] == ["3", "2"]  # short, to standard
        assert "wrong" in line_with(app, "arch 1x6x2")
        assert "not known" in line_with(app, "slope 45 2x2")


async def test_head_counts_the_whole_target(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("wh pl 24 *4")
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3")
        head = lines(app)[1]
        assert "4/15" in head
        assert "short 11" in head
        assert "4 to standard" in head
        assert "1/4 lines" in head
        assert "✓" in line_with(app, "plate 2x4")


async def test_pieces_of_unknown_years_are_explained_with_a_way_to_mend(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("wh slope *2")
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3")
        note = line_with(app, "years are not known")
        assert note.startswith("2 pieces not to standard")
        assert "import them with the parts and the shades" in note


async def test_a_target_without_a_year_says_so(app: SortbenchApp, bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        draft.targets["T-01"] = Target("T-01", "Signal Hut", None, 0, (Line(Kind("plate-1x2", "white"), 2),))
    bench.reload()
    bench.enter("wh pl 12")
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3")
        assert "year not known" in lines(app)[0]
        assert "the target's year is not known" in text(app)


async def test_left_and_right_switch_targets_and_stop_at_the_ends(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "left")
        assert "Glasshouse" in lines(app)[0]
        await press(pilot, "right")
        assert "Funicular Halt" in lines(app)[0]
        await press(pilot, "right")
        assert "2 of 2" in lines(app)[0]
        await press(pilot, "left")
        assert "Glasshouse" in lines(app)[0]


async def test_a_digit_shows_the_target_of_that_place(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "2")
        assert "Funicular Halt" in lines(app)[0]
        await press(pilot, "1")
        assert "Glasshouse" in lines(app)[0]
        await press(pilot, "9")
        assert "2 of 2" in lines(app)[0], "the last one where there are fewer"


async def test_a_target_is_gone_to_by_the_start_of_a_word_of_its_name(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", *"gHAL")
        assert "Funicular Halt" in lines(app)[0], "while it is typed"
        await press(pilot, "enter", "s", *"gt-07", "enter")
        assert "Glasshouse" in lines(app)[0]
        assert "only lines with pieces missing" in text(app), "the key after Enter is a command again"


async def test_esc_goes_back_to_the_target_one_came_from(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "2", *"gglass")
        assert "Glasshouse" in lines(app)[0]
        await press(pilot, "escape")
        assert "Funicular Halt" in lines(app)[0]


async def test_a_name_that_no_target_has_is_told(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", *"gzebra", "enter")
        assert "No target's name has words that begin with 'zebra'" in text(app)
        assert "Glasshouse" in lines(app)[0]
        await press(pilot, "2")
        assert "zebra" not in text(app), "said of another target"
        await press(pilot, *"g  ", "enter", "s")
        assert "only lines with pieces missing" in text(app)


async def test_the_cursor_moves_and_its_line_is_told_in_full(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "down", "down")
        assert line_with(app, "▸").split()[1] == "3"
        assert "line 3: arch 1x6x2 · brick red: have 0 of 2, short 2" in text(app)
        await press(pilot, "end")
        assert line_with(app, "▸").split()[1] == "4"
        await press(pilot, "pageup")
        assert line_with(app, "▸").split()[1] == "1"
        assert any(style.reverse for style in styles_of(app, "plate 2x4"))


async def test_a_filter_narrows_while_typed_enter_keeps_it_escape_drops_it(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", *"/wh 2×4")
        assert "1 of 4 lines hold" in text(app)
        assert "brick" not in text(app)
        await press(pilot, "enter")
        assert "1 of 4 lines hold" in text(app)
        await press(pilot, "escape")
        assert "brick 2x4" in text(app)
        assert isinstance(app.screen, TargetsScreen)
        await press(pilot, *"/arch", "escape")
        assert "brick 2x4" in text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)


async def test_letters_typed_into_the_filter_are_never_commands(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3")
        await press(pilot, *"/wsn")
        assert isinstance(app.screen, TargetsScreen)
        assert bench.held.target == ""
        assert "filter: wsn" in text(app)
        assert "0 of 4 lines" in text(app)


async def test_only_short_lines(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("wh pl 24 *4")
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "s")
        assert "only lines with pieces missing: 3" in text(app)
        assert "plate 2x4" not in text(app)
        await press(pilot, "s")
        assert "plate 2x4" in text(app)


async def test_w_writes_up_the_list_at_the_bench_and_ends_it(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "right", "w")
        assert isinstance(app.screen, BenchScreen)
        assert bench.held.target == "T-03"
        await enter(pilot, "arch red *2")
        await press(pilot, "f3", "right")
        assert "arch 1x6x2" in text(app)
        assert "0/2" in line_with(app, "arch 1x6x2")
        assert "being written up" in text(app)
        await press(pilot, "w")
        assert bench.held.target == ""


async def test_writing_up_begins_with_typing_wherever_one_came_from(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "escape", "f3", "right", "w")
        await enter(pilot, "arch red *2")
        assert [row.need for row in bench.line_rows("T-03") if row.kind.part == "arch-1x6x2"] == [2]
        assert "✓ 2 ×" in text(app)


async def test_a_new_target_is_made_and_shown(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "n", *"T-12 Orchard Gate 1991", "enter")
        assert bench.documents.targets["T-12"].name == "Orchard Gate"
        assert bench.documents.targets["T-12"].year == 1991
        assert "T-12 Orchard Gate · 1991 · rank 3 · 3 of 3" in lines(app)[0]
        assert "no list yet" in text(app)


@pytest.mark.parametrize(("typed", "said"), [("T-12", "needs a code and a name"), ("T-07 Peat Tramway", "T-07")])
async def test_a_refused_new_target_comes_back_to_be_mended(
    app: SortbenchApp, bench: Bench, typed: str, said: str
) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "n", *typed, "enter")
        assert said in line_with(app, "✗")
        assert f"new target: {typed}" in text(app)
        assert set(bench.documents.targets) == {"T-07", "T-03"}


async def test_without_targets_it_says_what_would_fill_it(empty_bench: Bench) -> None:
    app = SortbenchApp(lambda: empty_bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3")
        assert "a brings a list in from a file" in text(app) and "n makes one here" in text(app)
        await press(pilot, "down", "right", "s", "w", "pagedown")
        assert isinstance(app.screen, TargetsScreen)


@pytest.mark.parametrize("size", [(40, 20), (80, 24), (200, 60), (20, 6)])
async def test_every_size_is_drawn_and_resizing_keeps_what_is_typed(app: SortbenchApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f3", *"/pla")
        await pilot.resize_terminal(100, 30)
        await pilot.pause()
        assert "filter: pla" in text(app)
        assert "plate 2x4" in text(app)
        await pilot.resize_terminal(*size)
        await pilot.pause()
        assert all(len(line) <= size[0] for line in lines(app))


async def test_names_that_look_like_markup_are_only_text(app: SortbenchApp, bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        draft.targets["[0]"] = Target("[0]", "[/ [red]x", 1990, 0, (Line(Kind("[/b]", "[bold]"), 2),))
    bench.reload()
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", *"/[/")
        assert "[0] [/ [red]x" in lines(app)[0]
        assert "[bold]" in line_with(app, "▸")
