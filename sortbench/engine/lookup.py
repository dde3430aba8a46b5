"""Look-up: from a few typed letters to the kinds they can mean, best first.

Any part may come in any shade, so parts and shades are indexed apart and joined in the asking: each *reading* gives
some of the words to the shade and the rest to the part. Results are ranked by, in this order:

1. exact: the words are all the words of a code, a name or an alias, and of the shade if one is named;
2. tier: every word typed starts a word (or is a size without its crosses); every word is found, some by letters left
   out or by a size turned; some only by a typo. Within a tier sizes typed whole come before those just started, and
   parts and shades named in full before others;
3. the held shade, unless the words name another;
4. parts of whose name every word is spoken of: ``pl 2x4`` is a plate 2x4 before it is any wedge plate 2x4;
5. weight: what was counted lately or is needed;
6. closeness of the spelling, then words left over, then length, then name.

The same query on the same state gives the same list. Work is bounded whatever is typed: MAX_TEXT characters and
MAX_WORDS words of it count.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

from sortbench.engine.entering.name_side import NameSide
from sortbench.engine.entering.readings import Rank, Reader, all_of
from sortbench.engine.entering.token_index import ABBREVIATED, FUZZY, INEXACT, MISFIT, TYPO_FROM, Fits
from sortbench.engine.entering.words import tokens
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade

MAX_WORDS = 12
"""Words of a query that are looked at; a longer one still finds the thing of exactly that name."""


class Tier(IntEnum):
    """How a kind was found; smaller is better."""

    EXACT = 0
    START = 1
    WORDS = 2
    FUZZY = 3


@dataclass(frozen=True, slots=True)
class Hit:
    """One result.

    Attributes:
        kind: what was found.
        tier: how.
        score: closeness, above 0 up to 1, larger the better the tier; to be compared within one search only.
        tie: the next result is ranked the same in everything but its name and how long that is.
    """

    kind: Kind
    tier: Tier
    score: float
    tie: bool


class Lookup:
    """The index over one catalogue, and the weights of its kinds."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._parts = NameSide((part.code, (part.name, *part.aliases)) for part in catalogue.parts.values())
        self._shades = NameSide((shade.name, (shade.name, *shade.aliases)) for shade in catalogue.shades.values())

    def add_part(self, part: Part) -> None:
        """Make a part known, or known by other names."""
        self._parts.add(part.code, (part.name, *part.aliases))

    def add_shade(self, shade: Shade) -> None:
        """Make a shade known, or known by other names."""
        self._shades.add(shade.name, (shade.name, *shade.aliases))

    def weigh(self, kind: Kind, weight: int) -> None:
        """Say how likely a kind is; larger is likelier, 0 forgets it."""
        self._parts.weigh(kind.part, kind.shade, weight)
        self._shades.weigh(kind.shade, kind.part, weight)

    def weigh_all(self, weights: Mapping[Kind, int]) -> None:
        """Say how likely kinds are that nothing was said of yet, all weights above 0."""
        self._parts.weigh_all((part, shade, weight) for (part, shade), weight in weights.items())
        self._shades.weigh_all((shade, part, weight) for (part, shade), weight in weights.items())

    def search(self, words: str, *, shade: str = "", limit: int = 8) -> list[Hit]:
        """The kinds that the words can mean, best first; none if there are no words.

        Args:
            words: what was typed, marks of the entry line taken out.
            shade: the held shade, empty if none.
            limit: most hits to give.
        """
        if limit < 1:
            return []
        cut = _words(words)
        reader = Reader(self._parts, self._shades, cut, words, shade, limit)
        found = reader.find(typos=False)
        if len(found) < limit and _may_be_misspelt(cut):
            found = reader.find(typos=True)
        hits = []
        for place, item in enumerate(found[:limit]):
            tier = _tier(item.rank)
            tie = place + 1 < len(found) and found[place + 1].rank[:-1] == item.rank[:-1]
            hits.append(Hit(item.kind, tier, (4 - tier - item.rank.misfit / (MISFIT + 1)) / 4, tie))
        return hits

    def shades(self, words: str, limit: int = 8) -> list[str]:
        """The names of the shades that the words can mean, best first; ranked as in :meth:`search`."""
        cut = _words(words)
        index, keys = self._shades.index, self._shades.keys
        fits: Fits = {}
        if cut:
            fits = all_of([index.match(word, False) for word in cut])
            if len(fits) < limit and _may_be_misspelt(cut):
                fits = all_of([index.match(word, True) for word in cut])
        named, spelled = index.named(cut), self._shades.spelled(words)

        def rank(number: int) -> tuple[int, int, int, int, int, tuple[int, int], int]:
            fit = fits.get(number, 0)
            weight = self._shades.heaviest.get(keys[number], 0)
            known = spelled.get(number, len(keys)), named.get(number, 2 * INEXACT)
            return *known, fit // INEXACT, -weight, fit, index.lengths[number], number

        return [keys[number] for number in sorted({*fits, *spelled}, key=rank)[: max(0, limit)]]

    def warm(self) -> None:
        """Load now what the first misspelt word would otherwise wait for (some 20 ms)."""
        self._parts.index.match("misspelt", True)


def _words(text: str) -> tuple[str, ...]:
    """The words that count. One may be meant twice, for the part and for the shade, but not more often."""
    seen: Counter[str] = Counter()
    kept = []
    for word in tokens(text):
        seen[word] += 1
        if seen[word] <= 2:
            kept.append(word)
    return tuple(kept[:MAX_WORDS])


def _may_be_misspelt(words: tuple[str, ...]) -> bool:
    return any(len(word) >= TYPO_FROM - 1 and not word[0].isdigit() for word in words)


def _tier(rank: Rank) -> Tier:
    if not rank.inexact:
        return Tier.EXACT
    fit = rank.coarse_fit * INEXACT
    return Tier.FUZZY if fit >= FUZZY else Tier.WORDS if fit >= ABBREVIATED else Tier.START
