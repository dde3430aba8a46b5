"""A small bench of the invented world, the app on it, and what its screen shows as text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Kind, Part, Shade, Years
from sortbench.model.grade import Grade
from sortbench.model.target import Line, Target
from sortbench.tui.app import SortbenchApp

MADE = Years(1980, 1999)
PARTS = (
    Part("plate-2x4", "plate 2x4", "plate", mass_g=1.0, years=MADE),
    Part("plate-1x2", "plate 1x2", "plate", mass_g=0.4, years=MADE),
    Part("brick-2x4", "brick 2x4", "brick", mass_g=2.5, years=MADE),
    Part("arch-1x6x2", "arch 1x6x2", "arch", years=MADE),
    Part("slope45-2x2", "slope 45 2x2", "slope", mass_g=1.2),
)
SHADES = (
    Shade("white", "f4f4f0", MADE),
    Shade("grey, early", "9ba19d", MADE),
    Shade("brick red", "b03a2e", Years(1995, 1999)),
)
GLASSHOUSE = Target(
    "T-07",
    "Glasshouse",
    1987,
    1,
    (
        Line(Kind("plate-2x4", "white"), 4),
        Line(Kind("brick-2x4", "grey, early"), 6),
        Line(Kind("arch-1x6x2", "brick red"), 2),
        Line(Kind("slope45-2x2", "white"), 3),
    ),
)
FUNICULAR = Target("T-03", "Funicular Halt", 1988, 2, (Line(Kind("plate-2x4", "white"), 2, Grade.G4),))
BINS = (
    Bin("B1", Rule(shades=("white",)), capacity=10, place="row 1, left"),
    Bin("B2", Rule(families=("brick", "arch")), capacity_g=500.0),
    Bin("B3"),
)


def furnish(bench: Bench) -> Bench:
    """Give a bench the small world above."""
    with bench.folder.documents.edit() as draft:
        draft.parts.update({part.code: part for part in PARTS})
        draft.shades.update({shade.name: shade for shade in SHADES})
        draft.targets.update({target.code: target for target in (GLASSHOUSE, FUNICULAR)})
        draft.bins.extend(BINS)
    bench.reload()
    return bench


@pytest.fixture
def empty_bench(tmp_path: Path) -> Iterator[Bench]:
    """A bench with nothing set up."""
    with Bench.create(tmp_path / "mill lane") as bench:
        yield bench


@pytest.fixture
def bench(empty_bench: Bench) -> Bench:
    """A bench with five parts, three shades, two targets and three bins; nothing counted."""
    return furnish(empty_bench)


@pytest.fixture
def app(bench: Bench) -> SortbenchApp:
    """The app on that bench."""
    return SortbenchApp(lambda: bench)
