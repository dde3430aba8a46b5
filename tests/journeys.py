"""What somebody does at a keyboard to get something done, every key counted: from a shell's prompt or an open bench.

A journey plays in a real pseudo-terminal and ends when the screen says that it is done. Characters and named keys are
one key each; the Enter behind a command is a key too. The counts are bounds: a change may bring them down, not up.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from tests.small_bench import make_folder, ticking
from tests.terminal import Terminal
from tests.working import Clock

ROOT = Path(__file__).parents[1]
PATIENCE_S = 30.0
"""Seconds to wait for a screen: far more than it takes, for a machine that is busy with something else."""

MANUAL_LIST = (
    "Satz;Titel;Jahr;Teil;Farbe;Menge\r\n"
    "T-02;Gewächshaus;1987;plate 2x4;weiß;9\r\n"
    "T-02;Gewächshaus;1987;brick 1x2;rot;4\r\n"
    "T-02;Gewächshaus;1987;hinge 1x2;grau, früh;2\r\n"
)
"""A list as a spreadsheet in German writes it: semicolons, Windows-1252, headers of its own."""
WRONG_MINUTE = 62
"""How many minutes ago the one wrong tally among many like it was counted."""


class Keyboard:
    """Somebody's hands: strikes keys and counts them, waits for what the screen says.

    Attributes:
        keys: struck so far.
    """

    def __init__(self, terminal: Terminal) -> None:
        self._terminal = terminal
        self.keys = 0

    def type(self, text: str) -> None:
        """Strike the keys of a text, one by one."""
        self._terminal.send(text)
        self.keys += len(text)

    def press(self, *keys: str) -> None:
        """Strike keys by name."""
        self._terminal.press(*keys)
        self.keys += len(keys)

    def see(self, *texts: str) -> None:
        """Wait until all of these stand on the screen."""
        self._terminal.wait_for(lambda terminal: all(text in terminal.screen_text() for text in texts), PATIENCE_S)


class Journey(NamedTuple):
    """One errand.

    Attributes:
        name: what is wanted.
        lay_out: makes what is there before, in a folder; what it gives back is the command that already runs, empty for
            a shell's prompt.
        play: strikes the keys.
        most: keys that it may take.
        at_first: keys that it took when this was first counted.
    """

    name: str
    lay_out: Callable[[Path], tuple[str, ...]]
    play: Callable[[Keyboard], None]
    most: int
    at_first: int


def count_keys(journey: Journey, columns: int = 100, rows: int = 30) -> int:
    """Play a journey and count its keys.

    Raises:
        TimeoutError: the screen never said what it should.
    """
    with tempfile.TemporaryDirectory() as scratch, _at_keyboard(journey, Path(scratch), columns, rows) as keyboard:
        journey.play(keyboard)
        return keyboard.keys


@contextmanager
def _at_keyboard(journey: Journey, scratch: Path, columns: int, rows: int) -> Iterator[Keyboard]:
    place = scratch / "lot"
    place.mkdir()
    running = journey.lay_out(place)
    programs = scratch / "programs"
    programs.mkdir()
    program = programs / "sortbench"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m sortbench "$@"\n')
    program.chmod(0o755)
    env = {
        "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(ROOT),
        "SORTBENCH_BENCH": "",
        "SORTBENCH_SETTINGS": str(scratch / "none.toml"),
        "PS1": "lot$ ",
    }
    command = (str(program), *running) if running else ("/bin/sh",)
    with Terminal(command, columns=columns, rows=rows, env=env, cwd=place) as terminal:
        keyboard = Keyboard(terminal)
        keyboard.see("crates" if running else "lot$")
        yield keyboard


# What is there before


def _nothing(place: Path) -> tuple[str, ...]:
    return ()


def _a_list(place: Path) -> tuple[str, ...]:
    (place / "list.csv").write_bytes(MANUAL_LIST.encode("windows-1252"))
    return ()


def _a_bench_and_a_list(place: Path) -> tuple[str, ...]:
    make_folder(place)
    return _a_list(place)


_demo: list[Path] = []


def _open_demo(place: Path) -> tuple[str, ...]:
    """The demo, half counted, open; built once for all."""
    if not _demo:
        from sortbench.demo_bench import build_demo

        _demo.append(Path(tempfile.mkdtemp(prefix="journeys-")) / "bench")
        build_demo(_demo[0])
    shutil.copytree(_demo[0], place / "bench")
    return "--bench", "bench"


def forget_demo() -> None:
    """Remove the demo that journeys started from."""
    while _demo:
        shutil.rmtree(_demo.pop().parent)


def _an_hour_ago(place: Path) -> tuple[str, ...]:
    """The demo, with a wrong tally of an hour ago and a hundred right ones since; open."""
    from sortbench.bench import Bench

    running = _open_demo(place)
    with Bench.open(place / "bench", ticking(datetime.now(UTC) - timedelta(minutes=61), seconds=15)) as bench:
        bench.enter("rake black *40")
        for _ in range(100):
            bench.enter("brick 1x2 red")
    return running


def _one_of_many_an_hour_ago(place: Path) -> tuple[str, ...]:
    """A piece each minute, for the last hour and a bit; the one of 62 minutes ago was no 40 pieces; open."""
    from sortbench.bench import Bench

    # A second behind the minute, so that the journey has the rest of it to play in.
    clock = Clock(datetime.now(UTC) - timedelta(minutes=70, seconds=1))
    with Bench.open(make_folder(place / "bench"), clock) as bench:
        for minute in range(70, 0, -1):
            bench.enter("plate 2x4 red *40" if minute == WRONG_MINUTE else "plate 2x4 red")
            clock.wait(60)
    return "--bench", "bench"


# The errands


def _begin_in_an_empty_folder(hands: Keyboard) -> None:
    hands.type("sortbench\r")
    hands.see("n, d or q?")
    hands.type("n\r")
    hands.see("What do you have")


def _first_piece_of_a_pile(hands: Keyboard) -> None:
    _begin_in_an_empty_folder(hands)
    hands.type("3")
    hands.see("counts one and learns the part")
    hands.type("+red plate 2x4\r")
    hands.see("✓ 1 ×", "1 piece ")


def _first_piece_by_a_manual(hands: Keyboard) -> None:
    _begin_in_an_empty_folder(hands)
    hands.type("2")
    hands.type("T-12 Orchard Gate 1991\r")
    hands.see("writing up Orchard Gate")
    hands.type("+red plate 2x4 *3\r")
    hands.see("✓ 3 ×", "the list")
    hands.type(".\r")
    hands.see("nothing held")
    hands.type("red pl24\r")
    hands.see("✓ 1 ×", "1 piece ", "1/3")


def _first_piece_by_a_list(hands: Keyboard) -> None:
    _begin_in_an_empty_folder(hands)
    hands.type("1")
    hands.type("l\r")
    hands.see("list.csv", "Bring this in?", "3 lines, 15 pieces")
    hands.type("y")
    hands.see("┍━ crates", "Gewächshaus: 3 lines")
    hands.type("weiß pl24\r")
    hands.see("✓ 1 ×", "1 piece ", "1/15")


def _import_by_command(hands: Keyboard) -> None:
    hands.type("sortbench import targets list.csv\r")
    hands.see("Write this to the bench? [y/N]:", "windows-1252, cells parted by ;")
    hands.type("y\r")
    hands.see("Done, targets:")


def _split(hands: Keyboard) -> None:
    hands.press("f4")
    hands.see("▲ B13 overflows")
    hands.type("s")
    hands.see("Split B13?")
    hands.type("y")
    hands.see("carry 19 pieces over from B13")


def _void(hands: Keyboard) -> None:
    hands.press("f5")
    hands.see("newest first")
    hands.type("/rake\r")
    hands.see("40 × rake")
    hands.press("delete")
    hands.see("Void record")
    hands.type("y")
    hands.see("voided: 40 × rake")


def _void_one_of_many(hands: Keyboard) -> None:
    hands.press("f5")
    hands.see("newest first")
    hands.type("h")
    hands.press("down", "down")
    hands.see("counted 40 × plate 2x4")
    hands.press("delete")
    hands.see("Void record")
    hands.type("y")
    hands.see("voided: 40 × plate 2x4 red")


def _regrade_the_last(hands: Keyboard) -> None:
    hands.press("f8")
    hands.see("slope 45 2x2 · white, grade 4 (B12)")
    hands.type("3")
    hands.see("slope 45 2x2 · white, grade 3 (B12)")


def _which_bin(hands: Keyboard) -> None:
    hands.type("pl24w")
    hands.see("▸ w plate 2x4      white        B12")


def _pick(hands: Keyboard) -> None:
    hands.press("f3")
    hands.see("Glasshouse · 1987")
    hands.type("p")
    hands.see("0/463 picked", "▸ □ B1")
    hands.press("enter")
    hands.see("1/463 picked", "picked: 1 × brick 1x4")


def _missing_for_the_first(hands: Keyboard) -> None:
    hands.press("f3")
    hands.see("Glasshouse · 1987")
    hands.type("s")
    hands.see("only lines with pieces missing", "rake")


def _missing_for_the_last(hands: Keyboard) -> None:
    hands.press("f3")
    hands.see("Glasshouse · 1987")
    hands.type("6")
    hands.see("Signal Hut ·")
    hands.type("s")
    hands.see("only lines with pieces missing")


def _missing_for_one_by_name(hands: Keyboard) -> None:
    hands.press("f3")
    hands.see("Glasshouse · 1987")
    hands.type("gs")
    hands.see("Signal Hut ·")
    hands.type("\rs")
    hands.see("only lines with pieces missing")


JOURNEYS = (
    Journey("empty folder to the first piece, nothing but the pile", _nothing, _first_piece_of_a_pile, 28, 62),
    Journey("empty folder, a manual: its first line, then a piece", _nothing, _first_piece_by_a_manual, 65, 102),
    Journey("a foreign CSV to the first piece of its set", _a_list, _first_piece_by_a_list, 26, 88),
    Journey("a foreign CSV onto a bench, from the shell", _a_bench_and_a_list, _import_by_command, 36, 36),
    Journey("split a bin that overflows", _open_demo, _split, 3, 3),
    Journey("void an entry of an hour ago", _an_hour_ago, _void, 9, 9),
    Journey("void one of many like it, of an hour ago", _one_of_many_an_hour_ago, _void_one_of_many, 6, 13),
    Journey("correct the last piece's grade: 3, not 4", _open_demo, _regrade_the_last, 2, 2),
    Journey("which bin does a white plate 2x4 go into?", _open_demo, _which_bin, 5, 5),
    Journey("pick the first of Glasshouse's pieces", _open_demo, _pick, 3, 3),
    Journey("what is still missing for Glasshouse?", _open_demo, _missing_for_the_first, 2, 2),
    Journey("what is still missing for Signal Hut? by its name", _open_demo, _missing_for_one_by_name, 5, 7),
    Journey("what is still missing for the sixth target?", _open_demo, _missing_for_the_last, 3, 7),
)
