"""`sortbench weigh` and `sortbench pile`, as people and other programs call them."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from cli_bench import call, make_bench, rows

WHITE = "plate 2x4 white"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_bench(tmp_path / "bench")


def run(folder: Path, *words: str) -> str:
    """What a call that must succeed says, on both outputs."""
    result = call("--bench", folder, *words)
    assert result.exit_code == 0, result.stderr
    return result.stdout + result.stderr


def refused(folder: Path, *words: str, code: int = 1) -> str:
    result = call("--bench", folder, *words)
    assert result.exit_code == code, result.stdout + result.stderr
    return result.stderr


def test_from_the_scale_to_the_bin(folder: Path) -> None:
    assert "Nothing is known of the scale yet" in refused(folder, "weigh", "count", WHITE, "155.5")
    assert "steps of 0.01 g" in run(folder, "weigh", "scale", "--step", "0.01", "--repeat", "0.005", "--scatter", "0.5")
    said = run(folder, "weigh", "count", WHITE, "155.5", "--tare", "12.5")
    assert said.startswith("about 143: the catalogue does not say how sure 1 g a piece is\n")
    said = run(folder, "weigh", "count", WHITE, "155.5", "--tare", "12.5", "--handful", "50:62.5", "--shares")
    assert said.startswith("exactly 143\n")
    assert "1.00000 ± 0.00142 g a piece, from 50 pieces in 1 handful" in said
    assert "the uncertainty comes from: mass of a piece: scatter" in said
    assert run(folder, "weigh", "list") == "Nothing was weighed yet.\n", "asking writes nothing"
    said = run(folder, "weigh", "count", f"{WHITE} !4", "155.5", "--tare", "12.5", "--handful", "50:62,5", "--tally")
    assert "143 × plate 2x4, white, grade 4 -> B1" in said
    assert "exactly 143" in said
    assert "143 in all" in said
    (_, record) = rows(call("--bench", folder, "log", "--json"), "tallies")
    assert (record["quantity"], record["way"]) == (143, "weighed")
    assert "143 by hand, as counted" in run(folder, "weigh", "confirm", "G1", "143")
    (learnt,) = rows(call("--bench", folder, "weigh", "masses", "--json"), "masses")
    assert (learnt["part"], learnt["handfuls"], learnt["pieces"], learnt["listed_g"]) == ("plate-2x4", 2, 193, 1.0)
    assert learnt["mass_g"] == pytest.approx(1.0)
    assert run(folder, "weigh", "strike", "G1") == "G1: struck\n"
    assert "struck" in run(folder, "weigh", "list")
    assert "Nothing was learnt yet" in run(folder, "weigh", "masses")


def test_an_answer_for_programs(folder: Path) -> None:
    run(folder, "weigh", "scale", "--step", "0.1", "--repeat", "0.05", "--scatter", "0.5")
    asked = ("--bench", folder, "weigh", "count", WHITE, "464", "--handful", "10:23.2", "--json")
    (row,) = rows(call(*asked), "count_by_weight")
    # Sources: tests/unit/test_counting_by_weight.py, first case.
    assert (row["verdict"], row["quantity"], row["lowest"], row["highest"]) == ("several", 200, 199, 201)
    assert row["u"] == pytest.approx(0.7757, abs=1e-3)
    assert (row["mass_from"], row["handful_pieces"], row["scatter_from"]) == ("handfuls", 10, "told")
    assert row["record"] is None
    (tried,) = rows(call(*asked, "--trials"), "count_by_weight")
    assert tried["trials"] >= 20_000
    assert tried["low"] == pytest.approx(row["low"], abs=0.05)
    (told,) = rows(call("--bench", folder, "weigh", "scale", "--json"), "scale")
    assert (told["step_g"], told["taken"]["error_g"], told["scatter_taken"]) == (0.1, 0.0, 0.005)
    (given,) = rows(
        call("--bench", folder, "weigh", "count", WHITE, "50", "--mass", "2.5", "--mass-u", "0.01", "--json"),
        "count_by_weight",
    )
    assert (given["quantity"], given["mass_from"], given["mass_u_g"]) == (20, "given", 0.01)


def test_a_tally_is_put_right_by_a_count_by_hand(folder: Path) -> None:
    run(folder, "weigh", "scale", "--step", "0.1")
    run(folder, "weigh", "learn", WHITE, "50:62.5:12.5", "--note", "new cup")
    run(folder, "weigh", "count", WHITE, "143", "--tally")
    said = run(folder, "weigh", "confirm", "G2", "142")
    assert "G2: 142 by hand; the tally says so now" in said
    assert "142" in call("--bench", folder, "counts").stdout
    (_, noted) = rows(call("--bench", folder, "weigh", "list", "--json"), "weighings")
    assert (noted["by_hand"], noted["holds"]) == (142, True)


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("count", "nothing such", "20"), 1, "Nothing is called"),
        (("count", "", "20"), 1, "does not name pieces"),
        (("count", "plate *3", "20"), 1, "does not name pieces"),
        (("count", WHITE, "nan"), 1, "no reading of a scale"),
        (("count", WHITE, "10", "--tare", "20"), 1, "no pieces are left"),
        (("count", WHITE, "-5"), 2, "No such option"),
        (("count", WHITE, "20", "--handful", "many"), 1, "is no handful"),
        (("count", WHITE, "20", "--handful", "10:x"), 1, "no number of grams"),
        (("count", WHITE, "20", "--handful", "0:10"), 1, "0 pieces"),
        (("count", WHITE, "20", "--handful", "9999999:10"), 1, "is no handful"),
        (("count", WHITE, "20", "--mass", "0"), 1, "does not weigh"),
        (("count", WHITE, "20", "--mass-u", "1"), 2, "--mass-u belongs"),
        (("count", WHITE, "20", "--mass", "1", "--handful", "10:10"), 2, "not both"),
        (("count", WHITE, "20", "--tally", "--by-hand", "20"), 2, "not both"),
        (("count", WHITE, "20", "--by-hand", "0"), 1, "0 pieces"),
        (("learn", "plate-2x4", "10:10:10"), 1, "no pieces are left"),
        (("learn", "plate-2x4", "10:10", "--note", "a\x1b[31mb"), 1, "note"),
        (("confirm", "G1", "3"), 1, "no weighing"),
        (("strike", "\x1b[2J"), 1, "no weighing"),
        (("scale", "--step", "0"), 1, "steps of 0 g"),
    ],
)
def test_rubbish_is_refused_and_nothing_is_written(folder: Path, words: tuple[str, ...], code: int, said: str) -> None:
    run(folder, "weigh", "scale", "--step", "0.1")
    before = (folder / "bench.json").read_bytes()
    answer = refused(folder, "weigh", *words, code=code)
    assert said in answer
    assert "\x1b" not in answer
    assert (folder / "bench.json").read_bytes() == before
    assert "0 × " not in call("--bench", folder, "log").stdout


# The pile


def the_pile(folder: Path, *words: str) -> dict[str, object]:
    (row,) = rows(call("--bench", folder, "pile", *words, "--json"), "pile")
    return row


def test_a_pile_by_its_weight_and_handfuls(folder: Path) -> None:
    """1,964 pieces by hand: 359 g in 180 pieces; tests/unit/test_pile_size.py has the interval."""
    run(folder, "weigh", "scale", "--step", "1", "--repeat", "0.5")
    run(folder, "tally", f"{WHITE} *12")
    handfuls = ("--handful", "60:120", "--handful", "55:115", "--handful", "65:124")
    load = ("--load", "2410:310", "--load", "2210:310")
    dry = the_pile(folder, *load, *handfuls, "--dry-run")
    assert the_pile(folder)["quantity"] is None
    kept = the_pile(folder, *load, *handfuls)
    assert kept == dry
    assert kept["left"] == pytest.approx(4000 / (359 / 180), abs=1e-3)
    assert (kept["quantity"], kept["counted"]) == (12 + 2006, 12)
    assert kept["left_low"] < kept["left"] < kept["left_high"]  # type: ignore[operator]
    again = the_pile(folder)
    assert {key: again[key] for key in ("quantity", "low", "high")} == {
        key: kept[key] for key in ("quantity", "low", "high")
    }
    said = run(folder, "pile", *load, *handfuls)
    assert "1.99 g a piece on average: 180 pieces in 3 handfuls" in said
    assert "kept with the bench" in said


def test_a_pile_by_what_was_counted_so_far(folder: Path) -> None:
    run(folder, "weigh", "scale", "--step", "1")
    run(folder, "tally", WHITE)
    assert "Too few tallies of pieces with a known mass: 1." in refused(folder, "pile", "--load", "500")
    run(folder, "tally", *([WHITE] * 34), "bell grey late *6")
    found = the_pile(folder, "--load", "500")
    assert found["left"] == pytest.approx(500.0), "plates of 1 g"
    assert (found["mass_unknown"], found["mass_listed"]) == (6, 35)
    assert "left out, for nobody knows what they weigh" in run(folder, "pile", "--load", "500")


def test_a_pile_by_scoops(folder: Path) -> None:
    found = the_pile(folder, "--scoops", "40", "--scoop", "61", "--scoop", "55", "--scoop", "70")
    assert (found["quantity"], found["left"], found["observed"]) == (2480, 2480.0, 186)
    assert "116 pieces in 2 scoops" in run(folder, "pile", "--scoops", "40", "--scoop", "61", "--scoop", "55")


def test_a_pile_that_is_said(folder: Path) -> None:
    assert run(folder, "pile", "2500", "--low", "2200", "--high", "3000").startswith("2500\n2,200 to 3,000\n")
    assert the_pile(folder) == {"quantity": 2500, "low": 2200, "high": 3000, "counted": 0}
    run(folder, "pile", "2500")
    assert the_pile(folder) == {"quantity": 2500, "low": 2500, "high": 2500, "counted": 0}
    run(folder, "pile", "--forget")
    assert the_pile(folder) == {"quantity": None, "low": None, "high": None, "counted": 0}


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("2500", "--low", "3000"), 1, "not plausible"),
        (("2500", "--high", "20000000"), 1, "not plausible"),
        (("--low", "3"), 2, "belong to a size"),
        (("2500", "--load", "100"), 2, "Give one of"),
        (("--handful", "60:120"), 2, "--handful belongs"),
        (("--scoop", "60"), 2, "--scoop belongs"),
        (("--dry-run",), 2, "--dry-run is for"),
        (("--load", "a"), 1, "no number of grams"),
        (("--load", "1:2:3"), 1, "is no load"),
        (("--load", "10:12"), 1, "no pieces are left"),
        (("--load", "100", "--handful", "60:120"), 1, "One handful"),
        (("--scoops", "3", "--scoop", "60"), 1, "One scoop"),
        (("--scoops", "1", "--scoop", "60", "--scoop", "50"), 1, "cannot have been counted"),
    ],
)
def test_rubbish_about_a_pile_is_refused(folder: Path, words: tuple[str, ...], code: int, said: str) -> None:
    run(folder, "weigh", "scale", "--step", "1")
    assert said in refused(folder, "pile", *words, code=code)
    assert the_pile(folder)["quantity"] is None


def test_the_readme_s_weighing_says_what_it_says(folder: Path) -> None:
    """Each line of it is run; what stands behind the # is said."""
    block = (Path(__file__).parents[2] / "README.md").read_text("utf-8").split("<!-- weigh -->\n```sh\n")[1]
    lines = block.split("\n```")[0].splitlines()
    answers = []
    for line in lines:
        command, _, _ = line.partition("#")
        answers.append(run(folder, *shlex.split(command)[1:]))
    assert "steps of 0.1 g" in answers[0]
    assert "exactly 100" in lines[1] and answers[1].startswith("exactly 100\n")
    assert "239 to 240, best 239" in lines[2] and answers[2].startswith("239 to 240, best 239\n")
    assert "100 × plate 2x4, white -> B1" in answers[3]
    assert "100 by hand, as counted" in answers[4]
