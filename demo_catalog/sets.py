"""The demo's six targets: recipes of the Valley Works line.

A recipe names by hand what makes a set recognisable and leaves its walls, floors and roofs to the generator: for each
shade so many lines of ordinary parts with so many pieces in all.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Recipe:
    """How one target is made.

    Attributes:
        own: what makes the set, one ``quantity part shade`` a row.
        walls: shade -> lines and pieces of ordinary parts.
        favours: shape families used more than elsewhere.
        visible: shades on show, where only a good grade will do.
    """

    code: str
    name: str
    year: int
    rank: int
    own: str
    walls: dict[str, tuple[int, int]]
    favours: frozenset[str] = field(default_factory=frozenset)
    visible: frozenset[str] = field(default_factory=frozenset)


ORDINARY = """
    plate-1x2 brick-1x2 plate-2x4 plate-1x4 brick-2x4 plate-2x2 brick-1x4 plate-1x1 brick-2x2-hollow plate-2x3
    brick-1x1 slope45-2x2 tile-1x2-lipped plate-1x6 plate-2x6 brick-1x6 round-1x1-hollow brick-2x3 plate-1x3
    slope45-2x1 tile-1x4 plate-2x8 round-plate-1x1 brick-1x3 plate-1x8 slope33-3x2 brick-1x8 tile-2x2 arch-1x4
    tile-1x1 plate-2x2-corner brick-2x6 slope45-2x2-inv round-2x2 brick-1x2-ribbed plate-4x4 slope33-3x4
    cone-1x1-hollow slope45-2x4 arch-1x6 slope45-2x2-corner panel-1x2x2 slope45-2x1-inv tile-1x6 round-plate-2x2
    plate-4x6 slope45-2x3 bracket-1x2-2x2 hinge-brick-1x2-base arch-1x3 brick-2x8 slope33-3x1 brick-1x1-side-stud
    round-corner-2x2 bracket-1x2-1x2 panel-1x4x3 slope45-2x4-ridge slope65-2x2x2 wedge-2x4 slope45-2x1-ridge
"""
"""Ordinary parts, the commonest first. Of two moulds the late one is named; the year of the set decides."""

RECIPES = (
    Recipe(
        "T-01",
        "Funicular Halt",
        1986,
        2,
        """
        12 rail-rack-8 grey, early
        12 rail-straight-8 grey, early
        4 rail-stop red
        24 sleeper-1x6 brown, early
        2 string-60 black
        8 wheel-flanged-2 black
        4 axle-metal-4 steel
        2 gear-30 grey, early
        4 gear-10 grey, early
        1 weight-2x4 steel
        2 coupling-1x2 black
        2 cabin-front-4x6x4 yellow
        8 window-1x4x3 white
        8 pane-1x4x3 clear
        6 window-1x2x3 white
        6 pane-1x2x3 clear
        2 door-sliding-1x4x4 yellow
        1 door-1x4x5-left green
        1 door-frame-1x4x5 white
        1 brick-1x4-halt white
        1 tile-2x2-clock white
        1 panel-1x4x3-timetable white
        2 lamp-1x2 black
        1 wire-24 black
        3 figure-head tan
        2 figure-torso blue
        1 figure-torso red
        3 figure-legs black
        2 figure-hat-cap blue
        6 fence-1x4x1-thin white
        4 pole-1x1x6 white
        2 tool-lantern black
        6 plant-flower red
        4 plant-stem-3 green
        2 plant-shrub-2x2 green
        1 baseplate-16x24 green
        1 baseplate-raised-24x24 green
        """,
        {
            "grey, early": (20, 96),
            "red": (12, 60),
            "yellow": (12, 56),
            "brown, early": (9, 40),
            "white": (9, 42),
            "black": (8, 32),
            "cream": (3, 9),
        },
        frozenset({"slope"}),
        frozenset({"white", "yellow"}),
    ),
    Recipe(
        "T-02",
        "Glasshouse",
        1987,
        1,
        """
        14 panel-slant-4x3x3 clear
        8 window-roof-4x3 white
        16 window-1x4x3 white
        16 pane-1x4x3 clear
        10 window-1x2x3 white
        10 pane-1x2x3 clear
        8 window-1x2x2 white
        8 pane-1x2x2 clear
        4 panel-1x4x5 clear
        4 panel-2x2x3-corner clear
        8 panel-1x2x2 clear
        4 window-1x4x4-arched white
        1 door-frame-1x4x5 white
        1 door-1x4x5-left white
        1 door-1x4x5-right white
        8 hinge-plate-1x4-coarse white
        6 bar-4 white
        4 pole-1x1x6 white
        8 plant-fern green
        10 plant-vine green
        14 plant-stem-3 green
        16 plant-flower red
        12 plant-flower yellow
        10 plant-flower white
        6 plant-shrub-2x2 green
        2 plant-tree-3x3x6 green
        6 plant-cabbage green
        1 tool-watering-can red
        1 tool-spade black
        1 tool-rake black
        2 tool-bucket grey, early
        1 wheel-barrow-1 black
        1 barrel-2x2 brown, early
        2 basket-3x4 tan
        4 connector-elbow grey, early
        2 connector-tee grey, early
        4 bar-6 grey, early
        1 tile-1x2-gauge white
        2 figure-head tan
        1 figure-torso green
        1 figure-torso-apron white
        2 figure-legs blue
        1 figure-hat-straw tan
        1 cloth-awning-6x4 white
        2 baseplate-16x16 green
        """,
        {
            "white": (22, 135),
            "red": (13, 75),
            "grey, early": (13, 58),
            "brown, early": (7, 22),
            "green": (6, 22),
            "tan": (6, 20),
        },
        frozenset({"panel", "tile"}),
        frozenset({"white", "clear"}),
    ),
    Recipe(
        "T-03",
        "Bell Foundry",
        1988,
        3,
        """
        8 arch-1x6x2 red
        6 arch-1x8x2 red
        8 arch-1x3x2-half grey, early
        4 arch-1x6x2 grey, early
        6 window-1x4x4-arched black
        8 window-1x2x3 black
        8 pane-1x2x3 amber
        4 shutter-1x3 green
        4 slope33-3x3-corner black
        14 slope45-2x4-ridge black
        2 cone-4x4x2 grey, early
        4 cone-2x2x2 grey, early
        6 round-corner-4x4 red
        4 round-plate-4x4 grey, early
        3 bell-2x2 brass
        1 bell-4x4 brass
        2 crucible-3x3 black
        4 chain-16 black
        2 gear-30 grey, early
        2 gear-18 grey, early
        4 gear-10 grey, early
        2 axle-8 black
        2 axle-metal-6 steel
        4 gear-rack-1x4 grey, early
        6 pin-short grey, early
        4 pole-2x2x8 red
        2 ladder-2x6 brown, early
        4 bar-grab-1x4 grey, early
        2 lamp-1x2 black
        1 wire-24 black
        6 round-plate-1x1 amber
        4 plate-1x2 amber
        6 cone-1x1-solid amber
        1 brick-1x4-foundry red
        2 tile-1x2-gauge white
        2 door-plank-1x3x4 brown, early
        2 tool-hammer black
        2 tool-tongs black
        1 tool-bucket grey, early
        1 wheel-barrow-1 black
        2 barrel-2x2 brown, early
        4 figure-head tan
        1 figure-head-beard tan
        3 figure-torso-apron red
        2 figure-torso blue
        5 figure-legs black
        2 figure-hat-cap black
        1 figure-hair-bun brown, early
        6 bar-4 steel
        2 baseplate-16x24 grey, early
        """,
        {
            "red": (25, 170),
            "grey, early": (23, 130),
            "black": (18, 88),
            "brown, early": (11, 46),
            "tan": (10, 46),
            "white": (7, 24),
            "yellow": (3, 9),
        },
        frozenset({"arch", "slope", "round"}),
        frozenset({"red"}),
    ),
    Recipe(
        "T-04",
        "Beekeeper's Yard",
        1990,
        4,
        """
        6 hive-box-2x4 cream
        4 hive-box-2x4 yellow
        6 hive-lid-2x4 white
        24 honey-frame-1x2 tan
        6 round-plate-1x1 amber
        6 round-1x1-hollow amber
        4 tile-1x1 amber
        12 fence-wattle-1x4x2 brown, late
        14 fence-post-1x1x2 brown, late
        4 fence-1x4x1-thick white
        2 gate-1x4x2 brown, late
        16 plant-stem-3 green
        20 plant-flower yellow
        14 plant-flower white
        10 plant-flower red
        6 plant-shrub-2x2 green
        2 plant-tree-3x3x6 green
        4 plant-reed green
        4 plant-fern green
        6 plant-cabbage green
        1 cloth-veil white
        1 cloth-veil black
        1 cloth-awning-6x4 white
        1 tool-smoker steel
        1 tool-spade black
        1 tool-bucket grey, late
        1 tool-watering-can red
        2 barrel-2x2 brown, late
        3 basket-3x4 tan
        2 tile-2x2-honey white
        1 wheel-barrow-1 black
        2 window-1x2x2 white
        2 pane-1x2x2 clear
        2 shutter-1x3 green
        1 door-plank-1x3x4 brown, late
        3 figure-head tan
        2 figure-torso white
        1 figure-torso-apron red
        2 figure-legs white
        1 figure-legs blue
        2 figure-hat-straw tan
        1 figure-hair-bun brown, late
        1 baseplate-16x24 green
        """,
        {
            "brown, late": (15, 72),
            "green": (9, 44),
            "tan": (10, 46),
            "cream": (9, 32),
            "white": (8, 34),
            "grey, late": (7, 24),
            "yellow": (6, 22),
        },
        frozenset({"fence", "plate"}),
        frozenset({"cream", "yellow"}),
    ),
    Recipe(
        "T-05",
        "Signal Hut",
        1991,
        6,
        """
        2 pole-signal-10 white
        3 dish-2x2-signal red
        2 dish-2x2-signal yellow
        6 tool-lever black
        2 lamp-1x2 black
        1 wire-24 black
        6 round-plate-1x1 amber
        2 round-plate-1x1 clear
        4 window-1x4x3 white
        4 pane-1x4x3 clear
        2 window-1x2x3 white
        2 pane-1x2x3 clear
        1 door-1x4x5-left green
        1 door-frame-1x4x5 white
        1 ladder-2x6 black
        4 bar-grab-1x4 black
        4 rail-straight-8 grey, late
        8 sleeper-1x6 brown, late
        1 tile-2x2-clock white
        1 tool-lantern black
        1 figure-head tan
        1 figure-torso blue
        1 figure-legs black
        1 figure-hat-cap blue
        2 plant-flower red
        2 plant-stem-3 green
        1 baseplate-16x16 green
        """,
        {
            "cream": (9, 44),
            "grey, late": (9, 40),
            "red": (8, 28),
            "brown, late": (6, 22),
            "white": (4, 14),
        },
        frozenset({"tile"}),
        frozenset({"white", "cream"}),
    ),
    Recipe(
        "T-06",
        "Peat Tramway",
        1993,
        5,
        """
        16 rail-straight-8 grey, late
        6 rail-straight-4 grey, late
        8 rail-curve-8 grey, late
        1 rail-switch-left grey, late
        1 rail-switch-right grey, late
        2 rail-stop red
        34 sleeper-1x6 brown, late
        4 wagon-frame-4x8 black
        8 wagon-end-4x2 brown, late
        4 tipper-4x6x2 orange
        10 wheel-flanged-2 black
        4 wheel-spoked-2-square-hub black
        2 wheel-spoked-4 brown, late
        8 wheel-holder-2x2 black
        4 axle-metal-4 steel
        2 axle-metal-6 steel
        6 coupling-1x2 black
        4 buffer-1x4 black
        1 cabin-front-4x6x4 blue
        2 window-1x2x2 black
        2 pane-1x2x2 clear
        1 motor-4x6 black
        2 brick-1x2-number-4 blue
        2 lamp-1x2 black
        1 chain-16 black
        6 hinge-plate-1x2-fork grey, late
        6 hinge-plate-1x2-tongue grey, late
        4 pin-long grey, late
        2 tool-spade black
        1 cloth-cover-8x6 green
        10 plant-reed green
        6 plant-fern green
        4 plant-shrub-2x2 green
        8 tile-2x2 brown, late
        3 figure-head tan
        1 figure-head-beard tan
        2 figure-torso green
        2 figure-torso red
        4 figure-legs blue
        3 figure-hat-cap black
        2 baseplate-16x24 green
        1 baseplate-16x16 green
        """,
        {
            "black": (17, 90),
            "grey, late": (15, 70),
            "blue": (15, 82),
            "brown, late": (13, 62),
            "green": (8, 30),
            "orange": (6, 20),
            "yellow": (4, 12),
        },
        frozenset({"plate"}),
        frozenset({"blue"}),
    ),
)
