"""News on the bench: a completed target, an overflow; they outlast the next key, and are in nobody's way."""

from __future__ import annotations

from sortbench.bench import Bench
from sortbench.model.settings import Feedback, Found, Settings
from sortbench.tui.app import SortbenchApp
from tests.tui.looking import enter, lines, press

FUNICULAR = ("wh pl 24 *6",)
"""Four of them go to Glasshouse, which comes first; two fill the one line of Funicular Halt."""
ALL = (*FUNICULAR, "br 24 gr *6", "arch brick *2", "slope wh *3")


async def told(app: SortbenchApp, *entries: str, then: tuple[str, ...] = ()) -> str:
    """The top line after some entries and keys."""
    async with app.run_test(size=(100, 30)) as pilot:
        for entry in entries:
            await enter(pilot, entry)
        if then:
            await press(pilot, *then)
        return lines(app)[0]


async def test_a_completed_target_is_told_on_the_top_line_and_outlasts_the_next_tally(app: SortbenchApp) -> None:
    assert "✓ Funicular Halt is complete" in await told(app, *FUNICULAR, "br 24 gr")


async def test_the_last_missing_piece_of_all_is_told(app: SortbenchApp) -> None:
    assert "✓ every target is complete" in await told(app, *ALL)


async def test_an_overflow_is_told_when_it_begins(app: SortbenchApp, bench: Bench) -> None:
    assert "overflows" not in await told(app, "wh pl 24 @B1 *10")
    bench.count_coarse("B1")
    # It ran over before this app stood: that is no news any more, the bins panel shows it.
    assert "overflows" not in await told(SortbenchApp(lambda: bench), "wh pl 24 @B1")


async def test_news_of_an_overflow(app: SortbenchApp) -> None:
    assert "▲ B1 overflows" in await told(app, "wh pl 24 @B1 *10", "wh pl 24 @B1", "gr br 24")


async def test_what_is_undone_is_no_news(app: SortbenchApp) -> None:
    assert "complete" not in await told(app, *FUNICULAR, then=("ctrl+z",))


async def test_a_narrow_screen_tells_news_before_what_is_held(app: SortbenchApp) -> None:
    async with app.run_test(size=(40, 20)) as pilot:
        await enter(pilot, ".brick !4-5 @B2")
        await enter(pilot, "wh pl 24 *6 !5 @B1")
        assert "✓ Funicular Halt is" in lines(app)[0]


async def test_the_bell_rings_only_where_the_settings_want_it(bench: Bench) -> None:
    rung: list[bool] = []
    for rings in (False, True):
        app = SortbenchApp(lambda: bench, Found(Settings(feedback=Feedback(bell=rings))))
        app.bell = lambda rings=rings: rung.append(rings)  # type: ignore[method-assign, misc]
        await told(app, *FUNICULAR)
        bench.undo()
    assert rung == [True]


async def test_in_the_end_the_app_says_what_the_sitting_did(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        await press(pilot, "f2")
        assert app.summary() == ()
        for entry in (*FUNICULAR, "wh pl 24 @B1 *9"):
            await enter(pilot, entry)
        said = app.summary()
    assert said[0].startswith(f"Sitting {bench.sitting.id}: 15 pieces in 2 tallies")
    assert said[1:] == (
        "  filled: Funicular Halt complete, 2 of 2; Glasshouse 0 to 4 of 15",
        "  overflowed: B1, 5 over",
    )
