"""Write the demo's files: ``python demo_catalog/generate.py [FOLDER]``.

Everything is invented: the maker Tarnhill, its line Valley Works (1986-1993), parts, masses, shades, sets and the pile
of one imaginary purchase. The draw is seeded and uses ``random.random()`` alone, the one stream the standard library
promises to keep between versions, so that two runs give the same bytes.

All files are CSV as RFC 4180 describes it, UTF-8 without a mark, a header line first; lines end with LF instead of CRLF
(kept the same on every system and by every version control). Several values in one cell are set apart by ` | `.

parts.csv    code, name, family, aliases, mass_g (grams a piece), first_year, last_year, care
shades.csv   name, rgb (sRGB, six hex digits), first_year, last_year, aliases
stand_ins.csv  part, stand_in_part, shade, stand_in_shade, cost (1 to 9): a rule a row, of parts or of shades; what came
             later for what came earlier
targets.csv  target, name, year, rank, part, shade, quantity, lowest (grade), stand_ins: all targets, a line a row; a
             stand-in reads `part in shade (cost)`, as in `plate-1x2 in grey, late (2)`
bins.csv     label, shade, family, part, lowest, highest, flaw, capacity (pieces), capacity_g (grams), place; in order,
             the first bin whose rule fits takes the piece, an empty cell lets everything through
sellers.csv  name, currency, shipping, steps (up to so many grams: on top of that), minimum, trust (1 to 5), note
offers.csv   id, seller, part, shade, grade, flaws, price of one, stock
pile.csv     part, shade, grade, flaws: one piece a row, in the order in which the pieces lie on the drying table
"""

from __future__ import annotations

import csv
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from market import OFFER_COLUMNS, SELLER_COLUMNS, offer_rows, seller_rows
from sets import ORDINARY, RECIPES, Recipe
from shapes import EARLY_AND_LATE, OTHER_MOULD, SHADES, Shape, shapes
from table import BIN_COLUMNS, BINS, BRITTLE, CHIPPED, CRACKED, DULLED, FOREIGN, SCRATCHED, WEAR, YELLOWING

SEED = 1986
MARKET_SEED = 1993
"""What is offered is drawn apart, so that it leaves the sets and the pile as they are."""
OTHER_PERIOD = {
    "grey, early": "grey, late",
    "grey, late": "grey, early",
    "brown, early": "brown, late",
    "brown, late": "brown, early",
}

MOULD_COST, PERIOD_COST = 1, 2
"""What it costs in correctness to take the other mould, or the other period's shade."""

KIND_LOST = 0.1
"""Share of kinds that did not come with the purchase at all."""
MOST_LOST = 12
"""Pieces needed of a kind beyond which it is never lost to the last one."""
PIECE_LOST = 0.17
"""Share of the other pieces that went missing one by one."""
KIND_SURPLUS = 0.16
"""Share of kinds of which there are more than any target needs."""

Kind = tuple[str, str]


@dataclass(frozen=True, slots=True)
class TargetLine:
    """One row of targets.csv."""

    recipe: Recipe
    kind: Kind
    quantity: int
    lowest: str
    stand_ins: tuple[tuple[Kind, int], ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """One row of pile.csv."""

    kind: Kind
    grade: str
    flaws: tuple[str, ...]


def _kinds(text: str) -> list[tuple[Kind, int]]:
    rows = (row.split(maxsplit=2) for row in text.strip().splitlines())
    return [((part, shade), int(quantity)) for quantity, part, shade in rows]


def _of_year(part: str, year: int, catalogue: Mapping[str, Shape]) -> str:
    """The part, or the same shape out of the other mould where this one was not made that year."""
    first, last = catalogue[part].years
    made = (first is None or first <= year) and (last is None or year <= last)
    return part if made else OTHER_MOULD[part]


def _commonness(rng: random.Random) -> dict[str, list[str]]:
    """For each shade the ordinary parts, the commonest first: much the same order everywhere, never quite."""
    return {
        shade.name: [
            part
            for _, part in sorted(
                (rank * (0.5 + rng.random()) + 4 * rng.random(), p) for rank, p in enumerate(ORDINARY.split())
            )
        ]
        for shade in SHADES
    }


def _ordinary(
    rng: random.Random, recipe: Recipe, shade: str, common: Sequence[str], catalogue: Mapping[str, Shape]
) -> list[tuple[Kind, int]]:
    """Ordinary parts of one shade: the commonest but for a few, their numbers falling off with their rank."""
    lines, pieces = recipe.walls[shade]
    chosen: list[str] = []
    for part in common:
        passed_over = 0.1 if catalogue[part].family in recipe.favours else 0.35
        if len(chosen) < lines and rng.random() >= passed_over:
            chosen.append(part)
    shares = [1 / ((rank + 1) * (rank + 2)) for rank in range(len(chosen))]
    spread = (pieces - len(chosen)) / sum(shares)
    return [
        ((_of_year(part, recipe.year, catalogue), shade), 1 + round(spread * share * (0.75 + 0.5 * rng.random())))
        for part, share in zip(chosen, shares, strict=True)
    ]


def _was_made(kind: Kind, catalogue: Mapping[str, Shape]) -> bool:
    """Whether part and shade were ever made in the same year; years not known do not speak against it."""
    spans = (catalogue[kind[0]].years, next(shade.years for shade in SHADES if shade.name == kind[1]))
    first = max(start for start, _ in spans if start is not None)
    return all(end is None or end >= first for _, end in spans)


def _stand_ins(rng: random.Random, kind: Kind, catalogue: Mapping[str, Shape]) -> tuple[tuple[Kind, int], ...]:
    """Other mould first, then the other period's shade, then both."""
    part, shade = kind
    mould, period = OTHER_MOULD.get(part), OTHER_PERIOD.get(shade)
    found: list[tuple[Kind, int]] = []
    if mould:
        found.append(((mould, shade), MOULD_COST))
    if period and rng.random() < 0.6:
        found.append(((part, period), PERIOD_COST))
        if mould:
            found.append(((mould, period), MOULD_COST + PERIOD_COST))
    return tuple((other, cost) for other, cost in found if _was_made(other, catalogue))


def stand_in_rules() -> list[tuple[str, str, str, str, int]]:
    """The rows of stand_ins.csv: what came later may be taken for what came earlier, never the other way round."""
    years = {shade.name: shade.years for shade in SHADES}
    moulds = [(early, late, "", "", MOULD_COST) for early, late in EARLY_AND_LATE]
    later = [(early, late) for early, late in OTHER_PERIOD.items() if years[early] < years[late]]
    return [*moulds, *(("", "", early, late, PERIOD_COST) for early, late in later)]


def target_lines(rng: random.Random, catalogue: Mapping[str, Shape]) -> list[TargetLine]:
    """The lines of all targets, target after target, by shade and part within each."""
    found: list[TargetLine] = []
    common = _commonness(rng)
    for recipe in RECIPES:
        wanted: Counter[Kind] = Counter(dict(_kinds(recipe.own)))
        for shade in recipe.walls:
            wanted.update(dict(_ordinary(rng, recipe, shade, common[shade], catalogue)))
        for kind in sorted(wanted, key=lambda kind: (kind[1], kind[0])):
            lowest = "4" if kind[1] in recipe.visible else "3-4" if rng.random() < 0.1 else "3"
            found.append(TargetLine(recipe, kind, wanted[kind], lowest, _stand_ins(rng, kind, catalogue)))
    return found


def _found(rng: random.Random, lines: Iterable[TargetLine]) -> Counter[Kind]:
    """How many of each kind came with the purchase: some missing, some over, some foreign."""
    needed: Counter[Kind] = Counter()
    for line in lines:
        needed[line.kind] += line.quantity
    found: Counter[Kind] = Counter()
    for kind, quantity in needed.items():
        if rng.random() < KIND_LOST and quantity <= MOST_LOST:
            continue
        found[kind] = sum(rng.random() >= PIECE_LOST for _ in range(quantity))
        if rng.random() < KIND_SURPLUS:
            found[kind] += 1 + int(rng.random() * (1 + quantity / 4))
    found.update(dict(_kinds(FOREIGN)))
    return +found


def _table_order(rng: random.Random, found: Mapping[Kind, int]) -> list[Kind]:
    """Pieces as they lie: each shade poured out in a few heaps, raked over, some pieces still clutched together.

    A heap is a place on the table from 0 to 1 that pieces of one shade scatter around; a clutch is a few pieces of one
    kind that came out of the tub together and stay neighbours.
    """
    counts: Counter[str] = Counter()
    for (_, shade), quantity in found.items():
        counts[shade] += quantity
    heaps = {shade: [rng.random() for _ in range(2 + counts[shade] // 40)] for shade in sorted(counts)}
    placed: list[tuple[float, Kind]] = []
    for kind in sorted(found):
        left = found[kind]
        while left:
            clutch = min(left, 1 + int(rng.random() * rng.random() * 5))
            left -= clutch
            heap = heaps[kind[1]]
            if rng.random() < 0.12:
                place = rng.random()
            else:
                place = heap[int(rng.random() * len(heap))] + (rng.random() + rng.random() - 1) * 0.02
            placed += [(place + rng.random() * 0.0004, kind) for _ in range(clutch)]
    return [kind for _, kind in sorted(placed)]


def _grade(rng: random.Random, shade: str, sun: float) -> str:
    """A grade: how far this piece changed, from how readily its shade does and how much sun its corner had."""
    if rng.random() < DULLED:
        return "4"
    change = YELLOWING.get(shade, 0.0) * sun * (0.5 + rng.random())
    for limit, grade in ((0.22, "5"), (0.27, "4-5"), (0.45, "4"), (0.49, "3-4"), (0.68, "3"), (0.9, "2")):
        if change < limit:
            return grade
    return "1"


def _flaws(rng: random.Random, kind: Kind, care: Sequence[str]) -> tuple[str, ...]:
    chances = {"cracked": BRITTLE.get(kind[1], CRACKED), "chipped": CHIPPED, "scratched": SCRATCHED.get(kind[1], 0.003)}
    for mark in care:
        if mark in WEAR:
            flaw, chance = WEAR[mark]
            chances[flaw] = chance
    return tuple(sorted(flaw for flaw, chance in chances.items() if rng.random() < chance))


def pile(rng: random.Random, lines: Iterable[TargetLine], catalogue: Mapping[str, Shape]) -> list[Piece]:
    """The pieces of the purchase, in the order in which they lie on the table."""
    # Pieces of one former owner's model saw the same window: the sun drifts along the table instead of jumping.
    sun: dict[str, float] = defaultdict(lambda: 0.45)
    pieces: list[Piece] = []
    for kind in _table_order(rng, _found(rng, lines)):
        part, shade = kind
        sun[shade] = min(1.0, max(0.0, sun[shade] + (0.45 - sun[shade]) * 0.1 + (rng.random() - 0.5) * 0.35))
        pieces.append(Piece(kind, _grade(rng, shade, sun[shade]), _flaws(rng, kind, catalogue[part].care)))
    return pieces


def _write(path: Path, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(columns)
        table.writerows(rows)


def _list(values: Iterable[str]) -> str:
    return " | ".join(values)


def write_all(folder: Path) -> None:
    """Write the eight files into a folder that is there."""
    rng = random.Random(SEED)
    catalogue = {shape.code: shape for shape in shapes()}
    lines = target_lines(rng, catalogue)
    _write(
        folder / "parts.csv",
        ("code", "name", "family", "aliases", "mass_g", "first_year", "last_year", "care"),
        ((s.code, s.name, s.family, _list(s.aliases), s.mass_g, *s.years, _list(s.care)) for s in catalogue.values()),
    )
    _write(
        folder / "shades.csv",
        ("name", "rgb", "first_year", "last_year", "aliases"),
        ((shade.name, shade.rgb, *shade.years, _list(shade.aliases)) for shade in SHADES),
    )
    _write(folder / "stand_ins.csv", ("part", "stand_in_part", "shade", "stand_in_shade", "cost"), stand_in_rules())
    _write(
        folder / "targets.csv",
        ("target", "target_name", "year", "rank", "part", "shade", "quantity", "lowest", "stand_ins"),
        (
            (
                line.recipe.code,
                line.recipe.name,
                line.recipe.year,
                line.recipe.rank,
                *line.kind,
                line.quantity,
                line.lowest,
                _list(f"{part} in {shade} ({cost})" for (part, shade), cost in line.stand_ins),
            )
            for line in lines
        ),
    )
    _write(folder / "bins.csv", BIN_COLUMNS, BINS)
    _write(folder / "sellers.csv", SELLER_COLUMNS, seller_rows())
    wanted = sorted({line.kind for line in lines})
    _write(folder / "offers.csv", OFFER_COLUMNS, offer_rows(random.Random(MARKET_SEED), wanted, catalogue))
    _write(
        folder / "pile.csv",
        ("part", "shade", "grade", "flaws"),
        ((*piece.kind, piece.grade, _list(piece.flaws)) for piece in pile(rng, lines, catalogue)),
    )


if __name__ == "__main__":
    write_all(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
