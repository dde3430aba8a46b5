"""A photograph judged at a real terminal: from the judge screen, marked key by key, counted, and found by a command."""

from __future__ import annotations

from pathlib import Path

from person import PATIENCE, leave, open_bench, rows, shell, wait_bench
from synthetic_photo import Scene
from terminal import Terminal

from sortbench.model.photo import Area

SCENE = Scene("d8d8d4", ("d8d8d4", "c9b48c"), light=(0.95, 0.92, 0.85), noise=1.0)


def keys_to(person: Terminal, area: Area, key: str) -> str:
    """Keys that mark an area: to the upper left corner of the picture, then to both corners of the area.

    How many pixels a cell stands for follows from the room that the picture's rim leaves.
    """
    lines = person.screen_text().split("\n")
    top = next(at for at, line in enumerate(lines) if line.startswith("┍━ picture"))
    columns, room = lines[top].index("┑") + 1, len(lines) - top - 5
    width, height = SCENE.image().size
    scale = max(width / columns, height / (2 * room))
    left, upper = round(area.left / scale) + 1, round(area.top / scale / 2) + 1
    right, lower = round(area.right / scale) - 2, round(area.bottom / scale / 2) - 2
    assert left < right and upper <= lower
    start = "\x1b[H" + "\x1b[D" * columns + "\x1b[C" * left + "\x1b[B" * upper + key
    return start + "\x1b[C" * (right - left) + "\x1b[B" * (lower - upper) + key


def test_from_the_judge_screen_to_counted_pieces(bench_folder: Path, tmp_path: Path) -> None:
    picture = SCENE.save(tmp_path, "white plates")
    env = {"TERM": "xterm-256color", "COLORTERM": "truecolor"}
    with open_bench(bench_folder, columns=100, rows=30, env=env) as person:
        person.press("f8")
        person.wait_for("judge", PATIENCE)
        person.settle(0.05)
        person.send("o")
        person.wait_for("no picture in hand", PATIENCE)
        person.send(f"o'{picture}'\r")
        person.wait_for("mark the white or grey card", PATIENCE)
        person.wait_for("▀▀▀▀▀▀▀▀", PATIENCE)
        marks = SCENE.marks
        assert marks.card and marks.reference
        person.send(keys_to(person, marks.card, "c"))
        person.wait_for("mark an unaged piece", PATIENCE)
        person.send(keys_to(person, marks.reference, "r"))
        person.wait_for("mark the pieces", PATIENCE)
        for number, piece in enumerate(marks.pieces, 1):
            person.send(keys_to(person, piece, "p"))
            person.wait_for(f"piece {number}: ", PATIENCE)
        person.wait_for("an estimate", PATIENCE)
        person.send("nplate 2x4 red\r")
        person.wait_for("plate 2x4, red", PATIENCE)
        person.send("k")
        person.wait_for("Count 2 pieces as plate 2x4, red: grade 5 (1), 1 (1)?", PATIENCE)
        person.send("y")
        person.wait_for("counted: 2 × plate 2x4, red", PATIENCE)
        person.press("f2")
        wait_bench(person)
        assert leave(person) == 0
    found = rows(bench_folder, "counts")
    assert sorted((row["part"], row["shade"], row["grade"], row["quantity"]) for row in found) == [
        ("plate-2x4", "red", "1", 1),
        ("plate-2x4", "red", "5", 1),
    ]


def test_a_refused_picture_leaves_by_exit_code_1_and_says_why(tmp_path: Path) -> None:
    bright = SCENE._replace(light=(1.2, 1.1, 1.0)).save(tmp_path, "bright")
    marks = SCENE.marks
    ran = shell("photo", bright, "--card", str(marks.card), "--reference", str(marks.reference), "--piece=0,0,12,12")
    assert ran.returncode == 1
    assert "overexposed" in ran.stderr and "Take the picture darker" in ran.stderr
