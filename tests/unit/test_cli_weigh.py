"""`sortbench weigh` and `sortbench pile`, as people and other programs call them."""

from __future__ import annotations

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
    assert "weighed" in call("--bench", folder, "log").stdout
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
