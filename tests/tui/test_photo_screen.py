"""The photo screen: a picture is marked cell by cell, judged, and its pieces are counted."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from rich.color import ColorSystem
from textual.pilot import Pilot

from sortbench.bench import Bench
from sortbench.model.grade import Grade
from sortbench.model.photo import Area
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.judge import JudgeScreen
from sortbench.tui.screens.photo import PhotoScreen
from tests.synthetic_photo import Scene, encoded_of
from tests.tui.looking import line_with, lines, press, styles_of, text

SCENE = Scene("d8d8d4", ("d8d8d4", "d4ccb0", "d0c090"), light=(0.95, 0.92, 0.85), noise=1.0)
"""260 × 180 pixels: the card at the left, the unaged piece and three pieces in two columns beside it."""


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    return SCENE.save(tmp_path, "plates")


async def opened(pilot: Pilot[None], picture: Path) -> None:
    """The photo screen by way of the judge screen, with a picture in hand."""
    await press(pilot, "f8")
    await pilot.pause()
    await press(pilot, "o")
    await pilot.pause()
    await press(pilot, "o", *str(picture), "enter")


def keys_to(app: SortbenchApp, area: Area, key: str) -> list[str]:
    """Keys that mark an area from wherever the cursor stands: home, then cell by cell to both corners."""
    preview = app.screen._view.preview  # type: ignore[attr-defined]
    across, colours = len(preview[0]), len(preview)
    width, height = SCENE.image().size
    # The cells that lie wholly inside.
    left, right = -(-area.left * across // width), area.right * across // width - 1
    top, bottom = -(-area.top * colours // height // 2), area.bottom * colours // height // 2 - 1
    assert left < right and top <= bottom
    start = ["home", *["left"] * across, *["right"] * left, *["down"] * top, key]
    return [*start, *["right"] * (right - left), *["down"] * (bottom - top), key]


async def marked(pilot: Pilot[None], bench: Bench) -> None:
    """All of it marked, by the quick way."""
    bench.photo.marks = SCENE.marks
    await press(pilot, "home")


async def mark_by_keys(app: SortbenchApp, pilot: Pilot[None]) -> None:
    marks = SCENE.marks
    assert marks.card and marks.reference
    await press(pilot, *keys_to(app, marks.card, "c"))
    await press(pilot, *keys_to(app, marks.reference, "r"))
    for piece in marks.pieces:
        await press(pilot, *keys_to(app, piece, "p"))


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (60, 30)])
async def test_marked_cell_by_cell_and_judged_at_once(app: SortbenchApp, picture: Path, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await opened(pilot, picture)
        assert isinstance(app.screen, PhotoScreen)
        assert "plates.png" in lines(app)[0]
        assert "mark the white or grey card" in " ".join(text(app).split())
        await mark_by_keys(app, pilot)
        rows = app.screen._view.rows
        assert [row.grade for row in rows] == ["5", rows[1].grade, "1"]
        assert rows[1].grade in ("1", "1-2", "2")
        assert [row.rank for row in rows] == [1, 2, 3]
        assert "difference" in text(app)
        await press(pilot, "left")
        assert "piece 3: grade 1" in " ".join(text(app).split()), "the piece under the cursor is told in full"
        assert all(len(line) <= size[0] for line in lines(app))


async def test_marks_stand_on_the_picture(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        await opened(pilot, picture)
        await marked(pilot, bench)
        shown = text(app)
        assert "C···" in shown and "R···" in shown and "1···" in shown and "2···" in shown
        assert "╋" in shown


async def test_judged_pieces_are_counted_after_y(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    bench.enter("plate 2x4 white")
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await marked(pilot, bench)
        await press(pilot, "k")
        assert "Count 3 pieces as plate 2x4, white: grade 5 (1)" in text(app)
        await press(pilot, "x")
        assert bench.picture.ledger.pieces == 1
        await press(pilot, "k", "y")
        assert bench.picture.ledger.pieces == 4
        assert "counted: 3 × plate 2x4, white" in text(app)
        records = [bench.picture.ledger.records[rid] for rid in bench.sitting.history[1:]]
        assert [record.cell.grade for record in records if record.cell][::2] == [Grade.G5, Grade.G1]
        assert all(record.lab is not None and record.way == "photo" for record in records)
        await press(pilot, "u")
        assert bench.picture.ledger.pieces == 3


async def test_the_kind_is_named_on_the_line(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await marked(pilot, bench)
        await press(pilot, "k")
        assert "n names part and shade" in text(app)
        await press(pilot, "n", *"brick 2x4 red", "enter")
        assert "brick 2x4, brick red" in lines(app)[0]
        await press(pilot, "k", "y")
        assert bench.picture.ledger.pieces == 3


async def test_one_mark_stands_for_a_grid(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(pilot, picture)
        await press(pilot, "g", *"2x1", "enter")
        assert "2 × 1 pieces a mark" in lines(app)[0]
        await press(pilot, *keys_to(app, Area(108, 108, 124, 44), "p"))
        assert len(bench.photo.marks.pieces) == 2
        await press(pilot, "g", *"0x1", "enter")
        assert "no columns and lines" in line_with(app, "✗")


async def test_a_corner_and_a_mark_can_be_let_go(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await press(pilot, "c", "right", "down", "escape")
        assert bench.photo.marks.card is None
        assert isinstance(app.screen, PhotoScreen)
        await press(pilot, "c", "right", "down", "c")
        assert bench.photo.marks.card is not None
        await press(pilot, "delete")
        assert bench.photo.marks.card is None
        await press(pilot, "delete")
        assert "Nothing is marked under the cursor" in text(app)
        await press(pilot, "c", "right", "r", "right", "r")
        assert bench.photo.marks.card is None, "another key begins another mark"
        assert bench.photo.marks.reference is not None


async def test_marks_are_kept_while_another_screen_is_looked_at(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await marked(pilot, bench)
        await press(pilot, "escape")
        assert isinstance(app.screen, JudgeScreen)
        await press(pilot, "o")
        await pilot.pause()
        assert "difference" in text(app)
        assert len(bench.photo.marks.pieces) == 3


async def test_what_cannot_be_judged_is_said(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await marked(pilot, bench)
        await press(pilot, "home", "c", "right", "down", "c")
        assert "lighter than white" in " ".join(text(app).split()) and "difference" not in text(app)
        await press(pilot, "k")
        assert "no piece has been judged yet" in text(app)


async def test_what_the_card_reflects(app: SortbenchApp, bench: Bench, picture: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await press(pilot, "f", *"18%", "enter")
        assert bench.photo.reflectance == pytest.approx(0.18)
        await press(pilot, "f", *"white", "enter")
        assert "is no number" in line_with(app, "✗")


async def test_a_picture_that_cannot_be_read_is_said_and_the_path_can_be_mended(
    app: SortbenchApp, picture: Path
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture.with_name("plat"))
        assert "There is no file" in line_with(app, "✗")
        await press(pilot, *"es.png", "enter")
        assert "plates.png" in lines(app)[0]


async def test_without_a_picture_keys_say_what_is_missing(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f8")
        await pilot.pause()
        await press(pilot, "o")
        await pilot.pause()
        assert "no picture in hand" in lines(app)[0]
        for key in ("c", "right", "k", "delete"):
            await press(pilot, key)
            assert "o takes one" in text(app)


async def test_a_click_moves_the_cursor_on_the_picture(app: SortbenchApp, picture: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await pilot.click("#picture", offset=(7, 4))
        await pilot.pause()
        assert app.screen._cell == (7, 3)  # type: ignore[attr-defined]


async def test_without_colours_the_picture_is_drawn_in_shades(
    app: SortbenchApp, picture: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app.no_color = True
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        assert "▀" not in text(app)
        assert "██████" in text(app)


@pytest.mark.parametrize("size", [(40, 20), (20, 6), (200, 60)])
async def test_it_survives_resizing(app: SortbenchApp, bench: Bench, picture: Path, size: tuple[int, int]) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, picture)
        await marked(pilot, bench)
        await press(pilot, "end", "right", "p")
        await pilot.resize_terminal(*size)
        await press(pilot, "up", "p", "down", "?", "escape")
        assert all(len(line) <= size[0] for line in lines(app))


async def test_in_colour_each_cell_shows_two_colours_of_the_picture(
    app: SortbenchApp, picture: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The middle of the card, as the camera of the scene saw it, on a terminal that shows every colour."""
    async with app.run_test(size=(80, 24)) as pilot:
        monkeypatch.setattr(app.console, "_color_system", ColorSystem.TRUECOLOR)
        await opened(pilot, picture)
        styles = [style for style in styles_of(app, "▀") if style.color and style.bgcolor]
        shown = {tuple(colour.get_truecolor()) for style in styles for colour in (style.color, style.bgcolor) if colour}
        card = 255.0 * encoded_of(SCENE.card * np.array(SCENE.light))
        assert any(max(abs(a - b) for a, b in zip(each, card, strict=True)) <= 2 for each in shown)
        assert len(shown) > 8
