"""Keys struck faster than screens change: each means what it means where those before it lead to."""

from __future__ import annotations

import pytest
from textual import events
from textual.pilot import Pilot
from textual.screen import Screen

from sortbench.bench import Bench
from sortbench.tui.app import SortbenchApp
from sortbench.tui.keymap import Keymap
from sortbench.tui.keys import COMMANDS, Place, keymap
from sortbench.tui.messages import KeyDone
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.bins import BinsScreen
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.screens.listing import ListScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.looking import CHARACTERS, at_rest, lines, press
from tests.tui.reconciling import reconciled

WAYS: dict[Place, tuple[str, ...]] = {
    "targets": ("f3",),
    "bins": ("f4",),
    "log": ("f5",),
    "reconcile": ("f6",),
    "wash": ("f7",),
    "judge": ("f8",),
    "photo": ("f8", "o"),
    "pick": ("f3", "p"),
    "statement": ("f3", "t"),
    "weigh": ("f4", "w"),
    "spot": ("f4", "c"),
    "recount": ("f4", "r"),
    "orders": ("f3", "o"),
    "records": ("f5", "r"),
    "help": ("f1",),
    "commands": ("ctrl+p",),
}
"""How the screens are reached from the bench."""


async def burst(pilot: Pilot[None], *names: str) -> None:
    """Strike keys all at once, whatever they lead to, and wait for what came of them."""
    send(pilot, *names)
    await pilot.pause()
    await at_rest(pilot)
    await pilot.pause()


async def on_the_keypad(pilot: Pilot[None], bench: Bench) -> str:
    """Count a plate and leave typing; the key that counts another one."""
    await press(pilot, *"plate 2x4 white", "enter", "escape")
    return next(slot.key for slot in bench.pad.view().slots if slot.name == "plate 2x4")


def send(pilot: Pilot[None], *names: str) -> None:
    """Hand keys on without a pause between them."""
    driver = pilot.app._driver
    assert driver is not None
    for name in names:
        event = events.Key(name, CHARACTERS.get(name, name if len(name) == 1 else None))
        event.set_sender(pilot.app)
        driver.send_message(event)


@pytest.mark.parametrize("place", WAYS)
async def test_keys_that_stay_leave_screen_and_line_as_they_are(app: SortbenchApp, bench: Bench, place: Place) -> None:
    reconciled(bench)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, *WAYS[place])
        screen = app.screen
        assert isinstance(screen, KeyedScreen)
        assert screen.place == place
        staying = [key for key in keymap(COMMANDS, place) if screen.stays(key)]
        assert len(staying) >= 4, "at least the keys that move"
        named = {keymap(COMMANDS, place)[key].id.partition(".")[2] for key in staying}
        assert screen.staying <= named, "each of the named commands has a key"
        for key in staying:
            assert screen.stays(key)
            await press(pilot, key)
            assert app.screen is screen, key
            if isinstance(screen, ListScreen):
                assert screen.line.keypad, key


@pytest.mark.parametrize("opening", ["", "escape"], ids=["typing", "pad"])
async def test_keys_that_stay_on_the_bench_stay(app: SortbenchApp, bench: Bench, opening: str) -> None:
    bench.enter("plate 2x4 white")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *filter(None, (opening,)))
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        keys = sorted({*keymap(COMMANDS, "pad"), *keymap(COMMANDS, "typing"), *"abxyz!§ü 09*", "ctrl+w", "left"})
        staying = [key for key in keys if screen.stays(key)]
        assert {*"0123456789u-+*", "enter", "up", "delete"} <= {*staying}
        assert not {"escape", "?", ":", "f1", "f2", "f3", "f10"} & {*staying}
        for key in staying:
            await press(pilot, key)
            assert app.screen is screen, key


async def test_a_digit_behind_any_way_back_is_struck_on_the_keypad(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        plate = await on_the_keypad(pilot, bench)
        await press(pilot, plate)
        counted = bench.picture.ledger.pieces
        assert counted == 2
        for place, way in WAYS.items():
            back = "escape" if place in ("help", "commands") else "f2"
            await burst(pilot, *way, back, plate, plate, "u")
            counted += 1
            assert bench.picture.ledger.pieces == counted, place
            assert isinstance(app.screen, BenchScreen)


async def test_letters_behind_a_key_are_for_the_screen_it_leads_to(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("plate 2x4 white *5")
    async with app.run_test(size=(120, 36)) as pilot:
        await burst(pilot, "f3", "right", "/", *"plate", "enter")
        assert isinstance(app.screen, TargetsScreen)
        assert app.screen.words == "plate"
        await burst(pilot, "f4", "down", "w", "/", *"plate 2x4 white", "enter", "escape", "down")
        assert isinstance(app.screen, BinsScreen)
        assert app.screen.cursor == 2
        assert bench.picture.ledger.pieces == 5


def click(pilot: Pilot[None], column: int, line: int) -> None:
    """Hand a click on without a pause."""
    driver = pilot.app._driver
    assert driver is not None
    for kind in (events.MouseDown, events.MouseUp):
        event = kind(None, column, line, 0, 0, 1, False, False, False, column, line)
        event.set_sender(pilot.app)
        driver.send_message(event)


async def test_a_click_behind_a_key_is_for_the_screen_it_leads_to(app: SortbenchApp, bench: Bench) -> None:
    bench.enter("plate 2x4 white *5")
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f4")
        rows = [number for number, line in enumerate(lines(app)) if "B2" in line]
        await press(pilot, "f2")
        for _ in range(3):
            send(pilot, "f4")
            click(pilot, 4, rows[0])
            await pilot.pause()
            await at_rest(pilot)
            await pilot.pause()
            assert isinstance(app.screen, BinsScreen)
            assert app.screen.cursor == 1
            await press(pilot, "up")
            send(pilot, "f2")
            click(pilot, 4, rows[0])
            send(pilot, "f4")
            await pilot.pause()
            await at_rest(pilot)
            await pilot.pause()
            assert isinstance(app.screen, BinsScreen) and app.screen.cursor == 0
            await press(pilot, "f2")


async def test_keys_behind_a_command_found_by_words(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await burst(pilot, *"plate 2x4 white", "enter", ":", *"bins screen", "escape", *"plate 2x4 white", "enter")
        assert bench.picture.ledger.pieces == 2
        await burst(pilot, "escape", ":", *"undo", "enter", "f5", "f2", "enter")
        assert bench.picture.ledger.pieces == 2


async def test_a_remapped_key_that_leads_away_holds_the_next_ones(app: SortbenchApp, bench: Bench) -> None:
    app.keymap = Keymap({"log": ("t",), "bench": ("b",), "bins.bins": ("j",), "grade.down": ("f5",)})
    async with app.run_test(size=(80, 24)) as pilot:
        plate = await on_the_keypad(pilot, bench)
        await burst(pilot, *("t", "b", plate) * 3)
        assert bench.picture.ledger.pieces == 4
        assert isinstance(app.screen, BenchScreen)
        assert not app.screen.stays("t")
        assert app.screen.stays("1")
        await burst(pilot, "f4", "j")
        assert isinstance(app.screen, BinsScreen)
        assert app.screen.stays("j")
        assert not app.screen.stays("t")


async def test_a_burst_is_drawn_in_few_frames(app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []
    for screen in (BenchScreen, BinsScreen):
        handle = screen.on_repaint
        name = screen.__name__
        monkeypatch.setattr(screen, "on_repaint", lambda s, m, h=handle, n=name: (drawn.append(n), h(s, m)))
    async with app.run_test(size=(80, 24)) as pilot:
        plate = await on_the_keypad(pilot, bench)
        drawn.clear()
        await burst(pilot, "f4", "f2", *plate * 200)
        assert bench.picture.ledger.pieces == 201
        assert drawn.count("BenchScreen") < 40
        await press(pilot, "f4")
        drawn.clear()
        await burst(pilot, *["down", "up", "right", "left"] * 50)
        assert drawn.count("BinsScreen") < 40


async def test_a_screen_that_hears_nothing_does_not_hold_keys_for_ever(app: SortbenchApp, bench: Bench) -> None:
    class Deaf(Screen[None]):
        """A screen of another kind, that lets no message through."""

        keys: tuple[str, ...] = ()

        def on_key(self, event: events.Key) -> None:
            self.keys += (event.key,)

        def on_key_done(self, message: KeyDone) -> None:
            message.stop()

        @property
        def is_attached(self) -> bool:
            return False

    async with app.run_test(size=(80, 24)) as pilot:
        deaf = Deaf()
        await app.push_screen(deaf)
        send(pilot, "a", "b")
        await pilot.pause()
        assert deaf.keys == ("a",), "the second one waits for the first"
        for _ in range(20):
            app._follow()
            await pilot.pause()
        assert deaf.keys == ("a", "b")


async def test_delete_and_up_on_the_entry_line_in_their_order(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *"plate 2x4 white", "enter", *"brick 2x4 grey", "enter")
        await burst(pilot, "up", "delete", "up")
        assert [row.holds for row in bench.recent(5)] == [False, True], "the newer one was picked"
