"""The judge screen: steps beside the reference, readings, grading the last tally; what is said where colours lack."""

from __future__ import annotations

import random

import pytest
from rich.color import Color

from sortbench.bench import Bench
from sortbench.model.grade import Grade
from sortbench.tui.app import SortbenchApp
from sortbench.tui.drawing.judge_rows import Colours, colours_of
from sortbench.tui.keys import COMMANDS, keymap
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.judge import JudgeScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import enter, line_with, lines, press, text

LEADING_AWAY = frozenset(
    {"f10", "ctrl+q", "ctrl+p", ":", "f2", "f3", "f4", "f5", "f6", "f7", "f9", "?", "f1", "o", "escape"}
)
"""Keys after which others would be struck elsewhere."""
SIZES = ((80, 24), (120, 36))


@pytest.fixture(autouse=True)
def _all_colours(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal of all colours, whatever the tests run in."""
    for name in ("NO_COLOR", "TEXTUAL_COLOR_SYSTEM", "TEXTUAL_THEME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")


@pytest.fixture
def few_colours(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLORTERM", "")


@pytest.fixture
def app(bench: Bench) -> SortbenchApp:
    """The app in that terminal; three white plates have been counted."""
    bench.enter("wh pl 24 *3")
    return SortbenchApp(lambda: bench)


def grounds(app: SortbenchApp, row: int) -> list[Color]:
    """The grounds of a line, each once where it stands beside itself."""
    found: list[Color] = []
    for segment in app.screen._compositor.render_strips()[row]:
        assert segment.style is not None
        ground = segment.style.bgcolor
        assert ground is not None
        if not segment.text.strip() and (not found or found[-1] != ground):
            found.append(ground)
    return found


def last_grade(bench: Bench) -> Grade | None:
    """The grade of the last tally."""
    cell = bench.sitting.in_hand().cell
    assert cell is not None
    return cell.grade


async def test_each_step_touches_the_reference_in_true_colours(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f8")
        assert isinstance(app.screen, JudgeScreen)
        assert "judge white" in lines(app)[0]
        assert "#f4f4f0, a list value" in lines(app)[1]
        assert line_with(app, "grade  ").split() == ["grade", "5", "4-5", "4", "3-4", "3", "2-3", "2", "1-2", "1"]
        assert line_with(app, "change").split()[1:] == ["0.0", "0.8", "1.7", "2.5", "3.4", "4.8", "6.8", "9.6", "13.6"]
        steps = bench.grading.view().scale
        assert steps is not None
        row = next(at for at, line in enumerate(lines(app)) if line.startswith("steps"))
        seen = [colour.name for colour in grounds(app, row + 1)]
        for step in steps.steps[1:]:
            at = seen.index(f"#{step.rgb}")
            assert seen[at - 1] == seen[at + 1] == "#f4f4f0"


async def test_a_reading_marks_its_step_and_enter_counts_one_more(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f8")
        await enter(pilot, "#f0ece0")
        judged = bench.grading.view().judgement
        assert judged is not None
        assert "#f0ece0: grade 2-3 · yellower, darker" in line_with(app, "▲ #f0ece0")
        marked = next(line for line in lines(app) if line.count("▲") == 1 and "grade" not in line)
        assert abs(marked.index("▲") - line_with(app, "grade  ").index(" 2-3 ")) <= 3, "under its grade"
        assert "yellowness" in text(app)
        await press(pilot, "enter", "enter")
        assert bench.picture.ledger.pieces == 5
        assert last_grade(bench) is judged.grade
        assert "1 × w plate 2x4 · white" in text(app)
        await press(pilot, "u", "U")
        assert bench.picture.ledger.pieces == 5
        await press(pilot, "escape")
        assert isinstance(app.screen, JudgeScreen)
        assert "no reading" in text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)


async def test_r_gives_the_last_tally_the_judged_grade(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f8")
        await enter(pilot, "/lab 92 -1 9")
        await press(pilot, "r")
        judged = bench.grading.view().judgement
        assert judged is not None
        assert last_grade(bench) is judged.grade < Grade.G5
        assert bench.picture.ledger.pieces == 3


async def test_digits_grade_by_eye_and_plus_and_minus_by_half_a_step(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await press(pilot, "4", "+")
        assert last_grade(bench) is Grade.G4_5
        await press(pilot, *"3--")
        assert last_grade(bench) is Grade.G2
        marks = next(line for line in lines(app) if line.strip() == "last")
        assert abs(marks.index("last") - line_with(app, "grade  ").index(" 2 ")) <= 3, "under its grade"
        await press(pilot, "2")
        assert "has grade 2 already" in line_with(app, "✗")
        await press(pilot, "u")
        assert last_grade(bench) is Grade.G2_3
        assert bench.picture.ledger.pieces == 3


async def test_fast_keys_are_all_taken_in_order(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await press(pilot, *"#f0ece0", *["enter"] * 6, *"3-")
        assert bench.picture.ledger.pieces == 8
        assert last_grade(bench) is Grade.G2_3


async def test_without_reading_or_tally_keys_say_why_they_do_nothing(bench: Bench) -> None:
    app = SortbenchApp(lambda: bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await press(pilot, "enter")
        assert "no reading was typed yet" in text(app)
        await press(pilot, "4")
        assert "nothing has been counted yet" in text(app)
        await enter(pilot, "#f0ece0")
        await press(pilot, "r")
        assert "regrade: nothing has been counted yet" in text(app)
        assert bench.picture.ledger.pieces == 0


async def test_a_reading_that_cannot_be_meant_is_given_back_to_be_mended(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await enter(pilot, "#f0ece")
        assert "no colour reading" in line_with(app, "✗")
        assert "reading: f0ece" in text(app)
        await press(pilot, "0", "enter")
        assert "▲ #f0ece0" in text(app)
        await press(pilot, *"/white?", "escape")
        assert "▲ #f0ece0" in text(app), "a line let go changes nothing"


async def test_an_unaged_piece_and_another_shade(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await enter(pilot, "=#f0f0ea")
        assert "against an unaged piece, #f0f0ea" in lines(app)[1]
        await press(pilot, "=", "enter")
        assert "#f4f4f0, a list value" in lines(app)[1]
        await press(pilot, "right")
        assert "judge grey, early" in lines(app)[0]
        await enter(pilot, "sbrick")
        assert "judge brick red" in lines(app)[0]
        await press(pilot, "4")
        assert "The last tally is white, and brick red is judged here" in text(app)
        assert last_grade(bench) is Grade.G5
        await enter(pilot, "smauve")
        assert "No shade is called 'mauve'" in text(app)


async def test_256_colours_say_which_steps_look_the_same(few_colours: None, app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        assert app.console.color_system == "256"
        assert "256 colours: a block is only the nearest" in text(app)
        few = bench.grading.view(in_256=True).nearest
        assert few is not None
        same = sum(one == other for one, other in zip(few.steps, few.steps[1:], strict=False))
        assert line_with(app, "grade  ").count("=") == same > 0
        assert line_with(app, "shown").split()[1:] == [f"{change:.1f}" for change in few.changes]
        row = next(at for at, line in enumerate(lines(app)) if line.startswith("steps"))
        numbers = [colour.number for colour in grounds(app, row)]
        assert [number for number in few.steps if number not in numbers] == []


@pytest.mark.parametrize(
    ("env", "words"),
    [
        ({"NO_COLOR": "1"}, "NO_COLOR is set: eyes cannot judge here"),
        ({"COLORTERM": "", "TERM": "xterm"}, "This terminal has 16 colours: eyes cannot judge here"),
        ({"COLORTERM": "", "TERM": "dumb"}, "This terminal shows no colours: eyes cannot judge here"),
    ],
)
async def test_where_colours_lack_that_is_said_and_readings_still_serve(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, env: dict[str, str], words: str
) -> None:
    for name, value in env.items():
        monkeypatch.setenv(name, value)
    bench.enter("wh pl 24 *3")
    app = SortbenchApp(lambda: bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        assert words in text(app)
        await enter(pilot, "#f0ece0")
        assert "▲" in line_with(app, "4.8")
        assert "▲ #f0ece0: grade 2-3" in text(app)
        seen = {segment.style.bgcolor for strip in app.screen._compositor.render_strips() for segment in strip}  # type: ignore[union-attr]
        assert len(seen) == 1, "no block of colour is drawn"


def test_what_a_terminal_can_show() -> None:
    assert [colours_of(system, False) for system in ("truecolor", "256", "standard", "windows", None)] == [
        Colours.ALL,
        Colours.INDEXED,
        Colours.FEW,
        Colours.FEW,
        Colours.NONE,
    ]
    assert colours_of("truecolor", True) is Colours.OFF


@pytest.mark.parametrize("size", [(40, 12), (20, 6), (64, 20), (200, 60)])
async def test_every_size_is_drawn(app: SortbenchApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await enter(pilot, "#f0ece0")
        await pilot.resize_terminal(*size)
        await pilot.pause()
        assert all(len(line) <= size[0] for line in lines(app))
        assert "judge" in lines(app)[0]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_as_a_whole(app: SortbenchApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f8")
        await enter(pilot, "#f0ece0")
        assert_golden(app, f"judge-{size[0]}x{size[1]}")


@pytest.mark.parametrize("seed", range(2))
async def test_any_keys_do_no_harm(app: SortbenchApp, bench: Bench, seed: int) -> None:
    draw = random.Random(seed)
    keys = sorted(set(keymap(COMMANDS, "judge")) - LEADING_AWAY)
    async with app.run_test(size=draw.choice([(80, 24), (120, 36), (40, 12)])) as pilot:
        for _ in range(4):
            if not isinstance(app.screen, JudgeScreen):
                await press(pilot, "f8")
            typed = draw.choice(["#f0ece0", "/lab 80 0 20", "sgr", "=#f0f0ea", "=", "#zz"])
            await press(pilot, *typed, "enter", *(draw.choice(keys) for _ in range(10)))
            assert all(quantity >= 0 for quantity in bench.picture.ledger.counts.values())
            await press(pilot, *["escape"] * 2)
    with Bench.open(bench.path) as again:
        assert again.picture.ledger.counts == bench.picture.ledger.counts, "what is shown is on disk"
