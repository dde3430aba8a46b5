"""The reconcile screen: who gets which piece; ranks, parked targets, stand-ins and the policy tried out, then kept."""

from __future__ import annotations

import threading
from threading import Event, current_thread, main_thread

import pytest

from sortbench.bench import Bench
from sortbench.desks.additions import add_target
from sortbench.desks.trial_desk import TrialDesk
from sortbench.model.catalogue import Kind
from sortbench.model.target import Line, Policy, Target
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.pick import PickScreen
from sortbench.tui.screens.reconcile import ASIDE, ReconcileScreen
from tests.tui.looking import line_with, lines, press, styles_of, text
from tests.tui.reconciling import BRICK, PLATE, WHITE_BRICK, reconciled


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """Two targets that both want white plates, and stand-ins for grey bricks."""
    return reconciled(bench)


def ranks(bench: Bench) -> dict[str, int]:
    return {code: target.rank for code, target in bench.documents.targets.items()}


async def test_crates_stand_by_rank_with_the_spares_at_the_end(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6")
        assert "10/17 present" in lines(app)[0]
        assert "policy complete" in lines(app)[0]
        assert line_with(app, "Glasshouse  ").split()[:3] == ["▸", "1", "Glasshouse"]
        assert "9/15" in line_with(app, "▸   1 Glasshouse")
        assert "1/2" in line_with(app, "2 Funicular Halt")
        assert "0 spare" in line_with(app, "spares  ")
        assert "T-07 Glasshouse, 1987, rank 1; 9 of 15 present" in text(app)


async def test_right_goes_to_the_lines_and_to_what_fills_one(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "right", "down")
        assert "5/6" in line_with(app, "2 g brick 2x4")
        assert "≈3" in line_with(app, "2 g brick 2x4")
        assert "what fills line 2 brick 2x4 · grey, early" in text(app)
        assert "as asked for" in line_with(app, "B2 2")
        assert "B1 3" in line_with(app, "≈ brick 2x4 · white")
        assert "better: 1 more brick 2x4 in grey, early" in text(app)
        await press(pilot, "right", "down")
        assert "≈ brick 2x4 · white" in line_with(app, "B1 3")
        assert "3 pieces of brick 2x4 · white, which stands in at a cost of 2 of 9" in text(app)
        assert any(style.reverse for style in styles_of(app, "brick 2x4 · white"))
        await press(pilot, "left", "left", "down")
        assert "T-03 Funicular Halt" in text(app)


async def test_a_rank_tried_shows_what_it_does_to_every_target_and_writes_nothing(
    app: SortbenchApp, bench: Bench
) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "+")
        assert "▸ ✓ 2→1 Funicular Halt" in text(app)
        assert "1→2/2" in line_with(app, "2→1 Funicular Halt")
        assert "9→8/15" in line_with(app, "1→2 Glasshouse")
        assert "k keeps it, Esc lets it go" in lines(app)[1]
        assert "Funicular Halt has rank 1" in lines(app)[1]
        assert ranks(bench) == {"T-07": 1, "T-03": 2}
        await press(pilot, "-")
        assert "→" not in text(app)
        assert "k keeps it" not in text(app)


async def test_the_lines_show_what_they_lose(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "+", "down")
        assert "4→3/4" in line_with(app, "plate 2x4")
        await press(pilot, "right")
        assert "have 3 of 4 (4 as kept)" in text(app)


async def test_keeping_waits_for_y(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "+", "k")
        assert "y does it" in text(app)
        await press(pilot, "z", "y")
        assert ranks(bench) == {"T-07": 1, "T-03": 2}
        assert "2→1" in text(app), "a question let go leaves what is tried out"
        await press(pilot, "k", "y")
        assert ranks(bench) == {"T-07": 2, "T-03": 1}
        assert "kept: Funicular Halt has rank 1" in text(app)
        assert "→" not in text(app).split("Funicular Halt")[1].split("\n")[0]


async def test_k_and_y_without_anything_tried_out_do_nothing(app: SortbenchApp, bench: Bench) -> None:
    before = bench.folder.documents.path.read_bytes()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "k", "y")
        assert "keep: nothing is being tried out" in text(app)
    assert bench.folder.documents.path.read_bytes() == before


async def test_targets_share_a_rank(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "=")
        assert "2→1 Funicular Halt" in text(app)
        await press(pilot, "k", "y")
        assert ranks(bench) == {"T-07": 1, "T-03": 1}
        await press(pilot, "=")
        assert "no rank is above it" in line_with(app, "✗")


async def test_a_target_parked_takes_nothing_and_the_same_key_brings_it_back(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "0")
        assert "9→parked" in line_with(app, "∥ 1 Glasshouse")
        assert "1→2/2" in line_with(app, "2 Funicular Halt")
        assert "0→8 spare" in line_with(app, "spares  ")
        await press(pilot, "0")
        assert "k keeps it" not in text(app)
        await press(pilot, "0", "k", "y")
        assert bench.documents.targets["T-07"].parked
        assert "parked" in line_with(app, "Glasshouse  ")


async def test_a_stand_in_is_refused_and_allowed_again(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "right", "down", "right", "down", "a")
        assert "5→2/6" in line_with(app, "2 g brick 2x4")
        assert "▸" in line_with(app, "✗ refused")
        assert "Glasshouse refuses brick 2x4 white for brick 2x4 grey, early" in lines(app)[1]
        await press(pilot, "a")
        assert "k keeps it" not in text(app)
        assert "▸" in line_with(app, "≈ brick 2x4 · white")
        await press(pilot, "a", "k", "y")
        assert bench.documents.targets["T-07"].refused == ((BRICK, WHITE_BRICK),)


async def test_a_stand_in_key_says_why_where_there_is_none_to_try(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "right", "a")
        assert "Nothing stands in on this line" in line_with(app, "✗")
        await press(pilot, "down", "right", "a")
        assert "the kind that the line asks for" in line_with(app, "✗")
        await press(pilot, "left", "a")
        assert "5→2/6" in line_with(app, "2 g brick 2x4"), "the only stand-in of the line"
        await press(pilot, "escape", "left", "end", "a")
        assert "on a line of a crate" in line_with(app, "✗")


async def test_the_other_policy(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "c")
        assert "policy showpiece" in lines(app)[0]
        assert "policy showpiece" in lines(app)[1]
        await press(pilot, "k", "y")
        assert bench.policy is Policy.SHOWPIECE
        await press(pilot, "c")
        assert "policy complete" in lines(app)[1]


async def test_escape_lets_go_of_one_thing_at_a_time(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", *"/plate", "enter", "0", "k", "escape")
        assert "left as it was" in text(app)
        assert "k keeps it" in text(app)
        await press(pilot, "escape")
        assert "let go: all is as it was kept" in text(app)
        assert "1 of 4 lines hold" in text(app)
        await press(pilot, "escape")
        assert "lines hold" not in text(app)
        assert isinstance(app.screen, ReconcileScreen)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)


async def test_what_is_tried_out_is_still_there_after_a_look_elsewhere(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "0", "f3")
        assert "k keeps it" not in text(app)
        await press(pilot, "f6")
        assert "9→parked" in text(app)


async def test_at_the_ends_a_rank_key_says_so(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "+")
        assert "Glasshouse is first already" in line_with(app, "✗")
        await press(pilot, "down", "-")
        assert "Funicular Halt is last already" in line_with(app, "✗")
        await press(pilot, "end", "+")
        assert "The spares have no rank" in line_with(app, "✗")
        await press(pilot, "p")
        assert "picked for nobody" in line_with(app, "✗")


async def test_keys_struck_faster_than_frames_are_all_done(app: SortbenchApp, bench: Bench) -> None:
    for number in range(4):
        add_target(bench, Target(f"T-2{number}", f"Annexe {number}", 1990, 3 + number, (Line(PLATE, 1),)))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "end", "up")
        await press(pilot, *"+++++0", "down", *"--")
        assert bench.trial.words == (
            "Annexe 3 has rank 1; Glasshouse has rank 4; Annexe 1 has rank 5; Annexe 2 has rank 6; Annexe 3 is parked"
        )
        assert "parked" in line_with(app, "6→1 Annexe 3")


async def test_what_takes_long_is_worked_out_aside_and_keys_go_on(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_go_on = Event()
    work_out = TrialDesk.work_out

    def wait_first(trial: TrialDesk) -> None:
        may_go_on.wait(20)
        work_out(trial)

    monkeypatch.setattr(TrialDesk, "QUICK_LINES", 0)
    monkeypatch.setattr(TrialDesk, "work_out", wait_first)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "+")
        assert "working it out: Funicular Halt has rank 1" in lines(app)[1]
        assert "▸   2→1 Funicular Halt" in text(app), "its place is seen at once"
        assert "1/2" in line_with(app, "2→1 Funicular Halt")
        await press(pilot, "right", "left", "down", "0")
        assert "1→2 Glasshouse" in text(app)
        may_go_on.set()
        for _ in range(2000):
            await pilot.pause()
            if "working it out" not in text(app):
                break
        assert "9→parked" in line_with(app, "1→2 Glasshouse")
        assert "1→2/2" in line_with(app, "2→1 Funicular Halt")


async def test_leaving_does_not_wait_for_what_is_worked_out_aside(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_go_on, failed = Event(), list[object]()
    monkeypatch.setattr(threading, "excepthook", failed.append)
    monkeypatch.setattr(TrialDesk, "QUICK_LINES", 0)
    monkeypatch.setattr(TrialDesk, "work_out", lambda trial: may_go_on.wait(20))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "0")
        assert "working it out" in lines(app)[1]
        app.leave()
        await pilot.pause()
    may_go_on.set()
    for thread in threading.enumerate():
        if thread.name == ASIDE:
            thread.join(20)
    assert not failed


async def test_what_fails_aside_is_worked_out_again_here(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    work_out = TrialDesk.work_out

    def only_here(trial: TrialDesk) -> None:
        if current_thread() is not main_thread():
            raise RuntimeError("dictionary changed size during iteration")
        work_out(trial)

    monkeypatch.setattr(TrialDesk, "QUICK_LINES", 0)
    monkeypatch.setattr(TrialDesk, "work_out", only_here)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "+")
        for _ in range(2000):
            await pilot.pause()
            if "1→2/2" in text(app):
                break
        assert "1→2/2" in line_with(app, "2→1 Funicular Halt")


async def test_a_filter_and_short_only_leave_the_crate(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", *"/ar")
        assert "1 of 4 lines hold" in text(app)
        assert "plate 2x4" not in text(app)
        await press(pilot, "escape", "s")
        assert "only lines with pieces missing: 3" in text(app)
        await press(pilot, "right", "down", "s")
        assert "arch 1x6x2" in line_with(app, "▸   3"), "the cursor stays on its line"


async def test_spares_are_a_tray_of_their_own(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("br pl 12 *7")
    bench.enter("wh slope *5")
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "end")
        assert "9 spare" in line_with(app, "spares  ")
        assert "plate 1x2" in line_with(app, "B3 7")
        assert "9 pieces that no line has" in text(app)
        await press(pilot, "right", "end")
        assert "2 pieces spare: slope 45 2x2 · white, grade 5; B1 (row 1, left) 2" in text(app)
        assert "row 1, left" in text(app).split("where they lie")[1]
        await press(pilot, *"/pla", "enter")
        assert "1 of 2 heaps hold" in text(app)


async def test_nothing_spare_says_so(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "end", "right", "e")
        assert "Nothing is spare" in text(app)


async def test_why_a_piece_goes_where_it_goes(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "right", "e")
        assert "why plate 2x4 · white" in text(app)
        assert "Glasshouse" in text(app).split("why plate 2x4 · white")[1]
        await press(pilot, "e")
        assert "what fills line 1" in text(app)
        await press(pilot, "e", "down")
        assert "what fills line 2" in text(app)


async def test_the_pick_list_is_made_from_what_is_kept(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "0", "p")
        await pilot.pause()
        assert "made from what is kept" in line_with(app, "✗")
        await press(pilot, "escape", "down", "p")
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        assert "Funicular Halt" in lines(app)[0]
        await press(pilot, "escape")
        assert isinstance(app.screen, ReconcileScreen)
        assert "▸   2 Funicular Halt" in text(app)


async def test_another_sitting_moves_the_figures_and_not_the_cursor(app: SortbenchApp, bench: Bench) -> None:
    with Bench.open(bench.path) as other:
        async with app.run_test(size=(120, 36)) as pilot:
            await press(pilot, "f6", "down", "right")
            other.enter("wh pl 24 *3")
            bench.refresh()
            app.screen.bench_changed()  # type: ignore[attr-defined]
            await pilot.pause()
            assert "2/2" in line_with(app, "2 Funicular Halt")
            assert "line 1: plate 2x4 · white: have 2 of 2" in text(app)


async def test_a_target_taken_off_meanwhile_takes_its_trial_along(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "0")
        with Bench.open(bench.path) as other, other.folder.documents.edit() as draft:
            del draft.targets["T-03"]
        bench.refresh()
        await press(pilot, "+")
        assert "No target has the code 'T-03'" in text(app)
        assert "k keeps it" not in text(app)
        assert "▸   1 Glasshouse" in text(app)


async def test_without_targets_it_says_what_would_fill_it(empty_bench: Bench) -> None:
    app = SortbenchApp(lambda: empty_bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f6")
        assert "a on the targets screen (F3) brings one in from a file" in text(app)
        await press(pilot, *"+-=0acksep", "right", "down", "left", "end", "pagedown")
        assert isinstance(app.screen, ReconcileScreen)


async def test_a_target_without_a_list_stands_there_too(app: SortbenchApp, bench: Bench) -> None:
    bench.add_target(Target("T-12", "Orchard Gate", 1991))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "down", "down")
        assert "no list" in line_with(app, "3 Orchard Gate")
        assert "writes it up" in text(app)
        await press(pilot, "right", "e", "a", "+")
        assert "3→2 Orchard Gate" in text(app)


async def test_a_click_moves_the_cursor(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6")
        await pilot.click("#list", offset=(5, 2))
        await pilot.pause()
        assert "T-03 Funicular Halt" in text(app)
        await pilot.click("#list", offset=(5, 1))
        await pilot.click("#side", offset=(10, 2))
        await pilot.pause()
        assert "line 2: brick 2x4" in text(app)
        await pilot.click("#more", offset=(10, 2))
        await pilot.pause()
        assert "which stands in" in text(app)


@pytest.mark.parametrize("size", [(40, 20), (80, 24), (120, 36), (200, 60), (20, 6)])
async def test_every_size_is_drawn_and_resizing_keeps_what_is_tried(
    app: SortbenchApp, bench: Bench, size: tuple[int, int]
) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "down", "+", "right")
        await pilot.resize_terminal(*size)
        await pilot.pause()
        assert all(len(line) <= size[0] for line in lines(app))
        if size[0] >= 80:
            assert "1→2/2" in text(app)
            assert "plate 2x4" in text(app)
            assert "what fills line 1" in text(app)


async def test_names_that_look_like_markup_are_only_text(app: SortbenchApp, bench: Bench) -> None:
    add_target(bench, Target("[0]", "[/ [red]x", 1990, 3, (Line(Kind("[/b]", "[bold]"), 2),)))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "end", "up", "+", "right", "e")
        assert "[/ [red]x" in text(app)
        assert "[bold]" in text(app)


async def test_from_every_screen_f6_opens_it(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        for key in ("f2", "f3", "f4", "f5", "f6", "escape"):
            await press(pilot, key, "f6")
            assert isinstance(app.screen, ReconcileScreen), key
        await press(pilot, "p", "f6")
        assert isinstance(app.screen, ReconcileScreen)
