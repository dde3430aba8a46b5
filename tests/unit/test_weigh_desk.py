"""Counting by weight at a bench: tallies marked as weighed, what is learnt and taken back, what the disk refuses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from small_bench import PLATE, TILE, make_folder, ticking

from sortbench.bench import Bench
from sortbench.desks.weigh_desk import Question, ScaleTold, Verdict, WeighDesk
from sortbench.engine.board import Receipt
from sortbench.engine.finishing.statement_log import counting_of
from sortbench.engine.weighing.unit_mass import MassFrom, ScatterFrom
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError, WriteError
from sortbench.model.grade import Grade
from sortbench.model.weighing import Handful, Load
from sortbench.store.documents import Documents

HANDFUL = Handful(50, 62.5, 12.5)
"""Fifty plates of 1 g in a cup of 12.5 g."""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(make_folder(tmp_path / "bench"), ticking()) as bench:
        bench.weighing.tell(ScaleTold(0.01, 0.005, scatter=0.005))
        yield bench


def ask(grams: float, *handfuls: Handful, kind: Kind = PLATE) -> Question:
    return Question(kind, Load(grams + 12.5, 12.5), handfuls)


def weigh(bench: Bench, question: Question, by_hand: int | None = None) -> Receipt:
    return bench.weighing.tally(question, bench.weighing.ask(question), by_hand)


def test_a_weighed_load_becomes_a_tally_marked_so(bench: Bench) -> None:
    receipt = weigh(bench, ask(143.05, HANDFUL))
    assert (receipt.quantity, receipt.bin, receipt.note) == (143, "B1", "exactly 143")
    record = bench.picture.ledger.records[receipt.record]
    assert (record.way, record.quantity) == ("weighed", 143)
    (noted,) = bench.weighing.weighings.values()
    assert (noted.id, noted.part, noted.record) == ("G1", "plate-2x4", str(receipt.record))
    assert (noted.handfuls, noted.load, noted.by_hand) == ((HANDFUL,), Load(155.55, 12.5), None)
    assert noted.estimate == pytest.approx(143.05, abs=1e-3)
    assert noted.low is not None and noted.high is not None
    assert 142.5 < noted.low < 143.05 < noted.high < 143.6
    assert counting_of(bench.picture, {PLATE: 143}).ways == (("by weight", 143),)


def test_marks_and_held_things_apply_as_to_any_tally(bench: Bench) -> None:
    receipt = weigh(bench, ask(143.05, HANDFUL)._replace(grade=Grade.G2))
    assert (receipt.grade, receipt.bin) == (Grade.G2, "FADED")
    assert weigh(bench, ask(30.0)._replace(bin_label="REST")).bin == "REST"
    bench.write_up("T-01")
    with pytest.raises(DataError, match="takes no weighings"):
        weigh(bench, ask(30.0))


def test_the_next_load_needs_no_handful(bench: Bench) -> None:
    desk = bench.weighing
    assert desk.ask(ask(143.0)).found.verdict is Verdict.UNSURE, "only the catalogue's 1 g is known"
    desk.learn("plate-2x4", [HANDFUL])
    answer = desk.ask(ask(143.0))
    assert answer.found.verdict is Verdict.EXACT
    assert answer.mass.source is MassFrom.HANDFULS
    with pytest.raises(DataError, match="Nobody knows what a tile 2x2 weighs"):
        desk.ask(ask(50.0, kind=TILE))


def test_what_a_count_by_hand_teaches(bench: Bench) -> None:
    desk = bench.weighing
    desk.tell(ScaleTold(scatter=0.02))
    weigh(bench, ask(155.2, HANDFUL))
    before = desk.mass("plate-2x4")
    noted, receipt = desk.confirm("g1", 154)
    assert receipt is not None
    assert receipt.quantity == 154, "the tally said 155 and is put right"
    assert bench.picture.counted(PLATE) == 154
    assert (noted.by_hand, noted.record) == (154, str(receipt.record))
    after = desk.mass("plate-2x4")
    assert before is not None and before.u_g is not None and after is not None and after.u_g is not None
    assert after.pieces == 50 + 154
    assert after.u_g < before.u_g
    assert after.mass_g == pytest.approx((50 + 155.2) / (50 + 154), abs=1e-3)
    assert desk.confirm(noted.record, 154)[1] is None, "it says so already"
    bench.undo()
    assert bench.picture.counted(PLATE) == 155, "the correction is taken back"
    assert desk.mass("plate-2x4") != after, "and nothing is learnt from it"


def test_nothing_is_learnt_from_a_tally_that_does_not_hold(bench: Bench) -> None:
    desk = bench.weighing
    weigh(bench, ask(143.0, HANDFUL), by_hand=143)
    mass = desk.mass("plate-2x4")
    assert mass is not None
    assert mass.pieces == 193
    bench.undo()
    listed = desk.mass("plate-2x4")
    assert listed is not None
    assert listed.source is MassFrom.CATALOGUE
    assert desk.masses() == ()
    with pytest.raises(DataError, match="counts for nothing"):
        desk.confirm("G1", 143)
    bench.redo()
    assert desk.mass("plate-2x4") == mass
    desk.strike("G1")
    assert desk.masses() == ()
    with pytest.raises(DataError, match="struck already"):
        desk.strike("G1")
    desk.strike("G1", back=True)
    assert desk.mass("plate-2x4") == mass
    assert bench.picture.counted(PLATE) == 143, "striking a weighing leaves its tally"


def test_what_was_learnt_goes_into_the_catalogue(bench: Bench) -> None:
    desk = bench.weighing
    desk.learn("tile-2x2", [Handful(40, 44.93, 12.5)])
    with pytest.raises(DataError, match="Nothing was learnt of 'arch-1x6x2'"):
        desk.list_mass("arch-1x6x2")
    assert desk.list_mass("tile-2x2") == 0.81075, "u is 0.00065 g: five decimals mean something"
    bench.count(TILE, 10)
    (heavy,) = (row for row in bench.bin_rows() if row.pieces == 10)
    assert heavy.grams == pytest.approx(8.1075)
    with Bench.open(bench.path) as again:
        assert again.catalogue.mass_g("tile-2x2") == 0.81075


def test_a_handful_that_served_twice_is_one_handful(bench: Bench) -> None:
    weigh(bench, ask(143.0, HANDFUL))
    weigh(bench, ask(97.0, HANDFUL))
    mass = bench.weighing.mass("plate-2x4")
    assert mass is not None
    assert mass.pieces == 50


def test_loads_of_which_no_number_fits_are_counted_by_hand_only(bench: Bench) -> None:
    question = ask(20.5, HANDFUL)
    with pytest.raises(DataError, match="no whole number of pieces weighs that"):
        weigh(bench, question)
    assert weigh(bench, question, by_hand=20).quantity == 20
    with pytest.raises(DataError, match="by hand"):
        weigh(bench, ask(0.05, HANDFUL))


def test_the_log_first_the_particulars_after(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk between the two: the count stands, and the receipt says what is missing."""
    question = ask(143.0, HANDFUL)
    answer = bench.weighing.ask(question)

    def full(*_: object) -> None:
        raise WriteError("bench.json cannot be written: No space left on device.")

    with monkeypatch.context() as broken:
        broken.setattr(Documents, "_write", full)
        receipt = bench.weighing.tally(question, answer)
    assert "the count stands, but its weighing could not be kept: bench.json cannot" in receipt.note
    with Bench.open(bench.path) as again:
        assert again.picture.counted(PLATE) == 143
        assert not again.weighing.weighings


def test_what_is_kept_is_there_after_opening_again(bench: Bench) -> None:
    weigh(bench, ask(143.0, HANDFUL))
    with Bench.open(bench.path) as again:
        assert again.weighing.told == ScaleTold(0.01, 0.005, None, 0.005)
        assert again.weighing.masses() == bench.weighing.masses()
        assert list(again.weighing.weighings) == ["G1"]


def test_a_scale_that_nobody_told_of(tmp_path: Path) -> None:
    with Bench.open(make_folder(tmp_path / "new")) as bench:
        desk = WeighDesk(bench)
        with pytest.raises(DataError, match="Nothing is known of the scale"):
            desk.ask(ask(143.0))
        with pytest.raises(DataError, match="smallest step"):
            desk.tell(ScaleTold(scatter=0.01))
        with pytest.raises(DataError, match="steps of 0 g"):
            desk.tell(ScaleTold(0.0))
        with pytest.raises(DataError, match="repeatability"):
            desk.tell(ScaleTold(0.1, float("nan")))
        with pytest.raises(DataError, match="do not scatter"):
            desk.tell(ScaleTold(0.1, scatter=3.0))
        assert desk.told == ScaleTold()
        desk.tell(ScaleTold(0.1))
        assert desk.scale.repeat_g == pytest.approx(0.05), "half a step, until somebody says"
        assert desk.scatter.source is ScatterFrom.ASSUMED
        assert any("nobody measured it" in line for line in desk.ask(ask(143.0)).assumed)
        desk.tell(ScaleTold(), forget=True)
        assert desk.told == ScaleTold()


def test_what_is_said_of_a_count_that_is_not_exact(bench: Bench) -> None:
    desk = bench.weighing
    desk.tell(ScaleTold(1.0, 0.5))
    coarse = desk.ask(ask(143.0, HANDFUL))
    assert "cannot tell one piece of 1 g more or less" in " ".join(coarse.advice)
    assert (coarse.largest, coarse.needed) == (0, None)
    desk.tell(ScaleTold(0.1, 0.05))
    small = desk.ask(ask(100.0, Handful(10, 22.5, 12.5)))
    assert small.found.verdict is Verdict.SEVERAL
    assert (small.largest, small.needed) == (28, 37)  # tests/unit/test_counting_by_weight.py has the sources
    assert "can call exact is 28: weighed in portions" in small.advice[0]
    assert "Count a handful of 37 by hand and weigh it: then 100 can be exact." in small.advice[1]
    few = desk.ask(ask(12.0, Handful(10, 22.5, 12.5)))
    assert few.advice == ("Up to 20 pieces are counted by hand as fast, and surely.",)
    wrong_cup = desk.ask(ask(200.0, Handful(50, 75.0, 12.5)))
    assert "The catalogue lists 1 g a piece" in wrong_cup.advice[0]


def test_handfuls_that_disagree_are_told(bench: Bench) -> None:
    answer = bench.weighing.ask(ask(143.0, HANDFUL, Handful(50, 63.5, 12.5)))
    assert "one of them may be miscounted" in answer.advice[0]
    assert answer.found.reach > 4, "the mean of two that differ so is hardly known"


def test_wrong_names_are_told(bench: Bench) -> None:
    desk = bench.weighing
    with pytest.raises(DataError, match="no weighing 'G9'"):
        desk.confirm("G9", 3)
    with pytest.raises(DataError, match="No part has the code"):
        desk.learn("nowhere", [HANDFUL])
    desk.learn("plate-2x4", [HANDFUL])
    with pytest.raises(DataError, match="only handfuls were weighed"):
        desk.confirm("G1", 3)
    with pytest.raises(DataError, match="no pieces are left"):
        desk.learn("plate-2x4", [Handful(3, 12.5, 12.5)])
