"""Panels of rows and the helpers that lay them out: what stands on the screen, and what is painted again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.color import Color
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.strip import Strip

from sortbench.tui.messages import RowClicked
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.palette import LOOKS, palette
from sortbench.tui.widgets.rows import (
    ELLIPSIS,
    Column,
    Row,
    bar,
    bar_cells,
    beside,
    clip,
    columns,
    fill_bar,
    fit,
    load_bar,
    pad,
    rim,
    row_width,
    widths,
)

TEXTS = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=30) | st.sampled_from(
    ["漢字の部品", "e\u0301tage", "[red]x", "[/", "[0]", "a" * 50, "", "👩\u200d👩\u200d👧 figure"]
)


def text_of(row: Row) -> str:
    return "".join(text for text, _ in row)


def plain(*texts: str) -> list[Row]:
    return [((text, "text"),) for text in texts]


# -- pure helpers


@given(TEXTS, st.integers(0, 40))
def test_fit_never_exceeds_its_width_and_leaves_what_fits(text: str, width: int) -> None:
    fitted = fit(text, width)
    assert cell_len(fitted) <= width
    if cell_len(text) <= width:
        assert fitted == text
    elif width:
        assert fitted.endswith(ELLIPSIS)


@given(TEXTS, st.integers(0, 40), st.sampled_from(["left", "right", "centre"]))
def test_pad_fills_its_width_exactly(text: str, width: int, align: str) -> None:
    assert cell_len(pad(text, width, align)) == width or cell_len(fit(text, width)) < width <= 1  # type: ignore[arg-type]


def test_a_joiner_at_the_end_swallows_no_blank() -> None:
    assert [cell_len(pad("a\u200d", 4, align)) for align in ("left", "right", "centre")] == [4, 4, 4]


def test_a_wide_character_cut_in_half_leaves_no_gap() -> None:
    assert fit("漢字", 3) == "漢" + ELLIPSIS
    assert fit("漢字", 2) == ELLIPSIS
    assert pad("漢字", 2) == ELLIPSIS + " "


@given(st.lists(st.tuples(TEXTS, st.just("text")), max_size=5), st.integers(0, 40))
def test_clip_keeps_a_row_within_its_width(spans: list[tuple[str, str]], width: int) -> None:
    assert row_width(clip(tuple(spans), width)) <= width


@given(st.integers(-5, 2000), st.integers(1, 1000), st.integers(0, 60))
def test_a_bar_is_full_only_when_complete_and_blank_only_at_nothing(value: int, total: int, width: int) -> None:
    cells = bar_cells(value, total, width)
    assert 0 <= cells <= width
    assert (cells == width) == (value >= total) or width == 0
    if width >= 2:
        assert (cells == 0) == (value <= 0)


@given(st.integers(0, 500), st.integers(0, 500), st.integers(1, 500), st.integers(3, 40))
def test_a_fill_bar_shows_every_part_that_is_there(standard: int, more: int, total: int, width: int) -> None:
    text = text_of(fill_bar(standard, standard + more, total, width))
    assert cell_len(text) == width
    assert ("█" in text) == (standard > 0)
    assert ("·" in text) == (standard + more < total)
    if standard < total:
        assert ("▒" in text) == (more > 0)


@given(st.integers(0, 200), st.integers(0, 200), st.integers(0, 200), st.integers(1, 200), st.integers(4, 40))
def test_what_is_possible_is_drawn_behind_what_is_there(
    standard: int, more: int, hoped: int, rest: int, width: int
) -> None:
    total = standard + more + hoped + rest
    text = text_of(fill_bar(standard, standard + more, total, width, standard + more + hoped))
    assert cell_len(text) == width
    assert ("·" in text) and (("░" in text) == (hoped > 0) or text.count("·") == 1)
    assert text == "".join(sorted(text, key="█▒░·".index)), "never out of order"
    without = text_of(fill_bar(standard, standard + more, total, width))
    assert text.replace("░", "·") == without, "what is there looks the same"


@given(st.integers(0, 1000), st.integers(1, 500), st.integers(2, 40))
def test_overflow_is_told_by_glyph(count: int, capacity: int, width: int) -> None:
    text = text_of(load_bar(count, capacity, width))
    assert cell_len(text) == width
    assert ("▲" in text) == (count > capacity)


def test_bars_tell_their_parts() -> None:
    assert text_of(bar(5, 10, 10)) == "█████·····"
    assert text_of(fill_bar(3, 6, 10, 10)) == "███▒▒▒····"
    assert text_of(fill_bar(3, 6, 10, 10, 8)) == "███▒▒▒░░··"
    assert text_of(load_bar(15, 10, 12)) == "████████▲▲▲▲"


@given(
    st.lists(st.tuples(st.integers(1, 12), st.integers(0, 20) | st.none(), st.integers(0, 3)), min_size=1, max_size=6),
    st.integers(0, 100),
)
def test_columns_fit_their_width(given_columns: list[tuple[int, int | None, int]], width: int) -> None:
    layout = tuple(
        Column(least, None if more is None else least + more, drop=drop) for least, more, drop in given_columns
    )
    found = widths(layout, width)
    shown = [w for w in found if w]
    assert sum(shown) + max(len(shown) - 1, 0) <= max(width, 0)
    assert all(c.limit is None or w <= c.limit for c, w in zip(layout, found, strict=True))
    if any(c.limit is None and w for c, w in zip(layout, found, strict=True)):
        row = columns(layout, ["x" * 30] * len(layout), width)
        assert row_width(row) == width


def test_columns_drop_the_dispensable_first() -> None:
    layout = (Column(8, None), Column(10, drop=2), Column(5, drop=1))
    assert widths(layout, 40) == (23, 10, 5)
    assert widths(layout, 20) == (14, 0, 5)
    assert widths(layout, 10) == (10, 0, 0)
    assert text_of(columns(layout, ["Glasshouse", ("B7", "key"), bar(1, 2, 5)], 20)) == "Glasshouse     ██···"


@given(TEXTS, TEXTS, st.integers(0, 60))
def test_a_rim_has_the_width_of_its_panel(title: str, note: str, width: int) -> None:
    assert row_width(rim(((title, "title"),), note, width)) <= width
    if width >= 6:
        assert row_width(rim((("Bins", "title"),), "1-9 of 20", width)) == width


def test_panels_stand_beside_one_another() -> None:
    rows: list[Row] = [(("B7", "key"), (" full", "over")), (), (("Glasshouse", "text"),)]
    assert text_of(beside(rows, [9, 3, 6])) == "B7 full       Glass…"
    assert text_of(beside(rows, [4, 2, 10], gap=0)) == "B7…   Glasshouse"


# -- the panel


class PanelApp(App[None]):
    CSS = "Lines { height: 6; width: 30; }"

    def __init__(self) -> None:
        super().__init__()
        self.clicked: list[tuple[int, int]] = []

    def compose(self) -> ComposeResult:
        yield Lines((("Bins", "title"),))

    def on_row_clicked(self, message: RowClicked) -> None:
        self.clicked.append((message.index, message.x))


def standing(panel: Lines) -> list[str]:
    return [strip.text for strip in panel.render_lines(Region(0, 0, *panel.size))]


async def test_rows_stand_cropped_and_padded_by_cell_width() -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        panel.show(plain("漢字" * 10, "e\u0301" * 40, "short", "👩\u200d👩\u200d👧" * 20))
        await pilot.pause()
        strips = panel.render_lines(Region(0, 0, 30, 6))
        assert [strip.cell_length for strip in strips] == [30] * 6
        assert [cell_len(strip.text) for strip in strips] == [30] * 6
        assert strips[3].text.rstrip() == "short"


@pytest.mark.parametrize("name", ["[/", "[red]x", "[0]", "[/red] [b]", "=1+1", "\\[x"])
async def test_names_are_never_markup(name: str) -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        panel.show(plain(name))
        await pilot.pause()
        assert standing(panel)[1].rstrip() == name


@pytest.mark.parametrize("name", ["\x1b[2Jgone", "a\x00b", "up\u202edown", "two\nlines", "bell\x07", "\x9b31m"])
async def test_control_characters_never_reach_the_terminal(name: str) -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        panel.show(plain(name))
        await pilot.pause()
        line = standing(panel)[1]
        assert "\N{REPLACEMENT CHARACTER}" in line
        assert not set(line) & set("\x1b\x00\n\x07\x9b\u202e")


async def test_only_changed_rows_are_painted(monkeypatch: pytest.MonkeyPatch) -> None:
    painted: list[int] = []
    original = Lines.render_line

    def watched(self: Lines, y: int) -> Strip:
        painted.append(y)
        return original(self, y)

    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        panel.show(plain("one", "two", "three"))
        await pilot.pause()
        monkeypatch.setattr(Lines, "render_line", watched)
        panel.show(plain("one", "2", "three"))
        await pilot.pause()
        assert painted == [2]
        panel.show(plain("one", "2", "three"))
        await pilot.pause()
        assert painted == [2]


async def test_the_panel_follows_the_selected_row_and_tells_where_it_is() -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        rows = plain(*(f"row {n}" for n in range(40)))
        panel.show(rows, selected=20)
        await pilot.pause()
        assert panel.top == 16
        assert standing(panel)[-1].rstrip() == "row 20"
        assert "17-21 of 40" in standing(panel)[0]
        panel.show(rows, selected=3)
        await pilot.pause()
        assert standing(panel)[1].rstrip() == "row 3"
        panel.scroll_rows(1000)
        assert standing(panel)[-1].rstrip() == "row 39"
        panel.show(plain("only"))
        assert (panel.top, standing(panel)[1].rstrip()) == (0, "only")


async def test_a_click_tells_the_row() -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        app.query_one(Lines).show(plain("one", "two"))
        await pilot.pause()
        await pilot.click(Lines, offset=(3, 2))
        await pilot.click(Lines, offset=(3, 0))
        await pilot.click(Lines, offset=(3, 4))
        await pilot.pause()
        assert app.clicked == [(1, 3)]


async def test_the_panel_lays_out_anew_when_resized() -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        panel.show(plain(*(f"row {n}" for n in range(9))), selected=8)
        await pilot.pause()
        panel.styles.height = 3
        panel.styles.width = 12
        await pilot.pause()
        assert [cell_len(line) for line in standing(panel)] == [12, 12, 12]
        assert standing(panel)[-1].rstrip() == "row 8"


async def test_lines_asked_for_from_an_area_that_has_shrunk_meanwhile_are_blank() -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        panel.show(plain("one"))
        await pilot.pause()
        strips = panel.render_lines(Region(0, 4, 30, 5))
        assert [strip.text for strip in strips] == [" " * 30] * 5


async def test_a_change_of_theme_reaches_rows_that_stand() -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 10)) as pilot:
        panel = app.query_one(Lines)
        panel.show(plain("one"))
        await pilot.pause()
        before = panel.render_lines(Region(0, 1, 30, 1))[0]._segments[0].style
        app.theme = "textual-light"
        await pilot.pause()
        after = panel.render_lines(Region(0, 1, 30, 1))[0]._segments[0].style
        assert before is not None and after is not None
        assert before.bgcolor != after.bgcolor


@pytest.mark.parametrize("theme", ["textual-dark", "textual-light", "ansi-dark", "ansi-light"])
async def test_every_style_exists_in_every_theme(theme: str) -> None:
    app = PanelApp()
    async with app.run_test(size=(40, 40)) as pilot:
        app.theme = theme
        panel = app.query_one(Lines)
        panel.styles.height = 30
        panel.show([((name, name),) for name in [*LOOKS, "no such style"]])
        await pilot.pause()
        for line, name in zip(standing(panel)[1:], LOOKS, strict=False):
            assert line.rstrip() == name


async def test_without_colours_no_style_is_coloured(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = PanelApp()
    async with app.run_test(size=(40, 40)) as pilot:
        panel = app.query_one(Lines)
        panel.styles.height = 30
        panel.show([((name, name),) for name in LOOKS])
        await pilot.pause()
        styles = [segment.style for strip in panel.render_lines(Region(0, 1, 30, 29)) for segment in strip]
        for style in styles:
            assert style is not None
            for colour in (style.color, style.bgcolor):
                assert colour is not None
                assert colour.triplet is None or len(set(colour.triplet)) == 1
        assert any(style is not None and style.reverse for style in styles)


@pytest.mark.parametrize("theme", ["textual-dark", "textual-light", "gruvbox", "solarized-light", "nord"])
async def test_words_stand_out_from_the_ground_in_any_theme(theme: str) -> None:
    """W3C, Web Content Accessibility Guidelines 2.1, success criterion 1.4.3: a contrast ratio of 4.5 to 1.

    The ratio is worked out here from its definition there, over sRGB as Rich reports the triplets.
    """

    def luminance(colour: Color | None) -> float:
        assert colour is not None
        parts = [part / 255 for part in colour.get_truecolor()]
        red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    app = App[None]()
    async with app.run_test() as pilot:
        app.theme = theme
        await pilot.pause()
        for name, style in palette(app.screen).items():
            darker, lighter = sorted((luminance(style.color), luminance(style.bgcolor)))
            assert (lighter + 0.05) / (darker + 0.05) >= 4.5, (theme, name)
