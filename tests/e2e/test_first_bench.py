"""From an empty folder to a count sheet, as somebody does it: lists from a spreadsheet, keys, a power cut."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import frictionless
from person import (
    PATIENCE,
    answer,
    at_terminal,
    entry,
    head,
    open_bench,
    receipt,
    rows,
    shell,
    shown_total,
    slot,
    slots,
    type_in,
    wait_total,
)
from terminal import Terminal

SIZES = ("1x1", "1x2", "1x3", "1x4", "1x6", "1x8", "2x2", "2x3", "2x4", "2x6")
FAMILIES = (("plate", "Platte"), ("brick", "Stein"), ("tile", "Kachel"))


def write_lists(folder: Path) -> None:
    """Lists as a spreadsheet in German writes them: semicolons, Windows-1252, a line break inside a quoted cell."""
    shades = "Farbe;Farbwert;Von;Bis\nweiß;f4f4f0;1980;1999\nrot;b3261e;1980;1999\ngrau, früh;9ba19d;1980;1991\n"
    parts = ["Teil;Bezeichnung;Familie;Gewicht;Ab;Bis;Bemerkung"]
    parts += [
        f'{family}-{size};{name} {size};{family};{n + 1},5;1980;1999;"geprüft,\nzweimal; so ""gut"" es geht"'
        for family, name in FAMILIES
        for n, size in enumerate(SIZES)
    ]
    targets = [
        "Satz;Titel;Jahr;Rang;Teil;Farbe;Menge",
        "T-02;Gewächshaus;1987;1;plate-2x4;weiß;9",
        "T-02;Gewächshaus;1987;1;brick-1x2;rot;4",
        "T-05;Signalhütte;1988;2;plate-2x4;weiß;30",
        "T-05;Signalhütte;1988;2;hinge-1x2;grau, früh;2",
    ]
    targets += [f"T-05;Signalhütte;1988;2;{family}-{size};rot;2" for family in ("plate", "tile") for size in SIZES]
    bins = "Fach;Farbe;Fassungsvermögen;Platz\nB1;weiß;18;oben links\nB2;rot;40;oben rechts\nB3;;;unten\n"
    for name, text in (
        ("farben", shades),
        ("teile", "\n".join(parts) + "\n"),
        ("saetze", "\n".join(targets) + "\n"),
        ("kisten", bins),
    ):
        (folder / f"{name}.csv").write_bytes(text.replace("\n", "\r\n").encode("windows-1252"))


def bring_in(folder: Path, what: str, file: str) -> None:
    """Import a list at the terminal: look, agree, done."""
    with at_terminal("--bench", "bench", "import", what, file, cwd=folder) as person:
        person.wait_for("Write this to the bench? [y/N]:", PATIENCE)
        assert "windows-1252, cells parted by ;" in person.screen_text()
        person.send("y\r")
        assert person.wait(PATIENCE) == 0
        assert f"Done, {what}:" in person.screen_text()


def count_on_the_keypad(person: Terminal) -> None:
    """25 pieces: a shade held from the tray, a page turned, a shade for one piece only."""
    person.press("escape")
    person.wait_for("tray all shades", PATIENCE)
    person.press("0")
    person.wait_for("tray shades", PATIENCE)
    person.press(slot(person, "rot"))
    person.wait_for("one piece in rot; 0 holds it", PATIENCE)
    person.press("0")
    person.wait_for("held: rot", PATIENCE)
    person.wait_for("tray rot", PATIENCE)
    brick = slot(person, "Stein 1x2")
    person.press(*brick * 12)
    wait_total(person, 37)
    first = slots(person)
    person.press("s")
    person.wait_for(lambda t: slots(t) != first and len(slots(t)) > 2, PATIENCE)
    name, key = next(iter(slots(person).items()))
    person.press(key)
    person.wait_for(receipt(1, name, "rot"), PATIENCE)
    person.wait_for(lambda t: slots(t) == first, PATIENCE)
    person.press(*("s" + key) * 5)
    wait_total(person, 43)
    person.press("0")
    person.wait_for("tray shades", PATIENCE)
    person.press(slot(person, "weiß"))
    person.wait_for("one piece in weiß; 0 holds it", PATIENCE)
    person.press(slot(person, "Platte 2x4"))
    person.wait_for(receipt(1, "Platte 2x4", "weiß"), PATIENCE)
    person.press(*["enter"] * 6)
    wait_total(person, 50)
    # The shade for one piece did not let go of the held one.
    person.wait_for(lambda t: " rot " in head(t), PATIENCE)


def figures(folder: Path) -> list[dict[str, Any]]:
    """Counts by heap, in an order of their own."""
    return sorted(rows(folder, "counts"), key=str)


def test_from_an_empty_folder_to_a_count_sheet(tmp_path: Path) -> None:
    write_lists(tmp_path)
    bench = tmp_path / "bench"
    assert shell("new", bench).returncode == 0
    bring_in(tmp_path, "shades", "farben.csv")
    bring_in(tmp_path, "parts", "teile.csv")
    without_asking = shell("--bench", bench, "import", "targets", "saetze.csv", cwd=tmp_path)
    assert without_asking.returncode == 1 and "--yes" in without_asking.stderr and not rows(bench, "targets")
    done = shell("--bench", bench, "import", "targets", "--yes", "saetze.csv", cwd=tmp_path)
    assert done.returncode == 0 and "hinge-1x2" in done.stderr, "what is created is shown"
    bring_in(tmp_path, "bins", "kisten.csv")

    with open_bench(bench) as person:
        assert shown_total(person) == 0
        type_in(person, "pl24 weiß *9", receipt(9, "Platte 2x4", "weiß", "5  → B1"))
        person.wait_for(lambda t: "✓ Gewächshaus, line 1" in answer(t), PATIENCE)
        type_in(person, "st 1x2 rot", receipt(1, "Stein 1x2", "rot"))
        person.press("enter", "enter", "enter")
        wait_total(person, 13)
        person.wait_for(lambda t: "✓ fills the last hole in Gewächshaus" in answer(t), PATIENCE)
        type_in(person, ".gr", "held: grau, früh")
        type_in(person, "ka 2-2 *3 !4-5", receipt(3, "Kachel 2x2", "grau, früh", "4-5  → B3"))
        type_in(person, "hinge *2", receipt(2, "hinge-1x2", "grau, früh"))
        type_in(person, ".", "nothing held")
        type_in(person, "pl24 w #crack *7", receipt(7, "Platte 2x4", "weiß", "5 cracked  → B1"))
        wait_total(person, 25)
        count_on_the_keypad(person)
        person.wait_for("▲ B1", PATIENCE)
        person.press(".", ".", ".")
        wait_total(person, 47)

        person.press("/")
        person.send("pl 24 w")
        person.wait_for(
            lambda t: "> pl 24 w" in entry(t) and "Platte 2x4" in panel(t.screen_text(), "at hand"), PATIENCE
        )
        for (columns, lines), more in zip(((80, 24), (200, 60)), ("e", "i"), strict=True):
            before = entry(person).strip("> ").rstrip()
            person.resize(columns, lines)
            person.send(more)
            person.wait_for(
                lambda t, wanted=before + more, last=lines - 1: (
                    entry(t).strip("> ").rstrip() == wanted and "leave" in t.screen_text().split("\n")[last]
                ),
                PATIENCE,
            )
            wait_total(person, 47)
            person.wait_for("▲ B1", PATIENCE)
        person.settle()
        seen = person.screen_text()
        person.kill()

    before = figures(bench)
    assert sum(row["quantity"] for row in before) == 47
    with open_bench(bench, columns=200, rows=60) as person:
        wait_total(person, 47)
        person.wait_for(panel(seen, "crates"), PATIENCE)
        last = panel(seen, "just counted")
        person.wait_for(lambda t: panel(t.screen_text(), "just counted") == last, PATIENCE)
    assert figures(bench) == before

    sheet = tmp_path / "sheet"
    assert shell("--bench", bench, "export", sheet).returncode == 0
    report = frictionless.validate(str(sheet / "datapackage.json"))
    assert report.valid, report.flatten(["rowNumber", "fieldName", "type", "message"])
    other = tmp_path / "other"
    assert shell("new", other).returncode == 0
    assert shell("--bench", other, "import", "counts", "--yes", sheet).returncode == 0
    assert figures(other) == before
    again = shell("--bench", other, "import", "counts", "--yes", sheet)
    assert again.returncode == 0 and "Nothing to count" in again.stderr and figures(other) == before


def panel(screen: str, title: str) -> str:
    """The first line under a panel's title."""
    lines = screen.split("\n")
    row = next(number for number, line in enumerate(lines) if f"━ {title}" in line)
    column = lines[row].index(f"━ {title}") - 1
    width = lines[row].index("┑", column) - column + 1
    return lines[row + 1][column : column + width].rstrip()
