"""A batch: what is washed and dried together, and everything that was noted of it. Nothing noted is ever deleted."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.text import clean_name

MAX_CODE = 16
"""Longest code of a batch, in characters."""


class Stage(StrEnum):
    """Where a batch is, in the order in which stages usually follow; any may be left out or come again."""

    SOAK = "soak"
    RINSE = "rinse"
    SPIN = "spin"
    SCRUB = "scrub"
    DRYING = "drying"
    DRY = "dry"

    @property
    def next(self) -> Stage | None:
        """The stage that usually follows; None after the last. Scrubbing is passed over: few batches need it."""
        follows = {Stage.SOAK: Stage.RINSE, Stage.RINSE: Stage.SPIN, Stage.SPIN: Stage.DRYING}
        return follows.get(self) or {Stage.SCRUB: Stage.DRYING, Stage.DRYING: Stage.DRY}.get(self)


class StageEvent(NamedTuple):
    """A stage begins.

    Attributes:
        stage: which.
        at: when, with its time zone.
        struck: whether it was noted by mistake and counts no longer.
    """

    stage: Stage
    at: datetime
    struck: bool = False


class Stirring(NamedTuple):
    """A soaking batch was stirred; attributes as :class:`StageEvent`."""

    at: datetime
    struck: bool = False


class Weighing(NamedTuple):
    """A tray was weighed.

    Attributes:
        at: when, with its time zone.
        tray: its name; empty where a batch lies on one tray only.
        grams: what the scale showed, the tray included.
        struck: as in :class:`StageEvent`.
    """

    at: datetime
    tray: str
    grams: float
    struck: bool = False


Entry = StageEvent | Stirring | Weighing
"""Something noted of a batch. Its number is its place among all of them, from 1, so it never changes."""


class Tray(NamedTuple):
    """What a batch, or a part of it, lies on while it dries.

    Attributes:
        name: empty for the only one.
        tare_g: grams of the empty tray; None if nobody weighed it, and then no criterion can be met on it.
    """

    name: str = ""
    tare_g: float | None = None


class Batch(NamedTuple):
    """What is washed and dried together.

    Attributes:
        code: the key (``W3``).
        name: what is in it.
        entries: stages, stirrings and weighings in the order in which they were noted.
        trays: those whose empty weight is known.
        soak_h: hours it is to soak. One to two is common practice (no source).
        stir_min: minutes from one stirring to the next while it soaks.
        drying_h: hours drying usually takes here, before any weighing says better. Overnight is common practice (no
            source).
        resolution_g: smallest step of the scale in grams, None if not told.
        temp_c: the drying room's temperature in degrees Celsius, 0 to 50, None if not told.
        rh_percent: its relative humidity in percent, 1 to 100, None if not told.
        note: anything else.
    """

    code: str
    name: str = ""
    entries: tuple[Entry, ...] = ()
    trays: tuple[Tray, ...] = ()
    soak_h: float = 1.5
    stir_min: float = 20.0
    drying_h: float = 12.0
    resolution_g: float | None = None
    temp_c: float | None = None
    rh_percent: float | None = None
    note: str = ""

    @property
    def stages(self) -> tuple[StageEvent, ...]:
        """Stages that hold, earliest first."""
        held = [entry for entry in self.entries if isinstance(entry, StageEvent) and not entry.struck]
        return tuple(sorted(held, key=lambda entry: entry.at))

    @property
    def stirrings(self) -> tuple[Stirring, ...]:
        """Stirrings that hold, earliest first."""
        held = [entry for entry in self.entries if isinstance(entry, Stirring) and not entry.struck]
        return tuple(sorted(held, key=lambda entry: entry.at))

    @property
    def weighings(self) -> tuple[Weighing, ...]:
        """Weighings that hold, earliest first."""
        held = [entry for entry in self.entries if isinstance(entry, Weighing) and not entry.struck]
        return tuple(sorted(held, key=lambda entry: entry.at))

    def tare(self, tray: str) -> float | None:
        """Grams of an empty tray, None if nobody weighed it."""
        return next((each.tare_g for each in self.trays if each.name == tray), None)


_RANGES = {
    "soak_h": (0.05, 48.0, "A soak", "h"),
    "stir_min": (1.0, 600.0, "Time between stirrings", "min"),
    "drying_h": (0.25, 336.0, "Drying", "h"),
    "resolution_g": (0.0001, 100.0, "A step of a scale", "g"),
    "temp_c": (0.0, 50.0, "The room", "degrees C"),
    "rh_percent": (1.0, 100.0, "The humidity", "%"),
}
MAX_GRAMS = 50_000.0
"""Most that a tray may weigh, in grams."""


def checked(batch: Batch) -> Batch:
    """A batch if all its values are ones that can be.

    Raises:
        DataError: a code that is empty, too long or has a blank; a value out of range; a time without its zone; a tray
            that is there twice, or a weighing of less than its empty tray.
    """
    if clean_name(batch.code, "code of the batch") != batch.code or " " in batch.code or len(batch.code) > MAX_CODE:
        raise DataError(f"{batch.code[:40]!r} is no code for a batch.", f"Use at most {MAX_CODE} characters, no blank.")
    for text, what in ((batch.name, "name of the batch"), (batch.note, "note")):
        if text and clean_name(text, what) != text:
            raise DataError(f"The {what} has blanks that do not show.", "Leave them out.")
    for field, (least, most, what, unit) in _RANGES.items():
        value: float | None = getattr(batch, field)
        if value is not None and not least <= value <= most:
            raise DataError(f"{what} of {value:g} {unit} is not plausible.", f"Give {least:g} to {most:g} {unit}.")
    names = [tray.name for tray in batch.trays]
    if len(set(names)) < len(names):
        raise DataError(f"The batch {batch.code} has two trays of one name.", "Give each a name of its own.")
    for tray in batch.trays:
        _check_tray(tray)
    for entry in batch.entries:
        if entry.at.tzinfo is None:
            raise DataError(f"A time of the batch {batch.code} has no time zone.")
        if isinstance(entry, Weighing):
            _check_weighing(entry, batch.tare(entry.tray))
    return batch


def _check_tray(tray: Tray) -> None:
    if tray.name and clean_name(tray.name, "name of the tray") != tray.name:
        raise DataError("The name of a tray has blanks that do not show.", "Leave them out.")
    if tray.tare_g is not None and not 0 <= tray.tare_g <= MAX_GRAMS:
        raise DataError(f"A tray of {tray.tare_g:g} g is not plausible.", f"Give 0 to {MAX_GRAMS:,.0f} g.")


def _check_weighing(weighing: Weighing, tare: float | None) -> None:
    if not 0 < weighing.grams <= MAX_GRAMS:
        raise DataError(f"A weight of {weighing.grams:g} g is not plausible.", f"Give 0 to {MAX_GRAMS:,.0f} g.")
    if tare is not None and weighing.grams <= tare and not weighing.struck:
        raise DataError(
            f"{weighing.grams:g} g is no more than the empty tray of {tare:g} g.",
            "Weigh the tray with its pieces on it; the empty tray is taken off by itself.",
        )
