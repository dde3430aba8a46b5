"""What colours reach the terminal: none where none are wanted, its own 16, or a theme's; and a theme that is kept."""

from __future__ import annotations

import re
from pathlib import Path

from person import PATIENCE, leave, open_bench

from sortbench.tui.themes import OWN_THEMES

SGR = re.compile(rb"\x1b\[([0-9;]*)m")
INK_OR_GROUND = re.compile(r"(3[0-8]|4[0-8]|9[0-7]|10[0-7])$")
"""Parameters of SGR that set a colour: ECMA-48, 8.3.117, and the bright ones that aixterm added. 39 and 49 set none."""


def colours(raw: bytes) -> set[str]:
    """Colours that were sent: ``38;2`` and the like for those that name one of more than 16."""
    found = set()
    for sent in SGR.findall(raw):
        parts = sent.decode().split(";")
        while parts:
            part = parts.pop(0)
            if part in ("38", "48"):
                found.add(f"{part};{parts[0]}")
                parts = parts[4 if parts[0] == "2" else 2 :]
            elif INK_OR_GROUND.match(part):
                found.add(part)
    return found


def grounds(raw: bytes) -> set[str]:
    """Grounds of all colours that were sent, as ``#rrggbb``."""
    return {
        "#{:02x}{:02x}{:02x}".format(*map(int, each)) for each in re.findall(rb"48;2;(\d+);(\d+);(\d+)[;m]", bytes(raw))
    }


def test_no_color_sends_none_and_says_why_themes_do_not_change(bench_folder: Path) -> None:
    """https://no-color.org"""
    with open_bench(bench_folder, env={"NO_COLOR": "1"}) as person:
        person.send("\x14")
        person.wait_for("NO_COLOR is set", PATIENCE)
        person.press("f4")
        person.wait_for("B1", PATIENCE)
        assert leave(person) == 0
        assert not colours(person.raw)


def test_sixteen_colours_are_sent_by_their_own_numbers(bench_folder: Path) -> None:
    with open_bench(bench_folder, env={"TERM": "linux", "COLORTERM": ""}) as person:
        person.press("f3")
        person.wait_for("Signal", PATIENCE)
        assert leave(person) == 0
        sent = colours(person.raw)
        assert sent and not {each for each in sent if ";" in each}


def test_a_theme_is_kept_from_one_start_to_the_next(bench_folder: Path, tmp_path: Path) -> None:
    env = {"SORTBENCH_SETTINGS": str(tmp_path / "own" / "settings.toml")}
    dark, light, *_ = (theme.inks.ground for theme in OWN_THEMES.values())
    with open_bench(bench_folder, env=env) as person:
        person.send("\x14")
        person.wait_for("kept for the next start", PATIENCE)
        assert leave(person) == 0
        assert {dark, light} <= grounds(person.raw)
    with open_bench(bench_folder, env=env) as person:
        assert leave(person) == 0
        assert light in grounds(person.raw) and dark not in grounds(person.raw)
