"""The gestures of the bench, each from the keys to what is on disk."""

from __future__ import annotations

import shutil
from pathlib import Path

from person import (
    PATIENCE,
    answer,
    entry,
    head,
    leave,
    open_bench,
    receipt,
    records,
    rows,
    shown_total,
    slot,
    total,
    type_in,
    wait_bench,
    wait_total,
)
from terminal import Terminal


def cell(folder: Path, **wanted: object) -> int:
    """Pieces in the heaps that have such columns."""
    found = rows(folder, "counts")
    return sum(row["quantity"] for row in found if all(row[name] == value for name, value in wanted.items()))


def on_the_keypad(person: Terminal) -> None:
    """Leave typing, wait for the keypad."""
    person.press("escape")
    person.wait_for("? help", PATIENCE)


def test_a_list_is_written_up_with_the_entry_line(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        person.press("f3")
        person.wait_for("T-01 Signal Hut", PATIENCE)
        person.press("right", "right")
        person.wait_for("T-03 Glasshouse", PATIENCE)
        person.press("w")
        wait_bench(person)
        person.wait_for(lambda t: "writing up Glasshouse" in head(t), PATIENCE)
        type_in(person, "ti22 wh *4", receipt(4, "tile 2x2", "white", "→ the list"))
        type_in(person, "arch gr ea *2", receipt(2, "arch 1x6x2", "grey, early", "→ the list"))
        on_the_keypad(person)
        person.press(slot(person, "tile 2x2"))
        person.wait_for(receipt(1, "tile 2x2", "white", "→ the list"), PATIENCE)
        person.press("/")
        type_in(person, ".", "nothing held")
        person.wait_for(lambda t: "writing up" not in head(t), PATIENCE)
        assert shown_total(person) == 0
        type_in(person, "ti22 wh", receipt(1, "tile 2x2", "white", "5  → REST"))
        assert leave(person) == 0
    lines = [
        (row["part"], row["shade"], row["quantity"], row["present"]) for row in rows(bench_folder, "targets", "T-03")
    ]
    assert sorted(lines) == [("arch-1x6x2", "grey, early", 2, 0), ("tile-2x2", "white", 5, 0)]
    assert total(bench_folder) == 1


def test_an_unknown_part_is_added_and_counted_in_one_line(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        person.send("hinge plate 1x2 red")
        person.wait_for("Nothing is called", PATIENCE)
        person.press("home", "+", "end")
        person.send(" *2 !3\r")
        person.wait_for(receipt(2, "hinge plate 1x2", "red", "3  → FADED"), PATIENCE)
        person.wait_for(lambda t: "added the part hinge-plate-1x2" in answer(t), PATIENCE)
        person.press("up")
        person.wait_for(lambda t: "picked: type what is right and Enter" in answer(t), PATIENCE)
        person.press("down")
        person.wait_for(lambda t: "picked" not in answer(t), PATIENCE)
        type_in(person, "hi 12 re", receipt(1, "hinge plate 1x2", "red", "5  → B2"))
        assert leave(person) == 0
    assert cell(bench_folder, part="hinge-plate-1x2") == 3


def test_a_tally_picked_with_up_is_put_right_and_another_voided(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        type_in(person, "pl24 re *4", receipt(4, "plate 2x4", "red"))
        type_in(person, "br24 re *3", receipt(3, "brick 2x4", "red"))
        type_in(person, "ti22 wh", receipt(1, "tile 2x2", "white"))
        person.press("up", "up")
        person.wait_for(lambda t: "▸    3" in t.screen_text(), PATIENCE)
        person.wait_for(lambda t: "picked: type what is right and Enter" in answer(t), PATIENCE)
        type_in(person, "*5 !3", receipt(5, "brick 2x4", "red", "3  → FADED"))
        wait_total(person, 10)
        person.wait_for(lambda t: "instead of 3 × brick 2x4 red" in answer(t), PATIENCE)
        on_the_keypad(person)
        person.press("up", "up", "up")
        person.wait_for(lambda t: "▸    3" in t.screen_text(), PATIENCE)
        person.press("down", "up", "up")
        person.wait_for(lambda t: "▸    4" in t.screen_text(), PATIENCE)
        person.press("delete")
        person.wait_for("voided: 4 × plate 2x4 red", PATIENCE)
        wait_total(person, 6)
        person.press(".")
        wait_total(person, 4)
        assert leave(person) == 0
    assert total(bench_folder) == 4


def test_a_pasted_list_is_counted_after_enter(bench_folder: Path) -> None:
    pasted = b"\x1b[200~pl24 re *2\r\nbr24 re\r\n\r\nti22 wh *3\x1b[201~"
    with open_bench(bench_folder) as person:
        person.send(pasted)
        person.wait_for("3 lines pasted", PATIENCE)
        assert "3 × tile 2x2" in person.screen_text() and shown_total(person) == 0
        person.press("escape")
        person.wait_for("3 pasted lines let go, not counted", PATIENCE)
        person.send("\r")
        person.wait_for("Nothing has been counted yet", PATIENCE)
        person.send(pasted)
        person.wait_for("3 lines pasted", PATIENCE)
        person.press("enter")
        wait_total(person, 6)
        person.send(b"\x1b[200~pl24 re\nnobody knows this\nti22 wh\x1b[201~")
        person.wait_for("3 lines pasted", PATIENCE)
        person.press("enter")
        wait_total(person, 7)
        person.wait_for("nobody knows this", PATIENCE)
        person.wait_for(lambda t: "✗" in answer(t) and "1 more wait" in answer(t), PATIENCE)
        person.send("\x15")
        person.wait_for(lambda t: "nobody" not in entry(t), PATIENCE)
        person.press("enter")
        wait_total(person, 8)
        assert leave(person) == 0
    assert [r["quantity"] for r in records(bench_folder) if r["what"] == "tally"] == [2, 1, 3, 1, 1]


def test_what_is_held_is_shown_and_let_go(bench_folder: Path) -> None:
    with open_bench(bench_folder, columns=80, rows=24) as person:
        type_in(person, ".grey l", "held: grey, late")
        type_in(person, ".!4-5", "grade 4-5")
        type_in(person, ".@b2", "bin B2")
        person.wait_for(lambda t: all(w in head(t) for w in ("grey, late", "grade 4-5", "into B2")), PATIENCE)
        type_in(person, "pl24", receipt(1, "plate 2x4", "grey, late", "4-5  → B2"))
        type_in(person, "pl24 re !5 @rest", receipt(1, "plate 2x4", "red", "5  → REST"))
        type_in(person, ".", "nothing held")
        person.wait_for(lambda t: "grade 5" in head(t) and "grey" not in head(t) and "into" not in head(t), PATIENCE)
        assert leave(person) == 0
    assert cell(bench_folder, shade="grey, late", grade="4-5", bin="B2") == 1


def test_pieces_are_set_aside_discarded_and_regraded(bench_folder: Path) -> None:
    with open_bench(bench_folder, columns=80, rows=24) as person:
        type_in(person, "pl24 re *3", receipt(3, "plate 2x4", "red", "5  → B1"))
        on_the_keypad(person)
        person.press("-")
        person.wait_for(receipt(3, "plate 2x4", "red", "4  → B1"), PATIENCE)
        person.press("-")
        person.wait_for(receipt(3, "plate 2x4", "red", "3  → FADED"), PATIENCE)
        person.press("+")
        person.wait_for(receipt(3, "plate 2x4", "red", "4  → B1"), PATIENCE)
        person.press("*")
        person.wait_for("set aside for another wash", PATIENCE)
        wait_total(person, 3)
        person.press("x")
        person.wait_for("→ discarded", PATIENCE)
        wait_total(person, 2)
        person.press("x", "x")
        person.wait_for("no longer in its bin", PATIENCE)
        wait_total(person, 1)
        person.press("u", "u")
        wait_total(person, 3)
        assert leave(person) == 0
    assert cell(bench_folder, fate="to wash") == 1 and cell(bench_folder, bin="B1", grade="4") == 2


def test_a_bin_that_overflows_is_split(demo_folder: Path, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    shutil.copytree(demo_folder, folder)
    before = {row["bin"]: row for row in rows(folder, "bins")}
    pieces = total(folder)
    with open_bench(folder) as person:
        person.wait_for("▲ B13", PATIENCE)
        person.press("f4")
        person.wait_for("in B13 ", PATIENCE)
        person.press("s")
        person.wait_for("Split B13?", PATIENCE)
        person.press("x")
        person.wait_for("left as it was", PATIENCE)
        person.press("s", "y")
        person.wait_for(lambda t: "▲" not in t.screen_text() and "Split B13?" not in t.screen_text(), PATIENCE)
        person.press("escape")
        wait_total(person, pieces)
        assert leave(person) == 0
    after = {row["bin"]: row for row in rows(folder, "bins")}
    new = set(after) - set(before)
    assert len(new) == 1 and set(before) < set(after)
    assert after["B13"]["quantity"] + after[new.pop()]["quantity"] == before["B13"]["quantity"]
    assert total(folder) == pieces
