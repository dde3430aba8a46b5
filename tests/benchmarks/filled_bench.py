"""A bench of a stated size for benchmarks: invented parts and shades, targets, bins, and tallies already counted."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sortbench.bench import Bench
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade, Years
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.model.target import Line, StandIn, Target
from sortbench.store.tally_log import SittingLog, new_sitting_id

FAMILIES = ("brick", "plate", "tile", "slope", "arch", "panel", "wedge", "round", "cone", "hinge", "bracket", "fence")
COLOURS = ("red", "blue", "green", "black", "white", "yellow", "tan", "orange", "pink", "violet", "olive", "amber")


def fill(
    folder: Path,
    parts: int = 360,
    shades: int = 14,
    targets: int = 20,
    lines: int = 250,
    tallies: int = 0,
    seed: int = 7,
) -> None:
    """Make a bench with ``parts * shades`` kinds.

    Args:
        folder: new or empty.
        lines: lines a target, each of a kind drawn with skew, so that targets overlap; one in five accepts stand-ins.
        tallies: pieces counted beforehand, one record each, all in one earlier sitting; of several grades, and one in
            200 without a look at its size.
    """
    draw = random.Random(seed)
    names = [COLOURS[n % 12] + (f", {n // 12 + 1}" if n >= 12 else "") for n in range(shades)]
    codes = [f"{FAMILIES[n % 12]}-{n // 12 % 8 + 1}x{n // 96 + 1}" for n in range(parts)]
    kinds = [Kind(codes[int(len(codes) * draw.random() ** 2)], draw.choice(names)) for _ in range(4000)]
    with Bench.create(folder) as bench, bench.folder.documents.edit() as draft:
        for code in codes:
            draft.parts[code] = Part(
                code, code.replace("-", " "), code.split("-")[0], mass_g=1.0, years=Years(1980, 1999)
            )
        for n, name in enumerate(names):
            draft.shades[name] = Shade(
                name, f"{(n * 37) % 256:02x}{(n * 91) % 256:02x}{(n * 53) % 256:02x}", Years(1980, 1999)
            )
        for n in range(targets):
            own = list(dict.fromkeys(draw.choice(kinds) for _ in range(lines)))
            asked = tuple(Line(k, draw.randint(1, 9), Grade.G3, _stand_ins(draw, k, codes, names)) for k in own)
            draft.targets[f"T-{n:02}"] = Target(f"T-{n:02}", f"Valley Halt {n}", 1988, n + 1, asked)
        for n in range(19):
            draft.bins.append(Bin(f"B{n + 1}", Rule(families=(FAMILIES[n % 12],), shades=(names[n % shades],)), 400))
        draft.bins.append(Bin("REST", capacity=5000))
    if not tallies:
        return
    now = datetime(2026, 3, 1, 9, tzinfo=UTC)
    sitting = new_sitting_id(now)
    log = SittingLog(folder / "tallies", sitting)
    with Bench.open(folder) as bench:
        route = bench.picture.router.route
        log_records = []
        for n in range(tallies):
            kind = draw.choice(kinds)
            grade = draw.choice((Grade.G5, Grade.G5, Grade.G5, Grade.G4, Grade.G2))
            cell = Cell(route(kind.part, kind.shade, grade, ()), kind.part, kind.shade, "", grade, ())
            if n % 200 == 0:  # a coarse count now and then
                cell = cell._replace(part="", family=kind.part.partition("-")[0])
            at = (now + timedelta(seconds=2 * n)).isoformat(timespec="milliseconds").replace("+00:00", "Z")
            log_records.append(Record(RecordId(sitting, n + 2), at, What.TALLY, cell, 1, way="pad"))
    for record in log_records:
        log.append(record)
    log.close()


def _stand_ins(draw: random.Random, kind: Kind, codes: list[str], names: list[str]) -> tuple[StandIn, ...]:
    """On one line in five: a neighbouring part as a mould variant, or a neighbouring shade as an earlier one."""
    if draw.random() >= 0.2:
        return ()
    if draw.random() < 0.5:
        group = codes.index(kind.part) // 5 * 5
        return tuple(StandIn(Kind(code, kind.shade), 2) for code in codes[group : group + 5] if code != kind.part)
    other = names.index(kind.shade) ^ 1
    return (StandIn(Kind(kind.part, names[other]), 3),) if other < len(names) else ()


if __name__ == "__main__":
    import sys

    fill(Path(sys.argv[1]), tallies=int(sys.argv[2]) if len(sys.argv) > 2 else 0)
