"""The scale of a bench, and what pieces weigh: as it was told, and as weighings taught it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from sortbench.engine.weighing.unit_mass import (
    ASSUMED_REPEAT,
    UNKNOWN_SCATTER,
    OnScale,
    Scatter,
    UnitMass,
    listed_mass,
    pooled_mass,
    told_scatter,
)
from sortbench.engine.weighing.weigh_board import decimals
from sortbench.model.errors import DataError
from sortbench.model.tally import RecordId
from sortbench.model.weighing import Handful, Scale, Weighing, checked_handful, checked_scale
from sortbench.sitting import utc_now

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.store.documents import Draft

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


class ScaleDesk:
    """The scale of one bench, and the masses learnt on it.

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

    def list_mass(self, part: str) -> float:
        """Put what was learnt of a part into the catalogue, from which bins tell their grams.

        Returns:
            Grams a piece, to the digits that mean something.

        Raises:
            DataError: nothing was learnt of it.
            BenchError, WriteError: the documents cannot be written.
        """
        found = next((each.mass for each in self.masses() if each.part == part), None)
        if found is None:
            raise DataError(f"Nothing was learnt of {part[:40]!r}.", "`sortbench weigh learn` notes a handful.")
        grams = round(found.mass_g, decimals(found.u_g or 0.0))
        with self._bench.folder.documents.edit() as draft:
            if part not in draft.parts:
                raise DataError(f"No part has the code {part[:40]!r} any more.", "Strike what was learnt of it.")
            draft.parts[part] = replace(draft.parts[part], mass_g=grams)
        self._bench.reload()
        return grams
