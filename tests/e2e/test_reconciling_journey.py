"""From counted bins to a filled crate: who gets what is tried out, kept, and picked at the table."""

from __future__ import annotations

from pathlib import Path

from person import PATIENCE, counted, leave, open_bench, receipt, records, rows, type_in, wait_bench, wait_total
from terminal import Terminal

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.target import Line, StandIn

STAND_IN = StandIn(Kind("brick-2x4", "red"), 2)


def line(person: Terminal, words: str) -> str:
    """The first line of the screen that holds these words, empty if none does."""
    return next((each for each in person.screen_text().split("\n") if words in each), "")


def allow_stand_ins(folder: Path) -> None:
    """Let bricks stand in for the plates of Peat Tramway."""
    with Bench.open(folder) as bench, bench.folder.documents.edit() as draft:
        tram = draft.targets["T-02"]
        tile, plate = tram.lines
        draft.targets["T-02"] = tram._replace(lines=(tile, Line(plate.kind, 4, plate.lowest, (STAND_IN,))))


def open_reconcile(person: Terminal) -> None:
    """F6, and wait for the figures."""
    person.press("f6")
    person.wait_for(lambda t: "policy" in line(t, "to standard") and "┍━ crates" in t.screen_text(), PATIENCE)


def test_from_counts_to_a_filled_crate(bench_folder: Path) -> None:
    allow_stand_ins(bench_folder)
    counted(bench_folder, "pl 24 re *5", "br 24 re *3", "ti 22 wh")
    with open_bench(bench_folder) as person:
        wait_total(person, 9)
        open_reconcile(person)
        # Signal Hut has three plates and two bricks; the third brick stands in at Peat Tramway.
        person.wait_for(lambda t: "5/5" in line(t, "1 Signal Hut") and "4/5" in line(t, "2 Peat Tramway"), PATIENCE)
        person.press("down", "+")
        person.wait_for(
            lambda t: "4→5/5" in line(t, "2→1 Peat Tramway") and "5→4/5" in line(t, "1→2 Signal Hut"), PATIENCE
        )
        person.press("-")
        person.wait_for(lambda t: "k keeps it" not in t.screen_text(), PATIENCE)

        # Without the stand-in the brick is spare.
        person.press("right", "down", "right", "end", "a")
        person.wait_for(
            lambda t: (
                "✗ refused" in t.screen_text()
                and "4→3/5" in line(t, "2 Peat Tramway")
                and "0→1 spare" in line(t, "spares  ")
            ),
            PATIENCE,
        )
        person.press("k")
        person.wait_for("y does it", PATIENCE)
        person.press("y")
        person.wait_for("kept: Peat Tramway refuses", PATIENCE)
        person.press("left", "left", "home", "0", "f3")
        person.wait_for("T-01 Signal Hut · 1988", PATIENCE)
        person.press("f6")
        person.wait_for(lambda t: "5→parked" in line(t, "1 Signal Hut"), PATIENCE)
        person.press("escape")
        person.wait_for("let go: all is as it was kept", PATIENCE)
        person.press("p")
        person.wait_for("T-01 Signal Hut · pick list · 1 of 3", PATIENCE)
        person.wait_for("0/5 picked  5 pieces to take from 2 bins", PATIENCE)
        person.press("enter")
        person.wait_for("3/5 picked", PATIENCE)
        person.send("*1\r")
        person.wait_for("4/5 picked", PATIENCE)
        person.settle()
        person.kill()

    with Bench.open(bench_folder) as bench:
        assert bench.documents.targets["T-02"].refused == ((Kind("plate-2x4", "red"), STAND_IN.kind),)
    with open_bench(bench_folder, columns=80, rows=24) as person:
        wait_total(person, 9)
        open_reconcile(person)
        person.press("p")
        person.wait_for("4/5 picked", PATIENCE)
        person.press("down", "enter")
        person.wait_for("all picked", PATIENCE)
        person.press("home", "backspace")
        person.wait_for("2/5 picked", PATIENCE)
        person.press("enter", "escape")
        person.wait_for("┍━ crates", PATIENCE)
        person.press("escape")
        wait_bench(person)
        type_in(person, "pl24 re", receipt(1, "plate 2x4", "red"))
        wait_total(person, 10)
        assert leave(person) == 0
    crate = [(row["part"], row["quantity"]) for row in rows(bench_folder, "counts") if row["fate"] == "in a crate"]
    assert sorted(crate) == [("brick-2x4", 2), ("plate-2x4", 3)]
    assert sum(row["quantity"] for row in rows(bench_folder, "bins")) == 5
    picked = [row for row in records(bench_folder) if row["what"] == "move"]
    assert len(picked) >= 4
