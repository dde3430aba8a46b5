"""Benches of a size that somebody might really have, each from its seed: targets, stand-ins and a counted pile.

*Realistic*: one line in five allows stand-ins, and these are what a person would allow: the other of an early and a
late shade of one colour, or the mould variants of a part, in groups of up to five. *Tangled*: one line in five allows
one or two kinds drawn at random, so that nearly everything hangs together.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import replace

from sortbench.model.catalogue import Catalogue, Kind, Part, Shade, Years
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, StandIn, Target
from tests.reference_sharing import Case

PLAIN_SHADES = ("red", "yellow", "blue", "green", "black", "white", "brown", "orange")
PAIRS = (("grey, early", "grey, late"), ("dark grey, early", "dark grey, late"))
WITH_STAND_INS = 0.2
"""The share of lines that allow stand-ins."""


def realistic(targets: int, lines: int, pieces: int, seed: int = 1) -> Case:
    """A case with stand-ins as a person would allow them.

    Args:
        targets: how many, each of a rank of its own.
        lines: kinds that each asks for, no kind twice.
        pieces: pieces counted; most are of kinds that somebody asks for, as many as are asked for likely.
        seed: decides all.
    """
    chance = random.Random(seed)
    variants = _variants(chance, 1000)
    case = _without_stand_ins(chance, targets, lines, pieces, variants)
    other = {**dict(PAIRS), **{late: early for early, late in PAIRS}}

    def relatives(kind: Kind) -> list[StandIn]:
        moulds = [StandIn(Kind(part, kind.shade), 1) for part in variants[kind.part] if part != kind.part]
        shades = [StandIn(Kind(kind.part, other[kind.shade]), 2)] if kind.shade in other else []
        return (moulds or shades) if chance.random() < 0.5 else (shades or moulds)

    places = [(i, j) for i, t in enumerate(case.targets) for j, line in enumerate(t.lines) if relatives(line.kind)]
    chosen = chance.sample(places, k=round(WITH_STAND_INS * targets * lines))
    return _allow(case, {(i, j): relatives(case.targets[i].lines[j].kind) for i, j in chosen})


def tangled(targets: int, lines: int, pieces: int, seed: int = 1) -> Case:
    """A case whose stand-ins are one or two kinds drawn at random from all that are asked for; of fewer parts, which
    tangles it the more."""
    chance = random.Random(seed)
    case = _without_stand_ins(chance, targets, lines, pieces, _variants(chance, 300))
    kinds = sorted({line.kind for target in case.targets for line in target.lines})
    allowed = {}
    places = [(i, j) for i, target in enumerate(case.targets) for j in range(len(target.lines))]
    for i, j in chance.sample(places, k=round(WITH_STAND_INS * len(places))):
        own = case.targets[i].lines[j].kind
        drawn = dict.fromkeys(chance.choices(kinds, k=chance.choice((1, 2))))
        allowed[i, j] = [StandIn(kind, chance.randint(1, 3)) for kind in drawn if kind != own]
    return _allow(case, allowed)


def of_one_rank(case: Case) -> Case:
    """The case with all targets sharing one rank, so that they are filled evenly."""
    return replace(case, targets=tuple(target._replace(rank=1) for target in case.targets))


def tallies(case: Case, count: int, seed: int = 2) -> Iterator[tuple[Kind, dict[Cell, int]]]:
    """One tally after another: a kind, all kinds alike likely, and its heaps after some pieces came or went."""
    chance = random.Random(seed)
    cells = {kind: dict(heaps) for kind, heaps in case.cells.items()}
    kinds = sorted({kind for target in case.targets for line in target.lines for kind in _accepted(line)})
    for _ in range(count):
        kind = chance.choice(kinds)
        heaps = cells.setdefault(kind, {})
        if heaps and chance.random() < 0.4:
            cell = chance.choice(list(heaps))
            heaps[cell] -= chance.randint(1, min(3, heaps[cell]))
            if not heaps[cell]:
                del heaps[cell]
        else:
            cell = _cell(chance, kind)
            heaps[cell] = heaps.get(cell, 0) + chance.choice((1, 1, 1, 2, 5))
        yield kind, dict(heaps)


def _accepted(line: Line) -> list[Kind]:
    return [line.kind, *(stand_in.kind for stand_in in line.stand_ins)]


def _variants(chance: random.Random, parts: int) -> dict[str, list[str]]:
    """Parts, each with its mould variants: a quarter of all parts are in groups of two to five."""
    variants: dict[str, list[str]] = {}
    while len(variants) < parts:
        size = chance.randint(2, 5) if chance.random() < 0.09 else 1
        group = [f"part-{len(variants) + number}" for number in range(size)]
        variants.update(dict.fromkeys(group, group))
    return variants


def _without_stand_ins(
    chance: random.Random, targets: int, lines: int, pieces: int, variants: Mapping[str, list[str]]
) -> Case:
    shades = {shade: Shade(shade, years=Years(1980, 1999)) for shade in PLAIN_SHADES}
    for early, late in PAIRS:
        shades[early] = Shade(early, years=Years(1980, 1990))
        shades[late] = Shade(late, years=Years(1989, 1999))
    catalogue = Catalogue({part: Part(part, part, years=Years(1980, 1999)) for part in variants}, shades)
    kinds = [Kind(part, shade) for part in variants for shade in shades]
    chance.shuffle(kinds)
    liked = [
        1 / (place + len(variants) / 5) for place in range(len(kinds))
    ]  # few kinds are asked for often, many seldom
    lists = []
    for number in range(targets):
        asked: dict[Kind, None] = {}
        while len(asked) < lines:
            asked.update(dict.fromkeys(chance.choices(kinds, liked, k=lines - len(asked))))
        quantities = chance.choices((1, 2, 3, 4, 6, 8, 12), (30, 25, 12, 15, 8, 7, 3), k=lines)
        asks = [
            Line(kind, quantity, chance.choice((Grade.G3, Grade.G3, Grade.G4)))
            for kind, quantity in zip(asked, quantities, strict=True)
        ]
        lists.append(Target(f"T-{number:03}", f"Target {number}", 1986 + number % 8, number + 1, tuple(asks)))
    asked: dict[Kind, int] = {}
    for target in lists:
        for line in target.lines:
            asked[line.kind] = asked.get(line.kind, 0) + line.quantity
    drawn = chance.choices(list(asked), list(asked.values()), k=round(pieces * 0.85))
    drawn += chance.choices(kinds, k=pieces - len(drawn))
    cells: dict[Kind, dict[Cell, int]] = {}
    for kind in drawn:
        heaps, cell = cells.setdefault(kind, {}), _cell(chance, kind)
        heaps[cell] = heaps.get(cell, 0) + 1
    return Case(tuple(lists), catalogue, cells)


def _cell(chance: random.Random, kind: Kind) -> Cell:
    """A piece as it is counted, into the bin of its shade."""
    grade = chance.choices((Grade.G5, Grade.G4, Grade.G3, Grade.G2, None), (40, 30, 10, 5, 15))[0]
    flaws = (chance.choice((Flaw.CRACKED, Flaw.CHIPPED)),) if chance.random() < 0.05 else ()
    fate = Fate.WASH if chance.random() < 0.03 else Fate.KEPT
    return Cell("" if fate is Fate.WASH else kind.shade, kind.part, kind.shade, "", grade, flaws, fate)


def _allow(case: Case, stand_ins: Mapping[tuple[int, int], list[StandIn]]) -> Case:
    """The case with stand-ins on some lines, by number of the target and of the line."""
    lists = []
    for i, target in enumerate(case.targets):
        lines = (replace(line, stand_ins=tuple(stand_ins.get((i, j), ()))) for j, line in enumerate(target.lines))
        lists.append(target._replace(lines=tuple(lines)))
    return replace(case, targets=tuple(lists))
