"""Pieces on one photograph judged against an unaged piece on the same photograph.

A white or grey card in the same light says what each channel of the camera makes of a known reflectance; the channels
are scaled to it, and only then colours are read. What comes out is an estimate: pieces of one picture can be compared
with each other and with the reference in it, their absolute colours are not to be relied upon. ISO 105-A11 is the
published precedent for grading a change in colour from digital images.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from sortbench.engine.condition.colour import Lab, Rgb, lab_to_hex, linear_to_xyz, xyz_to_lab
from sortbench.engine.condition.judging import COVERAGE, Judgement, judge
from sortbench.engine.condition.patches import OVER, UNDER, Means, means_of
from sortbench.model.errors import DataError
from sortbench.model.photo import Area, Patch

WHITE_CARD = 0.9
"""Reflectance of a white card where nobody tells another: a default, not a measurement. A grey card has 0.18."""
REFLECTANCE_U = 0.02
"""Standard uncertainty of a card's reflectance, as a share of it; assumed."""

_CARD_CLIPPED = 0.05
_CARD_UNEVEN = 0.12
_CAST_REFUSED, _CAST_NOTED = 2.0, 1.3
"""Largest ratio of a card's channels, in linear light, taken for white light; and from which on a note is made."""
_CLIPPED, _GLARE = 0.1, 0.25
_BRIGHTER = "{:.0%} of it is much brighter than the rest, as if it mirrored the light or were of several colours"
_SPREAD, _UNEVEN = 0.3, 0.3
_DARK = 12.0
_LIGHTEST = 105.0
_SUNK = 0.1
_FALL_REFUSED, _FALL_NOTED = 0.25, 0.05
_QUARTERS_U = math.sqrt(3.0) / 2.0
"""Standard uncertainty of a mean of four readings per standard deviation of them: 1 / sqrt(4), widened by
sqrt((n - 1) / (n - 3)) because four tell little of their spread (JCGM 101:2008, 6.4.9; from memory)."""

ALWAYS = (
    "an estimate: the pieces of one picture can be compared with each other and with the reference in it; their "
    "absolute colours are not to be relied upon",
    "the standard curve of sRGB is assumed: beauty filters, HDR and strong automatic tones break it",
    "plain paper as a card holds brightener, and makes pieces look yellower than they are",
    "one light is assumed for card, reference and pieces; light far from daylight shifts coloured pieces, and a camera "
    "that balances it away hides that from the card",
)
"""What holds of every picture, in words."""


class PieceReading(NamedTuple):
    """One piece of a picture.

    Attributes:
        number: from 1, in the order in which the pieces were marked.
        area: where it is.
        why_not: why it was not judged, in words; empty where it was, and only then the others mean anything.
        lab: its colour with the card as white, relative to this picture.
        lab_u: standard uncertainty of that, the card's own included.
        rgb: six hex digits of sRGB for a swatch of it.
        judgement: the comparison with the reference; None where it was not judged. Its uncertainties leave out what
            card and light do to both alike.
        rank: 1 is nearest to the reference; pieces with the same difference share one. 0 where it was not judged.
        ranks: best and worst rank that the uncertainties of the differences allow.
        notes: what is doubtful about it.
    """

    number: int
    area: Area
    why_not: str
    lab: Lab
    lab_u: Lab
    rgb: str
    judgement: Judgement | None
    rank: int
    ranks: tuple[int, int]
    notes: tuple[str, ...]


class PhotoResult(NamedTuple):
    """What a picture says of the pieces on it.

    Attributes:
        reflectance: the card's, as it was told.
        reference: colour of the reference, as the card makes it.
        reference_rgb: six hex digits of it.
        readings: one a piece, in the order in which they were marked.
        notes: what is doubtful about this picture.
    """

    reflectance: float
    reference: Lab
    reference_rgb: str
    readings: tuple[PieceReading, ...]
    notes: tuple[str, ...]

    @property
    def judged(self) -> tuple[PieceReading, ...]:
        """The pieces that were judged."""
        return tuple(reading for reading in self.readings if reading.judgement is not None)


def check_reflectance(reflectance: float) -> float:
    """A card's reflectance.

    Raises:
        DataError: it is not between 0.05 and 1.
    """
    if not 0.05 <= reflectance <= 1.0:
        raise DataError(
            f"A card that reflects {reflectance:g} of the light is of no use.",
            "Give 0.05 to 1: about 0.9 for a white card, 0.18 for a grey one; its maker tells.",
        )
    return reflectance


def judge_photo(card: Patch, reference: Patch, pieces: Sequence[Patch], reflectance: float = WHITE_CARD) -> PhotoResult:
    """Judge pieces on a picture against the reference in it.

    Args:
        card: pixels of the card.
        reference: pixels of the unaged piece.
        pieces: pixels of each piece.
        reflectance: the card's, 0.05 to 1, the same for all colours.

    Raises:
        DataError: card or reference cannot be measured by: too dark, clipped, in coloured light, uneven. A piece that
            cannot be judged is said to be so in its reading, and the others are judged.
    """
    check_reflectance(reflectance)
    white, notes = _checked_card(means_of(card), reflectance)
    unaged = means_of(reference)
    scale = _Scale(white, reflectance)
    if problem := _problem(unaged, scale.lab(unaged.linear)):
        raise DataError(f"The reference ({unaged.area}) cannot be judged by: {problem[0]}.", problem[1])
    readings = [
        _reading(number, means, unaged, scale) for number, means in enumerate((means_of(each) for each in pieces), 1)
    ]
    lab = scale.lab(unaged.linear)
    return PhotoResult(
        reflectance, lab, lab_to_hex(lab), _ranked(readings), (*notes, *(f"reference: {n}" for n in _doubts(unaged)))
    )


# The card


def _checked_card(card: Means, reflectance: float) -> tuple[Means, tuple[str, ...]]:
    where = f"The card ({card.area})"
    worst = max(card.encoded)
    if worst > OVER or card.clipped > _CARD_CLIPPED:
        raise DataError(
            f"{where} is overexposed: a channel reads {worst:.0f} of 255, and {card.clipped:.0%} of its pixels are "
            "clipped, so nothing can be measured by it.",
            "Take the picture darker.",
        )
    if min(card.encoded) < UNDER:
        raise DataError(
            f"{where} is too dark: a channel reads {min(card.encoded):.0f} of 255.", "Take the picture in more light."
        )
    if card.spread > _SPREAD or card.uneven > _CARD_UNEVEN:
        raise DataError(
            f"{where} is uneven: its parts differ by {max(card.uneven, card.spread):.0%}.",
            "Mark only the card, well inside its edge, and keep shadows off it.",
        )
    if card.glare > _GLARE:
        raise DataError(
            f"{where} glares: {_BRIGHTER.format(card.glare)}.", "Mark only the card; tilt it, or move the light."
        )
    cast = max(card.linear) / min(card.linear)
    if cast > _CAST_REFUSED:
        raise DataError(
            f"{where} is far from neutral: its strongest channel is {cast:.1f} times its weakest, so the light is "
            "coloured or the card is.",
            "Use daylight or a lamp close to it, and a neutral card.",
        )
    notes = []
    if cast > _CAST_NOTED:
        notes.append(f"the light is coloured (the card's channels differ by a factor of {cast:.2f}); it is scaled away")
    if max(card.linear) > reflectance * 1.02:
        notes.append("the picture is brighter than the card's reflectance: pieces that are lighter may be clipped")
    return card, tuple(notes)


# Scaling to it


class _Scale:
    """Colours as the card makes them, and how sure they are.

    What is wrong with the card is wrong for piece and reference alike. So a difference between the two carries only
    what a wrong card changes in the difference.
    """

    def __init__(self, card: Means, reflectance: float) -> None:
        self.card = card
        self._reflectance = reflectance
        self._gains = self._gains_of(card.linear)
        self._by_quarter = [self._gains_of(quarter) for quarter in card.quarters]
        # The card's own noise, a channel at a time, and its reflectance, all channels at once.
        shares = [noise / linear for noise, linear in zip(card.noise_u, card.linear, strict=True)]
        self._wrong = [_times(self._gains, _but_one(channel, 1.0 + share)) for channel, share in enumerate(shares)]
        self._wrong.append(_times(self._gains, (1.0 + REFLECTANCE_U,) * 3))
        self._fall = _fall(card)

    def _gains_of(self, linear: Rgb) -> Rgb:
        red, green, blue = (self._reflectance / value for value in linear)
        return red, green, blue

    def lab(self, linear: Rgb) -> Lab:
        """The colour of linear light."""
        return _lab(_times(linear, self._gains))

    def own_u(self, means: Means) -> Lab:
        """Standard uncertainty of a colour but for the card: noise, rounding, and how its quarters differ."""
        here = self.lab(means.linear)
        moved = [
            _minus(self.lab(_plus(means.linear, channel, noise)), here) for channel, noise in enumerate(means.noise_u)
        ]
        return _root_sum([*moved, _spread_of([self.lab(quarter) for quarter in means.quarters])])

    def card_u(self, linear: Rgb, other: Rgb | None = None) -> Lab:
        """What the card adds to that; with another colour, what it adds to the difference between the two."""

        def seen(gains: Rgb) -> Lab:
            lab = _lab(_times(linear, gains))
            return lab if other is None else _minus(lab, _lab(_times(other, gains)))

        here = seen(self._gains)
        moved = [_minus(seen(gains), here) for gains in self._wrong]
        return _root_sum([*moved, _spread_of([seen(gains) for gains in self._by_quarter])])

    def fall(self, one: Area, other: Area) -> float:
        """By what share the light differs between two places, if it goes on as it falls off across the card."""
        (x, y), (u, v) = one.middle, other.middle
        return abs(self._fall[0] * (x - u) + self._fall[1] * (y - v))

    def fall_u(self, linear: Rgb, share: float) -> Lab:
        """What such a fall adds to a difference: anything up to it is as likely (a rectangle, JCGM 100:2008, 4.3.7)."""
        by = 1.0 + share / math.sqrt(3.0)
        return _abs(_minus(self.lab(_times(linear, (by, by, by))), self.lab(linear)))


def _fall(card: Means) -> tuple[float, float]:
    """How much of itself the light loses per pixel to the right and down; 0 where noise alone could look like it."""
    upper_left, upper_right, lower_left, lower_right = (sum(quarter) / 3.0 for quarter in card.quarters)
    level = sum(card.linear) / 3.0
    # Each half has half the pixels, and the difference of two halves has the noise of both: twice that of the whole.
    noise = 2.0 * math.sqrt(sum(u * u for u in card.noise_u)) / 3.0 / level
    right = (upper_right + lower_right - upper_left - lower_left) / 2.0 / level
    down = (lower_left + lower_right - upper_left - upper_right) / 2.0 / level
    across, along = card.area.width / 2.0, card.area.height / 2.0
    return (
        right / across if abs(right) > 2.0 * noise else 0.0,
        down / along if abs(down) > 2.0 * noise else 0.0,
    )


# The pieces


def _problem(means: Means, lab: Lab) -> tuple[str, str] | None:
    """Why a piece cannot be judged, and what to do about it; None if it can be."""
    if lab.lightness > _LIGHTEST:
        return (
            f"it would be lighter than white (L* {lab.lightness:.0f})",
            "Look whether the card is marked where it lies, and what it reflects.",
        )
    if means.clipped > _CLIPPED + min(means.glare, _GLARE):  # glare is left out of the means, clipped or not
        return f"{means.clipped:.0%} of its pixels are clipped (above {OVER} of 255)", "Take the picture darker."
    if means.glare > _GLARE:
        return _BRIGHTER.format(means.glare), "Turn it, move the light, or mark a part of one colour without glare."
    if means.brightest < _DARK:
        return "it is too dark to tell", "Take the picture in more light."
    if means.spread > _SPREAD or means.uneven > _UNEVEN:
        return (
            f"its parts differ by {max(means.spread, means.uneven):.0%}, as if it were of several colours or in shadow",
            "Mark a smaller part of it, well inside its edges.",
        )
    return None


def _doubts(means: Means) -> tuple[str, ...]:
    notes = []
    if means.sunk > _SUNK:
        notes.append("a channel is at its lower end: the colour is stronger than the picture can hold")
    return tuple(notes)


def _reading(number: int, piece: Means, unaged: Means, scale: _Scale) -> PieceReading:
    lab = scale.lab(piece.linear)
    own, none = scale.own_u(piece), Lab(0.0, 0.0, 0.0)
    lab_u = _root_sum([own, scale.card_u(piece.linear)])
    problem = _problem(piece, lab)
    fall = scale.fall(piece.area, unaged.area)
    if problem is None and fall > _FALL_REFUSED:
        problem = (
            f"the light would differ by {fall:.0%} from the reference's, if it goes on as across the card",
            "Bring card, reference and pieces closer together, in even light.",
        )
    if problem is not None:
        return PieceReading(
            number, piece.area, f"{problem[0]}. {problem[1]}", lab, lab_u, lab_to_hex(lab), None, 0, (0, 0), ()
        )
    notes = _doubts(piece)
    if fall > _FALL_NOTED:
        notes = (*notes, f"the light may differ by {fall:.0%} from the reference's")
    shared = scale.card_u(piece.linear, unaged.linear)
    piece_u = _root_sum([own, shared, scale.fall_u(piece.linear, fall) if fall else none])
    judged = judge(lab, scale.lab(unaged.linear), piece_u, scale.own_u(unaged))
    return PieceReading(number, piece.area, "", lab, lab_u, lab_to_hex(lab), judged, 0, (0, 0), notes)


def _ranked(readings: Iterable[PieceReading]) -> tuple[PieceReading, ...]:
    """With ranks by the difference from the reference, which goes on where grades have ended."""
    all_ = tuple(readings)
    judged = [(each.judgement.difference, each.judgement.difference_u or 0.0) for each in all_ if each.judgement]

    def ranked(reading: PieceReading) -> PieceReading:
        if reading.judgement is None:
            return reading
        mine, u = reading.judgement.difference, reading.judgement.difference_u or 0.0
        before = sum(other < mine for other, _ in judged)
        surely_before = sum(mine - other > COVERAGE * math.hypot(u, other_u) for other, other_u in judged)
        surely_behind = sum(other - mine > COVERAGE * math.hypot(u, other_u) for other, other_u in judged)
        return reading._replace(rank=before + 1, ranks=(surely_before + 1, len(judged) - surely_behind))

    return tuple(map(ranked, all_))


# Small sums


def _lab(linear: Rgb) -> Lab:
    return xyz_to_lab(linear_to_xyz(linear))


def _times(one: Rgb, other: Rgb) -> Rgb:
    return one[0] * other[0], one[1] * other[1], one[2] * other[2]


def _but_one(channel: int, value: float) -> Rgb:
    red, green, blue = (value if each == channel else 1.0 for each in range(3))
    return red, green, blue


def _plus(linear: Rgb, channel: int, by: float) -> Rgb:
    red, green, blue = (value + by if each == channel else value for each, value in enumerate(linear))
    return red, green, blue


def _minus(one: Lab, other: Lab) -> Lab:
    return Lab(one[0] - other[0], one[1] - other[1], one[2] - other[2])


def _abs(lab: Lab) -> Lab:
    return Lab(abs(lab[0]), abs(lab[1]), abs(lab[2]))


def _root_sum(parts: Sequence[Lab]) -> Lab:
    lightness, a, b = (math.sqrt(sum(part[at] ** 2 for part in parts)) for at in range(3))
    return Lab(lightness, a, b)


def _spread_of(four: Sequence[Lab]) -> Lab:
    """Standard uncertainty of the mean of four readings."""

    def of(values: Sequence[float]) -> float:
        mean = sum(values) / len(values)
        return _QUARTERS_U * math.sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))

    lightness, a, b = (of([lab[at] for lab in four]) for at in range(3))
    return Lab(lightness, a, b)
