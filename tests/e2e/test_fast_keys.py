"""Keys faster than any hand: what a program reads at once is still one key after the other."""

from __future__ import annotations

from pathlib import Path

from person import PATIENCE, at_terminal, entry, leave, open_bench, receipt, records, slot, total, type_in, wait_total


def test_a_key_right_behind_escape_is_a_key_of_the_keypad(bench_folder: Path) -> None:
    """A terminal writes Escape and a fast next key as it writes Alt and that key; nothing here is on Alt."""
    with open_bench(bench_folder, columns=80, rows=24) as person:
        type_in(person, "pl24 re", receipt(1, "plate 2x4", "red"))
        for key in "0123456789-+*=,.fbasdxuvvpr[O":
            person.send(b"\x1b" + key.encode())
            person.wait_for("? help", PATIENCE)
            person.press("escape", "/")
            person.wait_for(lambda t: "F1 help" in t.screen_text() and "what is it?" in entry(t), PATIENCE)


def test_keys_struck_while_it_starts(bench_folder: Path) -> None:
    """Until the program takes the keyboard, the terminal itself makes a line feed of Enter (termios(3), ICRNL)."""
    with at_terminal("--bench", bench_folder) as person:
        person.send("pl24 re\r")
        wait_total(person, 1)
        person.send("br24 re *2\n")
        wait_total(person, 3)
        person.press("escape", "\n")
        wait_total(person, 4)


def test_ctrl_c_says_how_to_leave(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        person.press("ctrl+c")
        person.wait_for("F10 leaves", PATIENCE)
        assert leave(person) == 0


def test_two_hundred_keys_at_once_on_the_keypad(bench_folder: Path) -> None:
    with open_bench(bench_folder) as person:
        person.press("escape")
        person.wait_for("? help", PATIENCE)
        person.press("0")
        person.wait_for("tray shades", PATIENCE)
        person.press(slot(person, "red"), "0")
        person.wait_for("tray red", PATIENCE)
        plate, brick = slot(person, "plate 2x4"), slot(person, "brick 2x4")
        person.send((plate + brick + plate + "u") * 50)
        wait_total(person, 100)
        assert leave(person) == 0
    written = records(bench_folder)
    struck = [record["part"] for record in written if record["what"] == "tally"]
    assert struck == ["plate-2x4", "brick-2x4", "plate-2x4"] * 50
    assert sum(record["what"] == "void" for record in written) == 50
    assert total(bench_folder) == 100


def test_lines_typed_at_once(bench_folder: Path) -> None:
    lines = [f"{words} *{n}" for n in range(1, 9) for words in ("pl24 re", "br24 re", "ti22 wh")]
    with open_bench(bench_folder) as person:
        text = "".join(f"{line}\r" for line in lines)
        assert len(text) > 200
        person.send(text)
        wait_total(person, 3 * 36)
        assert leave(person) == 0
    written = [(record["part"], record["quantity"]) for record in records(bench_folder) if record["what"] == "tally"]
    assert written == [(part, n) for n in range(1, 9) for part in ("plate-2x4", "brick-2x4", "tile-2x2")]
