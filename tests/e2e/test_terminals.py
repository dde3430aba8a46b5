"""Poor terminals: few colours or none, few columns, a plain locale."""

from __future__ import annotations

from pathlib import Path

import pytest
from person import PATIENCE, counted, leave, open_bench, receipt, type_in, wait_bench, wait_total

PLAIN = {"LANG": "C", "LC_ALL": "C", "PYTHONCOERCECLOCALE": "0"}
SURROUNDINGS = {
    "linux console": ({"TERM": "linux", "COLORTERM": ""}, 80, 25),
    "256 colours": ({"TERM": "xterm-256color", "COLORTERM": ""}, 80, 24),
    "multiplexer": ({"TERM": "screen", "COLORTERM": ""}, 100, 30),
    "phone": ({}, 40, 20),
    "phone without colour": ({"NO_COLOR": "1", "TERM": "screen"}, 40, 20),
    "plain locale": (PLAIN, 80, 24),
    "wide": ({"TEXTUAL_THEME": "ansi-dark", "NO_COLOR": "1"}, 200, 60),
}


@pytest.mark.parametrize(("env", "columns", "lines"), SURROUNDINGS.values(), ids=SURROUNDINGS)
def test_every_screen_stands_and_overflow_is_told(
    bench_folder: Path, env: dict[str, str], columns: int, lines: int
) -> None:
    counted(bench_folder, "pl24 re *7")
    with open_bench(bench_folder, columns=columns, rows=lines, env=env) as person:
        wait_total(person, 7)
        person.wait_for("▲ B1", PATIENCE)
        person.wait_for("7/5", PATIENCE)
        person.wait_for("2 over", PATIENCE)
        person.send("br24 re\r")
        wait_total(person, 8)
        person.press("escape")
        person.press("enter")
        wait_total(person, 9)
        for key, wanted in (("f3", "Signal"), ("f4", "B1"), ("f5", "log"), ("f8", "judge"), ("f1", "help")):
            person.press(key)
            person.wait_for(wanted, PATIENCE)
            person.settle(0.05)
        person.press("escape")
        person.press("f2")
        wait_bench(person)
        assert leave(person) == 0


def test_it_shrinks_to_nothing_and_grows_again(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        type_in(person, "pl24 re *7", receipt(7, "plate 2x4", "red"))
        person.send("br")
        for columns, lines in ((40, 20), (10, 3), (1, 1), (64, 10), (160, 20), (120, 36)):
            person.resize(columns, lines)
            person.settle(0.05)
        person.send("24 re\r")
        person.wait_for(receipt(1, "brick 2x4", "red"), PATIENCE)
        person.wait_for("▲ B1", PATIENCE)
        wait_total(person, 8)
        assert leave(person) == 0
