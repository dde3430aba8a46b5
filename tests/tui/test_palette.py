"""What style names become: swatches in true colours, and none of them where nobody wants colours."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.tui.app import SortbenchApp
from sortbench.tui.widgets.palette import palette


@pytest.fixture(autouse=True)
def _all_colours(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal of all colours, whatever the tests run in."""
    for name in ("NO_COLOR", "TEXTUAL_THEME", "TEXTUAL_COLOR_SYSTEM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")


async def test_a_swatch_is_its_srgb_value_under_letters_that_stand_out(app: SortbenchApp) -> None:
    async with app.run_test():
        styles = palette(app.screen)
        light, dark = styles["#f4f4f0"], styles["#1b2a34"]
        assert (light.bgcolor.name, dark.bgcolor.name) == ("#f4f4f0", "#1b2a34")  # type: ignore[union-attr]
        assert (light.color.name, dark.color.name) == ("#000000", "#ffffff")  # type: ignore[union-attr]
        assert styles["@230"].bgcolor.number == 230  # type: ignore[union-attr]


@pytest.mark.parametrize("name", ["@7", "@256", "#f4f4f", "no such style"])
async def test_a_name_that_is_not_known_looks_like_text(app: SortbenchApp, name: str) -> None:
    async with app.run_test():
        assert palette(app.screen)[name] == palette(app.screen)["text"]


async def test_no_colour_holds_for_swatches_as_well(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = SortbenchApp(lambda: bench)
    async with app.run_test():
        ground = palette(app.screen)["#b03a2e"].bgcolor
        assert ground is not None
        assert len(set(ground.get_truecolor())) == 1, "a grey"
