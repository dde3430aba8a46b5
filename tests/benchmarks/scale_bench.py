"""A bench of 100,000 kinds and 200 targets with any number of tallies, spread over sittings of many days."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sortbench.bench import Bench
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade, Years
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.model.target import Line, Target
from sortbench.store.record_codec import encode
from tests.benchmarks.filled_bench import COLOURS, FAMILIES

PARTS, SHADES, TARGETS, LINES, BINS = 2000, 50, 200, 300, 100
A_SITTING = 20_000
"""Records of one sitting."""
GRADES = (Grade.G5, Grade.G5, Grade.G5, Grade.G4, Grade.G2)


def fill_with(folder: Path, tallies: int, seed: int = 7) -> None:
    """Make a bench whose logs hold so many records beside those that open them.

    Of a hundred records one is a void, one carries a piece on, and one in two hundred is a count of pieces nobody
    looked at closely; the rest are tallies of 1 to 4 pieces of kinds drawn with skew.

    Args:
        folder: new or empty.
    """
    draw = random.Random(seed)
    shades = [COLOURS[n % 12] + (f", {n // 12 + 1}" if n >= 12 else "") for n in range(SHADES)]
    codes = [f"{FAMILIES[n % 12]}-{n // 12 % 8 + 1}x{n // 96 + 1}" for n in range(PARTS)]
    kinds = [Kind(code, shade) for code in codes for shade in shades]
    draw.shuffle(kinds)
    made = Years(1980, 1999)
    with Bench.create(folder) as bench, bench.folder.documents.edit() as draft:
        for code in codes:
            draft.parts[code] = Part(code, code.replace("-", " "), code.split("-")[0], mass_g=1.0, years=made)
        for n, name in enumerate(shades):
            draft.shades[name] = Shade(name, f"{n * 37 % 256:02x}{n * 91 % 256:02x}{n * 53 % 256:02x}", made)
        for n in range(TARGETS):
            own = dict.fromkeys(_any(draw, kinds) for _ in range(LINES))
            lines = tuple(Line(kind, draw.randint(1, 9), Grade.G3) for kind in own)
            draft.targets[f"T-{n:03}"] = Target(f"T-{n:03}", f"Valley Halt {n}", 1988, n + 1, lines)
        for n in range(BINS - 1):
            draft.bins.append(
                Bin(f"B{n + 1}", Rule(families=(FAMILIES[n % 12],), shades=(shades[n % SHADES],)), 40_000)
            )
        draft.bins.append(Bin("REST", capacity=500_000))
    with Bench.open(folder) as bench:
        route = bench.picture.router.route
    begin = datetime(2026, 3, 1, 9, tzinfo=UTC)
    for first in range(0, tallies, A_SITTING):
        begin += timedelta(days=1)
        sitting = begin.strftime("%Y%m%dT%H%M%SZ-abcdef")
        records = _sitting(draw, kinds, sitting, begin, min(A_SITTING, tallies - first))
        with (folder / "tallies" / f"{sitting}.jsonl").open("wb") as log:
            for record in records:
                cell = record.cell
                if cell is not None and not cell.bin:
                    label = route(cell.part, cell.shade, cell.grade, cell.flaws, cell.family)
                    record = record._replace(cell=cell._replace(bin=label))
                log.write(encode(record))


def _sitting(draw: random.Random, kinds: list[Kind], sitting: str, begin: datetime, count: int) -> Iterator[Record]:
    """The records of one sitting; cells have no bin yet where the rules name it."""
    last: Cell | None = None
    for seq in range(1, count + 2):
        at = (begin + timedelta(seconds=2 * seq)).isoformat(timespec="milliseconds").replace("+00:00", "Z")
        rid, chance = RecordId(sitting, seq), draw.random()
        if seq == 1:
            yield Record(rid, at, What.OPEN)
            continue
        if last is not None and chance > 0.99:
            yield Record(rid, at, What.VOID, voids=RecordId(sitting, seq - 1), way="undo")
            last = None
            continue
        if last is not None and chance > 0.98:
            yield Record(rid, at, What.MOVE, last, 1, "REST", way="pad")
            last = None
            continue
        kind = _any(draw, kinds)
        cell = Cell("", kind.part, kind.shade, "", draw.choice(GRADES), ())
        if chance < 0.005:
            cell = cell._replace(part="", family=kind.part.partition("-")[0])
        yield Record(rid, at, What.TALLY, cell, draw.choice((1, 1, 1, 2, 4)), way="pad")
        last = None if chance < 0.005 else cell


def _any(draw: random.Random, kinds: list[Kind]) -> Kind:
    return kinds[int(len(kinds) * draw.random() ** 2)]
