"""Counting by weight at a bench: weighings that become tallies, are counted by hand, and are struck."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor
from typing import TYPE_CHECKING, NamedTuple

from sortbench.desks.scale_desk import ScaleDesk
from sortbench.desks.scale_desk import ScaleTold as ScaleTold
from sortbench.engine.board import Receipt
from sortbench.engine.weighing.counting import Verdict as Verdict
from sortbench.engine.weighing.counting import by_trials, count_by_weight
from sortbench.engine.weighing.unit_mass import given_mass
from sortbench.engine.weighing.weigh_board import Answer as Answer
from sortbench.engine.weighing.weigh_board import answered
from sortbench.engine.weighing.weigh_board import interval_words as interval_words
from sortbench.engine.weighing.weigh_board import mass_words as mass_words
from sortbench.engine.weighing.weigh_board import share_words as share_words
from sortbench.model.catalogue import Kind
from sortbench.model.errors import BenchError, DataError, WriteError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import RecordId
from sortbench.model.text import clean_name
from sortbench.model.weighing import Handful, Load, Weighing, checked_handful, checked_load
from sortbench.sitting import stamp

if TYPE_CHECKING:
    from sortbench.store.documents import Draft

WAY = "weighed"
"""How a tally came, for the record."""


class Question(NamedTuple):
    """What lies on the scale.

    Attributes:
        kind: what it is.
        load: both readings.
        handfuls: pieces of the part counted by hand and weighed for it.
        mass_g, mass_u_g: mass of one piece as the user knows it, and the standard uncertainty of that; None: as
            handfuls and the catalogue have it.
        grade, flaws, bin_label: as for a tally.
        seed: of random numbers; None works without them.
    """

    kind: Kind
    load: Load
    handfuls: tuple[Handful, ...] = ()
    mass_g: float | None = None
    mass_u_g: float | None = None
    grade: Grade | None = None
    flaws: Flaws = ()
    bin_label: str = ""
    seed: int | None = None


class WeighDesk(ScaleDesk):
    """Counting on the scale of one bench. Nothing noted is deleted: what was wrong is struck, or brought back."""

    def ask(self, question: Question) -> Answer:
        """How many pieces lie on the scale.

        Raises:
            DataError: the scale is not known, nothing says what a piece weighs, or a figure cannot be.
        """
        load, scale, part = checked_load(question.load), self.scale, question.kind.part
        listed = self._bench.catalogue.mass_g(part)
        if question.mass_g is not None:
            mass = given_mass(question.mass_g, question.mass_u_g, self.scatter)
        else:
            found = self.mass(part, question.handfuls)
            if found is None:
                name = self._bench.catalogue.part_name(part)
                raise DataError(
                    f"Nobody knows what a {name} weighs.",
                    "Count a handful by hand, weigh it, and give it with --handful PIECES:GROSS.",
                )
            mass = found
        count = count_by_weight(load, scale, mass)
        if question.seed is not None:
            count = by_trials(count, load, scale, mass, question.seed)
        return answered(load, scale, mass, count, listed, self.scatter, self.told.repeat_g is not None)

    def tally(self, question: Question, answer: Answer, by_hand: int | None = None) -> Receipt:
        """Count what lies on the scale, as a tally marked as weighed.

        The record comes first. Where the particulars of the weighing cannot be kept after it, the count stands, and the
        receipt says so.

        Args:
            question, answer: what was asked, and what came of it.
            by_hand: pieces as counted by hand; None takes the number that fits best.

        Raises:
            DataError: no whole number fits, or a number or a heap that cannot be.
            WriteError: the disk refused; nothing is counted.
        """
        found, bench = answer.found, self._bench
        if by_hand is None and (found.verdict is Verdict.NONE_FITS or found.best < 1):
            raise DataError(f"{answer.headline[:1].upper()}{answer.headline[1:]}.", "Count them by hand.")
        if bench.held.target:
            raise DataError(
                "A list being written up takes no weighings.", "A dot alone on the line ends the writing up."
            )
        pieces = found.best if by_hand is None else by_hand
        receipt = bench.count(question.kind, pieces, question.grade, question.flaws, question.bin_label, WAY)
        note = answer.headline if by_hand is None else f"counted by hand; by weight {answer.headline}"
        try:
            self._note(question.kind.part, question.handfuls, question.load, str(receipt.record), answer, by_hand)
        except (BenchError, WriteError, DataError) as error:
            note += f"; the count stands, but its weighing could not be kept: {error.message}"
        return receipt._replace(note="; ".join(filter(None, [receipt.note, note])))

    def learn(self, part: str, handfuls: Sequence[Handful], note: str = "") -> Weighing:
        """Note handfuls of a part that were counted by hand and weighed; nothing is counted.

        Raises:
            DataError: no such part, or a handful that cannot be.
            BenchError, WriteError: see :meth:`Desk.keep`.
        """
        if part not in self._bench.catalogue.parts:
            raise DataError(f"No part has the code {part[:40]!r}.", "Import it, or add it in the app.")
        checked = tuple(map(checked_handful, handfuls))
        return self._note(part, checked, note=clean_name(note, "note") if note else "")

    def confirm(self, name: str, pieces: int) -> tuple[Weighing, Receipt | None]:
        """Note how many pieces a load had that was counted by hand afterwards; a tally that said otherwise is put
        right.

        Args:
            name: the weighing (``G4``), or the record of its tally.
            pieces: 1 to MAX_QUANTITY.

        Raises:
            DataError: no such weighing, nothing was counted at it, its tally does not hold or its pieces were carried
                on, or a number that cannot be.
            BenchError, WriteError: see :meth:`Desk.keep`; a tally that was put right stays so.
        """
        weighing, bench = self.find(name), self._bench
        if weighing.load is None:
            raise DataError(f"At {weighing.id} only handfuls were weighed.", "Name a weighing that counted pieces.")
        if not self.teaches(weighing):
            raise DataError(
                f"{weighing.id} counts for nothing: it is struck, or its tally does not hold any more.",
                "Weigh the pieces again.",
            )
        receipt = None
        if weighing.record:
            sitting, _, number = weighing.record.rpartition("/")
            record = bench.picture.ledger.records[RecordId(sitting, int(number))]
            assert record.cell is not None, "a weighing's record is a tally"
            if record.quantity != pieces:
                cell, before = record.cell, record
                receipt = bench.timed(lambda: bench.sitting.replace(before, cell, pieces))
                weighing = weighing._replace(record=str(receipt.record))
        weighing = weighing._replace(by_hand=pieces)
        self._keep(weighing)
        return weighing, receipt

    def strike(self, name: str, back: bool = False) -> Weighing:
        """Strike a weighing, so that nothing is learnt from it; or let it hold again. A tally that came of it stays.

        Raises:
            DataError: no such weighing, or it is so already.
            BenchError, WriteError: see :meth:`Desk.keep`.
        """
        weighing = self.find(name)
        if weighing.struck is not back:
            raise DataError(f"{weighing.id} is {'not struck' if back else 'struck'} already.")
        weighing = weighing._replace(struck=not back)
        self._keep(weighing)
        return weighing

    def find(self, name: str) -> Weighing:
        """A weighing by its id in any case, or by the record of its tally.

        Raises:
            DataError: there is none.
        """
        for each in self.weighings.values():
            if name.casefold() == each.id.casefold() or (each.record and name == each.record):
                return each
        raise DataError(f"There is no weighing {name[:40]!r}.", "`sortbench weigh list` lists them.")

    def _keep(self, weighing: Weighing) -> None:
        self._bench.keep(lambda draft: draft.weighings.update({weighing.id: weighing}))

    def _note(
        self,
        part: str,
        handfuls: tuple[Handful, ...],
        load: Load | None = None,
        record: str = "",
        answer: Answer | None = None,
        by_hand: int | None = None,
        note: str = "",
    ) -> Weighing:
        found = answer.found if answer else None
        noted: list[Weighing] = []

        def change(draft: Draft) -> None:
            last = max((int(each[1:]) for each in draft.weighings), default=0)
            noted.append(
                Weighing(
                    f"G{last + 1}",
                    stamp(self._clock()),
                    part,
                    self.scale,
                    handfuls,
                    load,
                    record,
                    _rounded(found.estimate if found else None),
                    _rounded(found.low if found else None, floor),
                    _rounded(found.high if found else None, ceil),
                    by_hand,
                    note,
                )
            )
            draft.weighings[noted[0].id] = noted[0]

        self._bench.keep(change)
        return noted[0]


def _rounded(value: float | None, way: Callable[[float], int] = round) -> float | None:
    """To thousandths of a piece; ends of an interval outward."""
    return None if value is None else way(value * 1000) / 1000
