"""Treatments at a bench: the sheet, the log whose counts follow, the rates, and all of it on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.desks.treat_desk import Bath, CameOut, TreatDesk
from sortbench.engine.entry import parse
from sortbench.engine.figures.success import rate
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Fate
from tests.unit.cli_bench import call, make_bench, rows

PLATE = Kind("plate-2x4", "white")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Ten white plates of grade 3 and four of grade 2 in B1, four more of grade 2 in REST."""
    path = make_bench(tmp_path / "bench")
    with Bench.open(path) as bench:
        bench.count(PLATE, 10, Grade.G3, bin_label="B1")
        bench.count(PLATE, 4, Grade.G2, bin_label="B1")
        bench.count(PLATE, 4, Grade.G2, bin_label="REST")
    return path


def heaps(path: Path) -> dict[tuple[str, str, str], int]:
    with Bench.open(path) as bench:
        return {
            (cell.bin, cell.grade.label if cell.grade else "", cell.fate.value): there
            for cell, there in bench.picture.ledger.counts.items()
        }


def test_the_counts_follow_what_came_of_the_pieces_and_undo_takes_it_back(folder: Path) -> None:
    before = heaps(folder)
    with Bench.open(folder) as bench:
        desk = TreatDesk(bench)
        bath = Bath("20vol", 5, 21, " in the shed ")
        done, notices = desk.record(PLATE, parse("x !3"), bath, CameOut(7, 2, 1, Grade.G4_5))
        assert (done.id, done.quantity, done.grade, done.note) == ("P1", 10, Grade.G3, "in the shed")
        # 20 volumes are 6.07 % w/v by definition, in a litre of about 1,020 g.
        assert done.strength_ww == pytest.approx(6.07 / 1.02, rel=0.005)
        assert len(notices) == 2
        assert "grade 3 to 4-5" in notices[0].text
    after = heaps(folder)
    assert after["B1", "4-5", "kept"] == 7
    assert after["B1", "3", "kept"] == 2
    assert after["", "3", Fate.OUT.value] == 1
    assert sum(after.values()) == sum(before.values())
    with Bench.open(folder) as bench:
        assert TreatDesk(bench).treatments == {"P1": done}
        bench.undo()
        bench.undo()
    assert heaps(folder) == before


def test_improved_pieces_without_a_new_grade_leave_the_counts(folder: Path) -> None:
    before = heaps(folder)
    with Bench.open(folder) as bench:
        done, notices = TreatDesk(bench).record(PLATE, parse("x !3 *3"), Bath(), CameOut(2, 1))
        assert (done.strength_ww, done.hours, done.temp_c, notices) == (None, None, None, ())
    assert heaps(folder) == before


@pytest.mark.parametrize(
    ("entry", "out", "words"),
    [
        ("x", CameOut(unchanged=4), "lies in 3 heaps"),
        ("x !2", CameOut(unchanged=4), r"4 grade 2 \(REST\)"),
        ("x !5", CameOut(unchanged=1), "No such piece"),
        ("x #crack", CameOut(unchanged=1), "No such piece"),
        ("x !3", CameOut(unchanged=11), "cannot have been treated: 10 grade 3"),
        ("x !3 *9", CameOut(unchanged=8), "make 8, not the 9"),
        ("x !3", CameOut(), "cannot be treated at once"),
        ("x !3", CameOut(1, grade=Grade.G2), "have not improved"),
        ("x !3", CameOut(unchanged=1, grade=Grade.G4), "none improved"),
    ],
)
def test_what_does_not_agree_is_refused_and_nothing_is_noted(
    folder: Path, entry: str, out: CameOut, words: str
) -> None:
    before = heaps(folder)
    with Bench.open(folder) as bench:
        with pytest.raises(DataError, match=words):
            TreatDesk(bench).record(PLATE, parse(entry), Bath(), out)
        assert not TreatDesk(bench).treatments
    assert heaps(folder) == before


def test_a_strength_without_a_sure_unit_is_not_noted(folder: Path) -> None:
    with Bench.open(folder) as bench, pytest.raises(DataError, match="unit"):
        TreatDesk(bench).record(PLATE, parse("x !3"), Bath("6%"), CameOut(unchanged=1))


def test_pieces_set_aside_are_let_go_before_they_change(folder: Path) -> None:
    with Bench.open(folder) as bench:
        bench.crates.reserve(PLATE, 8, "T-03", Grade.G3)
        with pytest.raises(DataError, match="set aside"):
            TreatDesk(bench).record(PLATE, parse("x !3"), Bath(), CameOut(7, 2, 1, Grade.G4))
        assert not TreatDesk(bench).treatments
        done, _ = TreatDesk(bench).record(PLATE, parse("x !3"), Bath(), CameOut(2, grade=Grade.G4))
        assert done.improved == 2


def test_flaws_stay_with_pieces_that_improved(folder: Path) -> None:
    with Bench.open(folder) as bench:
        bench.count(PLATE, 2, Grade.G2, (Flaw.SCRATCHED,), bin_label="REST")
        TreatDesk(bench).record(PLATE, parse("x #scratch @rest"), Bath(), CameOut(2, grade=Grade.G3))
        counts = bench.picture.ledger.counts
        assert [n for cell, n in counts.items() if cell.flaws == (Flaw.SCRATCHED,) and cell.grade is Grade.G3] == [2]


def test_a_struck_treatment_counts_for_nothing_and_can_be_brought_back(folder: Path) -> None:
    with Bench.open(folder) as bench:
        desk = TreatDesk(bench)
        desk.record(PLATE, parse("x !3"), Bath(), CameOut(unchanged=9, broken=1))
        desk.record(PLATE, parse("x !3"), Bath(), CameOut(3))
        assert desk.rates()[-1].breakage == rate(1, 13)
        assert desk.strike("p1").struck
        with pytest.raises(DataError, match="struck already"):
            desk.strike("P1")
    with Bench.open(folder) as bench:
        desk = TreatDesk(bench)
        assert desk.treatments["P1"].struck
        assert desk.rates()[-1].breakage == rate(0, 3)
        assert not desk.strike("P1", back=True).struck
        assert desk.rates()[-1].breakage == rate(1, 13)
        with pytest.raises(DataError, match="P9"):
            desk.strike("P9")
        done, _ = desk.record(PLATE, parse("x !3"), Bath(), CameOut(unchanged=1))
        assert done.id == "P3"


# The command line


def test_the_sheet_has_amounts_hazards_cautions_and_what_was_seen(folder: Path) -> None:
    told = call("--bench", folder, "treat", "sheet", "11.9%w/w", "6%w/w", "1000")
    assert told.exit_code == 0, told.stderr
    text = " ".join(told.stdout.split())
    for words in (
        *("Nothing is promised", "weigh out: 515 g of stock and 506 g of water", "H318", "H319", "November 2026"),
        *("no treatment was recorded", "Goggles", "brittle", "licensed practice", "common practice, no source"),
    ):
        assert words in text
    assert max(map(len, told.stdout.splitlines())) <= 100
    call("--bench", folder, "treat", "record", "plate 2x4 white !3", "--improved", "7", "--unchanged", "3")
    again = call("--bench", folder, "treat", "sheet", "11.9%w/w", "6%w/w", "1000").stdout
    assert "white: 10 pieces in 1 bath; improved 70 % (35 to 93 %), broken 0 % (0 to 31 %)" in " ".join(again.split())


@pytest.mark.parametrize("command", ["sheet", "dilute"])
def test_amounts_for_other_programs(folder: Path, command: str) -> None:
    told = call("--bench", folder, "treat", command, "12%w/v", "6%w/v", "1000", "--json")
    [row] = rows(told, {"sheet": "sheet", "dilute": "dilution"}[command])
    assert (row["stock_ml"], row["water_ml"]) == pytest.approx((500, 500))
    assert row["stock_g"] * row["stock_pct_ww"] == pytest.approx(row["final_g"] * row["bath_pct_ww"])
    assert (row["stock_hazard_codes"], row["bath_hazard_codes"]) == (["H318"], ["H319"])
    assert row["promise"].startswith("Nothing is promised")
    assert all(each["source"] for each in row["cautions"])
    assert "Nothing is promised" in told.stderr


def test_restricted_stock_needs_a_claim_and_gets_a_warning(folder: Path) -> None:
    refused = call("--bench", folder, "treat", "dilute", "35%w/w", "6%w/w", "500")
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert "2019/1148" in refused.stderr
    claimed = call("--bench", folder, "treat", "dilute", "35%w/w", "6%w/w", "500", "--licensed")
    assert claimed.exit_code == 0
    assert "WARNING" in claimed.stdout
    assert "H315 skin irritation; H318 serious eye damage; H335" in claimed.stdout


@pytest.mark.parametrize(
    "asked", [("6%", "3%w/w", "500"), ("3%w/w", "6%w/w", "500"), ("0%w/w", "3%w/w", "500"), ("6%w/w", "3%w/w", "0")]
)
def test_a_bath_that_cannot_be_is_refused(folder: Path, asked: tuple[str, ...]) -> None:
    told = call("--bench", folder, "treat", "dilute", *asked)
    assert (told.exit_code, told.stdout) == (1, "")


def test_noting_looking_and_striking(folder: Path) -> None:
    told = call(
        *("--bench", folder, "treat", "record", "plate 2x4 white !3", "--improved", "7", "--unchanged", "2"),
        *("--broken", "1", "--grade", "4-5", "--strength", "6%w/w", "--hours", "5", "--note", "[red]x", "--json"),
    )
    [row] = rows(told, "treatments")
    assert (row["treatment"], row["grade"], row["grade_after"], row["strength_ww"]) == ("P1", "3", "4-5", 6)
    assert "7 improved, 2 unchanged, 1 broken" in told.stderr
    assert "Nothing is promised" in told.stderr
    log = call("--bench", folder, "treat", "log")
    for words in ("P1", "3 -> 4-5", "6 % w/w, 5 h", "[red]x"):
        assert words in log.stdout
    assert rows(call("--bench", folder, "treat", "log", "--json"), "treatments") == [row]
    by_shade = rows(call("--bench", folder, "treat", "rates", "--json"), "treatment_rates")
    assert [(each["shade"], each["quantity"]) for each in by_shade] == [("white", 10), (None, 10)]
    # 7 of 10, Clopper and Pearson: 34.75 to 93.33 %, as scipy gives it.
    assert (by_shade[0]["success"]["low"], by_shade[0]["success"]["high"]) == pytest.approx((0.3475, 0.9333), abs=1e-4)
    table = call("--bench", folder, "treat", "rates")
    assert "70 % (35 to 93 %)" in table.stdout
    assert "luck" in table.stderr
    assert call("--bench", folder, "treat", "strike", "P1").exit_code == 0
    assert rows(call("--bench", folder, "treat", "rates", "--json"), "treatment_rates") == []
    assert call("--bench", folder, "treat", "strike", "P1").exit_code == 1
    assert call("--bench", folder, "treat", "strike", "P1", "--back").exit_code == 0


@pytest.mark.parametrize("entry", [".white", "+bell", "!3"])
def test_an_entry_that_names_no_pieces_is_refused(folder: Path, entry: str) -> None:
    assert call("--bench", folder, "treat", "record", entry, "--unchanged", "1").exit_code == 1
