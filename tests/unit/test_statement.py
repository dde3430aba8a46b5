"""Statements of a bench's targets: what is told, what is left open, and all of it on the command line."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.desks.additions import add_target
from sortbench.desks.pick_desk import PickDesk, Tick
from sortbench.desks.reconcile_desk import keep
from sortbench.desks.recount_desk import RecountDesk
from sortbench.desks.spot_desk import SpotDesk
from sortbench.desks.statement_desk import statement
from sortbench.desks.treat_desk import Bath, CameOut, TreatDesk
from sortbench.desks.wash_desk import WashDesk
from sortbench.engine.entry import parse
from sortbench.engine.reconciling.what_if import WhatIf
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Fate
from sortbench.model.target import Line, StandIn, Target
from sortbench.papers.statement_files import markdown_of, page_of, text_of
from tests.small_bench import ticking
from tests.unit.cli_bench import call, make_bench, rows

PLATE, BELL, LATE = Kind("plate-2x4", "white"), Kind("bell", "grey, early"), Kind("bell", "grey, late")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Glasshouse asks for four white plates and a late bell, for which an early one may stand in; all are counted."""
    path = make_bench(tmp_path / "b")
    with Bench.open(path, ticking()) as bench:
        lines = (Line(PLATE, 4, Grade.G4), Line(LATE, 1, stand_ins=(StandIn(BELL, 2),)))
        add_target(bench, Target("T-09", "Glasshouse", 1990, 1, lines))
        keep(bench, WhatIf().with_parked("T-03", True))
        bench.count(PLATE, 3, Grade.G4, way="pad")
        bench.count(PLATE, 2, Grade.G3, (Flaw.CHIPPED,))
        bench.count(BELL, 1)
    return path


def told(bench: Bench, code: str = "T-09", **options: bool) -> str:
    """The text without its line breaks."""
    return " ".join(text_of(statement(bench, code, clock=ticking(), **options)).split())


def pick_all(bench: Bench, code: str = "T-09") -> None:
    PickDesk(bench, code).tick_all()


def test_what_is_not_in_the_crate_is_not_claimed(folder: Path) -> None:
    with Bench.open(folder) as bench:
        assert "Not complete: 0 of 5 pieces in the box, 5 missing on 2 of 2 lines." in told(bench)
        assert "No piece is there to speak of." in told(bench)
        assert "Would be complete: all 5 pieces on 2 lines would be there, 1 of them" in told(bench, as_shared=True)
        assert "it is not picked." in told(bench, as_shared=True)


def test_a_complete_box_with_a_stand_in(folder: Path) -> None:
    with Bench.open(folder) as bench:
        pick_all(bench)
        text = told(bench)
        assert "T-09 · sold in 1990 · as of 2026-03-01" in text
        assert "Complete: all 5 pieces on 2 lines in the box, 1 of them as stand-ins." in text
        assert "- line 2: 1 × bell, grey, early for bell, grey, late, 2 points" in text
        # The bell's years are told by nobody; plates and white were made from 1960 to 2000.
        assert "4 of 5 pieces there are of a part and a shade made in 1990" in text
        assert "Of 1 piece the years are not known: nothing is claimed of them." in text
        assert "4 of 5 pieces there have no flaw noted." in text
        assert "- grade 5: 1 piece - grade 4: 3 pieces - grade 3: 1 piece - chipped: 1 piece" in text
        assert "1 piece of a lower grade than the lowest that their line takes." in text
        assert "Missing" not in text
        assert (
            "6 pieces of these kinds tallied at this bench, in the box or not, in 1 sitting, 2026-03-01 (UTC): "
            "3 on the keypad, 3 typed by name. No spot check of the counts is on record." in text
        )


def test_one_piece_less_in_the_crate_and_it_is_complete_no_longer(folder: Path) -> None:
    with Bench.open(folder) as bench:
        pick_all(bench)
        assert " Complete: " in told(bench)
        row = next(row for row in PickDesk(bench, "T-09").listed().rows if row.kind == BELL)
        PickDesk(bench, "T-09").put_back([Tick(row.number, 1)])
        assert "Not complete: 4 of 5 pieces in the box, 1 missing on 1 of 2 lines." in told(bench)
        assert "- line 2: 1 × bell, grey, late" in told(bench)
        pick_all(bench)
        assert " Complete: " in told(bench)


def test_a_parked_target_keeps_what_is_in_its_box(folder: Path) -> None:
    with Bench.open(folder) as bench:
        pick_all(bench)
        with bench.folder.documents.edit() as draft:
            draft.targets["T-09"] = draft.targets["T-09"]._replace(parked=True)
        bench.reload()
        assert " Complete: " in told(bench)


def test_what_no_line_asks_for_is_told_apart(folder: Path) -> None:
    with Bench.open(folder) as bench:
        pick_all(bench)
        cell = next(cell for cell in bench.picture.ledger.of_kind(PLATE) if cell.fate is Fate.KEPT)
        bench.sitting.carry(cell, 1, "T-09")
        assert "Also in the box" in told(bench)
        assert "- 1 × plate 2x4, white (grade 3, chipped)" in told(bench)


def test_an_empty_list_is_never_complete(folder: Path) -> None:
    with Bench.open(folder) as bench:
        assert "The list is empty, so nothing can be said of what is missing." in told(bench, "T-05")


def test_pieces_that_were_to_be_washed_when_they_were_picked(folder: Path) -> None:
    with Bench.open(folder) as bench:
        assert "No piece there is noted as waiting for a wash." in told(bench, as_shared=True)
        bench.count(LATE, 1)
        bench.put_aside(Fate.WASH)
        assert "1 piece put aside for a wash, and not noted as washed since:" in told(bench, as_shared=True)
        assert "No piece there is noted as waiting for a wash." in told(bench)
        pick_all(bench)
        assert "1 piece put aside for a wash, and not noted as washed since:" in told(bench)
        assert "- 1 × bell, grey, late (grade 5)" in told(bench)


def test_batches_are_told_without_saying_which_pieces_were_in_them(folder: Path) -> None:
    with Bench.open(folder) as bench:
        assert "No batch is noted at this bench." in told(bench)
        desk = WashDesk(bench, ticking())
        desk.new("whites")
        desk.next_stage("W1")
        assert (
            "Batches washed at this bench: W1 (whites): soak, rinse, not noted as dry. Which pieces were in which is "
            "not noted." in told(bench)
        )


def treat(bench: Bench, entry: str, out: CameOut) -> str:
    return TreatDesk(bench).record(PLATE, parse(entry), Bath(), out)[0].id


def test_treated_pieces_are_told_within_the_bounds_that_the_log_sets(folder: Path) -> None:
    with Bench.open(folder) as bench:
        assert "No treatment of these kinds is on record at this bench." in told(bench, as_shared=True)
        # Of five plates two came through a bath. The box has four, so one of these at least.
        number = treat(bench, "x !4", CameOut(1, 1, 0, Grade.G5))
        pick_all(bench)
        assert "- 1 to 2 of 4 × plate 2x4, white in the box" in told(bench)
        # Nobody knows whether the next two are the same ones; of all five no fewer than two were treated.
        treat(bench, "x !3 @B1", CameOut(1, 0, 0, Grade.G4))
        assert "- 1 to 3 of 4 × plate 2x4, white in the box" in told(bench)
        # A note that is struck leaves the records, and these say that pieces were treated.
        TreatDesk(bench).strike(number)
        assert "- up to 2 of 4 × plate 2x4, white in the box" in told(bench)


def test_a_treatment_of_every_piece_is_told_as_a_fact(folder: Path) -> None:
    with Bench.open(folder) as bench:
        bell = TreatDesk(bench).record(BELL, parse("x"), Bath(), CameOut(0, 1, 0))[0]
        pick_all(bench)
        assert "- 1 of 1 × bell, grey, early in the box" in told(bench)
        TreatDesk(bench).strike(bell.id)
        assert "No treatment of these kinds is on record at this bench." in told(bench)


def test_without_a_year_nothing_is_said_of_period(folder: Path) -> None:
    with Bench.open(folder) as bench:
        add_target(bench, Target("T-10", "Peat Tramway", None, 2, (Line(PLATE, 1),)))
        assert "T-10 · year not told · as of" in told(bench, "T-10")
        assert "The year of the set is not told, so nothing is said of period." in told(bench, "T-10")


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not {name for name, _ in attrs} & {"src", "href", "onload", "onclick"}

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_names_are_never_taken_for_markup(folder: Path) -> None:
    hostile = '[red]x[/ <script>alert("1")</script> | `a` *b* _c_ [d](e)'
    with Bench.open(folder) as bench:
        add_target(bench, Target("T-11", hostile, 1990, 2, (Line(Kind("pane", "white"), 1),)))
        stated = statement(bench, "T-11")
    assert hostile in " ".join(text_of(stated).split())
    page = _Page()
    page.feed(page_of(stated))
    assert "script" not in page.tags
    assert f"Statement: {hostile}" in page.words
    heading = markdown_of(stated).splitlines()[0]
    assert re.sub(r"\\(.)", r"\1", heading) == f"# Statement: {hostile}"
    assert not re.search(r"(?<!\\)[*_`<>\[\]|]", heading)
    table = [line for line in markdown_of(stated).splitlines() if line.startswith("|")]
    assert {len(re.findall(r"(?<!\\)\|", line)) for line in table} == {8}


def test_files_are_written_and_only_statements_are_replaced(folder: Path, tmp_path: Path) -> None:
    files = {name: tmp_path / f"out.{name}" for name in ("text", "markdown", "html")}
    options = [word for name, path in files.items() for word in (f"--{name}", path)]
    for _ in range(2):
        result = call("--bench", folder, "statement", "T-09", *options)
        assert (result.exit_code, result.stdout) == (0, ""), result.stderr
        assert result.stderr.count("Written: ") == 3
    assert files["text"].read_text("utf-8").startswith("Statement: Glasshouse\n====")
    assert files["markdown"].read_text("utf-8").startswith("# Statement: Glasshouse\n")
    assert "<script" not in files["html"].read_text("utf-8")
    files["html"].write_text("a letter", "utf-8")
    result = call("--bench", folder, "statement", "T-09", "--html", files["html"])
    assert result.exit_code == 2
    assert "holds something else" in result.stderr
    assert call("--bench", folder, "statement", "T-09", "--html", files["html"], "--overwrite").exit_code == 0
    assert call("--bench", folder, "statement", "T-09", "T-05", "--html", files["html"]).exit_code == 2


def test_json_has_the_figures_of_the_text(folder: Path) -> None:
    with Bench.open(folder) as bench:
        pick_all(bench)
    result = call("--bench", folder, "statement", "T-09", "T-05", "--json")
    found, empty = rows(result, "statement")
    assert (found["target"], found["complete"], found["need"], found["present"], found["short"]) == (
        ("T-09", True, 5, 5, 0)
    )
    assert found["period"] == {"right": 4, "wrong": 0, "unknown": 1}
    assert found["lines"][1]["pieces"] == [
        {
            "part": "bell",
            "shade": "grey, early",
            "name": "bell",
            "quantity": 1,
            "grade": "5",
            "flaw": None,
            "cost": 2,
            "period": "unknown",
            "to_standard": False,
        }
    ]
    assert (empty["complete"], empty["lines"]) == (False, [])
    assert call("--bench", folder, "statement", "T-77").exit_code == 1
    assert "Complete: all 5 pieces" in call("--bench", folder, "statement", "T-09").stdout


def test_shared_speaks_of_what_would_be_picked(folder: Path) -> None:
    result = call("--bench", folder, "statement", "T-09", "--shared")
    assert "Would be complete: all 5 pieces" in result.stdout
    (found,) = rows(call("--bench", folder, "statement", "T-09", "--shared", "--json"), "statement")
    assert (found["as_shared"], found["complete"], found["present"]) == (True, True, 5)


def test_checks_of_bins_that_the_kinds_lay_in_are_told_and_no_others(folder: Path) -> None:
    with Bench.open(folder, ticking()) as bench:
        spots, recounts = SpotDesk(bench, ticking()), RecountDesk(bench, ticking())
        bell = spots.begin("REST")  # the early bell lies there alone
        pick_all(bench)
        assert "No spot check of the counts is on record." in told(bench)
        spots.note(bell.id, "bell grey, early")
        assert (
            "Bins that held 1 of 2 kinds of these were looked over after they were counted. That speaks of the counts "
            "of these bins then, not of single pieces here:" in told(bench)
        )
        assert (
            "bin REST, spot check of 2026-03-01 (ISO 2859-1, level II, limit 1.0): 1 of 1 pieces looked at, 0 wrong; "
            "accepted" in told(bench)
        )
        bench.count(Kind("brick-2x4", "grey, early"), 2)
        other = spots.begin("REST", aql="4")
        spots.note(other.id, "brick 2x4 grey, early *2")
        assert "2 of 2 pieces looked at" not in told(bench)
        spots.strike(bell.id)
        assert "None of the spot checks and recounts on record is of a bin that these kinds lay in." in told(bench)
        recounts.begin("B1")
        recounts.note("R1", "brick 2x4 white *2")
        recounts.note("R1", "plate 2x4 white !4")
        recounts.end("R1")
        assert (
            "bin B1, recounted without sight of the first count, ended 2026-03-01: 0 pieces agree, 1 were not found "
            "again, 3 were not counted; the count was not put right by it" in told(bench)
        )


def test_a_check_that_refused_a_count_is_told_without_an_interval_if_looking_was_broken_off(folder: Path) -> None:
    with Bench.open(folder, ticking()) as bench:
        bench.count(PLATE, 60)
        spots = SpotDesk(bench, ticking())
        spots.begin("B1")
        spots.missing("S1", 1)
        pick_all(bench)
        assert "1 of 65 pieces looked at, 1 wrong; more than the plan bears, so a full recount was asked for" in told(
            bench
        )
        assert "confidence" not in told(bench)
        spots.strike_find("S1")
        spots.note("S1", "plate 2x4 white *13")
        # 1 - 0.025 ** (1 / 13), the closed form of Clopper and Pearson's upper end for none of 13.
        assert "with 95 % confidence 0.0 to 24.7 % of that count were wrong" in told(bench)
        (found,) = rows(call("--bench", folder, "statement", "T-09", "--json"), "statement")
        assert (found["counting"]["spot_checks"], found["counting"]["kinds_checked"]) == (1, 1)
