"""The app's own themes: legible, apart for all eyes in the one made for that, chosen by a key and kept."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from rich._palettes import EIGHT_BIT_PALETTE, STANDARD_PALETTE, WINDOWS_PALETTE
from rich.color import Color as RichColor
from rich.color import ColorSystem
from rich.style import Style
from textual.color import Color
from textual.geometry import Region

from sortbench import settings
from sortbench.bench import Bench
from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import hex_to_lab, srgb_to_lab
from sortbench.model.settings import THEMES
from sortbench.tui.app import SortbenchApp
from sortbench.tui.themes import OWN_THEMES, Inks
from sortbench.tui.widgets.palette import LOOKS, palette
from tests.contrast import TEXT, contrast
from tests.seen_by import DEUTAN, PROTAN, TRITAN, seen_by
from tests.tui.conftest import SHADES
from tests.tui.looking import press, text

COLOURS = ("all", "256")
ENHANCED = 7.0
"""WCAG 2.2, success criterion 1.4.6 (AAA), which high contrast keeps to."""
APART = 12.0
"""The least CIEDE2000 between two inks of the colour-safe theme, for any eyes: our own choice; 1 is just told apart."""

# What the 16 numbers look like where nobody set them otherwise. Rich has two sets (PC text mode, Windows 10); that of
# xterm (its XTerm-col.ad) is from memory.
XTERM = (
    *("#000000", "#cd0000", "#00cd00", "#cdcd00", "#0000ee", "#cd00cd", "#00cdcd", "#e5e5e5"),
    *("#7f7f7f", "#ff0000", "#00ff00", "#ffff00", "#5c5cff", "#ff00ff", "#00ffff", "#ffffff"),
)
SIXTEEN = {
    "PC text mode": tuple("#{:02x}{:02x}{:02x}".format(*STANDARD_PALETTE[n]) for n in range(16)),
    "Windows": tuple("#{:02x}{:02x}{:02x}".format(*WINDOWS_PALETTE[n]) for n in range(16)),
    "xterm": XTERM,
}


@pytest.fixture(autouse=True)
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """True colours, and settings of one's own."""
    for name in ("NO_COLOR", "TEXTUAL_THEME", "TEXTUAL_COLOR_SYSTEM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.setenv("SORTBENCH_SETTINGS", str(tmp_path / "settings.toml"))


def inks_of(inks: Inks) -> dict[str, str]:
    """Inks of text by name."""
    return {name: ink for name, ink in inks._asdict().items() if name not in ("ground", "raised")}


def sent(inks: Inks, colours: str) -> Inks:
    """Inks as a terminal gets them; of 256 colours Rich chooses, and those below 16 are anybody's."""
    if colours == "all":
        return inks
    return Inks(*(EIGHT_BIT_PALETTE[_number(ink)].hex for ink in inks))


def _number(ink: str) -> int:
    number = RichColor.parse(ink).downgrade(ColorSystem.EIGHT_BIT).number
    assert number is not None and number >= 16, ink
    return number


class TestInks:
    def test_settings_and_app_know_the_same_themes(self) -> None:
        assert tuple(OWN_THEMES) == THEMES

    @pytest.mark.parametrize("colours", COLOURS)
    @pytest.mark.parametrize("theme", OWN_THEMES)
    def test_every_ink_stands_out_from_every_ground(self, theme: str, colours: str) -> None:
        inks = sent(OWN_THEMES[theme].inks, colours)
        least = ENHANCED if theme == "high-contrast" else TEXT
        for name, ink in inks_of(inks).items():
            assert contrast(ink, inks.ground) >= least, name
            assert contrast(ink, inks.raised) >= least, name

    @pytest.mark.parametrize("theme", OWN_THEMES)
    def test_dark_says_what_it_is(self, theme: str) -> None:
        inks = OWN_THEMES[theme].inks
        assert OWN_THEMES[theme].dark == (contrast(inks.ground, "#ffffff") > contrast(inks.ground, "#000000"))

    @pytest.mark.parametrize("numbers", SIXTEEN)
    @pytest.mark.parametrize("theme", OWN_THEMES)
    def test_of_sixteen_colours_too(self, theme: str, numbers: str) -> None:
        few = OWN_THEMES[theme].few

        def shown(name: str) -> str:
            number = Color.parse(name).rich_color.number
            assert number is not None, name
            return SIXTEEN[numbers][number]

        for name, ink in inks_of(few).items():
            assert contrast(shown(ink), shown(few.ground)) >= TEXT, name

    @pytest.mark.parametrize("colours", COLOURS)
    @pytest.mark.parametrize("eyes", ["all cones", PROTAN, DEUTAN, TRITAN])
    def test_the_colour_safe_theme_keeps_its_inks_apart_for_any_eyes(self, eyes: str, colours: str) -> None:
        inks = set(inks_of(sent(OWN_THEMES["colour-safe"].inks, colours)).values())
        assert len(inks) == 7
        for one, other in itertools.combinations(inks, 2):
            labs = [hex_to_lab(ink) if eyes == "all cones" else srgb_to_lab(seen_by(eyes, ink)) for ink in (one, other)]
            assert ciede2000(*labs) >= APART, (one, other)

    def test_the_others_would_not_do_for_that(self) -> None:
        """The check above can fail: dark's inks do."""
        inks = set(inks_of(OWN_THEMES["dark"].inks).values())
        least = min(
            ciede2000(srgb_to_lab(seen_by(eyes, one)), srgb_to_lab(seen_by(eyes, other)))
            for one, other in itertools.combinations(inks, 2)
            for eyes in (PROTAN, DEUTAN, TRITAN)
        )
        assert least < APART


class TestInTheApp:
    @pytest.mark.parametrize("theme", OWN_THEMES)
    async def test_rows_are_drawn_in_its_inks(self, bench: Bench, theme: str) -> None:
        settings.keep("looks", "theme", theme)
        app = SortbenchApp(lambda: bench, settings.read_settings())
        async with app.run_test():
            assert app.theme == theme
            inks = OWN_THEMES[theme].inks
            styles = palette(app.screen)
            assert (hue(styles["text"]), ground(styles["text"])) == (inks.text, inks.ground)
            assert (hue(styles["over"]), styles["over"].reverse) == (inks.over, True)
            for name in LOOKS:
                assert contrast(hue(styles[name]), ground(styles[name])) >= TEXT, name

    @pytest.mark.parametrize("theme", OWN_THEMES)
    async def test_what_is_told_for_a_moment_can_be_read(self, bench: Bench, theme: str) -> None:
        settings.keep("looks", "theme", theme)
        app = SortbenchApp(lambda: bench, settings.read_settings())
        async with app.run_test(size=(80, 36), notifications=True) as pilot:
            for severity in ("information", "warning", "error"):
                app.notify(f"told as {severity}", title=f"titled {severity}", severity=severity)  # type: ignore[arg-type]
            await pilot.pause()
            await pilot.pause()
            assert "told as error" in text(app) and "titled warning" in text(app)
            for strip in app.screen._compositor.render_strips():
                for segment in strip:
                    if segment.style is not None and any(character.isalnum() for character in segment.text):
                        assert contrast(hue(segment.style), ground(segment.style)) >= TEXT, segment.text

    async def test_a_key_goes_on_to_the_next_and_keeps_it(self, bench: Bench) -> None:
        app = SortbenchApp(lambda: bench)
        async with app.run_test() as pilot:
            assert app.theme == THEMES[0]
            for theme in (*THEMES[1:], THEMES[0], THEMES[1]):
                await press(pilot, "ctrl+t")
                await pilot.pause()
                assert app.theme == theme
                assert settings.read_settings().settings.looks.theme == theme
                assert f"{theme}, {OWN_THEMES[theme].says}" in " ".join(each.message for each in app._notifications)
            await press(pilot, "f3")
            await press(pilot, "ctrl+t")
            await pilot.pause()
            swatches = {f"#{shade.rgb}" for shade in SHADES}
            assert {ground(style) for style in drawn_styles(app)} - swatches == {OWN_THEMES[THEMES[2]].inks.ground}
            await press(pilot, "f2")
            assert {ground(style) for style in drawn_styles(app)} - swatches == {OWN_THEMES[THEMES[2]].inks.ground}

    async def test_what_cannot_be_kept_holds_for_the_sitting(self, bench: Bench, tmp_path: Path) -> None:
        (tmp_path / "settings.toml").write_text("[looks\n")
        app = SortbenchApp(lambda: bench)
        async with app.run_test() as pilot:
            await press(pilot, "ctrl+t")
            await pilot.pause()
            assert app.theme == "light"
            assert "until you leave" in "".join(each.message for each in app._notifications)
        assert (tmp_path / "settings.toml").read_text() == "[looks\n"

    async def test_the_list_of_commands_has_it(self, bench: Bench) -> None:
        app = SortbenchApp(lambda: bench)
        async with app.run_test() as pilot:
            await press(pilot, "ctrl+p", *"theme", "enter")
            await pilot.pause()
            assert app.theme == "light"

    async def test_textual_s_own_themes_stay_at_hand(self, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
        app = SortbenchApp(lambda: bench)
        async with app.run_test() as pilot:
            app.theme = "nord"
            await press(pilot, "ctrl+t")
            await pilot.pause()
            assert app.theme == THEMES[0]


class TestFewColoursOrNone:
    @pytest.mark.parametrize("numbers", SIXTEEN)
    @pytest.mark.parametrize("theme", OWN_THEMES)
    async def test_of_sixteen_bold_is_legible_where_it_is_the_brighter_colour(
        self, bench: Bench, theme: str, numbers: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """As on the Linux console, and in xterm unless its resource boldColors is off (from memory)."""
        monkeypatch.setenv("COLORTERM", "")
        monkeypatch.setenv("TERM", "linux")
        settings.keep("looks", "theme", theme)
        app = SortbenchApp(lambda: bench, settings.read_settings())
        async with app.run_test():
            for name, style in palette(app.screen).items():
                assert style.color is not None and style.bgcolor is not None
                ink, ground = style.color.number, style.bgcolor.number
                assert ink is not None and ground is not None
                brighter = ink + 8 if style.bold and ink < 8 else ink
                for number in {ink, brighter}:
                    assert contrast(SIXTEEN[numbers][number], SIXTEEN[numbers][ground]) >= TEXT, name

    @pytest.mark.parametrize("theme", OWN_THEMES)
    async def test_sixteen_colours_are_the_terminal_s_own(
        self, bench: Bench, theme: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setenv("COLORTERM", "")
        monkeypatch.setenv("TERM", "linux")
        settings.keep("looks", "theme", theme)
        app = SortbenchApp(lambda: bench, settings.read_settings())
        async with app.run_test(notifications=True) as pilot:
            assert app.console.color_system == "standard"
            app.notify("said for a moment")
            await pilot.pause()
            await pilot.pause()
            assert "said for a moment" in text(app)
            for style in drawn_styles(app):
                for colour in (style.color, style.bgcolor):
                    assert colour is None or colour.is_default or (colour.number or 0) < 16, style

    async def test_no_color_sends_no_colour(self, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
        """https://no-color.org: no colour is to be sent where NO_COLOR is there and not empty."""
        monkeypatch.setenv("NO_COLOR", "1")
        app = SortbenchApp(lambda: bench)
        async with app.run_test(notifications=True) as pilot:
            app.notify("said for a moment")
            await pilot.pause()
            await press(pilot, "ctrl+t")
            await pilot.pause()
            assert app.theme == THEMES[0]
            styles = drawn_styles(app)
            assert any(style.bold for style in styles)
            for style in styles:
                assert style.color is None or style.color.is_default
                assert style.bgcolor is None or style.bgcolor.is_default

    async def test_an_empty_no_color_asks_for_nothing(self, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("NO_COLOR", "")
        app = SortbenchApp(lambda: bench)
        async with app.run_test():
            assert hue(palette(app.screen)["text"]) == OWN_THEMES[THEMES[0]].inks.text


def hue(style: Style) -> str:
    """A style's ink as ``#rrggbb``."""
    assert style.color is not None and style.color.triplet is not None
    return style.color.triplet.hex


def ground(style: Style) -> str:
    """Its ground."""
    assert style.bgcolor is not None and style.bgcolor.triplet is not None
    return style.bgcolor.triplet.hex


def drawn_styles(app: SortbenchApp) -> list[Style]:
    """Every style on the screen, as it goes to the terminal."""
    size = app.size
    strips = app.screen._compositor.render_strips()
    assert len(strips) == size.height == Region(0, 0, *size).height
    return [segment.style for strip in strips for segment in strip if segment.style is not None]
