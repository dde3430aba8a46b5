"""Power cuts while keys are struck: what the screen has shown is on disk."""

from __future__ import annotations

import random
from pathlib import Path

from person import PATIENCE, open_bench, receipt, records, shell, shown_total, type_in, wait_total

KILLS = 13


def test_killed_at_any_moment_nothing_that_was_seen_is_lost(bench_folder: Path) -> None:
    """SIGKILL while lines are typed and keys are struck: no count, no undo that was seen is gone afterwards."""
    chance = random.Random(1)
    seen = 0
    for life in range(KILLS):
        with open_bench(bench_folder, columns=80, rows=24) as person:
            assert shown_total(person) >= seen, "a count that was seen is gone"
            begun = shown_total(person)
            if life % 2:
                person.send("pl24 re\r")
                wait_total(person, begun + 1)
                person.press("escape")
                person.wait_for("? help", PATIENCE)
                person.send("5\r" * chance.randint(1, 40))
            else:
                person.send("pl24 re\rbr24 re *2\r\r" * chance.randint(1, 20))
            end = len(person.raw) + chance.randint(0, 8000)
            while len(person.raw) < end and person.read(0.05):
                pass
            seen = shown_total(person)
            person.kill()
    assert seen > 30
    with open_bench(bench_folder) as person:
        assert shown_total(person) >= seen
        assert shown_total(person) == sum(record["quantity"] for record in records(bench_folder) if record["holds"])
    assert shell("--bench", bench_folder, "check", "--repair").returncode == 0
    looked = shell("--bench", bench_folder, "check")
    assert looked.returncode == 0 and "sound" in looked.stderr


def test_undo_and_redo_outlive_a_kill(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        type_in(person, "pl24 re *3", receipt(3, "plate 2x4", "red"))
        type_in(person, "br24 re *2", receipt(2, "brick 2x4", "red"))
        type_in(person, "ti22 wh", receipt(1, "tile 2x2", "white"))
        person.press("ctrl+z")
        wait_total(person, 5)
        person.kill()
    with open_bench(bench_folder) as person:
        wait_total(person, 5)
        person.press("ctrl+z")
        person.wait_for("undone: 2 × brick 2x4 red", PATIENCE)
        wait_total(person, 3)
        person.press("ctrl+y")
        wait_total(person, 5)
        person.kill()
    with open_bench(bench_folder) as person:
        wait_total(person, 5)
