"""The demo's sorting table: twenty bins, and how a washed pile comes to lie on it."""

from __future__ import annotations

BIN_COLUMNS = ("label", "shade", "family", "part", "lowest", "highest", "flaw", "capacity", "capacity_g", "place")

_GREYS = "grey, early | grey, late"
_METAL = "axle-metal-4 | axle-metal-6 | lamp-1x2 | motor-4x6 | weight-2x4"
_BROWNS = "brown, early | brown, late"

BINS: tuple[tuple[str, ...], ...] = (
    ("B1", "", "", "", "", "", "bent | chipped | cracked", "60", "", "row 1, left"),
    ("B2", "", "", "", "", "", "any", "80", "", "row 1, second"),
    ("B3", "", "baseplate", "", "", "", "", "", "600", "row 1, middle"),
    ("B4", "", "figure | tool", "", "", "", "", "80", "", "row 1, fourth"),
    ("B5", "", "cloth | string", "", "", "", "", "40", "", "row 1, right"),
    ("B6", "", "", _METAL, "", "", "", "", "150", "row 2, left"),
    ("B7", f"white | cream | yellow | {_GREYS}", "", "", "", "2-3", "", "80", "", "row 2, second"),
    ("B8", "clear | amber", "", "", "", "", "", "110", "", "row 2, middle"),
    ("B9", "", "door | panel | window", "", "", "", "", "60", "", "row 2, fourth"),
    ("B10", "", "plant", "", "", "", "", "160", "", "row 2, right"),
    ("B11", "", "axle | gear | pin | rail | vehicle | wheel", "", "", "", "", "", "300", "row 3, left"),
    ("B12", "white | cream", "", "", "", "", "", "240", "", "row 3, second"),
    ("B13", _GREYS, "plate | tile", "", "", "", "", "100", "", "row 3, middle"),
    ("B14", _GREYS, "", "", "4", "", "", "100", "", "row 3, fourth"),
    ("B15", "red", "brick | arch", "", "", "", "", "90", "", "row 3, right"),
    ("B16", "red | orange | pink", "", "", "", "", "", "150", "", "row 4, left"),
    ("B17", f"tan | {_BROWNS}", "", "", "", "", "", "", "220", "row 4, second"),
    ("B18", "black", "", "", "", "", "", "200", "", "row 4, middle"),
    ("B19", "yellow | green | blue", "", "", "", "", "", "260", "", "row 4, fourth"),
    ("B20", "", "", "", "", "", "", "60", "", "row 4, right"),
)

YELLOWING = {
    "white": 1.0,
    "grey, early": 0.8,
    "grey, late": 0.6,
    "yellow": 0.4,
    "cream": 0.4,
    "clear": 0.3,
    "red": 0.2,
    "blue": 0.2,
}
"""How readily a shade changes in the sun, of 1; shades left out hardly do."""

DULLED = 0.02
"""Share of pieces of any shade that went dull for another reason than the sun."""

BRITTLE = {"brown, early": 0.05, "brown, late": 0.02}
"""Share of cracked pieces in shades that grow brittle; elsewhere CRACKED."""

CRACKED = 0.008
CHIPPED = 0.008

WEAR: dict[str, tuple[str, float]] = {
    "print": ("worn print", 0.25),
    "sticker": ("residue", 0.4),
    "delicate": ("loose grip", 0.06),
    "foliage": ("bent", 0.04),
}
"""By care mark: the flaw it brings, and how often."""

SCRATCHED = {"clear": 0.08, "amber": 0.04}

FOREIGN = """
    7 brick-2x4 pink
    5 plate-2x4 pink
    4 plate-2x2 pink
    4 brick-2x2-hollow pink
    3 brick-1x2 pink
    3 plate-1x4 pink
    2 slope45-2x2 pink
    2 arch-1x4 pink
    1 fence-1x4x1-thick pink
    1 dish-4x4 pink
    1 tile-2x2 pink
    3 tyre-2 black
    2 wing-4x4 white
    2 wing-3x8-left blue
    1 wing-3x8-right blue
    2 wing-4x4 red
    2 wedge-plate-2x4-left red
    2 wedge-plate-2x4-right red
    1 wedge-plate-2x4-left white
    3 brick-2x4 orange
    1 plate-6x8 blue
    1 plate-6x10 tan
    1 plate-8x8 green
    2 dish-4x4 orange
    2 dish-2x2 yellow
    2 cloth-flag-3x2 red
    1 string-20 white
    3 brick-1x4-side-studs white
    2 brick-1x2-axle-hole red
    3 round-tile-2x2 red
    4 plate-1x1 clear
    2 cone-1x1-hollow amber
    1 fence-1x4x2 black
    2 bar-3 red
    1 basket-3x4 blue
    2 plate-1x2 brass
    1 hinge-brick-1x2-top brown, late
    1 bracket-2x2-down yellow
    3 slope45-2x2-corner blue
    2 figure-legs red
"""
"""What strayed in from other sets, one ``quantity part shade`` a row."""
