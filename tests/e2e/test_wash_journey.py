"""From the tub to dry at a real terminal: a batch is begun, weighed and dry, and a dirty piece comes back clean."""

from __future__ import annotations

from pathlib import Path

from person import PATIENCE, leave, open_bench, rows, shell, type_in, wait_bench


def test_a_wash(bench_folder: Path) -> None:
    begun = shell("--bench", bench_folder, "wash", "new", "reds", "--at", "-25")
    assert begun.returncode == 0, begun.stderr
    with open_bench(bench_folder) as person:
        person.wait_for("bins · W1 stir now", PATIENCE)
        type_in(person, "pl 24 re", "✓ 1 ×")
        person.press("f9")
        person.wait_for("set aside for another wash", PATIENCE)

        person.press("f7")
        person.wait_for("▣─□─□─□─□─□", PATIENCE)
        person.send("s5")
        person.wait_for("■─□─□─□─▣─□", PATIENCE)
        person.send("t400\r")
        person.wait_for("the empty tray weighs 400 g", PATIENCE)
        person.send("w961,5\r")
        person.wait_for("561.5 g of pieces", PATIENCE)
        person.send("c")
        person.wait_for("Signal Hut", PATIENCE)
        person.send("\r")
        person.wait_for("Nothing waits for a wash", PATIENCE)
        person.press("f2")
        wait_bench(person)
        person.wait_for("bins · W1 dry about", PATIENCE)
        assert leave(person) == 0

    noted = [row["what"] for row in rows(bench_folder, "wash", "show", "W1")]
    assert noted == ["soak", "stirred", "drying", "961.5 g"]
    assert [(row["fate"], row["quantity"]) for row in rows(bench_folder, "counts")] == [("kept", 1)]
