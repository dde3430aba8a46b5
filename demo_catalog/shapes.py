"""The demo's parts and shades: what the invented maker Tarnhill moulded.

Part codes are spelled from the shape. Masses are **invented for the demo**: the volume of the shape in cells (one stud
wide, one stud deep, one plate high) times the share of it that is plastic, times grams a full cell. sRGB values and
years are invented as well. Years turn over around 1988 to 1990, in the middle of the Valley Works line, so that early
and late shades and moulds matter.
"""

from __future__ import annotations

from dataclasses import dataclass

CELL_G = 0.28
"""Grams of one cell if it were solid plastic; invented."""

PLATE, BRICK = 1, 3
"""Heights in cells."""

ALWAYS = (1978, 1999)
"""Years of a shape that was made before, during and after the Valley Works line."""


@dataclass(frozen=True, slots=True)
class Shape:
    """One row of parts.csv."""

    code: str
    name: str
    family: str
    mass_g: float
    years: tuple[int | None, int | None] = ALWAYS
    aliases: tuple[str, ...] = ()
    care: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Colour:
    """One row of shades.csv."""

    name: str
    rgb: str
    years: tuple[int, int]
    aliases: tuple[str, ...] = ()


SHADES = (
    Colour("white", "eeeee8", (1970, 1999)),
    Colour("cream", "e9dfc0", (1984, 1995), ("off-white", "ivory")),
    Colour("tan", "cdb184", (1976, 1999), ("sand", "beige")),
    Colour("yellow", "f0c01e", (1970, 1999)),
    Colour("orange", "e0701c", (1985, 1999)),
    Colour("red", "b8201f", (1970, 1999)),
    Colour("pink", "e6a3b4", (1991, 1999), ("rose",)),
    Colour("brown, early", "6b4a2f", (1974, 1989)),
    Colour("brown, late", "5a3322", (1990, 1999)),
    Colour("green", "2e7a3c", (1970, 1999)),
    Colour("blue", "21549b", (1970, 1999)),
    Colour("grey, early", "9da096", (1972, 1989), ("gray early",)),
    Colour("grey, late", "949da6", (1990, 1999), ("gray late",)),
    Colour("black", "1c1c1e", (1970, 1999)),
    Colour("clear", "dfe9ea", (1970, 1999), ("transparent", "see-through")),
    Colour("amber", "d98a2b", (1980, 1999), ("clear amber",)),
    Colour("brass", "b08d3c", (1982, 1996), ("gold",)),
    Colour("steel", "a9adb2", (1978, 1999), ("silver", "bare metal")),
)

# family, words before the size, height in cells, share of plastic, sizes; the sizes of a line share all the rest
_RANGES = (
    ("brick", "brick", BRICK, 0.36, "1x1 1x2 1x3 1x4 1x6 1x8 2x3 2x4 2x6 2x8"),
    ("plate", "plate", PLATE, 0.46, "1x1 1x2 1x3 1x4 1x6 1x8 2x2 2x3 2x4 2x6 2x8 4x4 4x6"),
    ("tile", "tile", PLATE, 0.42, "1x1 1x4 1x6 2x2"),
    ("slope", "slope45", BRICK, 0.30, "2x1 2x2 2x3 2x4"),
    ("slope", "slope33", BRICK, 0.26, "3x1 3x2 3x4"),
    ("arch", "arch", BRICK, 0.30, "1x3 1x4 1x6"),
    ("round", "round-plate", PLATE, 0.40, "1x1 2x2 4x4"),
    ("dish", "dish", PLATE, 0.45, "2x2 4x4"),
)

# code, family, volume in cells, share of plastic, then whatever differs: years, aliases, care
_PLAIN: tuple[tuple[str, str, float, float], ...] = (
    ("plate-2x2-corner", "plate", 3, 0.46),
    ("slope45-2x2-inv", "slope", 12, 0.30),
    ("slope45-2x1-inv", "slope", 6, 0.30),
    ("slope45-2x2-corner", "slope", 12, 0.27),
    ("slope45-2x1-ridge", "slope", 6, 0.28),
    ("slope45-2x4-ridge", "slope", 24, 0.24),
    ("slope33-3x3-corner", "slope", 27, 0.22),
    ("slope65-2x2x2", "slope", 24, 0.24),
    ("brick-1x2-ribbed", "brick", 6, 0.38),
    ("brick-1x1-side-stud", "brick", 3, 0.40),
    ("brick-1x4-side-studs", "brick", 12, 0.38),
    ("brick-1x2-axle-hole", "brick", 6, 0.38),
    ("arch-1x6x2", "arch", 36, 0.24),
    ("arch-1x8x2", "arch", 48, 0.23),
    ("arch-1x3x2-half", "arch", 18, 0.25),
    ("round-2x2", "round", 12, 0.34),
    ("round-corner-2x2", "round", 12, 0.30),
    ("round-corner-4x4", "round", 48, 0.20),
    ("round-tile-2x2", "round", 4, 0.42),
    ("cone-2x2x2", "cone", 24, 0.24),
    ("cone-4x4x2", "cone", 96, 0.16),
    ("wedge-2x4", "wedge", 24, 0.26),
    ("wedge-plate-2x4-left", "wedge", 6, 0.46),
    ("wedge-plate-2x4-right", "wedge", 6, 0.46),
    ("wing-4x4", "wing", 11, 0.46),
    ("wing-3x8-left", "wing", 17, 0.46),
    ("wing-3x8-right", "wing", 17, 0.46),
    ("panel-1x2x2", "panel", 12, 0.20),
    ("panel-1x4x3", "panel", 36, 0.16),
    ("panel-1x4x5", "panel", 60, 0.15),
    ("panel-2x2x3-corner", "panel", 36, 0.15),
    ("panel-slant-4x3x3", "panel", 72, 0.09),
    ("window-1x2x2", "window", 12, 0.18),
    ("window-1x2x3", "window", 18, 0.17),
    ("window-1x4x3", "window", 36, 0.14),
    ("window-1x4x4-arched", "window", 48, 0.13),
    ("window-roof-4x3", "window", 36, 0.16),
    ("pane-1x2x2", "window", 12, 0.09),
    ("pane-1x2x3", "window", 18, 0.08),
    ("pane-1x4x3", "window", 36, 0.07),
    ("shutter-1x3", "window", 9, 0.16),
    ("door-frame-1x4x5", "door", 60, 0.10),
    ("door-1x4x5-left", "door", 60, 0.11),
    ("door-1x4x5-right", "door", 60, 0.11),
    ("door-plank-1x3x4", "door", 36, 0.18),
    ("door-sliding-1x4x4", "door", 48, 0.13),
    ("fence-1x4x2", "fence", 24, 0.16),
    ("fence-wattle-1x4x2", "fence", 24, 0.20),
    ("fence-post-1x1x2", "fence", 6, 0.30),
    ("gate-1x4x2", "fence", 24, 0.15),
    ("hinge-brick-1x2-base", "hinge", 6, 0.34),
    ("hinge-brick-1x2-top", "hinge", 4, 0.40),
    ("hinge-plate-1x2-fork", "hinge", 2.4, 0.48),
    ("hinge-plate-1x2-tongue", "hinge", 2.3, 0.48),
    ("bracket-1x2-1x2", "bracket", 4, 0.48),
    ("bracket-1x2-2x2", "bracket", 6, 0.46),
    ("bracket-2x2-down", "bracket", 7, 0.44),
    ("bar-3", "bar", 3, 0.24),
    ("bar-4", "bar", 4, 0.24),
    ("bar-6", "bar", 6, 0.24),
    ("bar-grab-1x4", "bar", 8, 0.20),
    ("ladder-2x6", "bar", 24, 0.14),
    ("pole-1x1x6", "pole", 18, 0.30),
    ("pole-2x2x8", "pole", 96, 0.12),
    ("pole-signal-10", "pole", 30, 0.22),
    ("axle-4", "axle", 4, 0.40),
    ("axle-8", "axle", 8, 0.40),
    ("gear-10", "gear", 4, 0.45),
    ("gear-18", "gear", 9, 0.42),
    ("gear-30", "gear", 25, 0.34),
    ("gear-rack-1x4", "gear", 6, 0.44),
    ("pin-short", "pin", 1.8, 0.35),
    ("pin-long", "pin", 3, 0.35),
    ("connector-elbow", "connector", 3, 0.36),
    ("connector-tee", "connector", 4, 0.36),
    ("wheel-flanged-2", "wheel", 8, 0.42),
    ("wheel-barrow-1", "wheel", 3, 0.44),
    ("wheel-spoked-4", "wheel", 28, 0.26),
    ("tyre-2", "wheel", 10, 0.40),
    ("wheel-holder-2x2", "wheel", 7, 0.44),
    ("tipper-4x6x2", "vehicle", 144, 0.11),
    ("wagon-frame-4x8", "vehicle", 36, 0.40),
    ("wagon-end-4x2", "vehicle", 20, 0.24),
    ("buffer-1x4", "vehicle", 7, 0.44),
    ("coupling-1x2", "vehicle", 3.5, 0.44),
    ("cabin-front-4x6x4", "vehicle", 288, 0.07),
    ("rail-straight-8", "rail", 26, 0.42),
    ("rail-straight-4", "rail", 13, 0.42),
    ("rail-curve-8", "rail", 27, 0.42),
    ("rail-switch-left", "rail", 58, 0.40),
    ("rail-switch-right", "rail", 58, 0.40),
    ("rail-rack-8", "rail", 20, 0.44),
    ("rail-stop", "rail", 9, 0.42),
    ("sleeper-1x6", "rail", 6, 0.44),
    ("barrel-2x2", "other", 20, 0.22),
    ("basket-3x4", "other", 36, 0.15),
    ("bell-2x2", "other", 16, 0.26),
    ("bell-4x4", "other", 80, 0.20),
    ("hive-box-2x4", "other", 32, 0.16),
    ("hive-lid-2x4", "other", 10, 0.38),
    ("crucible-3x3", "other", 40, 0.18),
    ("honey-frame-1x2", "other", 5, 0.30),
)

# Shapes kept out of the tub or handled apart: code, name, family, grams, care, aliases
_CARED: tuple[tuple[str, str, str, float, str, str], ...] = (
    ("plate-6x8", "plate 6x8", "plate", 6.2, "large plate", ""),
    ("plate-6x10", "plate 6x10", "plate", 7.7, "large plate", ""),
    ("plate-8x8", "plate 8x8", "plate", 8.2, "large plate", ""),
    ("baseplate-16x16", "baseplate 16x16", "baseplate", 31.0, "large plate", "ground plate"),
    ("baseplate-16x24", "baseplate 16x24", "baseplate", 46.0, "large plate", "ground plate"),
    (
        "baseplate-raised-24x24",
        "baseplate raised 24x24",
        "baseplate",
        118.0,
        "raised baseplate | large plate | deep hollow",
        "hill plate",
    ),
    ("figure-head", "figure head", "figure", 0.4, "figure | print", "face"),
    ("figure-head-beard", "figure head, beard", "figure", 0.4, "figure | print", "bearded face"),
    ("figure-torso", "figure torso", "figure", 1.1, "figure | delicate", "body"),
    ("figure-torso-apron", "figure torso, apron", "figure", 1.1, "figure | print | delicate", "apron body"),
    ("figure-legs", "figure legs", "figure", 0.9, "figure | delicate", "trousers"),
    ("figure-hat-straw", "figure hat, straw", "figure", 0.5, "figure", "straw hat"),
    ("figure-hat-cap", "figure hat, flat cap", "figure", 0.3, "figure", "cap"),
    ("figure-hair-bun", "figure hair, bun", "figure", 0.4, "figure", "wig"),
    ("tool-spade", "spade", "tool", 0.3, "delicate", "shovel"),
    ("tool-rake", "rake", "tool", 0.3, "delicate", ""),
    ("tool-hammer", "hammer", "tool", 0.3, "delicate", "mallet"),
    ("tool-tongs", "tongs", "tool", 0.2, "delicate", "pincers"),
    ("tool-lantern", "lantern", "tool", 0.4, "delicate", "hand lamp"),
    ("tool-watering-can", "watering can", "tool", 0.6, "deep hollow", ""),
    ("tool-bucket", "bucket", "tool", 0.4, "deep hollow", "pail"),
    ("tool-smoker", "bee smoker", "tool", 0.5, "delicate", ""),
    ("tool-lever", "lever on a base", "tool", 0.4, "delicate", "switch lever"),
    ("plant-fern", "fern", "plant", 0.8, "foliage", "fronds"),
    ("plant-vine", "climbing vine", "plant", 0.9, "foliage", "creeper"),
    ("plant-flower", "flower head", "plant", 0.1, "foliage | delicate | very small", "blossom"),
    ("plant-stem-3", "flower stem, three arms", "plant", 0.3, "foliage", "stalk"),
    ("plant-shrub-2x2", "shrub 2x2", "plant", 1.3, "foliage", "bush"),
    ("plant-tree-3x3x6", "tree 3x3x6", "plant", 7.4, "foliage | deep hollow", ""),
    ("plant-reed", "reed", "plant", 0.3, "foliage", "bulrush"),
    ("plant-cabbage", "cabbage", "plant", 0.4, "foliage", "lettuce"),
    ("cloth-awning-6x4", "cloth awning 6x4", "cloth", 0.9, "cloth", "canopy"),
    ("cloth-veil", "cloth veil", "cloth", 0.1, "cloth | delicate", "bee veil"),
    ("cloth-cover-8x6", "cloth cover 8x6", "cloth", 1.4, "cloth", "tarpaulin"),
    ("cloth-flag-3x2", "cloth flag 3x2", "cloth", 0.2, "cloth | delicate", "pennant"),
    ("string-20", "string, 20 studs long", "string", 0.3, "cloth", "cord"),
    ("string-60", "string, 60 studs long", "string", 0.8, "cloth", "cable"),
    ("chain-16", "chain, 16 studs long", "string", 1.6, "delicate", ""),
    ("lamp-1x2", "lamp 1x2", "other", 1.6, "electric", "light"),
    ("motor-4x6", "motor 4x6", "other", 41.0, "electric | metal", "drive"),
    ("wire-24", "wire, 24 studs long", "string", 2.9, "electric", "lead"),
    ("axle-metal-4", "axle, metal, 4 long", "axle", 1.9, "metal", "rod"),
    ("axle-metal-6", "axle, metal, 6 long", "axle", 2.9, "metal", "rod"),
    ("weight-2x4", "weight 2x4", "other", 21.0, "metal", "ballast"),
    ("tile-2x2-clock", "tile 2x2, clock face", "tile", 0.5, "print", "dial"),
    ("tile-1x2-gauge", "tile 1x2, pressure gauge", "tile", 0.2, "print", "meter"),
    ("tile-2x2-honey", "tile 2x2, honey label", "tile", 0.5, "sticker", "jar label"),
    ("brick-1x4-halt", "brick 1x4, halt name", "brick", 1.2, "sticker", "station name"),
    ("brick-1x4-foundry", "brick 1x4, foundry name", "brick", 1.2, "sticker", "works name"),
    ("brick-1x2-number-4", "brick 1x2, number 4", "brick", 0.6, "print", "tram number"),
    ("dish-2x2-signal", "dish 2x2, signal disc", "dish", 0.5, "print", "signal face"),
    ("panel-1x4x3-timetable", "panel 1x4x3, timetable", "panel", 1.6, "sticker", "departures"),
)

# The same shape from two moulds: code and years of the early one, code and years of the late one, family, volume, share
_MOULDS: tuple[tuple[str, int, str, int, str, float, float], ...] = (
    ("tile-1x2-plain", 1989, "tile-1x2-lipped", 1988, "tile", 2, 0.42),
    ("round-1x1-solid", 1989, "round-1x1-hollow", 1988, "round", 3, 0.36),
    ("cone-1x1-solid", 1988, "cone-1x1-hollow", 1988, "cone", 3, 0.28),
    ("fence-1x4x1-thin", 1990, "fence-1x4x1-thick", 1990, "fence", 12, 0.18),
    ("hinge-plate-1x4-coarse", 1989, "hinge-plate-1x4-fine", 1989, "hinge", 4.6, 0.46),
    ("wheel-spoked-2-round-hub", 1991, "wheel-spoked-2-square-hub", 1990, "wheel", 8, 0.34),
    ("brick-2x2-cross-stays", 1990, "brick-2x2-hollow", 1989, "brick", 12, 0.34),
)

EARLY_AND_LATE = tuple((early, late) for early, _, late, *_ in _MOULDS)
"""Parts of the same shape: out of the early mould, out of the late one."""

OTHER_MOULD = dict(EARLY_AND_LATE) | {late: early for early, late in EARLY_AND_LATE}
"""From a part to the same shape out of the other mould."""

_ALIASES = {
    "brick-1x2-ribbed": ("fluted brick",),
    "panel-slant-4x3x3": ("roof pane",),
    "window-roof-4x3": ("skylight", "roof light"),
    "pane-1x2x2": ("glass 1x2x2",),
    "pane-1x2x3": ("glass 1x2x3",),
    "pane-1x4x3": ("glass 1x4x3",),
    "fence-post-1x1x2": ("gate post",),
    "fence-wattle-1x4x2": ("hurdle",),
    "ladder-2x6": ("rungs",),
    "gear-rack-1x4": ("toothed strip",),
    "rail-rack-8": ("toothed rail", "cog rail"),
    "rail-switch-left": ("points left",),
    "rail-switch-right": ("points right",),
    "rail-stop": ("buffer stop",),
    "sleeper-1x6": ("tie",),
    "tipper-4x6x2": ("tipping body",),
    "coupling-1x2": ("drawhook",),
    "connector-elbow": ("angle joint",),
    "connector-tee": ("three-way joint",),
    "hive-box-2x4": ("beehive",),
    "crucible-3x3": ("ladle", "melting pot"),
    "barrel-2x2": ("cask",),
}
# Years that matter: what came late or left early. None stands for not known.
_YEARS: dict[str, tuple[int | None, int | None]] = {
    "window-1x4x4-arched": (1985, 1992),
    "panel-slant-4x3x3": (1986, 1993),
    "window-roof-4x3": (1984, 1991),
    "slope65-2x2x2": (1984, 1999),
    "hive-box-2x4": (1990, 1993),
    "hive-lid-2x4": (1990, 1993),
    "honey-frame-1x2": (1990, 1993),
    "tool-smoker": (1990, 1993),
    "cloth-veil": (1990, 1993),
    "crucible-3x3": (1988, 1994),
    "bell-4x4": (1988, 1992),
    "rail-rack-8": (1986, 1990),
    "cabin-front-4x6x4": (1986, 1995),
    "cloth-flag-3x2": (None, None),
    "wing-3x8-left": (1990, None),
    "wing-3x8-right": (1990, None),
    "motor-4x6": (None, 1996),
}
_DEEP_HOLLOW = ("cone-4x4x2", "tipper-4x6x2", "bell-2x2", "bell-4x4", "pole-2x2x8", "cabin-front-4x6x4", "hive-box-2x4")
_DELICATE = ("bar-3", "bar-4", "ladder-2x6", "bar-grab-1x4", "pole-signal-10")
_LONG_WORDS = {"inv": "inverted", "slope33": "slope 33", "slope45": "slope 45", "slope65": "slope 65"}


def _name(code: str) -> str:
    return " ".join(_LONG_WORDS.get(word, word) for word in code.split("-"))


def _mass(cells: float, share: float) -> float:
    return max(0.1, round(cells * share * CELL_G, 1))


def _cells(size: str, height: int) -> int:
    wide, deep = (int(side) for side in size.split("x"))
    return wide * deep * height


def _care(code: str) -> tuple[str, ...]:
    if code in _DEEP_HOLLOW:
        return ("deep hollow",)
    return ("delicate",) if code in _DELICATE else ()


def shapes() -> tuple[Shape, ...]:
    """All parts, by family and then as listed."""
    found = [
        Shape(f"{stem}-{size}", _name(f"{stem}-{size}"), family, _mass(_cells(size, height), share))
        for family, stem, height, share, sizes in _RANGES
        for size in sizes.split()
    ]
    found += [
        Shape(
            code,
            _name(code),
            family,
            _mass(cells, share),
            _YEARS.get(code, ALWAYS),
            _ALIASES.get(code, ()),
            _care(code),
        )
        for code, family, cells, share in _PLAIN
    ]
    found += [
        Shape(
            code,
            name,
            family,
            grams,
            _YEARS.get(code, ALWAYS),
            tuple(filter(None, aliases.split(" | "))),
            tuple(filter(None, care.split(" | "))),
        )
        for code, name, family, grams, care, aliases in _CARED
    ]
    for early, until, late, since, family, cells, share in _MOULDS:
        grams = _mass(cells, share)
        found.append(Shape(early, _name(early), family, grams, (ALWAYS[0], until), ("early mould",)))
        found.append(Shape(late, _name(late), family, grams, (since, ALWAYS[1]), ("late mould",)))
    return tuple(sorted(found, key=lambda shape: shape.family))
