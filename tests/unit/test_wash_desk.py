"""Batches at a bench: noted, struck and brought back, kept over sittings, and told to other sittings."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from sortbench.bench import Bench
from sortbench.desks.additions import add_part
from sortbench.desks.wash_desk import WashDesk, told
from sortbench.engine.washing.constant_mass import DEFAULT
from sortbench.model.catalogue import Care, Part
from sortbench.model.errors import DataError
from sortbench.model.target import Target
from sortbench.model.wash import Batch, Stage, StageEvent, Stirring, Tray, Weighing

Opener = Callable[[], Bench]
NINE = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)


class Wall:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = NINE

    def __call__(self) -> datetime:
        return self.now

    def on(self, **by: float) -> None:
        self.now += timedelta(**by)


@pytest.fixture
def wall() -> Wall:
    return Wall()


@pytest.fixture
def desk(bench: Bench, wall: Wall) -> WashDesk:
    return WashDesk(bench, wall)


def test_a_batch_from_the_tub_to_dry(desk: WashDesk, wall: Wall, opened: Opener) -> None:
    batch = desk.new("whites", soak_h=2.0)
    assert (batch.code, batch.name, batch.soak_h) == ("W1", "whites", 2.0)
    wall.on(minutes=20)
    assert desk.due_line() == ("W1 stir now", "W1 stir now", True)
    assert desk.stirred("w1").text == "W1: stirred at 09:20"
    wall.on(minutes=100)
    said = [desk.next_stage("W1").text]
    for _ in range(2):
        wall.on(minutes=5)
        said.append(desk.next_stage("W1").text)
    assert said == ["W1: rinse from 11:00", "W1: spin from 11:05", "W1: drying from 11:10"]
    assert desk.note_tare("W1", "400").text == "W1: the empty tray weighs 400 g"
    assert desk.note_weight("W1", "950.5").text == "W1: 950.5 g at 11:10"
    assert desk.due_line() == ("W1 dry about 23:10", "W1 dry about 23:10", False)
    wall.on(hours=14)
    assert desk.next_stage("W1").text == "W1: dry from 01:10"
    assert desk.due_line() is None
    with pytest.raises(DataError, match="no stage follows"):
        desk.next_stage("W1")
    kept = WashDesk(opened(), wall).find("W1")
    assert kept == desk.find("W1")
    assert [type(entry) for entry in kept.entries] == [StageEvent, Stirring, *[StageEvent] * 3, Weighing, StageEvent]


def test_noting_counts_nothing_and_reads_no_log_anew(desk: WashDesk, bench: Bench) -> None:
    picture = bench.picture
    desk.new("whites")
    assert not bench.refresh() and bench.picture is picture


def test_another_sitting_sees_what_was_noted(desk: WashDesk, wall: Wall, opened: Opener) -> None:
    other = opened()
    desk.new("whites")
    other.refresh()
    assert list(other.washing.batches) == ["W1"]
    # Both note at once: neither loses what the other wrote.
    WashDesk(other, wall).new("greys")
    desk.stirred("W1")
    assert [len(batch.entries) for batch in desk.batches.values()] == [2, 1]


def test_nothing_is_deleted(desk: WashDesk) -> None:
    desk.new("whites")
    desk.stage("W1", Stage.RINSE)
    desk.stage("W1", Stage.DRYING)
    assert desk.strike("W1").text == "W1: drying at 09:00 struck"
    assert desk.strike("W1", 2).text == "W1: rinse at 09:00 struck"
    batch = desk.find("W1")
    assert [entry.struck for entry in batch.entries] == [False, True, True]
    assert [event.stage for event in batch.stages] == [Stage.SOAK]
    assert desk.strike("W1", 3).text == "W1: drying at 09:00 holds again"
    with pytest.raises(DataError, match="struck already"):
        desk.strike("W1", 2, back=False)
    with pytest.raises(DataError, match="is not struck"):
        desk.strike("W1", 3, back=True)
    with pytest.raises(DataError, match="no entry 4"):
        desk.strike("W1", 4)
    desk.strike("W1")
    desk.strike("W1")
    with pytest.raises(DataError, match="Nothing noted of W1 holds"):
        desk.strike("W1")


@pytest.mark.parametrize(
    ("act", "why"),
    [
        (lambda desk: desk.stage("W9", Stage.RINSE), "No batch has the code 'W9'"),
        (lambda desk: desk.stage("W1", Stage.SOAK), "in the stage soak since 09:00 already"),
        (lambda desk: desk.new("x", code="w1"), "a batch 'w1' already"),
        (lambda desk: desk.new("x", code="W 2"), "no code for a batch"),
        (lambda desk: desk.new("x", soak_h=0.0), "A soak of 0 h"),
        (lambda desk: desk.new("x", rh_percent=float("nan")), "nan %"),
        (lambda desk: desk.weigh("W1", 500.0), "not drying yet"),
        (lambda desk: desk.tare("W1", -1.0), "A tray of -1 g"),
        (lambda desk: desk.amend("W1", stir_min=0.0), "0 min"),
        (lambda desk: (desk.stage("W1", Stage.RINSE), desk.stirred("W1")), "nothing to stir"),
        (
            lambda desk: (desk.stage("W1", Stage.DRYING), desk.tare("W1", 400.0), desk.weigh("W1", 399.0)),
            "no more than the empty tray",
        ),
    ],
)
def test_what_cannot_be_is_refused(desk: WashDesk, act: Callable[[WashDesk], object], why: str) -> None:
    desk.new("whites")
    with pytest.raises(DataError, match=why):
        act(desk)
    assert len(desk.batches) == 1 and not desk.find("W1").weighings


def test_codes_go_on_and_pass_over_what_is_taken(desk: WashDesk) -> None:
    assert [desk.new(code=code).code for code in ("", "W3", "", "tub", "")] == ["W1", "W3", "W4", "tub", "W5"]


def test_batches_are_amended(desk: WashDesk) -> None:
    desk.new("whites")
    desk.amend("W1", name="whites and yellows", resolution_g=0.5, temp_c=19.0)
    desk.tare("W1", 400.0, "big")
    desk.tare("W1", 410.0, "big")
    batch = desk.find("W1")
    assert (batch.name, batch.resolution_g, batch.trays) == ("whites and yellows", 0.5, (Tray("big", 410.0),))


def test_the_criterion_is_for_the_user_to_choose(desk: WashDesk, bench: Bench) -> None:
    assert desk.criterion == DEFAULT
    desk.choose_criterion("4h-0.2")
    assert desk.criterion.interval_h == 4
    desk.choose_own_criterion(0.5, 2.0, 3)
    assert desk.criteria[-1] == desk.criterion
    assert (desk.criterion.change_pct, desk.criterion.weighings, desk.criterion.source) == (0.5, 3, "set by you")
    bench.keep(lambda draft: draft.settings.update({"dry criterion": [900, "x", None]}))
    assert desk.criterion == DEFAULT


def test_the_pull_list_goes_by_targets_or_by_what_was_counted(desk: WashDesk, bench: Bench) -> None:
    add_part(bench, Part("torso", "torso", "figure"))
    add_part(bench, Part("lamp", "lamp", "other", mass_g=0.1, care=(Care.ELECTRIC,)))
    bench.enter("torso white *3")
    found = desk.pull(counted=True)
    assert [(row.part, row.quantity, row.targets) for row in found.rows] == [("torso", 3, ())]
    lists = desk.pull()
    assert (lists.rows, lists.others, lists.unweighed) == ((), 10, 1)  # Signal Hut 5, Peat Tramway 5; a tile's mass
    desk.choose_small(1.5)
    assert [(row.part, row.quantity, row.targets) for row in desk.pull().rows] == [("plate-2x4", 7, ("T-01", "T-02"))]
    assert desk.pull(["T-02"], small_g=2.0).rows[0].quantity == 4
    with pytest.raises(DataError, match="T-99"):
        desk.pull(["T-99"])
    with pytest.raises(DataError, match="very small"):
        desk.choose_small(-1.0)


def test_parked_targets_expect_nothing(desk: WashDesk, bench: Bench) -> None:
    def park(target: Target) -> Target:
        return target._replace(parked=True)

    with bench.folder.documents.edit() as draft:
        draft.targets = {code: park(target) for code, target in draft.targets.items()}
    bench.reload()
    assert desk.pull().others == 0
    assert desk.pull(["T-01"]).others == 5


def test_what_to_mind_names_where_it_comes_from(desk: WashDesk) -> None:
    for stage in (None, *Stage):
        lines = told(desk.cautions(stage))
        numbers = {f"[{number}]" for number in range(1, 9) if any(f"[{number}]" in line for line in lines)}
        assert numbers == {line.split()[0] for line in lines if line.startswith("[")}
        assert lines[-1] == "What has no number is common practice, no source."
    soak = told(desk.cautions(Stage.SOAK))
    assert soak[0].startswith("- Warm, not hot") and soak[0].endswith(" [1]")
    assert any(line.startswith("[1] ") and "softening point (ASTM D1525)" in line for line in soak)


def test_an_unlikely_batch_in_the_documents_is_refused_with_its_place(bench: Bench) -> None:
    with pytest.raises(DataError, match="no time zone"):
        bench.keep(
            lambda draft: draft.batches.update(W1=Batch("W1", entries=(StageEvent(Stage.SOAK, datetime(2026, 3, 1)),)))
        )
    assert not bench.documents.batches
