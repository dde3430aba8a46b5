"""Names from files are data: on every screen they are text and nothing else."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from person import PATIENCE, leave, open_bench, receipt, records, shell, type_in, wait_bench, wait_total

NAMES = ("[/", "[red]x", "=1+1", "[@click=x]y", "{0}%s\\", "@SUM(A1)")
"""Markup that would be opened, closed or clicked, a formula, marks of string formatting."""


def bench_of_names(folder: Path) -> Path:
    """A bench whose parts, shades, targets and bins have such names."""
    bench = folder / "bench"
    assert shell("new", bench).returncode == 0
    lists = {
        "parts": [("part code", "part name", "family")]
        + [(f"p{n}", f"{name} plate", name) for n, name in enumerate(NAMES)],
        "shades": [("shade name", "rgb")] + [(f"{name} red", "b3261e") for name in NAMES],
        "targets": [("set", "title", "part", "shade", "quantity")]
        + [(f"T-{n}", f"{name} hut", f"p{n}", f"{name} red", 2) for n, name in enumerate(NAMES)],
        "bins": [("bin", "shade", "capacity", "place")]
        + [(f"{name[:4]}{n}", f"{name} red", 1, f"{name} row") for n, name in enumerate(NAMES)],
    }
    for what, table in lists.items():
        with (folder / f"{what}.csv").open("w", newline="") as file:
            csv.writer(file).writerows(table)
        done = shell("--bench", bench, "import", what, "--yes", folder / f"{what}.csv")
        assert done.returncode == 0, done.stderr
    return bench


def test_markup_and_formulas_are_shown_as_they_are(tmp_path: Path) -> None:
    bench = bench_of_names(tmp_path)
    with open_bench(bench, columns=160, rows=50) as person:
        for n, name in enumerate(NAMES):
            person.send(f"p{n}")
            person.wait_for(f"{name} plate", PATIENCE)
            person.press("enter")
            wait_total(person, n * 2 + 1)
            person.press("enter")
            wait_total(person, n * 2 + 2)
            person.wait_for(lambda t, name=name: f"· {name} red  5" in t.screen_text(), PATIENCE)
        person.press("escape")
        person.wait_for("? help", PATIENCE)
        for key, wanted in (("f3", "hut"), ("f4", "row"), ("f5", "plate")):
            person.press(key)
            person.wait_for(lambda t, wanted=wanted: "back" in t.screen_text() and "[/" in t.screen_text(), PATIENCE)
            for _ in NAMES:
                person.press("right" if key == "f3" else "down")
            person.settle(0.05)
            person.press("/", *"[/")
            person.settle(0.05)
            person.press("escape", "escape")
            wait_bench(person)
        person.press("f1")
        person.wait_for("keypad", PATIENCE)
        person.press("escape")
        wait_bench(person)
        assert leave(person) == 0
    shown = shell("--bench", bench, "counts").stdout
    assert all(f"{name} red" in shown for name in NAMES)
    sheet = tmp_path / "sheet"
    assert shell("--bench", bench, "export", sheet).returncode == 0
    with (sheet / "parts.csv").open(newline="", encoding="utf-8") as file:
        cells = [value for row in csv.reader(file) for value in row]
    assert "'=1+1 plate" in cells and not [value for value in cells if value.startswith(("=", "@", "+"))]
    other = tmp_path / "other"
    assert shell("new", other).returncode == 0
    assert shell("--bench", other, "import", "counts", "--yes", sheet).returncode == 0
    assert "=1+1 red" in shell("--bench", other, "counts").stdout


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("esc \x1b[2J\x1b]0;title\x07", "U+001B"),
        ("turned \u202eround", "U+202E"),
        ("bell \x07", "U+0007"),
        ("x" * 10_000, "characters"),
    ],
    ids=["control sequence", "bidirectional override", "bell", "ten thousand characters"],
)
def test_what_steers_a_terminal_is_refused_with_a_reason(
    bench_folder: Path, tmp_path: Path, name: str, said: str
) -> None:
    (tmp_path / "parts.csv").write_text(f"part code,part name,family\nodd-1,{name},plate\n", encoding="utf-8")
    before = (bench_folder / "bench.json").read_bytes()
    done = shell("--bench", bench_folder, "import", "parts", "--yes", tmp_path / "parts.csv")
    assert done.returncode == 1 and "parts.csv:2" in done.stderr and said in done.stderr
    assert not set("\x1b\x07\u202e") & set(done.stderr + done.stdout)
    assert (bench_folder / "bench.json").read_bytes() == before


def test_a_nul_in_a_file_is_refused(bench_folder: Path, tmp_path: Path) -> None:
    (tmp_path / "parts.csv").write_bytes(b"part code,part name,family\nodd-1,nul \x00,plate\n")
    done = shell("--bench", bench_folder, "import", "parts", "--yes", tmp_path / "parts.csv")
    assert done.returncode == 1 and "NUL" in done.stderr


def test_what_is_typed_or_pasted_cannot_steer_either(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        person.send(b"\x1b[200~plate \xe2\x80\xae\x1b]0;title\x07 \x00[red]\x1b[201~")
        person.wait_for("[red]", PATIENCE)
        begun = len(person.raw)
        person.press("enter")
        person.wait_for("✗", PATIENCE)
        assert b"title\x07" not in person.raw[begun:]
        person.press("ctrl+u")
        person.send("+[red]odd[/ thing red\r")
        person.wait_for(receipt(1, "[red]odd[/ thing", "red"), PATIENCE)
        wait_total(person, 1)
        type_in(person, "pl24 re", receipt(1, "plate 2x4", "red"))
        assert leave(person) == 0
    assert sum(record["quantity"] for record in records(bench_folder)) == 2
