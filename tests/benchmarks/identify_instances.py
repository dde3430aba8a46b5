"""Synthetic libraries of lists and piles mixed from them, for the benchmark and the tests of which sets a pile holds.

Lists of one theme share shades and most of their kinds, common kinds occur everywhere, and six lists in ten are
revisions of another that keep 60 to 95 % of its lines. Nothing here is taken from any real list.
"""

from __future__ import annotations

import random
from typing import NamedTuple

from sortbench.engine.identify.list_index import Listed
from sortbench.model.catalogue import Kind

_COMMON, _OF_THEME, _RARE = 0.42, 0.5, 0.08  # shares of a list's lines
_REVISED = 0.6
_QUANTITIES = (1, 1, 1, 2, 2, 2, 3, 4, 4, 6, 8)


class Mixed(NamedTuple):
    """A pile.

    Attributes:
        truth: keys of the lists in it, with the share of each one's pieces that is there.
        pile: its pieces in the order in which they are counted.
        foreign: how many of them belong to none of the lists.
        remains: keys of lists that half of the foreign pieces are remains of.
    """

    truth: dict[str, float]
    pile: tuple[Kind, ...]
    foreign: int
    remains: tuple[str, ...]


def library(lists: int = 2000, lines: int = 150, seed: int = 1) -> list[Listed]:
    """Lists that overlap heavily."""
    draw = random.Random(seed)
    parts = [f"part-{number}" for number in range(900)]
    shades = [f"shade-{number}" for number in range(30)]
    common = [Kind(parts[draw.randrange(120)], shades[draw.randrange(10)]) for _ in range(1500)]
    common = list(dict.fromkeys(common))
    weights = [1 / (place + 12) for place in range(len(common))]
    rare = [Kind(draw.choice(parts), draw.choice(shades)) for _ in range(6000)]
    themes = []
    for _ in range(max(2, lists // 50)):
        own = draw.sample(shades, 7)
        themes.append([Kind(draw.choice(parts), draw.choice(own)) for _ in range(lines * 2)])
    made: list[Listed] = []
    for number in range(lists):
        asked: dict[Kind, int] = {}
        if made and draw.random() < _REVISED:
            old = draw.choice(made)
            kept = draw.uniform(0.6, 0.95)
            asked = {kind: count for kind, count in old.lines.items() if draw.random() < kept}
        theme = draw.choice(themes)
        while len(asked) < lines:
            where = draw.random()
            if where < _COMMON:
                kind = draw.choices(common, weights)[0]
            elif where < _COMMON + _OF_THEME:
                kind = draw.choice(theme)
            else:
                kind = draw.choice(rare)
            asked.setdefault(kind, draw.choice(_QUANTITIES))
        made.append(Listed(f"L-{number + 1:04}", f"List {number + 1}", asked))
    return made


def mix(
    lists: list[Listed],
    seed: int,
    count: int = 5,
    missing: tuple[float, float] = (0.1, 0.3),
    foreign: float = 0.2,
) -> Mixed:
    """A pile of some lists, pieces missing from each, with pieces of none of them: half of these are drawn as kinds
    are common in the library, half are remains of three other lists."""
    draw = random.Random(seed * 7919 + 13)
    chosen = draw.sample(range(len(lists)), count + 3)
    truth: dict[str, float] = {}
    pile: list[Kind] = []
    for number in chosen[:count]:
        pieces = [kind for kind, asked in lists[number].lines.items() for _ in range(asked)]
        kept = draw.sample(pieces, round(len(pieces) * (1 - draw.uniform(*missing))))
        truth[lists[number].key] = len(kept) / len(pieces)
        pile += kept
    others = round(len(pile) * foreign / (1 - foreign))
    remains = [kind for number in chosen[count:] for kind, asked in lists[number].lines.items() for _ in range(asked)]
    draw.shuffle(remains)
    pile += remains[: others // 2]
    everyone = [draw.choice(lists) for _ in range(others - others // 2)]
    for each in everyone:
        pile.append(draw.choices(list(each.lines), list(each.lines.values()))[0])
    draw.shuffle(pile)
    return Mixed(truth, tuple(pile), others, tuple(lists[number].key for number in chosen[count:]))
