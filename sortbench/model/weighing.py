"""What was put on the scale: weighings that counts rest on, and handfuls counted by hand. Nothing is ever deleted."""

from __future__ import annotations

import re
from math import isfinite
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.text import clean_name

MAX_G = 1_000_000.0
"""Heaviest load that is taken for one, in grams."""

MAX_SCATTER = 0.5
"""Largest scatter from piece to piece, as a share of a piece's mass."""

_ID = re.compile(r"G[1-9][0-9]{0,8}")


class Scale(NamedTuple):
    """What is known of a scale.

    Attributes:
        step_g: the smallest step it shows, in grams, above 0.
        repeat_g: standard deviation of repeated readings of one load before they are rounded to a step, in grams.
        error_g: standard uncertainty of a reading from calibration and linearity, in grams.
    """

    step_g: float
    repeat_g: float = 0.0
    error_g: float = 0.0


class Handful(NamedTuple):
    """Pieces that were counted by hand and weighed.

    Attributes:
        pieces: 1 to MAX_QUANTITY.
        gross_g: what the scale showed with them on it, in grams.
        tare_g: what it showed with the empty cup, in grams.
    """

    pieces: int
    gross_g: float
    tare_g: float = 0.0

    @property
    def net_g(self) -> float:
        """Grams of the pieces alone."""
        return self.gross_g - self.tare_g


class Load(NamedTuple):
    """Pieces on the scale whose number is asked for: both readings in grams."""

    gross_g: float
    tare_g: float = 0.0

    @property
    def net_g(self) -> float:
        """Grams of the pieces alone."""
        return self.gross_g - self.tare_g


class Weighing(NamedTuple):
    """One call on the scale.

    Attributes:
        id: the key (``G1``).
        at: when it was noted: RFC 3339 in UTC.
        part: code of the part; of whichever shade, for a part weighs the same in every shade as far as a scale tells.
        scale: the scale, as it was known then.
        handfuls: pieces of the part that were counted by hand and weighed at that occasion.
        load: what was counted by weight; None where only handfuls were weighed.
        record: the tally that came of it, as ``sitting/number``; empty where none did.
        estimate, low, high: pieces by weight, and the 95 % interval of that; None where it could not be said.
        by_hand: pieces in the load as counted by hand afterwards; None until somebody did.
        note: anything else.
        struck: whether it was noted wrongly: it is kept, and nothing is learnt from it.
    """

    id: str
    at: str
    part: str
    scale: Scale
    handfuls: tuple[Handful, ...] = ()
    load: Load | None = None
    record: str = ""
    estimate: float | None = None
    low: float | None = None
    high: float | None = None
    by_hand: int | None = None
    note: str = ""
    struck: bool = False


def checked_scale(scale: Scale) -> Scale:
    """The same scale, once it can be.

    Raises:
        DataError: a step that is not above 0, or a figure that no scale has.
    """
    if not (isfinite(scale.step_g) and 0 < scale.step_g <= 1000):
        raise DataError(f"A scale does not show steps of {scale.step_g:g} g.", "Give the step in grams, as in 0.1.")
    for what, value in (("repeatability", scale.repeat_g), ("error", scale.error_g)):
        if not (isfinite(value) and 0 <= value <= 1000):
            raise DataError(f"A scale has no {what} of {value:g} g.", "Give a standard deviation in grams, 0 or more.")
    return scale


def checked_load(load: Load) -> Load:
    """The same load, once it can be.

    Raises:
        DataError: readings out of range, or a load that is not heavier than its cup.
    """
    for value in load:
        if not (isfinite(value) and 0 <= value <= MAX_G):
            raise DataError(f"{value:g} g is no reading of a scale.", f"Give 0 to {MAX_G:,.0f} g.")
    if load.net_g <= 0:
        raise DataError(
            f"With {load.gross_g:g} g on the scale and {load.tare_g:g} g of it the cup, no pieces are left.",
            "Give what the scale shows with cup and pieces first, then the cup alone.",
        )
    return load


def checked_handful(handful: Handful) -> Handful:
    """The same handful, once it can be; raises as :func:`checked_load`, and DataError for a number of pieces."""
    if not 1 <= handful.pieces <= MAX_QUANTITY:
        raise DataError(f"A handful of {handful.pieces} pieces cannot be.", f"Give 1 to {MAX_QUANTITY}.")
    checked_load(Load(handful.gross_g, handful.tare_g))
    return handful


def checked_weighing(weighing: Weighing) -> Weighing:
    """The same weighing, once all its values can be.

    Raises:
        DataError: a malformed key, no time, no part, nothing on the scale, or a value out of range.
    """
    if not _ID.fullmatch(weighing.id):
        raise DataError(f"{weighing.id[:40]!r} is no number of a weighing.", "They run G1, G2, G3.")
    if not weighing.at or not weighing.part:
        raise DataError(f"The weighing {weighing.id} has no time or no part.")
    if not weighing.handfuls and weighing.load is None:
        raise DataError(f"Nothing was on the scale at the weighing {weighing.id}.")
    if weighing.note and clean_name(weighing.note, "note") != weighing.note:
        raise DataError("The note has blanks that do not show.", "Leave them out.")
    checked_scale(weighing.scale)
    for handful in weighing.handfuls:
        checked_handful(handful)
    if weighing.load is not None:
        checked_load(weighing.load)
    if weighing.by_hand is not None and not (weighing.load and 1 <= weighing.by_hand <= MAX_QUANTITY):
        raise DataError(f"{weighing.by_hand} pieces counted by hand cannot be at the weighing {weighing.id}.")
    for figure in (weighing.estimate, weighing.low, weighing.high):
        if figure is not None and not isfinite(figure):
            raise DataError(f"The weighing {weighing.id} comes to no number of pieces.")
    return weighing
