"""The library of set lists: brought in from files, kept in one of its own, and refused where it is damaged."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_bench import call, make_bench, rows
from intake_sheets import KNOWN, complaints, plan_of

from sortbench.engine.importing.intake_plan import State
from sortbench.model.errors import BenchError, DataError
from sortbench.model.library import SetList, Wanted
from sortbench.store.library import library_path, load_library, save_library

HUT = SetList("VW-05", "Signal Hut", (Wanted("plate-2x4", "white", 3), Wanted("lever", "red", 1)), 1991)
TRAM = SetList("VW-06", "Peat Tramway", (Wanted("plate-2x4", "white", 2),))
LISTS = {each.code: each for each in (HUT, TRAM)}


# Kept


def test_what_is_kept_is_read_again(tmp_path: Path) -> None:
    assert load_library(tmp_path) == {}
    save_library(tmp_path, LISTS)
    assert load_library(tmp_path) == LISTS
    save_library(tmp_path, {"VW-06": TRAM})
    assert load_library(tmp_path) == {"VW-06": TRAM}
    assert [each.name for each in library_path(tmp_path).parent.iterdir()] == ["lists.jsonl"]


def test_every_flipped_bit_and_every_cut_is_found(tmp_path: Path) -> None:
    """Or changes nothing: blanks of the head may become others that JSON passes over."""
    save_library(tmp_path, LISTS)
    path = library_path(tmp_path)
    sound = path.read_bytes()
    for place in range(len(sound)):
        for bit in range(8):
            path.write_bytes(sound[:place] + bytes([sound[place] ^ 1 << bit]) + sound[place + 1 :])
            try:
                assert load_library(tmp_path) == LISTS
            except BenchError as error:
                assert str(path) in error.message
        path.write_bytes(sound[:place])
        with pytest.raises(BenchError, match="damaged"):
            load_library(tmp_path)


def test_a_newer_format_is_refused_politely(tmp_path: Path) -> None:
    save_library(tmp_path, LISTS)
    path = library_path(tmp_path)
    path.write_bytes(path.read_bytes().replace(b'{"format":1', b'{"format":9'))
    with pytest.raises(BenchError, match="format 9"):
        load_library(tmp_path)


@pytest.mark.parametrize("link", ["library", "library/lists.jsonl"])
def test_nothing_is_read_or_written_through_a_link(tmp_path: Path, link: str) -> None:
    bench, outside = tmp_path / "bench", tmp_path / "outside"
    (bench / link).parent.mkdir(parents=True)
    outside.mkdir()
    (bench / link).symlink_to(outside if link == "library" else outside / "other.jsonl")
    for use in (lambda: load_library(bench), lambda: save_library(bench, LISTS)):
        with pytest.raises(BenchError, match="symbolic link"):
            use()
    assert not list(outside.iterdir())


def test_a_name_that_is_no_text_is_not_written(tmp_path: Path) -> None:
    save_library(tmp_path, LISTS)
    with pytest.raises(DataError, match="surrogate"):
        save_library(tmp_path, {"x": TRAM._replace(name="\ud800")})
    assert load_library(tmp_path) == LISTS


# Brought in


def test_parts_that_nobody_knows_are_kept_by_name_and_nothing_joins_the_catalogue() -> None:
    plan = plan_of("library", "Set;Title;Year;Part;Colour;Qty", "VW-06;Peat Tramway;1987;turf cutter;brown;2")
    assert not plan.errors and not plan.parts and not plan.shades
    assert plan.library == (SetList("VW-06", "Peat Tramway", (Wanted("turf cutter", "brown", 2),), 1987),)
    assert any("1 part and 1 shade" in note for note in plan.notes)


def test_rows_that_repeat_a_line_are_added_to_it_however_they_spell_it() -> None:
    plan = plan_of("library", "set;part;colour;qty", "A;turf cutter;brown;2", "a;Turf-Cutter;Brown;3", "B;cart;tan;1")
    assert [(each.code, each.lines) for each in plan.library] == [
        ("A", (Wanted("turf cutter", "brown", 5),)),
        ("B", (Wanted("cart", "tan", 1),)),
    ]


def test_lines_of_a_file_replace_those_of_the_list_and_the_rest_is_kept() -> None:
    state = State(KNOWN.parts, KNOWN.shades, library=LISTS)
    plan = plan_of("library", "set;part;colour;qty", "vw-06;cart;tan;4", state=state)
    assert plan.library == (TRAM._replace(lines=(Wanted("cart", "tan", 4),)),)
    assert [(each.field, each.old, each.new) for each in plan.changed[0].fields] == [
        ("lines", "1 lines, 2 pieces", "1 lines, 4 pieces")
    ]
    same = plan_of("library", "set;part;colour;qty", "VW-06;plate-2x4;white;2", state=state)
    assert same.same and same.unchanged == ("VW-06",)


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("A;cart;tan;0", "qty"),
        ("A;cart;tan;100000", "qty"),
        ("A;cart;tan;-1", "qty"),
        ("A;;tan;1", "part"),
        ("A;cart;;1", "colour"),
        (";cart;tan;1", "set"),
        ("A;ca\x1b[31mrt;tan;1", "part"),
    ],
)
def test_a_bad_row_is_told_with_its_column(row: str, column: str) -> None:
    plan = plan_of("library", "set;part;colour;qty", row)
    assert [each.column for each in plan.errors] == [column] and not plan.library
    assert complaints(plan)


# On the command line


def test_lists_come_in_are_shown_and_are_dropped_again(tmp_path: Path) -> None:
    bench = make_bench(tmp_path / "bench")
    before = (bench / "bench.json").read_text("utf-8")
    for name in ("tram", "hut"):
        (tmp_path / f"{name}.csv").write_text("part,shade,quantity\nplate 2x4,white,3\nturf cutter,brown,1\n", "utf-8")
    bring = call("--bench", bench, "import", "library", "--yes", tmp_path / "tram.csv", tmp_path / "hut.csv")
    assert bring.exit_code == 0, bring.stderr
    assert "New lists (2): tram, 2 lines, 4 pieces; hut, 2 lines, 4 pieces" in bring.stderr
    shown = rows(call("--bench", bench, "library", "--json"), "library")
    assert [(each["set"], each["lines"], each["pieces"]) for each in shown] == [("tram", 2, 4), ("hut", 2, 4)]
    parts_before = before.count("turf")
    assert (bench / "bench.json").read_text("utf-8").count("turf") == parts_before == 0
    again = call("--bench", bench, "import", "library", "--yes", tmp_path / "tram.csv")
    assert again.exit_code == 0 and "nothing was written" in again.stderr
    dropped = call("--bench", bench, "library", "--drop", "tram")
    assert (dropped.exit_code, dropped.stdout) == (0, "")
    assert [each["set"] for each in rows(call("--bench", bench, "library", "--json"), "library")] == ["hut"]
    wrong = call("--bench", bench, "library", "--drop", "tram")
    assert wrong.exit_code == 1 and "no list 'tram'" in wrong.stderr


def test_a_damaged_library_is_told_and_counting_goes_on(tmp_path: Path) -> None:
    bench = make_bench(tmp_path / "bench")
    save_library(bench, LISTS)
    library_path(bench).write_bytes(library_path(bench).read_bytes()[:-4])
    assert call("--bench", bench, "which-sets").exit_code == 3
    looked = call("--bench", bench, "check")
    assert looked.exit_code == 3 and "lists.jsonl" in looked.stdout + looked.stderr
    assert call("--bench", bench, "tally", "plate 2x4 white").exit_code == 0
