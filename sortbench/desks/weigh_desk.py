"""Counting by weight at a bench: the scale, what pieces weigh, weighings that became tallies, and what they taught."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from math import ceil, floor
from typing import TYPE_CHECKING, Any, NamedTuple

from sortbench.engine.board import Receipt
from sortbench.engine.weighing.counting import Verdict as Verdict
from sortbench.engine.weighing.counting import by_trials, count_by_weight
from sortbench.engine.weighing.unit_mass import (
    ASSUMED_REPEAT,
    UNKNOWN_SCATTER,
    OnScale,
    Scatter,
    UnitMass,
    given_mass,
    listed_mass,
    pooled_mass,
    told_scatter,
)
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
from sortbench.model.weighing import Handful, Load, Scale, Weighing, checked_handful, checked_load, checked_scale
from sortbench.sitting import stamp, utc_now

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.store.documents import Draft

WAY = "weighed"
"""How a tally came, for the record."""

_SETTING = "scale"


class ScaleTold(NamedTuple):
    """What the user told of the scale and of the pieces on it; None where nothing was told.

    Attributes:
        step_g, repeat_g, error_g: see :class:`sortbench.model.weighing.Scale`.
        scatter: standard deviation from piece to piece of one part, as a share of their mass.
    """

    step_g: float | None = None
    repeat_g: float | None = None
    error_g: float | None = None
    scatter: float | None = None


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


class LearntMass(NamedTuple):
    """What handfuls of a part weighed.

    Attributes:
        part, name: which.
        mass: of one piece, from all of them.
        listed_g: what the catalogue lists, None if nothing.
        differs: by how many standard uncertainties the list is off; None without a list.
    """

    part: str
    name: str
    mass: UnitMass
    listed_g: float | None
    differs: float | None


class WeighDesk:
    """The scale of one bench. Nothing noted is deleted: what was wrong is struck, and can be brought back.

    Args:
        bench: the bench, open for one sitting.
        clock: the time, for reading only.
    """

    def __init__(self, bench: Desk, clock: Callable[[], datetime] = utc_now) -> None:
        self._bench = bench
        self._clock = clock

    # The scale

    @property
    def told(self) -> ScaleTold:
        """What was told of the scale; what cannot be read counts as not told."""
        value = self._bench.documents.settings.get(_SETTING)
        known: Mapping[str, Any] = value if isinstance(value, Mapping) else {}
        figures = {field: known.get(field) for field in ScaleTold._fields}
        return ScaleTold(**{field: float(v) for field, v in figures.items() if isinstance(v, int | float)})

    def tell(self, told: ScaleTold, forget: bool = False) -> ScaleTold:
        """Say what is known of the scale; what is None stays as it was.

        Args:
            forget: forget all that was told before.

        Raises:
            DataError: a figure that no scale has.
            BenchError, WriteError: see :meth:`Desk.keep`.
        """
        before = ScaleTold() if forget else self.told
        now = ScaleTold(*(old if new is None else new for old, new in zip(before, told, strict=True)))
        if now.step_g is not None:
            checked_scale(Scale(now.step_g, now.repeat_g or 0.0, now.error_g or 0.0))
        elif now != ScaleTold():
            raise DataError("The smallest step of the scale is not known yet.", "Tell it as well, with --step 0.1")
        if now.scatter is not None:
            told_scatter(now.scatter)
        figures = {field: value for field, value in now._asdict().items() if value is not None}

        def change(draft: Draft) -> None:
            draft.settings.pop(_SETTING, None)
            if figures:
                draft.settings[_SETTING] = figures

        self._bench.keep(change)
        return self.told

    @property
    def scale(self) -> Scale:
        """The scale; repeated readings are taken to scatter by half a step where nobody told.

        Raises:
            DataError: its smallest step was never told, or what was kept cannot be.
        """
        told = self.told
        if told.step_g is None:
            raise DataError(
                "Nothing is known of the scale yet.",
                "Tell its smallest step in grams once: `sortbench weigh scale --step 0.1`.",
            )
        repeat = ASSUMED_REPEAT * told.step_g if told.repeat_g is None else told.repeat_g
        return checked_scale(Scale(told.step_g, repeat, told.error_g or 0.0))

    @property
    def scatter(self) -> Scatter:
        """How much pieces of one part are taken to differ."""
        share = self.told.scatter
        return UNKNOWN_SCATTER if share is None else told_scatter(share)

    # What a piece weighs

    @property
    def weighings(self) -> Mapping[str, Weighing]:
        """All weighings by id, the oldest first; struck ones too."""
        return self._bench.documents.weighings

    def teaches(self, weighing: Weighing) -> bool:
        """Whether something may be learnt from a weighing: it is not struck, and its tally holds if it has one."""
        return not weighing.struck and (not weighing.record or self._holds(weighing.record))

    def _holds(self, record: str) -> bool:
        sitting, _, number = record.rpartition("/")
        return number.isdecimal() and self._bench.picture.ledger.holds(RecordId(sitting, int(number)))

    def handfuls(self, part: str, more: Sequence[Handful] = ()) -> tuple[OnScale, ...]:
        """Handfuls of a part that were counted by hand and weighed, with loads that were counted by hand later.

        A handful whose readings are told twice is one handful: it served two weighings.
        """
        found: dict[Handful, Scale] = {}
        for each in self.weighings.values():
            if each.part == part and self.teaches(each):
                found.update(dict.fromkeys(each.handfuls, each.scale))
                if each.load is not None and each.by_hand is not None:
                    found[Handful(each.by_hand, *each.load)] = each.scale
        if more:
            found.update({checked_handful(handful): self.scale for handful in more})
        return tuple(OnScale(handful, scale) for handful, scale in found.items())

    def mass(self, part: str, more: Sequence[Handful] = ()) -> UnitMass | None:
        """What one piece of a part weighs: from handfuls, else from the catalogue; None where nothing is known.

        Raises:
            DataError: a handful that cannot be.
        """
        if handfuls := self.handfuls(part, more):
            return pooled_mass(handfuls, self.scatter)
        listed = self._bench.catalogue.mass_g(part)
        return None if listed is None else listed_mass(listed, self.scatter)

    def masses(self) -> tuple[LearntMass, ...]:
        """What was learnt of the masses of parts, by name."""
        catalogue = self._bench.catalogue
        found = []
        for part in {each.part: None for each in self.weighings.values()}:
            if handfuls := self.handfuls(part):
                mass, listed = pooled_mass(handfuls, self.scatter), catalogue.mass_g(part)
                differs = None if listed is None or not mass.u_g else (listed - mass.mass_g) / mass.u_g
                found.append(LearntMass(part, catalogue.part_name(part), mass, listed, differs))
        return tuple(sorted(found, key=lambda each: (each.name, each.part)))

    # Counting

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
        return answered(load, scale, mass, count, listed, self.told.repeat_g is not None)

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
            raise DataError("A list being written up takes no weighings.", "A dot and Enter ends the writing up.")
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
            raise DataError(f"{weighing.id} counts for nothing: it is struck, or its tally does not hold any more.")
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
            raise DataError(f"{weighing.id} is {'not struck' if back else 'struck already'}.")
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
