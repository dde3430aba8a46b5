"""What a receipt tells."""

from __future__ import annotations

from small_bench import BRICK, PLATE, TILE, catalogue

from sortbench.engine.board import Crate, Receipt
from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.engine.receipts import make_receipt, split_words
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.model.target import Line, Target

AT = "2026-03-01T09:30:00Z"
TWIN = (Line(PLATE, 2), Line(BRICK, 1))
TARGETS = (
    Target("T-01", "Signal Hut", 1988, 1, TWIN),
    Target("T-02", "Signal Hut", 1988, 2, TWIN),
    Target("T-03", "Glasshouse", 1990, 3),
)
BINS = (
    Bin("B1", Rule(shades=("red",)), capacity=5),
    Bin("B2", Rule(shades=("white",)), capacity_g=10.0),
    Bin("REST"),
)


class Table:
    """Counts on a picture and hands back the receipts."""

    def __init__(self) -> None:
        self.picture = Picture(catalogue(), TARGETS, BINS, Ledger())
        self._seq = 0

    def take(self, what: What, cell: Cell, quantity: int, **more: object) -> Receipt:
        self._seq += 1
        record = Record(RecordId("s", self._seq), AT, what, cell, quantity, **more)  # type: ignore[arg-type]
        return make_receipt(self.picture, record, self.picture.apply(record), "noted")

    def count(self, quantity: int, kind: Kind = PLATE, label: str = "B1") -> Receipt:
        return self.take(What.TALLY, Cell(label, *kind, "", Grade.G5, ()), quantity)


def test_a_receipt_names_what_was_counted_and_where_it_goes() -> None:
    receipt = Table().count(3)
    assert (receipt.quantity, receipt.kind, receipt.name, receipt.shade, receipt.rgb) == (
        3,
        PLATE,
        "plate 2x4",
        "red",
        "b3261e",
    )
    assert (receipt.bin, receipt.fate, receipt.grade, receipt.note) == ("B1", Fate.KEPT, Grade.G5, "noted")
    assert receipt.crates == (Crate("T-01", "Signal Hut", 1, 2), Crate("T-02", "Signal Hut", 1, 1))
    assert receipt.lines_done == ("Signal Hut, line 1",)
    assert (receipt.targets_done, receipt.spare, receipt.total, receipt.overflow) == ((), 0, 3, "")


def test_completions_are_told_once_and_for_each_of_two_sets_alike() -> None:
    table = Table()
    assert table.count(4).targets_done == ()
    done = table.count(2, BRICK)
    assert done.lines_done == ("Signal Hut, line 2", "Signal Hut, line 2")
    assert done.targets_done == ("Signal Hut", "Signal Hut")
    more = table.count(1, BRICK)
    assert (more.crates, more.lines_done, more.targets_done, more.spare, more.total) == ((), (), (), 1, 3)


def test_a_bin_that_runs_over_is_told_each_time_and_its_split_once() -> None:
    table = Table()
    assert table.count(3).overflow == ""
    table.count(2, BRICK)
    over = table.count(1, BRICK)
    assert over.overflow == "B1"
    assert over.proposal == split_words(table.picture, "B1") != ""
    again = table.count(1, BRICK)
    assert (again.overflow, again.proposal) == ("B1", "")


def test_a_bin_that_runs_over_by_grams_tells_its_split_once_too() -> None:
    table = Table()
    table.count(4, Kind("brick-2x4", "white"), "B2")
    over = table.count(1, Kind("plate-2x4", "white"), "B2")
    assert (over.overflow, bool(over.proposal)) == ("B2", True)
    again = table.count(1, Kind("plate-2x4", "white"), "B2")
    assert (again.overflow, again.proposal) == ("B2", "")


def test_a_line_written_up_names_its_list_and_no_bin() -> None:
    table = Table()
    cell = Cell("", *TILE, "", Grade.G5, ())
    receipt = table.take(What.LINE, cell, 4, target="T-03")
    assert (receipt.bin, receipt.target) == ("", "T-03")
    assert receipt.crates == (Crate("T-03", "Glasshouse", 0, 4),)
    assert (receipt.lines_done, receipt.total) == ((), 0)
    assert table.take(What.LINE, cell, 1, target="T-99").crates == (Crate("T-99", "T-99", 0, 1),)


def test_a_move_tells_where_the_pieces_went() -> None:
    table = Table()
    table.count(3)
    cell = Cell("B1", *PLATE, "", Grade.G5, ())
    assert table.take(What.MOVE, cell, 1, to_bin="REST").bin == "REST"
    washed = table.take(What.MOVE, cell, 1, to_fate=Fate.WASH)
    assert (washed.bin, washed.fate, washed.total) == ("", Fate.WASH, 3)
    out = table.take(What.MOVE, cell, 1, to_fate=Fate.OUT)
    assert (out.bin, out.fate, out.total) == ("", Fate.OUT, 2)


def test_a_coarse_count_goes_to_no_target() -> None:
    receipt = Table().take(What.TALLY, Cell("B1", "", "red", "plate", Grade.G5, ()), 2)
    assert (receipt.kind, receipt.name, receipt.crates) == (None, "plate, size not looked at", ())
    assert (receipt.total, receipt.spare) == (0, 0)


def test_nothing_is_proposed_for_a_bin_that_is_not_set_up() -> None:
    assert split_words(Table().picture, "LOST") == ""
