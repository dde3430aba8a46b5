"""The entry line: editing, messages in order, nothing dropped, a cursor that is seen without colours."""

from __future__ import annotations

import asyncio

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual import events
from textual.app import App
from textual.geometry import Region
from textual.message import Message
from textual.screen import Screen

from sortbench.tui.messages import Changed, Entered, Left, Moved, Pasted, Repaint, Resumed, Struck
from sortbench.tui.widgets.edited import EDITS, Edited
from sortbench.tui.widgets.entry_line import MAX_TEXT, EntryLine

# -- editing, pure


@given(st.text(max_size=20), st.lists(st.sampled_from(sorted(EDITS)) | st.text(min_size=1, max_size=2), max_size=30))
def test_the_cursor_stays_within_the_text(text: str, steps: list[str]) -> None:
    edited = Edited().insert(text)
    for step in steps:
        edited = EDITS[step](edited) if step in EDITS else edited.insert(step)
        assert 0 <= edited.cursor <= len(edited.text)


@given(st.text("abc ", max_size=20), st.integers(0, 20), st.text("xyz", max_size=5))
def test_what_is_inserted_can_be_taken_back(text: str, cursor: int, new: str) -> None:
    edited = after = Edited(text, min(cursor, len(text)))
    after = after.insert(new)
    for _ in new:
        after = after.backspace()
    assert after == edited


def test_marks_and_joined_characters_go_as_one() -> None:
    assert Edited().insert("ae\u0301").backspace() == Edited("a", 1)
    assert Edited().insert("a👩\u200d👩\u200d👧").backspace() == Edited("a", 1)
    assert Edited("e\u0301x", 0).right().cursor == 2
    assert Edited("e\u0301x", 0).delete().text == "x"


def test_words_and_ends_are_cut() -> None:
    line = Edited().insert("plate 2x4  ")
    assert line.cut_word() == Edited("plate ", 6)
    assert line.cut_word().cut_word() == Edited("", 0)
    assert Edited("plate 2x4", 5).cut_before() == Edited(" 2x4", 0)
    assert Edited("plate 2x4", 5).cut_after() == Edited("plate", 5)


# -- the widget


class EntryScreen(Screen[None]):
    def __init__(self) -> None:
        super().__init__()
        self.heard: list[Message] = []
        self.slow = 0.0

    def compose(self):  # type: ignore[no-untyped-def]
        yield EntryLine("> ", "what is it?")

    async def keep(self, message: Message) -> None:
        self.heard.append(message)
        await asyncio.sleep(self.slow)

    on_entered = on_changed = on_moved = on_left = on_resumed = on_struck = on_pasted = keep


class EntryApp(App[None]):
    CSS = "EntryLine { height: 1; width: 20; }"

    def get_default_screen(self) -> EntryScreen:
        return EntryScreen()


def heard(app: App[None], kind: type[Message]) -> list[Message]:
    assert isinstance(app.screen, EntryScreen)
    return [message for message in app.screen.heard if isinstance(message, kind)]


def line_of(app: App[None]) -> str:
    entry = app.query_one(EntryLine)
    return entry.render_lines(Region(0, 0, *entry.size))[0].text


def cursor_of(app: App[None]) -> list[str]:
    entry = app.query_one(EntryLine)
    strip = entry.render_lines(Region(0, 0, *entry.size))[0]
    return [segment.text for segment in strip if segment.style is not None and segment.style.reverse]


def burst(app: App[None], text: str) -> None:
    for character in text:
        key = {"\r": "enter", "\x1b": "escape"}.get(character, character)
        app.post_message(events.Key(key, character))


async def test_typing_editing_and_entering() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        entry = app.query_one(EntryLine)
        assert line_of(app).rstrip() == ">  what is it?"
        await pilot.press("p", "l", "x", "backspace", "home", "a", "end", "z")
        assert (entry.text, entry.cursor) == ("aplz", 4)
        await pilot.press("left", "delete", "ctrl+a", "delete", "ctrl+e", "!")
        assert entry.text == "pl!"
        await pilot.press("enter")
        assert [message.text for message in heard(app, Entered)] == ["pl!"]  # type: ignore[attr-defined]
        assert entry.text == ""


async def test_every_enter_is_one_message_in_order() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        assert isinstance(app.screen, EntryScreen)
        app.screen.slow = 0.002
        wanted = [f"{n}" for n in range(60)] + [""] * 5
        burst(app, "".join(f"{text}\r" for text in wanted))
        for _ in range(400):
            await pilot.pause(0.01)
            if len(heard(app, Entered)) >= len(wanted):
                break
        assert [message.text for message in heard(app, Entered)] == wanted  # type: ignore[attr-defined]


async def test_changes_coalesce_but_the_latest_arrives() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        burst(app, "plate 2x4")
        await pilot.pause()
        assert heard(app, Changed)[-1] == Changed("plate 2x4")
    assert Changed("a").can_replace(Changed("ab")) and Repaint().can_replace(Repaint())
    for message in (Entered("a"), Struck("7"), Moved(1), Left(), Resumed(), Pasted(("a", "b"))):
        assert not message.can_replace(message)
    assert not Changed("a").can_replace(Entered("a"))


async def test_keys_behind_escape_are_struck_and_none_is_typed() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        entry = app.query_one(EntryLine)
        burst(app, "ab\x1b778\r/c")
        await pilot.pause()
        assert [message.key for message in heard(app, Struck)] == ["7", "7", "8", "enter"]  # type: ignore[attr-defined]
        assert (entry.text, entry.keypad) == ("abc", False)
        assert len(heard(app, Left)) == len(heard(app, Resumed)) == 1


async def test_escape_glued_to_a_key_is_both() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        app.post_message(events.Key("alt+7", "7"))
        await pilot.pause()
        assert len(heard(app, Left)) == 1
        assert heard(app, Struck) == [Struck("7")]


async def test_arrows_move_the_highlight_and_function_keys_are_left_alone() -> None:
    reached: list[str] = []

    class Bound(EntryApp):
        BINDINGS = [("f2", "reach", "reach")]  # noqa: RUF012

        def action_reach(self) -> None:
            reached.append("f2")

    app = Bound()
    async with app.run_test() as pilot:
        await pilot.press("down", "down", "up", "f2")
        assert [message.by for message in heard(app, Moved)] == [1, 1, -1]  # type: ignore[attr-defined]
        assert reached == ["f2"]


async def test_a_paste_of_many_lines_is_handed_on_and_one_line_is_typed() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        entry = app.query_one(EntryLine)
        app.post_message(events.Paste("tile 1x2\x1b[2J"))
        await pilot.pause()
        assert entry.text == "tile 1x2\N{REPLACEMENT CHARACTER}[2J"
        app.post_message(events.Paste("a *2\r\n\n b\n"))
        await pilot.pause()
        assert heard(app, Pasted) == [Pasted(("a *2", " b"))]
        assert entry.text == "tile 1x2\N{REPLACEMENT CHARACTER}[2J"


async def test_a_refused_text_comes_back_unless_something_else_is_typed() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        entry = app.query_one(EntryLine)
        assert entry.give_back("plaet")
        assert (entry.text, entry.cursor) == ("plaet", 5)
        await pilot.press("x")
        assert not entry.give_back("other")
        assert entry.text == "plaetx"


@pytest.mark.parametrize("colours", [True, False])
async def test_the_cursor_is_seen(colours: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not colours:
        monkeypatch.setenv("NO_COLOR", "1")
    app = EntryApp()
    async with app.run_test() as pilot:
        assert cursor_of(app) == [" "]
        await pilot.press("a", "b", "left")
        assert cursor_of(app) == ["b"]
        await pilot.press("escape")
        assert cursor_of(app) == []


async def test_a_long_text_scrolls_with_the_cursor() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        entry = app.query_one(EntryLine)
        entry.give_back("abcdefghijklmnopqrstuvwxyz")
        await pilot.pause()
        assert line_of(app) == "> jklmnopqrstuvwxyz "
        await pilot.press("home")
        assert line_of(app) == "> abcdefghijklmnopqr"
        assert cursor_of(app) == ["a"]
        entry.give_back("")
        await pilot.press("end", "ctrl+u", *"漢字" * 9)
        assert len(cursor_of(app)) == 1


async def test_a_text_has_an_end() -> None:
    app = EntryApp()
    async with app.run_test() as pilot:
        app.post_message(events.Paste("x" * (MAX_TEXT * 2)))
        await pilot.press("y")
        assert len(app.query_one(EntryLine).text) == MAX_TEXT
