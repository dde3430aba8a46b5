"""A small bench in the invented world, for tests that need a real folder; a clock that never goes backward."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sortbench.bench import Bench
from sortbench.engine.board import Receipt
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade, Years
from sortbench.model.grade import Grade
from sortbench.model.target import Line, Target
from sortbench.store.folder import BenchFolder

PLATE = Kind("plate-2x4", "red")
BRICK = Kind("brick-2x4", "red")
TILE = Kind("tile-2x2", "white")
ARCH = Kind("arch-1x6x2", "grey, early")

MADE = Years(1980, 1999)
PARTS = (
    Part("plate-2x4", "plate 2x4", "plate", mass_g=1.0, years=MADE),
    Part("plate-1x2", "plate 1x2", "plate", mass_g=0.3, years=MADE),
    Part("brick-2x4", "brick 2x4", "brick", mass_g=2.5, years=MADE),
    Part("tile-2x2", "tile 2x2", "tile", years=MADE),
    Part("arch-1x6x2", "arch 1x6x2", "arch"),
)
SHADES = (
    Shade("red", "b3261e", MADE),
    Shade("white", "f4f4f4", MADE),
    Shade("grey, early", "9ba19d"),
    Shade("grey, late", "a0a5a9", Years(1992, 2010)),
)
TARGETS = (
    Target("T-01", "Signal Hut", 1988, 1, (Line(PLATE, 3, Grade.G4), Line(BRICK, 2))),
    Target("T-02", "Peat Tramway", 1991, 2, (Line(TILE, 1), Line(PLATE, 4, Grade.G2))),
    Target("T-03", "Glasshouse", 1990, 3),
)
BINS = (
    Bin("FLAWED", Rule(flaws=("any",))),
    Bin("FADED", Rule(highest=Grade.G3)),
    Bin("B1", Rule(shades=("red",), families=("plate",)), capacity=5),
    Bin("B2", Rule(shades=("red",)), capacity_g=10.0),
    Bin("REST"),
)


def catalogue() -> Catalogue:
    """Parts and shades of the small bench."""
    return Catalogue({part.code: part for part in PARTS}, {shade.name: shade for shade in SHADES})


def make_folder(path: Path) -> Path:
    """A bench folder with everything set up and nothing counted."""
    folder = BenchFolder.create(path)
    with folder.documents.edit() as draft:
        draft.parts.update({part.code: part for part in PARTS})
        draft.shades.update({shade.name: shade for shade in SHADES})
        draft.targets.update({target.code: target for target in TARGETS})
        draft.bins.extend(BINS)
    return folder.path


def ticking(start: datetime = datetime(2026, 3, 1, 9, 30, tzinfo=UTC), seconds: float = 1.0) -> Callable[[], datetime]:
    """A clock that moves on by so many seconds each time it is asked."""
    asked = 0

    def now() -> datetime:
        nonlocal asked
        asked += 1
        return start + timedelta(seconds=seconds * asked)

    return now


def counted(bench: Bench, text: str, **more: int) -> Receipt:
    """Enter a line that is to count."""
    answer = bench.enter(text, **more)
    assert isinstance(answer, Receipt), answer
    return answer


def shown(bench: Bench) -> tuple[object, ...]:
    """All figures of a bench."""
    return (
        bench.picture.ledger.pieces,
        bench.target_rows(),
        bench.bin_rows(),
        [bench.heaps(row.label) for row in bench.bin_rows()],
        bench.recent(20),
    )


def give_worth(bench: Bench, code: str, value: int | None) -> None:
    """Say what a finished target is worth, as a list of targets does that is brought in."""
    with bench.folder.documents.edit() as draft:
        draft.targets[code] = draft.targets[code]._replace(value=value)
    bench.reload()
