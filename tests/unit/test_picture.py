"""The picture of the bench: what every record changes, and that nothing else does."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

import pytest
from small_bench import ARCH, BINS, BRICK, PLATE, TARGETS, TILE, catalogue

from sortbench.engine.fill import Gain
from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.model.bins import Bin
from sortbench.model.catalogue import Catalogue, Kind, Part
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.model.target import MAX_QUANTITY

AT = "2026-03-01T09:30:00Z"


def rid(seq: int) -> RecordId:
    return RecordId("s", seq)


def cell(kind: Kind = PLATE, label: str = "B1", grade: Grade = Grade.G5) -> Cell:
    return Cell(label, *kind, "", grade, ())


def tally(seq: int, quantity: int = 1, at: Cell | None = None, voids: int | None = None) -> Record:
    return Record(rid(seq), AT, What.TALLY, at or cell(), quantity, voids=None if voids is None else rid(voids))


def void(seq: int, voided: int) -> Record:
    return Record(rid(seq), AT, What.VOID, voids=rid(voided))


def move(seq: int, quantity: int, to_bin: str = "", to_fate: Fate = Fate.KEPT) -> Record:
    return Record(rid(seq), AT, What.MOVE, cell(), quantity, to_bin=to_bin, to_fate=to_fate)


def line(seq: int, quantity: int, kind: Kind = PLATE, target: str = "T-03") -> Record:
    return Record(rid(seq), AT, What.LINE, cell(kind, ""), quantity, target=target)


def picture(records: Iterable[Record] = ()) -> Picture:
    return Picture(catalogue(), TARGETS, BINS, Ledger(records))


def everything(shown: Picture) -> tuple[object, ...]:
    """All figures that a picture gives."""
    return (
        shown.target_rows(PLATE),
        [shown.line_rows(target.code) for target in shown.targets],
        shown.bin_rows(),
        [shown.heaps(row.label) for row in shown.bin_rows()],
        [(kind, shown.counted(kind), shown.places(kind)) for kind in (PLATE, BRICK, TILE, ARCH)],
    )


def test_a_tally_fills_its_targets_and_its_bin() -> None:
    shown = picture()
    assert shown.apply(tally(1, 4)) == [Gain(TARGETS[0], 1, 3, 3), Gain(TARGETS[1], 2, 1, 1)]
    assert [(row.code, row.present, row.standard, row.short, row.wants) for row in shown.target_rows(PLATE)] == [
        ("T-01", 3, 3, 2, 0),
        ("T-02", 1, 1, 4, 3),
        ("T-03", 0, 0, 0, 0),
    ]
    assert (shown.bin_row("B1").pieces, shown.bin_row("B1").over, shown.bin_row("B1").overflowing) == (4, 0, False)
    assert shown.apply(tally(1, 4)) == []
    assert shown.counted(PLATE) == 4


def test_lines_say_what_they_have_and_where_it_lies() -> None:
    shown = picture([tally(1, 4), tally(2, 1, cell(label="REST")), tally(3, 1, cell(label="FADED", grade=Grade.G2))])
    (plate, brick) = shown.line_rows("T-01")
    assert (plate.number, plate.need, plate.present, plate.standard, plate.short) == (1, 3, 3, 3, 0)
    assert plate.places == (("B1", 4), ("FADED", 1), ("REST", 1))
    assert (plate.name, plate.rgb, plate.period) == ("plate 2x4", "b3261e", True)
    assert (brick.number, brick.present, brick.short, brick.places) == (2, 0, 2, ())


def test_pieces_at_the_wash_lie_in_no_bin_and_thrown_out_ones_nowhere() -> None:
    shown = picture([tally(1, 4), move(2, 1, to_fate=Fate.WASH), move(3, 2, to_fate=Fate.OUT)])
    assert shown.places(PLATE) == (("", 1), ("B1", 1))
    assert shown.counted(PLATE) == 2
    assert shown.line_rows("T-01")[0].standard == 1


def test_bins_overflow_by_pieces_or_by_grams() -> None:
    shown = picture([tally(1, 6), tally(2, 4, cell(BRICK, "B2"))])
    assert (shown.bin_row("B1").over, shown.bin_row("B1").share) == (1, pytest.approx(6 / 5))
    assert not shown.bin_row("B2").overflowing  # 4 bricks of 2.5 g are the 10 g that it holds
    shown.apply(tally(3, 1, cell(BRICK, "B2")))
    row = shown.bin_row("B2")
    assert (row.overflowing, row.over, row.over_g, row.grams, row.share) == (True, 0, 2.5, 12.5, 1.25)


def test_a_bin_is_not_over_by_a_rounding_error() -> None:
    # 0.1 + 0.1 + 0.1 is 0.30000000000000004 in IEEE 754 double precision.
    parts = {code: Part(code, code, mass_g=0.1) for code in "abc"}
    shown = Picture(Catalogue(parts), (), (Bin("B1", capacity_g=0.3),), Ledger())
    for seq, code in enumerate("abc", 1):
        shown.apply(tally(seq, 1, Cell("B1", code, "red", "", Grade.G5, ())))
    assert shown.bin_row("B1").grams == pytest.approx(0.3)
    assert not shown.bin_row("B1").overflowing
    shown.apply(tally(4, 1, Cell("B1", "a", "red", "", Grade.G5, ())))
    assert shown.bin_row("B1").overflowing


def test_pieces_of_unknown_mass_are_told_apart() -> None:
    shown = picture([tally(1, 2), tally(2, 3, cell(ARCH, "B1")), tally(3, 1, Cell("REST", "", "red", "", None, ()))])
    assert (shown.bin_row("B1").grams, shown.bin_row("B1").grams_unknown, shown.bin_row("B1").kinds) == (2.0, 3, 2)
    assert (shown.bin_row("REST").grams, shown.bin_row("REST").grams_unknown) == (None, 1)
    assert (shown.bin_row("B2").grams, shown.bin_row("B2").grams_unknown) == (0.0, 0)


def test_a_bin_that_is_only_named_by_tallies_is_shown_behind_the_others() -> None:
    shown = picture([tally(1, 2, cell(label="LOST"))])
    row = shown.bin_rows()[-1]
    assert (row.label, row.rule, row.pieces, row.capacity) == ("LOST", "not set up on this bench", 2, None)


def test_heaps_of_a_bin_come_with_most_pieces_first() -> None:
    coarse = Cell("B1", "", "red", "plate", Grade.G5, ())
    shown = picture([tally(1, 2), tally(2, 5, coarse)])
    assert [(row.name, row.quantity, row.rgb) for row in shown.heaps("B1")] == [
        ("plate, size not looked at", 5, "b3261e"),
        ("plate 2x4", 2, "b3261e"),
    ]


def test_a_written_list_grows_line_by_line_and_fills_at_once() -> None:
    shown = picture([tally(1, 9)])
    shown.apply(line(2, 2, TILE))
    shown.apply(line(3, 1))
    shown.apply(line(4, 1))
    assert [(row.kind, row.need, row.present) for row in shown.line_rows("T-03")] == [(TILE, 2, 0), (PLATE, 2, 2)]
    assert shown.bin_row("B1").pieces == 9
    shown.apply(void(5, 2))
    assert [row.kind for row in shown.line_rows("T-03")] == [PLATE]


def test_what_is_written_up_adds_to_the_line_that_a_list_came_with() -> None:
    shown = picture([line(1, 2, PLATE, "T-01"), line(2, 1, TILE, "T-01")])
    assert [(row.kind, row.need) for row in shown.line_rows("T-01")] == [(PLATE, 5), (BRICK, 2), (TILE, 1)]
    assert shown.line_rows("T-01")[0].lowest is Grade.G4


def test_a_list_written_up_past_all_measure_still_opens() -> None:
    shown = picture([line(1, MAX_QUANTITY), line(2, MAX_QUANTITY), line(3, MAX_QUANTITY, PLATE, "T-01")])
    assert [row.need for row in shown.line_rows("T-03")] == [MAX_QUANTITY]
    assert shown.line_rows("T-01")[0].need == MAX_QUANTITY


def test_a_line_for_a_target_that_is_not_there_changes_nothing_shown() -> None:
    shown = picture()
    before = everything(shown)
    shown.apply(line(1, 2, TILE, "T-99"))
    assert everything(shown) == before


def test_rows_of_the_log_say_what_each_record_is_about() -> None:
    shown = picture([tally(1, 4), move(2, 3, "REST"), void(3, 2), line(4, 2, TILE)])
    records = shown.ledger.records
    first, moved, voided, written = (shown.record_row(records[rid(seq)], own=seq != 2) for seq in (1, 2, 3, 4))
    assert (first.name, first.shade, first.quantity, first.bin, first.holds, first.own) == (
        "plate 2x4",
        "red",
        4,
        "B1",
        True,
        True,
    )
    assert (moved.bin, moved.to_bin, moved.holds, moved.own) == ("B1", "REST", False, False)
    assert (voided.what, voided.voids, voided.quantity, voided.to_bin) == (What.VOID, rid(2), 3, "REST")
    assert (written.target, written.bin) == ("T-03", "")
    opened = shown.record_row(Record(rid(9), AT, What.OPEN), own=True)
    assert (opened.name, opened.quantity, opened.grade) == ("", 0, None)


@pytest.mark.parametrize("seed", range(12))
def test_keeping_up_record_by_record_is_working_everything_out_anew(seed: int) -> None:
    random = Random(seed)
    records: list[Record] = []
    for seq in range(1, 60):
        choice = random.random()
        some = random.choice(records).id.seq if records else 1
        at = cell(random.choice([PLATE, BRICK, TILE, ARCH]), random.choice(["B1", "B2", "REST", "LOST"]))
        at = at._replace(grade=random.choice([Grade.G5, Grade.G2]), flaws=random.choice([(), (Flaw.BENT,)]))
        if choice < 0.5:
            records.append(tally(seq, random.randint(1, 4), at, some if choice < 0.1 else None))
        elif choice < 0.65:
            fate = random.choice([Fate.KEPT, Fate.WASH, Fate.OUT])
            to_bin = "REST" if fate is Fate.KEPT else ""
            records.append(Record(rid(seq), AT, What.MOVE, at, 1, to_bin=to_bin, to_fate=fate))
        elif choice < 0.75:
            records.append(
                line(seq, random.randint(1, 3), random.choice([TILE, ARCH]), random.choice(["T-01", "T-03"]))
            )
        else:
            records.append(void(seq, some))
    kept_up = picture()
    arriving = random.sample(records, len(records))
    for number, record in enumerate(arriving, 1):
        kept_up.apply(record)
        if number % 10 == 0:
            assert everything(kept_up) == everything(picture(arriving[:number]))
    assert everything(kept_up) == everything(picture(records))
