"""The pull list: what must not go into the tub with the rest, why, and how to clean it instead.

What is said of care marks and families is common practice (no source). The list knows what the catalogue knows: a part
without marks in a family of no account is taken for one that may be washed.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sortbench.model.catalogue import Care, Catalogue, Kind, Part

SMALL_G = 0.3
"""Grams below which a piece counts as very small where nobody said otherwise: common practice knows no figure."""
SOURCE = "common practice, no source"


class Advice(NamedTuple):
    """What a care mark means at the tub.

    Attributes:
        out: whether a piece with it stays out of the tub.
        why: the reason.
        how: how it is cleaned: instead of the tub, or after it.
    """

    out: bool
    why: str
    how: str


ADVICE: Mapping[Care, Advice] = {
    Care.ELECTRIC: Advice(
        True,
        "water gets at contacts and into closed cases",
        "batteries out, wipe with a cloth that is barely damp, contacts dry",
    ),
    Care.METAL: Advice(True, "metal rusts, and stains what lies beside it", "wipe, and dry it at once"),
    Care.MANUAL: Advice(True, "paper warps and its print runs", "wipe with a dry cloth"),
    Care.STICKER: Advice(
        True, "soaking lifts stickers and their edges curl", "wipe around the sticker with a damp cloth, not under it"
    ),
    Care.CLOTH: Advice(
        True, "it frays, may run, and keeps the dirt of the tub", "by hand in lukewarm water, alone; lay it flat to dry"
    ),
    Care.FIGURE: Advice(
        True, "print rubs off, and water stays in the joints", "by hand in a bowl, with a soft brush; joints open"
    ),
    Care.RAISED_BASEPLATE: Advice(
        True, "it takes up the tub, and water stays in its hollows", "wipe by hand with a sponge, on both sides"
    ),
    Care.DELICATE: Advice(True, "thin pieces snap under the others", "by hand in a bowl, a few at a time"),
    Care.VERY_SMALL: Advice(
        True, "it leaves through a colander or hides in hollow pieces", "by itself in a fine sieve or a tied mesh bag"
    ),
    Care.LARGE_PLATE: Advice(False, "dust stays between its studs", "scrub each with a sponge after the tub"),
    Care.FOLIAGE: Advice(
        False, "it holds dust and water longest", "brush it under running water; shake it, and dry it last"
    ),
    Care.DEEP_HOLLOW: Advice(
        False, "it holds dust and water longest", "rinse it from inside; dry it with the hollow downward, and longest"
    ),
    Care.PRINT: Advice(False, "print wears off", "leave it out where many pieces are stirred; never scrub the print"),
}
"""By care mark, the one that decides how a part is cleaned first."""

_FAMILIES = {"figure": Care.FIGURE, "cloth": Care.CLOTH, "string": Care.CLOTH}
"""Families all of whose parts are as if they had a mark."""


class MarkAdvice(NamedTuple):
    """Why a care mark matters at the tub, and what is done about it.

    Attributes:
        mark: in a word or two.
        out: whether a piece with it stays out of the tub.
        why, how: as :class:`Advice`.
    """

    mark: str
    out: bool
    why: str
    how: str


class PullShade(NamedTuple):
    """How many pieces of a part are in a shade: its name, its sRGB value, the pieces."""

    shade: str
    rgb: str
    quantity: int


class PullRow(NamedTuple):
    """A part to look out for before the wash.

    Attributes:
        part, name, family: the part.
        out: whether it stays out of the tub; else it needs a hand after it.
        marks: care marks that decide, or that it is as if it had, the first decides how it is cleaned.
        reasons: the same in words: ``sticker``, ``very small (0.2 g)``.
        why: why, a reason for each of these.
        how: how to clean it, by the first mark.
        quantity: pieces that targets ask for, or that were counted.
        shades: the same by shade, most first.
        targets: codes of the targets that ask for it.
        source: what all this rests on.
    """

    part: str
    name: str
    family: str
    out: bool
    marks: tuple[str, ...]
    reasons: tuple[str, ...]
    why: tuple[str, ...]
    how: str
    quantity: int
    shades: tuple[PullShade, ...]
    targets: tuple[str, ...]
    source: str


class PullList(NamedTuple):
    """What to take out of a pile before it is washed, and what needs a hand afterwards.

    Attributes:
        rows: parts that stay out first, then those that need a hand; within each by what is done with them.
        others: pieces that simply go into the tub.
        unweighed: parts without a mark of which no mass is known, so that nobody can say whether they are very small.
        unknown: parts that the catalogue does not hold, of which nothing is known at all.
        small_g: grams below which a piece counted as very small.
        advice: what every mark in ``rows`` means, in the order of the rows.
    """

    rows: tuple[PullRow, ...]
    others: int
    unweighed: int
    unknown: int
    small_g: float
    advice: tuple[MarkAdvice, ...]

    @property
    def out(self) -> int:
        """Pieces that stay out of the tub."""
        return sum(row.quantity for row in self.rows if row.out)

    @property
    def by_hand(self) -> int:
        """Pieces that go in and need a hand afterwards."""
        return sum(row.quantity for row in self.rows if not row.out)


def pull_list(
    catalogue: Catalogue,
    pieces: Mapping[Kind, int],
    asked: Mapping[Kind, Iterable[str]],
    small_g: float = SMALL_G,
) -> PullList:
    """Sort the parts of a pile by what the tub does to them.

    Args:
        catalogue: care marks, families and masses.
        pieces: how many of each kind to expect.
        asked: codes of the targets that ask for a kind.
        small_g: grams below which a piece counts as very small, 0 for none.
    """
    by_part: dict[str, dict[str, int]] = {}
    for kind, quantity in pieces.items():
        if quantity > 0:
            by_part.setdefault(kind.part, {})[kind.shade] = quantity
    rows: list[PullRow] = []
    others = unweighed = unknown = 0
    for code, shades in by_part.items():
        part = catalogue.parts.get(code)
        row = _row(catalogue, part, shades, asked, small_g) if part else None
        if row is not None:
            rows.append(row)
            continue
        others += sum(shades.values())
        unknown += part is None
        unweighed += part is not None and part.mass_g is None
    order = {mark.value: place for place, mark in enumerate(ADVICE)}
    rows.sort(key=lambda row: (not row.out, order[row.marks[0]], row.name, row.part))
    met = {mark for row in rows for mark in row.marks}
    told = tuple(MarkAdvice(mark.value, *advice) for mark, advice in ADVICE.items() if mark.value in met)
    return PullList(tuple(rows), others, unweighed, unknown, small_g, told)


def _row(
    catalogue: Catalogue, part: Part, shades: Mapping[str, int], asked: Mapping[Kind, Iterable[str]], small_g: float
) -> PullRow | None:
    marks = _marks(part, small_g)
    if not marks:
        return None
    first = next(iter(marks))
    found = [
        PullShade(name, shade.rgb if (shade := catalogue.shades.get(name)) else "", quantity)
        for name, quantity in shades.items()
    ]
    out = ADVICE[first].out
    # What is done by hand after the tub says nothing of a part that never goes in.
    deciding = {mark: words for mark, words in marks.items() if ADVICE[mark].out or not out}
    return PullRow(
        part.code,
        part.name,
        part.family,
        out,
        tuple(mark.value for mark in deciding),
        tuple(deciding.values()),
        tuple(dict.fromkeys(ADVICE[mark].why for mark in deciding)),
        ADVICE[first].how,
        sum(shades.values()),
        tuple(sorted(found, key=lambda shade: (-shade.quantity, shade.shade))),
        tuple(sorted({code for shade in shades for code in asked.get(Kind(part.code, shade), ())})),
        SOURCE,
    )


def _marks(part: Part, small_g: float) -> dict[Care, str]:
    """Marks that a part has, or is as if it had, in the order in which they decide, with a word for each."""
    words = {mark: mark.value for mark in part.care}
    if family := _FAMILIES.get(part.family):
        words.setdefault(family, f"{part.family}" if part.family == family.value else f"{part.family} ({family.value})")
    if part.mass_g is not None and part.mass_g < small_g:
        words[Care.VERY_SMALL] = f"very small ({part.mass_g:g} g)"
    return {mark: words[mark] for mark in ADVICE if mark in words}
