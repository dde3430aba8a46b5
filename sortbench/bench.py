"""The bench: the one façade that screens and commands call. Opens a folder, counts, undoes, answers."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from functools import cached_property
from typing import TYPE_CHECKING

from sortbench.desk import Desk
from sortbench.engine.board import (
    BinRow,
    HeapRow,
    LineRow,
    Notice,
    PastedRow,
    Receipt,
    RecordRow,
    Results,
    TargetRow,
)
from sortbench.engine.entry import GRAMMAR as GRAMMAR
from sortbench.engine.entry import Entry
from sortbench.engine.receipts import split_words
from sortbench.model.catalogue import Kind
from sortbench.model.errors import BenchError, DataError
from sortbench.model.tally import Fate, RecordId
from sortbench.model.target import MAX_RANK, Target

if TYPE_CHECKING:
    from sortbench.desks.crate_desk import CrateDesk
    from sortbench.desks.entry_desk import EntryDesk
    from sortbench.desks.first_desk import FirstDesk
    from sortbench.desks.grade_desk import GradeDesk
    from sortbench.desks.identify_desk import IdentifyDesk
    from sortbench.desks.lists_desk import ListsDesk
    from sortbench.desks.log_desk import LogRows
    from sortbench.desks.pad_desk import PadDesk
    from sortbench.desks.photo_desk import PhotoDesk
    from sortbench.desks.pick_desk import PickDesk
    from sortbench.desks.planning_desk import PlanningDesk
    from sortbench.desks.trial_desk import TrialDesk
    from sortbench.desks.wash_desk import WashDesk
    from sortbench.desks.weigh_desk import WeighDesk
    from sortbench.engine.washing.wash_clock import DueLine
    from sortbench.model.bins import Bin

_CLOSING_S = 1.0
"""Seconds for which the end of a sitting waits for other writes before how the keypad lies is given up."""

Answer = Receipt | Notice
"""What an entry line gets back."""


class Bench(Desk):
    """A bench folder open for one sitting, with everything that screens and commands ask of it."""

    def close(self) -> None:
        """End the sitting; every count is on disk already."""
        if "planning" in self.__dict__:
            self.planning.close()
        if "pad" in self.__dict__:
            with suppress(BenchError):
                self.pad.save(_CLOSING_S)
        super().close()

    def keep_layout(self) -> None:
        """Have it written how the keypad's slots lie, if that changed; no key waits for it, nor for another program.

        Where it cannot be written now, a later call tries again.
        """
        if "pad" in self.__dict__:
            self.pad.save_aside()

    @cached_property
    def pad(self) -> PadDesk:
        """The keypad of this sitting."""
        from sortbench.desks.pad_desk import PadDesk

        pad = PadDesk(self)
        self.learn(pad.counted)
        return pad

    @cached_property
    def entries(self) -> EntryDesk:
        """What entry lines do at this sitting."""
        from sortbench.desks.entry_desk import EntryDesk

        return EntryDesk(self)

    @cached_property
    def crates(self) -> CrateDesk:
        """Setting pieces aside for targets, and their crates."""
        from sortbench.desks.crate_desk import CrateDesk

        return CrateDesk(self)

    @cached_property
    def trial(self) -> TrialDesk:
        """What is being tried out on the targets before it is kept."""
        from sortbench.desks.trial_desk import TrialDesk

        return TrialDesk(self)

    @cached_property
    def planning(self) -> PlanningDesk:
        """What to keep, treat, move and buy, with what this sitting settled by hand."""
        from sortbench.desks.planning_desk import PlanningDesk

        return PlanningDesk(self)

    @property
    def is_bare(self) -> bool:
        """Whether there is nothing on the bench to count with, and nothing was counted."""
        return not (self.catalogue.parts or self.documents.targets or self.picture.ledger.records)

    @cached_property
    def lists(self) -> ListsDesk:
        """Lists brought in at this sitting."""
        from sortbench.desks.lists_desk import ListsDesk

        return ListsDesk(self)

    @cached_property
    def first(self) -> FirstDesk:
        """Ways to begin where nothing is on the bench."""
        from sortbench.desks.first_desk import FirstDesk

        return FirstDesk(self)

    @cached_property
    def identifying(self) -> IdentifyDesk:
        """Which sets are in the lot."""
        from sortbench.desks.identify_desk import IdentifyDesk

        return IdentifyDesk(self)

    @cached_property
    def washing(self) -> WashDesk:
        """Batches on the clock, and what must not go into the tub."""
        from sortbench.desks.wash_desk import WashDesk

        return WashDesk(self)

    @cached_property
    def weighing(self) -> WeighDesk:
        """Counting by weight."""
        from sortbench.desks.weigh_desk import WeighDesk

        return WeighDesk(self)

    @cached_property
    def grading(self) -> GradeDesk:
        """Judging pieces by eye and by reading."""
        from sortbench.desks.grade_desk import GradeDesk

        return GradeDesk(self)

    @cached_property
    def photo(self) -> PhotoDesk:
        """The photograph in hand, and the pieces on it."""
        from sortbench.desks.photo_desk import PhotoDesk

        return PhotoDesk(self)

    def due_line(self) -> DueLine | None:
        """What the wash waits for, for one quiet line; None if for nothing. A bench without batches loads nothing."""
        return self.washing.due_line() if self.documents.batches else None

    @cached_property
    def _pick_desks(self) -> dict[str, PickDesk]:
        return {}

    def picking(self, code: str) -> PickDesk:
        """The pick list of a target, and working it off.

        Raises:
            DataError: no such target.
        """
        if code not in self.documents.targets or code not in self._pick_desks:
            from sortbench.desks.pick_desk import PickDesk

            self._pick_desks[code] = PickDesk(self, code)
        return self._pick_desks[code]

    def enter(self, text: str, pick: int = 0, way: str = "typed") -> Answer:
        """Take one entry line; see :meth:`EntryDesk.enter`."""
        return self.entries.enter(text, pick, way)

    def again(self, quantity: int = 1) -> Receipt:
        """Count the same again; see :meth:`EntryDesk.again`."""
        return self.entries.again(Entry(words="", quantity=quantity))

    def add_target(self, target: Target) -> Notice:
        """Put a new target in, behind all others in rank.

        Raises:
            DataError: its code is taken.
            WriteError: the disk refused.
        """
        from sortbench.desks.additions import add_target

        last = max((each.rank for each in self.documents.targets.values()), default=0)
        add_target(self, target._replace(rank=min(MAX_RANK, last + 1)))
        return Notice(f"new target: {target.name}; its list can be written up or imported")

    def bin_from_words(self, text: str) -> Bin:
        """The bin that a line describes; see :func:`sortbench.engine.entering.new_bin.bin_from_words`.

        Raises:
            DataError: it cannot be meant.
        """
        from sortbench.engine.entering.new_bin import bin_from_words

        return bin_from_words(text, self.catalogue)

    def add_bin(self, new: Bin) -> Notice:
        """Put up a bin; see :func:`sortbench.desks.additions.add_bin`."""
        from sortbench.desks.additions import add_bin

        add_bin(self, new)
        return Notice(f"{new.label} is put up for {new.rule}")

    # Taking back and putting right

    @property
    def has_last(self) -> bool:
        """Whether there is a last tally, to undo or to change."""
        return bool(self.sitting.hand_words)

    @property
    def can_redo(self) -> bool:
        """Whether something was undone that can be brought back."""
        return self.sitting.can_redo

    def undo(self) -> Notice:
        """Void the last thing that still holds; see :meth:`Sitting.undo`."""
        return self.timed(self.sitting.undo)

    def redo(self) -> Notice:
        """Bring back what the last undo took; see :meth:`Sitting.redo`."""
        return self.timed(self.sitting.redo)

    def void(self, rid: RecordId) -> Notice:
        """Let a record no longer hold; see :meth:`Sitting.void`."""
        words = self.sitting.words(rid)
        self.timed(lambda: self.sitting.void(rid))
        return Notice(f"voided: {words}")

    def correct(self, rid: RecordId, text: str) -> Receipt:
        """Put a tally right by an entry line; see :meth:`EntryDesk.correct`."""
        return self.timed(lambda: self.entries.correct(rid, text))

    def regrade(self, down: bool) -> Receipt:
        """The last tally one whole grade down or up; see :meth:`Sitting.regrade`."""
        return self.sitting.regrade(down)

    def put_aside(self, fate: Fate) -> Receipt:
        """One piece of the last tally back to the wash, or out; see :meth:`Sitting.put_aside`."""
        return self.sitting.put_aside(fate)

    # Asking

    def search(self, text: str) -> Results:
        """What an entry line finds as typed so far. Never raises: an error is part of the answer."""
        return self.entries.search(text)

    def preview(self, lines: Sequence[str]) -> tuple[PastedRow, ...]:
        """What pasted lines would do, one by one; nothing is taken."""
        return self.entries.preview(lines)

    def target_rows(self, highlighted: Kind | None = None, at_once: bool = False) -> tuple[TargetRow, ...]:
        """All targets by rank; see :meth:`Picture.target_rows`."""
        return self.picture.target_rows(highlighted, at_once)

    @property
    def is_unsettled(self) -> bool:
        """Whether a key left something for later."""
        return self.picture.is_unsettled

    def settle_one(self) -> bool:
        """Work out what a key left for later; see :meth:`Picture.settle_one`."""
        return self.picture.settle_one()

    def line_rows(self, code: str) -> tuple[LineRow, ...]:
        """The lines of one target."""
        if code not in self.documents.targets:
            raise DataError(f"No target has the code {code!r}.", "`sortbench targets` lists them.")
        return self.picture.line_rows(code)

    def bin_rows(self) -> tuple[BinRow, ...]:
        """All bins in their order."""
        return self.picture.bin_rows()

    def heaps(self, label: str) -> tuple[HeapRow, ...]:
        """What lies in a bin, most pieces first."""
        return self.picture.heaps(label)

    def split(self, label: str) -> Notice:
        """Give part of an overflowing bin a bin of its own, and carry the pieces over."""
        from sortbench.desks.additions import split_bin

        return split_bin(self, label)

    def split_proposal(self, label: str) -> str:
        """How to split a bin that overflows, in words; empty where none helps."""
        return split_words(self.picture, label)

    def recent(self, limit: int) -> tuple[RecordRow, ...]:
        """The last tallies and moves of this bench, newest first, void ones included."""
        records = self.picture.ledger.records
        return tuple(
            self.picture.record_row(records[rid], rid.sitting == self.sitting.id)
            for rid in self.sitting.history.last(limit)
        )

    def log_rows(self) -> tuple[RecordRow, ...]:
        """Every record of every sitting, oldest first."""
        return tuple(reversed(self.log()))

    def log(self) -> LogRows:
        """Every record of every sitting, newest first, put into words as far as somebody looks."""
        from sortbench.desks.log_desk import LogRows

        return LogRows(self)

    def hour_back(self, rows: Sequence[RecordRow], place: int) -> int:
        """Where one comes to an hour earlier in records, newest first: :func:`sortbench.desks.log_desk.hour_back`."""
        from sortbench.desks.log_desk import hour_back

        return hour_back(rows, place, self._clock())
