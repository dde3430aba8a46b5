"""`sortbench add`: one part, shade, target or bin, without a file."""

from __future__ import annotations

import click

from sortbench.cli.context import BenchCommand, examples, opened_bench
from sortbench.cli.say import say
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import FAMILIES, Care, Part, Shade, Years
from sortbench.model.grade import Flaw, Grade
from sortbench.model.target import Target
from sortbench.model.text import clean_name, shown

_CARE = [care.value for care in Care]
_FLAWS = ["any", *(flaw.value for flaw in Flaw)]
_first = click.option("--first-year", type=int, metavar="YEAR", help="First year it was made.")
_last = click.option("--last-year", type=int, metavar="YEAR", help="Last year it was made.")
_alias = click.option("--alias", multiple=True, metavar="NAME", help="Another name to find it by; may be repeated.")


@click.group(
    epilog=examples(
        "sortbench add part plate-2x4 'plate 2x4' --family plate --mass 1.05",
        "sortbench add shade 'grey, late' --rgb a0a5a9 --first-year 1990",
        "sortbench add target T-07 'Signal Hut' --year 1988",
        "sortbench add bin B7 --shade white --lowest 4 --holds 200",
    )
)
def add() -> None:
    """Add one part, shade, target or bin.

    Whole lists come in with `sortbench import`.
    """


@add.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench add part plate-2x4 'plate 2x4' --family plate --mass 1.05",
        "sortbench add part reed 'reed leaf' --family plant --care foliage --care delicate",
    ),
)
@click.argument("code")
@click.argument("name")
@click.option("--family", default="other", show_default=True, metavar="FAMILY", help=f"As {', '.join(FAMILIES[:6])}.")
@click.option("--mass", type=float, metavar="GRAMS", help="Mass of one piece.")
@_alias
@_first
@_last
@click.option("--care", multiple=True, type=click.Choice(_CARE), help="What it needs at the tub; may be repeated.")
@click.pass_context
def part(
    ctx: click.Context,
    code: str,
    name: str,
    family: str,
    mass: float | None,
    alias: tuple[str, ...],
    first_year: int | None,
    last_year: int | None,
    care: tuple[str, ...],
) -> None:
    """Put a part into the catalogue: CODE is its key, spelled from its shape; NAME is what a person calls it."""
    from sortbench.desks.additions import add_part, unknown_names

    new = Part(
        clean_name(code, "code"),
        clean_name(name),
        clean_name(family, "shape family"),
        tuple(clean_name(each, "alias") for each in alias),
        mass,
        Years(first_year, last_year),
        tuple(Care(each) for each in care),
    )
    with opened_bench(ctx) as bench:
        unknown = unknown_names(bench, Rule(families=(new.family,)))
        add_part(bench, new)
    say(f"part {new.code}: {new.name}")
    for words in unknown:
        say(f"Note: {words}")


@add.command(
    cls=BenchCommand,
    epilog=examples("sortbench add shade white --rgb f4f4f0", "sortbench add shade 'grey, late' --alias 'cold grey'"),
)
@click.argument("name")
@click.option("--rgb", default="", metavar="HEX", help="sRGB value, six hex digits.")
@_alias
@_first
@_last
@click.pass_context
def shade(
    ctx: click.Context, name: str, rgb: str, alias: tuple[str, ...], first_year: int | None, last_year: int | None
) -> None:
    """Put a shade into the catalogue."""
    from sortbench.desks.additions import add_shade

    new = Shade(
        clean_name(name),
        rgb.removeprefix("#").lower(),
        Years(first_year, last_year),
        tuple(clean_name(each, "alias") for each in alias),
    )
    with opened_bench(ctx) as bench:
        add_shade(bench, new)
    say(f"shade {new.name}")


@add.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench add target T-07 'Signal Hut' --year 1988 --rank 2",
        "sortbench tally --target T-07 < list.txt",
    ),
)
@click.argument("code")
@click.argument("name")
@click.option("--year", type=click.IntRange(1900, 2200), metavar="YEAR", help="When the set was sold.")
@click.option("--rank", type=click.IntRange(1), default=1, show_default=True, help="1 gets pieces first.")
@click.pass_context
def target(ctx: click.Context, code: str, name: str, year: int | None, rank: int) -> None:
    """Put a target on the bench, with an empty list to be written up."""
    from sortbench.desks.additions import add_target

    new = Target(clean_name(code, "code"), clean_name(name), year, rank)
    with opened_bench(ctx) as bench:
        add_target(bench, new)
    say(f"target {new.code}: {new.name}; write up its list with: sortbench tally --target {shown(new.code)}")


@add.command(
    "bin",
    cls=BenchCommand,
    epilog=examples(
        "sortbench add bin B7 --shade white --lowest 4 --holds 200",
        "sortbench add bin B8 --family plate --family tile",
        "sortbench add bin BROKEN --flaw any",
        "sortbench add bin REST",
    ),
)
@click.argument("label")
@click.option("--shade", "shades", multiple=True, metavar="NAME", help="Takes this shade; may be repeated.")
@click.option("--family", "families", multiple=True, metavar="FAMILY", help="Takes this shape family; may be repeated.")
@click.option("--part", "parts", multiple=True, metavar="CODE", help="Takes this part; may be repeated.")
@click.option("--lowest", metavar="GRADE", help="Takes this grade and better.")
@click.option("--highest", metavar="GRADE", help="Takes this grade and worse.")
@click.option("--flaw", "flaws", multiple=True, type=click.Choice(_FLAWS), help="Takes this flaw; may be repeated.")
@click.option("--holds", type=int, metavar="PIECES", help="How many pieces it holds.")
@click.option("--holds-grams", type=float, metavar="GRAMS", help="How many grams it holds.")
@click.option("--place", default="", help="Where it stands.")
@click.pass_context
def bin_(
    ctx: click.Context,
    label: str,
    shades: tuple[str, ...],
    families: tuple[str, ...],
    parts: tuple[str, ...],
    lowest: str | None,
    highest: str | None,
    flaws: tuple[str, ...],
    holds: int | None,
    holds_grams: float | None,
    place: str,
) -> None:
    """Put up a bin; without a rule it takes everything else.

    Of the things said, each must be met; of several shades (or families, or parts), one. Rules are tried in the order
    of the bins; a new one goes last, but before the bin that takes everything else.
    """
    from sortbench.desks.additions import add_bin, unknown_names

    rule = Rule(
        tuple(clean_name(each, "shade") for each in shades),
        tuple(clean_name(each, "shape family") for each in families),
        tuple(clean_name(each, "code") for each in parts),
        Grade.from_label(lowest) if lowest else None,
        Grade.from_label(highest) if highest else None,
        flaws,
    )
    new = Bin(clean_name(label, "label"), rule, holds, holds_grams, clean_name(place, "place") if place else "")
    with opened_bench(ctx) as bench:
        add_bin(bench, new)
        unknown = unknown_names(bench, rule)
    say(f"bin {new.label}: {new.rule}")
    for words in unknown:
        say(f"Note: {words}")
