"""Keys that the user's settings put in place of the registry's: they act, the old ones do not, the screen says so."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from pathlib import Path

import pytest

import sortbench.tui
from sortbench.bench import Bench
from sortbench.model.settings import Remap
from sortbench.store.settings_file import settings_from
from sortbench.tui.app import SortbenchApp, run_app
from sortbench.tui.keymap import Keymap
from sortbench.tui.keys import COMMANDS, PLACES, keymap
from sortbench.tui.remaps import keymap_of
from sortbench.tui.screens.bins import BinsScreen
from sortbench.tui.screens.help import HelpScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.looking import enter, line_with, press, text

Make = Callable[[str], SortbenchApp]


@pytest.fixture
def make(bench: Bench) -> Make:
    """The app with a settings file that says this."""
    return lambda says: SortbenchApp(lambda: bench, settings_from(says))


async def test_a_key_of_the_keypad_moves(make: Make, bench: Bench) -> None:
    app = make('[keys]\n"pad.undo" = "backspace"\n')
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "escape", ".", "u")
        assert bench.picture.ledger.pieces == 3
        await press(pilot, "backspace")
        assert bench.picture.ledger.pieces == 0
        assert "Backspace undo" in text(app)


async def test_two_keys_change_places(make: Make) -> None:
    app = make('[keys]\ntargets = "f4"\nbins = "f3"\n')
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3")
        assert isinstance(app.screen, BinsScreen)
        await press(pilot, "f4")
        assert isinstance(app.screen, TargetsScreen)


async def test_while_typing_what_prints_stays_text(make: Make, bench: Bench) -> None:
    app = make('[keys]\ndiscard = "w"\nslot.7 = "q"\n')
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "w", "q")
        assert "> wq" in text(app)


async def test_count_on_another_key_counts_from_the_line(make: Make, bench: Bench) -> None:
    app = make('[keys]\ncount = ["tab", "enter"]\n')
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *"wh pl 24 *2", "tab")
        assert bench.picture.ledger.pieces == 2


async def test_footer_help_and_list_of_commands_speak_the_keys_in_force(make: Make) -> None:
    app = make('[keys]\nleave = ["ctrl+x", "f10"]\ndiscard = "W"\n')
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        assert "Ctrl+X leave" in text(app)
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpScreen)
        assert line_with(app, "Leave. Everything").split()[:2] == ["Ctrl+X", "F10"]
        await press(pilot, "escape", "ctrl+p", *"discard")
        assert "W" in line_with(app, "▸").split()
        await press(pilot, "escape", "ctrl+c")
        assert "Ctrl+X leaves" in text(app)


async def test_a_line_is_begun_with_the_new_key_on_a_list(make: Make) -> None:
    app = make('[keys]\n"targets.filter" = "f"\n')
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "/")
        assert "filter:" not in text(app)
        await press(pilot, "f", *"arch")
        assert "filter: arch" in text(app)


async def test_hints_speak_the_keys_in_force(make: Make) -> None:
    app = make('[keys]\n"targets.new" = "N"\npad = "tab"\ntyping = "T"\n')
    async with app.run_test(size=(120, 36)) as pilot:
        assert "Tab for the keypad" in text(app)
        await press(pilot, "tab")
        assert "T goes back to typing" in text(app)
        await press(pilot, "T", "f3")
        assert "N makes a new target" in text(app)
        await press(pilot, "N")
        assert "new target:" in text(app)


def test_every_id_in_a_text_of_the_screens_is_a_commands() -> None:
    """Such texts go through ``Keymap.said``, which would fail at the person's."""
    known = {command.id for command in COMMANDS}
    found = 0
    for path in Path(sortbench.tui.__path__[0]).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                ids = re.findall(r"\{([a-z][a-z0-9.-]+)\}", node.value)
                assert set(ids) <= known, f"{path}:{node.lineno}"
                found += len(ids)
    assert found > 50


async def test_what_will_not_do_is_told_and_the_default_stands(make: Make, bench: Bench) -> None:
    app = make('[keys]\ndiscard = "w"\nwash = "w"\nnosuch = "q"\n')
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        await pilot.pause()
        assert "Line 3" in text(app) and "sortbench settings --check" in text(app)
        await enter(pilot, "wh pl 24 *3")
        assert bench.picture.ledger.pieces == 3


async def test_a_file_that_is_no_toml_keeps_nobody_from_counting(make: Make, bench: Bench) -> None:
    app = make("[keys\n\x1b[2J")
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await enter(pilot, "wh pl 24 *3")
        assert bench.picture.ledger.pieces == 3
        assert "Line 1" in text(app)


def test_every_key_means_what_the_registry_says_or_what_took_its_place() -> None:
    """All commands at hand on the keypad trade keys in a ring; each key is then read as its new command's own."""
    ring = [c for c in COMMANDS if c.where == "pad" and c.keys and not c.id.startswith("slot.")]
    wanted = {c.id: Remap(ring[i - 1].keys, i + 1) for i, c in enumerate(ring)}
    keys, problems = keymap_of(wanted)
    assert problems == ()
    own = keymap(COMMANDS, "pad")
    for i, command in enumerate(ring):
        for key in ring[i - 1].keys:
            assert own[keys.meant("pad", key)].id == command.id
    for key, command in own.items():
        if command not in ring:
            assert keys.meant("pad", key) == key


@pytest.mark.parametrize("place", PLACES)
def test_without_remaps_every_key_is_itself(place: str) -> None:
    for keys in (Keymap(), Keymap({})):
        assert all(keys.meant(place, key) == key for key in keymap(COMMANDS, place))  # type: ignore[arg-type]


def test_a_clash_that_a_refused_remap_brings_about_is_found_too() -> None:
    """``wash`` falls back to its own key, which by then is another's."""
    keys, problems = keymap_of({"discard": Remap(("*",), 1), "wash": Remap(("ctrl+i",), 2)})
    assert {problem.line for problem in problems} == {1, 2}
    assert (keys.label("discard"), keys.label("wash")) == ("x", "*")


def test_the_app_reads_the_users_file(bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "mine.toml"
    path.write_text('[keys]\ndiscard = "w"\n')
    monkeypatch.setenv("SORTBENCH_SETTINGS", str(path))
    labels = []
    monkeypatch.setattr(SortbenchApp, "run", lambda app: labels.append(app.keymap.label("discard")))
    run_app(lambda: bench)
    assert labels == ["w"]
