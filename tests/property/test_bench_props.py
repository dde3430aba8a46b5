"""A bench on a real folder against a list of what was done: whatever is done in whatever order, the counts agree."""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, initialize, invariant, multiple, rule
from small_bench import BRICK, PLATE, TILE, make_folder, ticking

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate, RecordId

KINDS = st.sampled_from([PLATE, BRICK, TILE])
QUANTITIES = st.integers(1, 4)


@dataclass
class Entry:
    """One thing done: a tally, or pieces put aside. It counts unless it was taken back or another stands in for it."""

    id: RecordId
    cell: Cell
    quantity: int
    to: Cell | None = None
    instead_of: Entry | None = None
    active: bool = True


class BenchMachine(RuleBasedStateMachine):
    """Counts, corrects, takes back and reopens at random, and keeps a list of it."""

    entries = Bundle("entries")

    def __init__(self) -> None:
        super().__init__()
        self.root = Path(tempfile.mkdtemp(prefix="bench-"))
        self.folder = make_folder(self.root / "bench")
        self.clock = ticking()
        self.bench = Bench.open(self.folder, self.clock)
        self.done: list[Entry] = []
        self.taken_back: list[Entry] = []

    def teardown(self) -> None:
        self.bench.close()
        shutil.rmtree(self.root, ignore_errors=True)

    def heaps(self) -> dict[Cell, int]:
        """What the list of things done comes to."""
        heaps: Counter[Cell] = Counter()
        for entry in self.done:
            if entry.active:
                if entry.to is None:
                    heaps[entry.cell] += entry.quantity
                else:
                    heaps[entry.cell] -= entry.quantity
                    heaps[entry.to] += entry.quantity
        return {cell: n for cell, n in heaps.items() if n}

    def hand(self) -> Entry | None:
        """The last tally that counts."""
        return next((entry for entry in reversed(self.done) if entry.active and entry.to is None), None)

    def movable(self, entry: Entry) -> bool:
        """Whether the pieces of an entry are still where it put them."""
        return self.heaps().get(entry.to or entry.cell, 0) >= entry.quantity

    def since(self, entry: Entry) -> str:
        """What took the pieces of a tally away last, in the words of a refusal."""
        taken = next(each for each in reversed(self.done) if each.active and each.to and each.cell == entry.cell)
        return "judged anew" if taken.to and taken.to.bin == taken.cell.bin else "carried on"

    def note(self, entry: Entry) -> Entry:
        self.done.append(entry)
        self.taken_back.clear()
        return entry

    def take_back(self, entry: Entry) -> None:
        entry.active = False
        if entry.instead_of is not None:
            entry.instead_of.active = True
        self.taken_back.append(entry)

    @rule(target=entries, kind=KINDS, quantity=QUANTITIES, grade=st.sampled_from([Grade.G5, Grade.G4, Grade.G2]))
    def count(self, kind: Kind, quantity: int, grade: Grade) -> Entry:
        receipt = self.bench.count(kind, quantity, grade)
        return self.note(Entry(receipt.record, Cell(receipt.bin, *kind, "", grade, ()), quantity))

    @rule(target=entries, quantity=QUANTITIES)
    def count_coarse(self, quantity: int) -> Entry:
        receipt = self.bench.count_coarse("B1", quantity)
        return self.note(Entry(receipt.record, Cell("B1", "", "red", "plate", Grade.G5, ()), quantity))

    @rule(target=entries, quantity=QUANTITIES)
    def again(self, quantity: int) -> Entry | object:
        hand = self.hand()
        if hand is None:
            with pytest.raises(DataError, match="Nothing has been counted yet"):
                self.bench.again(quantity)
            return multiple()
        return self.note(Entry(self.bench.again(quantity).record, hand.cell, quantity))

    @rule(target=entries, entry=entries, quantity=QUANTITIES)
    def correct(self, entry: Entry, quantity: int) -> Entry | object:
        refusal = (
            "is no tally" if entry.to is not None
            else "is void already" if not entry.active
            else "nothing changed" if quantity == entry.quantity
            else None if self.movable(entry)
            else self.since(entry)
        )  # fmt: skip
        if refusal:
            with pytest.raises(DataError, match=refusal):
                self.bench.correct(entry.id, f"*{quantity}")
            return multiple()
        receipt = self.bench.correct(entry.id, f"*{quantity}")
        entry.active = False
        return self.note(Entry(receipt.record, entry.cell, quantity, instead_of=entry))

    @rule(target=entries, down=st.booleans())
    def regrade(self, down: bool) -> Entry | object:
        hand = self.hand()
        if hand is None or not self.movable(hand):
            with pytest.raises(DataError):
                self.bench.regrade(down)
            return multiple()
        assert hand.cell.grade is not None
        grade = hand.cell.grade.step(down)
        if grade is hand.cell.grade:
            with pytest.raises(DataError, match="there is"):
                self.bench.regrade(down)
            return multiple()
        receipt = self.bench.regrade(down)
        assert receipt.grade is grade
        hand.active = False
        cell = hand.cell._replace(grade=grade, bin=receipt.bin)
        return self.note(Entry(receipt.record, cell, hand.quantity, instead_of=hand))

    @rule(target=entries, fate=st.sampled_from([Fate.WASH, Fate.OUT]))
    def put_aside(self, fate: Fate) -> Entry | object:
        hand = self.hand()
        if hand is None or self.heaps().get(hand.cell, 0) < 1:
            with pytest.raises(DataError):
                self.bench.put_aside(fate)
            return multiple()
        receipt = self.bench.put_aside(fate)
        return self.note(Entry(receipt.record, hand.cell, 1, to=hand.cell._replace(bin="", fate=fate)))

    @rule(target=entries, quantity=QUANTITIES, grade=st.sampled_from([Grade.G5, Grade.G3]))
    def rejudge(self, quantity: int, grade: Grade) -> Entry | object:
        hand = self.hand()
        cell = hand.cell if hand else Cell("B1", *PLATE, "", Grade.G5, ())
        became = (grade, cell.flaws)
        if self.heaps().get(cell, 0) < quantity or grade is cell.grade:
            with pytest.raises(DataError):
                self.bench.sitting.rejudge(cell, quantity, became)
            return multiple()
        receipt = self.bench.sitting.rejudge(cell, quantity, became)
        return self.note(Entry(receipt.record, cell, quantity, to=cell._replace(grade=grade)))

    @rule(entry=consumes(entries))
    def void(self, entry: Entry) -> None:
        if not entry.active or not self.movable(entry):
            with pytest.raises(DataError):
                self.bench.void(entry.id)
            return
        self.bench.void(entry.id)
        self.take_back(entry)

    @rule()
    def undo(self) -> None:
        last = next((entry for entry in reversed(self.done) if entry.active), None)
        if last is None or not self.movable(last):
            with pytest.raises(DataError):
                self.bench.undo()
            return
        self.bench.undo()
        self.take_back(last)

    @rule()
    def redo(self) -> None:
        if not self.taken_back:
            with pytest.raises(DataError, match="nothing to bring back"):
                self.bench.redo()
            return
        entry = self.taken_back[-1]
        self.bench.redo()
        self.taken_back.pop()
        entry.active = True
        if entry.instead_of is not None:
            entry.instead_of.active = False

    @rule()
    def reopen(self) -> None:
        self.bench.close()
        self.bench = Bench.open(self.folder, self.clock)
        self.taken_back.clear()

    @initialize(target=entries, kind=KINDS)
    def begin(self, kind: Kind) -> Entry:
        return self.count(kind, 2, Grade.G5)

    @invariant()
    def counts_are_those_of_the_list(self) -> None:
        heaps = self.heaps()
        assert dict(self.bench.picture.ledger.counts) == heaps
        assert {row.label: row.pieces for row in self.bench.bin_rows() if row.pieces} == {
            label: pieces
            for label in {cell.bin for cell in heaps}
            if label and (pieces := sum(n for cell, n in heaps.items() if cell.bin == label))
        }

    @invariant()
    def fills_are_those_of_the_list(self) -> None:
        there: Counter[Kind | None] = Counter()
        for cell, n in self.heaps().items():
            if cell.fate is not Fate.OUT:
                there[cell.kind] += n
        # T-01 asks for 3 plates and 2 bricks, T-02 for a tile and 4 plates.
        plates, bricks, tiles = there[PLATE], there[BRICK], there[TILE]
        present = [min(plates, 3) + min(bricks, 2), min(max(plates - 3, 0), 4) + min(tiles, 1), 0]
        assert [row.present for row in self.bench.target_rows()] == present


TestBench = BenchMachine.TestCase
TestBench.settings = settings(
    max_examples=120, stateful_step_count=40, deadline=None, suppress_health_check=list(HealthCheck)
)
