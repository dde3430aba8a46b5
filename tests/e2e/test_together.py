"""Two people at one bench."""

from __future__ import annotations

from pathlib import Path

from person import (
    PATIENCE,
    leave,
    open_bench,
    receipt,
    records,
    shell,
    slot,
    total,
    type_in,
    wait_total,
)

WITHIN_S = 2.0
"""Seconds after which each sees what the other counted."""


def test_two_apps_count_into_one_bench(bench_folder: Path) -> None:
    with open_bench(bench_folder) as ada, open_bench(bench_folder, columns=80, rows=24) as ben:
        type_in(ada, "pl24 re *3", receipt(3, "plate 2x4", "red", "5  → B1"))
        wait_total(ben, 3, WITHIN_S)
        ben.wait_for("3/5", WITHIN_S)
        type_in(ben, "pl24 re *4", receipt(4, "plate 2x4", "red", "5  → B1"))
        wait_total(ada, 7, WITHIN_S)
        ada.wait_for("▲ B1", WITHIN_S)
        ada.send("br24 re\r" * 20)
        ben.press("escape")
        ben.wait_for("? help", PATIENCE)
        ben.wait_for("tray all shades", PATIENCE)
        ben.send(slot(ben, "plate 2x4") * 20)
        wait_total(ada, 47)
        wait_total(ben, 47)
        # Each takes back what is its own, not what the other counted last.
        ada.press("ctrl+z")
        ada.wait_for("undone: 1 × brick 2x4 red", PATIENCE)
        wait_total(ben, 46, WITHIN_S)
        ben.press("u")
        ben.wait_for("undone: 1 × plate 2x4 red", PATIENCE)
        wait_total(ada, 45, WITHIN_S)
        assert total(bench_folder) == 45
        assert shell("--bench", bench_folder, "tally", "ti22 wh *5").returncode == 0
        wait_total(ada, 50, WITHIN_S)
        wait_total(ben, 50, WITHIN_S)
        assert leave(ada) == 0 and leave(ben) == 0
    assert total(bench_folder) == 50
    assert len({record["sitting"] for record in records(bench_folder)}) == 3


def test_what_is_imported_meanwhile_can_be_counted(bench_folder: Path, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text("part code,part name,family\ncone-2x2,cone 2x2,cone\n")
    with open_bench(bench_folder) as person:
        person.send("cone re")
        person.wait_for("Nothing is called", PATIENCE)
        done = shell("--bench", bench_folder, "import", "parts", "--yes", tmp_path / "more.csv")
        assert done.returncode == 0, done.stderr
        person.wait_for("cone 2x2", PATIENCE)
        person.press("enter")
        person.wait_for(receipt(1, "cone 2x2", "red"), PATIENCE)
