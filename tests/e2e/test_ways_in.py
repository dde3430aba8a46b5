"""How one gets into the app and out of it again."""

from __future__ import annotations

import re
import signal
from pathlib import Path

import pytest
from person import PATIENCE, at_terminal, leave, open_bench, shell, shown_total, wait_bench, wait_total
from terminal import Terminal

OTHER_SCREEN = b"\x1b[?1049"
CURSOR_SHOWN = b"\x1b[?25h"
CURSOR_HIDDEN = b"\x1b[?25l"
MOUSE_AND_PASTE_OFF = (b"\x1b[?1000l", b"\x1b[?1003l", b"\x1b[?2004l")


def restored(person: Terminal) -> bool:
    """Whether the terminal was left as a shell needs it (xterm control sequences: 1049, 25, 1000, 1003, 2004)."""
    raw = bytes(person.raw)
    entered, left = raw.rfind(OTHER_SCREEN + b"h"), raw.rfind(OTHER_SCREEN + b"l")
    off = all(raw.rfind(mode) > raw.rfind(mode[:-1] + b"h") for mode in MOUSE_AND_PASTE_OFF)
    return 0 <= entered < left and raw.rfind(CURSOR_SHOWN) > raw.rfind(CURSOR_HIDDEN) and off


def test_an_empty_folder_offers_a_new_bench(tmp_path: Path) -> None:
    with at_terminal(cwd=tmp_path) as person:
        person.wait_for("n, d or q?", PATIENCE)
        person.send("what\r")
        person.wait_for(lambda t: t.screen_text().count("n, d or q?") == 2, PATIENCE)
        person.send("n\r")
        person.wait_for("What do you have of the first set?", PATIENCE)
        person.press("escape")
        wait_bench(person)
        assert shown_total(person) == 0
        assert leave(person) == 0 and restored(person)
    assert (tmp_path / "bench.json").exists()
    with at_terminal(cwd=tmp_path) as person:
        person.wait_for("What do you have of the first set?", PATIENCE)
        person.press("ctrl+q")
        assert person.wait(PATIENCE) == 0 and restored(person)


def test_a_folder_with_lists_in_it_gets_its_bench_in_a_folder_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "glasshouse.csv").write_text("part,shade,quantity\nplate 2x4,red,3\n")
    with at_terminal(cwd=tmp_path) as person:
        person.wait_for("make a new bench in its folder bench", PATIENCE)
        person.send("n\r")
        person.wait_for("What do you have of the first set?", PATIENCE)
        person.send("1")
        person.send("glasshouse.csv\r")
        person.wait_for("Bring this in?", PATIENCE)
        person.send("y")
        wait_bench(person)
        assert leave(person) == 0
    assert (tmp_path / "bench" / "bench.json").exists()
    with at_terminal(cwd=tmp_path) as person:
        person.wait_for("open the bench in its folder bench", PATIENCE)
        person.send("n\r")
        wait_bench(person)
        assert leave(person) == 0


def test_an_empty_folder_offers_the_demo(tmp_path: Path) -> None:
    with at_terminal(cwd=tmp_path) as person:
        person.wait_for("n, d or q?", PATIENCE)
        person.send("d\r")
        wait_bench(person)
        person.wait_for("of about 2,5", PATIENCE)
        person.wait_for("Glassh", PATIENCE)
        assert leave(person) == 0 and restored(person)
    assert not list(tmp_path.iterdir()), "the demo lies in a folder of its own"


@pytest.mark.parametrize("keys", ["q\r", "\r", "\x04"])
def test_an_empty_folder_and_no(tmp_path: Path, keys: str) -> None:
    with at_terminal(cwd=tmp_path) as person:
        person.wait_for("n, d or q?", PATIENCE)
        person.send(keys)
        assert person.wait(PATIENCE) == 2
        assert OTHER_SCREEN not in person.raw
    assert not list(tmp_path.iterdir())


def test_the_demo_is_half_sorted_names_its_folder_and_plays(tmp_path: Path) -> None:
    with at_terminal("demo", "--play", "--speed", "1200", env={"TMPDIR": str(tmp_path)}) as person:
        wait_bench(person)
        named = re.search(
            r"The demo lies in (\S+),", re.sub(r"[\r\n]+", "", bytes(person.raw).decode(errors="replace"))
        )
        assert named and Path(named[1]).is_dir() and Path(named[1]).is_relative_to(tmp_path)
        begun = shown_total(person)
        assert 1200 < begun < 1400
        person.wait_for(lambda t: shown_total(t) >= begun + 10, PATIENCE)
        person.send("pl 2x4 bl\r")
        person.wait_for("✓ 1 ×", PATIENCE)
        assert leave(person) == 0 and restored(person)
    assert not Path(named[1]).exists() and "fault" not in person.screen_text()


def test_a_kept_demo_is_opened_again(tmp_path: Path) -> None:
    made = shell("demo", "--keep", tmp_path / "try-out")
    assert made.returncode == 0 and "try-out" in made.stderr
    with open_bench(tmp_path / "try-out") as person:
        assert shown_total(person) > 1200
        before = shown_total(person)
        person.press("enter")
        wait_total(person, before + 1)


def test_without_a_terminal_it_says_what_to_do(bench_folder: Path, tmp_path: Path) -> None:
    here = shell(cwd=bench_folder)
    assert here.returncode == 2 and "needs a terminal" in here.stderr and "sortbench --help" in here.stderr
    nothing_here = shell(cwd=tmp_path)
    assert nothing_here.returncode == 2 and "No bench lies in the current folder" in nothing_here.stderr
    demo = shell("demo")
    assert demo.returncode == 2 and "needs a terminal" in demo.stderr
    assert not (here.stdout or nothing_here.stdout or demo.stdout)


@pytest.mark.parametrize("by", [signal.SIGTERM, signal.SIGHUP])
def test_sent_away_it_restores_the_terminal_and_ends_its_sitting(bench_folder: Path, by: signal.Signals) -> None:
    """SIGTERM, as a closing session sends it; SIGHUP, as a closed terminal window does."""
    with open_bench(bench_folder) as person:
        person.send("pl24 re\r")
        wait_total(person, 1)
        person.process.send_signal(by)
        assert person.wait(PATIENCE) == 128 + by
        assert restored(person)
    assert not list((bench_folder / "tallies").glob(".*.lock"))
