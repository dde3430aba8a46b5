"""Keys typed ahead of the screens: each belongs to the screen that those before it lead to, however fast they come."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from person import PATIENCE, at_terminal, entry, leave, open_bench, records, rows, shell, slot, total, wait_total
from terminal import KEYS, Terminal

from sortbench.tui.keys import COMMANDS

SCREENS = [
    key
    for command in COMMANDS
    if command.where == "everywhere" and command.id not in ("bench", "leave")
    for key in command.keys
    if key in KEYS or len(key) == 1
]
"""The keys that lead from the bench to another screen."""


@pytest.fixture(scope="module")
def washing(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small bench on which a batch soaks."""
    from small_bench import make_folder

    folder = make_folder(tmp_path_factory.mktemp("ahead") / "mill-lane")
    begun = shell("--bench", folder, "wash", "new", "reds", "--at", "-25")
    assert begun.returncode == 0, begun.stderr
    return folder


@pytest.fixture
def striking(bench_folder: Path) -> Iterator[tuple[Terminal, str]]:
    """Somebody at the keypad of a small bench, and the key that counts a plate."""
    with open_bench(bench_folder) as person:
        yield person, on_the_shades(person)
        assert leave(person) == 0


def on_the_shades(person: Terminal) -> str:
    """Lay the keypad out for red pieces; the key that counts a plate."""
    person.press("escape")
    person.wait_for("? help", PATIENCE)
    person.press("0")
    person.wait_for("tray shades", PATIENCE)
    person.press(slot(person, "red"), "0")
    person.wait_for("tray red", PATIENCE)
    return slot(person, "plate 2x4")


def test_a_digit_right_behind_the_way_back_counts_and_notes_nothing(washing: Path) -> None:
    """On the wash screen a digit notes a stage of the batch: there a key taken too early would be a lie on disk."""
    with open_bench(washing) as person:
        plate = on_the_shades(person)
        for turn in range(1, 6):
            person.press("f7")
            person.wait_for("▣─□─□─□─□─□", PATIENCE)
            person.press("f2", plate)
            wait_total(person, turn)
        for turn in range(6, 11):
            person.press("f7", "f2", plate)
            wait_total(person, turn)
        assert leave(person) == 0
    assert [row["what"] for row in rows(washing, "wash", "show", "W1")] == ["soak"]


@pytest.mark.parametrize("key", SCREENS)
def test_to_a_screen_and_back_and_counting_at_once(striking: tuple[Terminal, str], key: str) -> None:
    person, plate = striking
    for back in ("f2", "escape"):
        person.press(*((key, back, plate) * 5))
        wait_total(person, 5 if back == "f2" else 10)


def test_through_all_screens_in_one_write(striking: tuple[Terminal, str], bench_folder: Path) -> None:
    person, plate = striking
    person.press(*[key for screen in SCREENS for key in (screen, "down", "f2", plate, plate, "u")])
    wait_total(person, len(SCREENS))
    person.press("f3", "f4", "f5", "f6", "f7", "f2", *plate * 200)
    wait_total(person, len(SCREENS) + 200)
    assert {record["what"] for record in records(bench_folder)} == {"open", "tally", "void"}


def test_a_weighing_typed_ahead_on_the_bins_screen(striking: tuple[Terminal, str], bench_folder: Path) -> None:
    person, plate = striking
    lines = ("/pl 2x4 red", "s0.01 0.005 0.5%", "c12.5", "h50 62.5", "l155.5", "")
    person.press("f4", "w", *(key for line in lines for key in (*line, "enter")), "y", "f2", plate)
    wait_total(person, 144)
    assert [record["quantity"] for record in records(bench_folder) if record["what"] == "tally"] == [143, 1]


def test_words_of_a_filter_typed_ahead(striking: tuple[Terminal, str]) -> None:
    person, plate = striking
    person.press("f3", "right", "/", *"plate", "enter")
    person.wait_for(lambda t: "plate 2x4" in t.screen_text() and "brick 2x4" not in t.screen_text(), PATIENCE)
    person.press("escape", "left", "escape", plate)
    wait_total(person, 1)


def test_a_command_found_by_words_and_counting_at_once(striking: tuple[Terminal, str], bench_folder: Path) -> None:
    person, plate = striking
    person.press(plate, plate, ":", *"undo", "enter", plate, ":", *"bins screen", "escape", plate)
    wait_total(person, 3)
    assert [record["what"] for record in records(bench_folder)] == ["open", "tally", "tally", "void", "tally", "tally"]


def test_a_question_mark_on_the_line_and_what_is_typed_behind_the_help(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        person.press("?", "escape", *"pl24 re", "enter", ":", "escape", *"br24 re", "enter")
        wait_total(person, 2)
        assert leave(person) == 0


def test_a_paste_keeps_its_place(bench_folder: Path) -> None:
    """Bracketed paste: what is pasted comes between 200~ and 201~ (xterm, control sequences)."""
    paste = b"\x1b[200~%b\x1b[201~"
    with open_bench(bench_folder) as person:
        person.send(KEYS["f5"] + KEYS["f2"] + paste % b"pl24 re" + b" *3\r")
        wait_total(person, 3)
        person.send(KEYS["f4"] + KEYS["f2"] + paste % b"pl24 re\nbr24 re" + b"\r" + b"ti22 wh\r")
        wait_total(person, 6)
        person.send(KEYS["f5"] + b"/" + paste % b"tile" + b"\r")
        person.wait_for(lambda t: "tile" in t.screen_text() and "brick" not in t.screen_text(), PATIENCE)
        assert leave(person) == 0


def test_pasted_lines_let_go_and_words_typed_behind_escape(bench_folder: Path) -> None:
    """Escape with pasted lines lets them go and stays on the entry line: what follows is typed there, not struck."""
    with open_bench(bench_folder) as person:
        plate = on_the_shades(person)
        person.send(b"/\x1b[200~br24 re\nbr24 re\x1b[201~")
        person.wait_for("2 lines pasted", PATIENCE)
        person.press("escape", plate)
        person.wait_for(lambda t: entry(t) == f"> {plate}", PATIENCE)
        assert leave(person) == 0
    assert total(bench_folder) == 0


@pytest.mark.parametrize("turn", range(2))
def test_what_is_struck_before_the_key_that_leaves_counts_and_nothing_behind_it(bench_folder: Path, turn: int) -> None:
    """In one write: tallies of both kinds, the leave key, and more of the same, which has no screen to go to."""
    with open_bench(bench_folder) as person:
        plate = on_the_shades(person)
        more = ("/", *"br24 re *2", "enter", "escape", "0", plate, "f4", "f2", "enter")[turn:]
        before = (plate,) * (20 - turn)
        person.press(*before, "/", *"ti22 wh *3", "enter", "f10", *more)
        assert person.wait(PATIENCE) == 0
    tallies = [record for record in records(bench_folder) if record["what"] == "tally"]
    assert [record["quantity"] for record in tallies] == [1] * len(before) + [3]
    assert {record["what"] for record in records(bench_folder)} <= {"open", "tally", "close"}


def test_a_screen_left_and_the_app_too_in_one_write(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        plate = on_the_shades(person)
        person.press("f3", "f2", plate, "f4", "escape", plate, plate, "u", "f5", "f10", plate, "f2", plate)
        assert person.wait(PATIENCE) == 0
    assert total(bench_folder) == 2


def test_leaving_before_anything_stands(bench_folder: Path) -> None:
    """Keys that wait for a start are counted before the app is left."""
    with at_terminal("--bench", bench_folder) as person:
        person.press(*"pl24 re *7", "enter", "f10", *"pl24 re", "enter")
        assert person.wait(PATIENCE) == 0
    assert total(bench_folder) == 7
