"""Shades on terminals that have all colours, 256, 16 or none: true as far as can be, with a letter that can be read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich._palettes import EIGHT_BIT_PALETTE
from rich.color import Color
from rich.style import Style

from sortbench.bench import Bench
from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import hex_to_lab
from sortbench.tui.app import SortbenchApp
from sortbench.tui.widgets.palette import palette, swatch
from tests.contrast import TEXT, contrast
from tests.tui.conftest import SHADES
from tests.tui.looking import line_with, press

SHADE = st.integers(0, 0xFFFFFF).map(lambda value: f"#{value:06x}")
TERMINALS = {
    "truecolor": {"COLORTERM": "truecolor", "TERM": "xterm-256color"},
    "256": {"COLORTERM": "", "TERM": "xterm-256color"},
    "standard": {"COLORTERM": "", "TERM": "linux"},
}


def seen(colour: Color | None) -> str:
    """A colour as ``#rrggbb``."""
    assert colour is not None
    return colour.triplet.hex if colour.triplet is not None else EIGHT_BIT_PALETTE[colour.number or 0].hex


@given(SHADE)
def test_of_all_colours_a_shade_is_what_it_is_and_its_letter_stands_out(rgb: str) -> None:
    style = swatch(rgb, "truecolor")
    assert seen(style.bgcolor) == rgb
    assert contrast(seen(style.color), rgb) >= TEXT


@given(SHADE)
def test_of_256_a_shade_is_the_nearest_that_nobody_may_set_otherwise(rgb: str) -> None:
    style = swatch(rgb, "256")
    assert style.bgcolor is not None and style.bgcolor.number is not None
    assert style.bgcolor.number >= 16
    lab = hex_to_lab(rgb)
    least = min(ciede2000(lab, hex_to_lab(EIGHT_BIT_PALETTE[number].hex)) for number in range(16, 256))
    assert ciede2000(lab, hex_to_lab(seen(style.bgcolor))) == least
    assert contrast(seen(style.color), seen(style.bgcolor)) >= TEXT


@pytest.fixture(params=TERMINALS)
def terminal(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """What Rich calls the colours of a terminal."""
    for name in ("NO_COLOR", "TEXTUAL_THEME", "TEXTUAL_COLOR_SYSTEM"):
        monkeypatch.delenv(name, raising=False)
    for name, value in TERMINALS[request.param].items():
        monkeypatch.setenv(name, value)
    return str(request.param)


async def test_specks_on_the_bench(bench: Bench, terminal: str) -> None:
    white = next(shade for shade in SHADES if shade.name == "white")
    bench.enter("wh pl 24")
    app = SortbenchApp(lambda: bench)
    async with app.run_test() as pilot:
        assert app.console.color_system == terminal
        await press(pilot, "f4", "right")
        assert " w plate 2x4 " in line_with(app, "plate 2x4"), "its letter, whatever can be shown"
        speck, text = speck_style(app), palette(app.screen)["text"]
        if terminal == "truecolor":
            assert seen(speck.bgcolor) == f"#{white.rgb}"
        elif terminal == "256":
            assert seen(speck.bgcolor) == "#eeeeee", "no pale yellow, which Rich would take"
        else:
            assert speck.bgcolor == text.bgcolor, "what 16 colours look like is up to who sits there"


async def test_without_colours_only_the_letter_is_left(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in {**TERMINALS["256"], "NO_COLOR": "1"}.items():
        monkeypatch.setenv(name, value)
    bench.enter("wh pl 24")
    app = SortbenchApp(lambda: bench)
    async with app.run_test() as pilot:
        await press(pilot, "f4", "right")
        assert " w plate 2x4 " in line_with(app, "plate 2x4")
        for colour in (speck_style(app).color, speck_style(app).bgcolor):
            assert colour is None or colour.is_default


def speck_style(app: SortbenchApp) -> Style:
    """The style of the letter before the heap that has the cursor."""
    for strip in app.screen._compositor.render_strips():
        if "plate 2x4" in strip.text:
            place = strip.text.index("w plate 2x4")
            style = next(iter(strip.crop(place, place + 1))).style
            assert style is not None
            return style
    raise AssertionError("no heap is on the screen")
