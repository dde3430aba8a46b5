"""Colour readings judged for a bench: whole runs of them against one reference, and counted with what they came to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.condition.colour import Lab, hex_to_lab, lab_to_xyz, parse_reading
from sortbench.engine.condition.judging import Judgement, drift_words, judge, severity_order
from sortbench.engine.condition.yellowness import Whiteness, whiteness_index, why_not_white
from sortbench.engine.entering.words import tokens
from sortbench.model.errors import DataError
from sortbench.model.tally import reading_of

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desk import Desk
    from sortbench.engine.board import Receipt
    from sortbench.model.catalogue import Kind

WAY = "judged"
"""How a tally came, for the record."""

MOST_U = 5.0
"""Standard uncertainty of a reading above which it would tell nothing about a grade."""


class Reference(NamedTuple):
    """What pieces are judged against.

    Attributes:
        shade: the shade it stands for; empty where only a reading was given.
        text: as it was written, or the list value with a ``#``.
        lab: its colour.
        measured: whether it is the reading of an unaged piece, and no list value.
    """

    shade: str
    text: str
    lab: Lab
    measured: bool


class Judged(NamedTuple):
    """One reading and what it came to.

    Attributes:
        text: the reading as it was written.
        judgement: against the reference.
        rank: 1 is nearest to the reference; by CIEDE2000.
        drift: which way it has gone, in words; empty where it has hardly moved.
        whiteness: CIE whiteness and tint of the piece; None where they mean nothing.
        why_no_whiteness: why they do not; empty where they are there.
    """

    text: str
    judgement: Judgement
    rank: int
    drift: str
    whiteness: Whiteness | None
    why_no_whiteness: str


def shade_named(bench: Bench, words: str) -> str:
    """The shade that words mean which speak of no part; empty where they may speak of one.

    Raises:
        DataError: two shades are meant alike.
    """
    typed = tokens(words)
    for shade in bench.catalogue.shades.values():
        if typed and typed in map(tokens, (shade.name, *shade.aliases)):
            return shade.name
    meant = bench.entries.shades_meant("." + words)
    if len(meant) > 1:
        raise DataError(f"Could be {meant[0]} or {meant[1]}.", "Type more of what tells them apart.")
    return meant[0] if meant else ""


def names_shade(bench: Desk, words: str, shade: str) -> bool:
    """Whether one of the words may speak of a shade."""
    return any(shade in bench.lookup.shades(word) for word in tokens(words))


def reference_for(bench: Desk, shade: str, text: str | None = None) -> Reference:
    """What pieces of a shade are judged against: the reading of an unaged piece, else the shade's list value.

    Raises:
        DataError: no such reading or shade, or the catalogue does not know the shade's colour.
    """
    if shade not in bench.catalogue.shades:
        raise DataError(f"No shade is called {shade[:60]!r}.", "Import it with `sortbench import shades`.")
    if text is not None:
        return Reference(shade, " ".join(text.split()), parse_reading(text), True)
    rgb = bench.catalogue.shades[shade].rgb
    if not rgb:
        raise DataError(
            f"The catalogue has no colour for {shade}.", "Measure an unaged piece and give it with --reference."
        )
    return Reference(shade, f"#{rgb}", hex_to_lab(rgb), False)


def judge_readings(reference: Reference, texts: Sequence[str], u: float | None = None) -> tuple[Judged, ...]:
    """Judge typed readings, in their order.

    Args:
        reference: see :func:`reference_for`.
        texts: readings; see :func:`parse_reading`.
        u: standard uncertainty of each of L*, a* and b* of every reading; a list value counts as exact. None where
            nobody told.

    Raises:
        DataError: one of them is no reading, or the uncertainty cannot be.
    """
    if u is not None and not 0.0 <= u <= MOST_U:
        raise DataError(
            f"An uncertainty of {u:g} is not plausible.",
            f"Give the standard uncertainty of L*, a*, b*: 0 to {MOST_U:g}.",
        )
    spread = None if u is None else Lab(u, u, u)
    of_reference = spread if reference.measured else None
    found = [judge(parse_reading(text), reference.lab, spread, of_reference) for text in texts]
    worst_first = severity_order(found)
    ranks = {at: len(found) - place for place, at in enumerate(worst_first)}
    return tuple(_judged(text, each, ranks[at]) for at, (text, each) in enumerate(zip(texts, found, strict=True)))


def _judged(text: str, judgement: Judgement, rank: int) -> Judged:
    xyz = lab_to_xyz(judgement.piece)
    why = why_not_white(xyz)
    return Judged(
        " ".join(text.split()), judgement, rank, drift_words(judgement), None if why else whiteness_index(xyz), why
    )


def count_judged(bench: Desk, kind: Kind, judged: Judged, quantity: int, bin_label: str = "") -> Receipt:
    """Count pieces of a kind with the grade and the colour that one reading gave.

    Args:
        quantity: pieces that look alike, 1 to MAX_QUANTITY.
        bin_label: where they go; else the held bin applies, then the bins' rules.

    Raises:
        DataError: a kind or quantity that cannot be, or a list is being written up.
        WriteError: the disk refused; nothing is counted.
    """
    found = judged.judgement
    return bench.count(kind, quantity, found.grade, bin_label=bin_label, way=WAY, lab=reading_of(*found.piece))
