"""`sortbench weigh`: what only shows."""

from __future__ import annotations

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table
from sortbench.cli.say import say

_MASSES = (
    Heading("part", wide=True),
    Heading("pieces", number=True),
    Heading("handfuls", number=True),
    Heading("g a piece", number=True),
    Heading("± 95 %", number=True),
    Heading("scatter"),
    Heading("listed", number=True),
)
_WEIGHINGS = (
    Heading("id"),
    Heading("part", wide=True),
    Heading("handfuls"),
    Heading("load", number=True),
    Heading("by weight", number=True),
    Heading("by hand", number=True),
    Heading("record"),
    Heading("learnt from"),
)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench weigh masses", "sortbench weigh masses --json", "sortbench weigh masses --into-catalogue plate-2x4"
    ),
)
@click.option(
    "--into-catalogue",
    "listed",
    multiple=True,
    metavar="PART",
    help="Put what was learnt of a part into the catalogue, by its code; bins tell their grams from there.",
)
@json_option
@click.pass_context
def masses(ctx: click.Context, listed: tuple[str, ...], as_json: bool) -> None:
    """What one piece of each part weighs, as handfuls and loads counted by hand say; beside it what is listed.

    Handfuls of a part are pooled, the surer ones counting more. Weighings that were struck, or whose tally was taken
    back, are left out.
    """
    with opened_bench(ctx) as bench:
        for part in listed:
            say(f"{part}: {bench.weighing.list_mass(part):g} g a piece in the catalogue")
        found = bench.weighing.masses()
    if as_json:
        answer_mappings(
            "masses",
            [
                {
                    "part": each.part,
                    "mass_g": round(each.mass.mass_g, 6),
                    "u_g": round(each.mass.u_g or 0.0, 6),
                    "scatter": round(each.mass.scatter.share, 6),
                    "scatter_from": each.mass.scatter.source.value,
                    "handfuls": len(each.mass.pooled),
                    "pieces": each.mass.pieces,
                    "listed_g": each.listed_g,
                    "off_by_u": None if each.differs is None else round(each.differs, 2),
                }
                for each in found
            ],
        )
        return
    rows = [
        (
            each.name,
            f"{each.mass.pieces:,}",
            str(len(each.mass.pooled)),
            f"{each.mass.mass_g:.4g}",
            f"{1.96 * (each.mass.u_g or 0.0):.2g}",
            f"{100 * each.mass.scatter.share:.2g} % {each.mass.scatter.source.value}",
            ("" if each.listed_g is None else f"{each.listed_g:g}")
            + (f" (off by {abs(each.differs):.0f} u)" if each.differs is not None and abs(each.differs) > 3 else ""),
        )
        for each in found
    ]
    answer_table(_MASSES, rows, "Nothing was learnt yet: `sortbench weigh learn --help`.")


@click.command("list", cls=BenchCommand, epilog=examples("sortbench weigh list", "sortbench weigh list --json"))
@json_option
@click.pass_context
def list_(ctx: click.Context, as_json: bool) -> None:
    """All weighings, the oldest first; those of which nothing is learnt say why."""
    with opened_bench(ctx) as bench:
        desk = bench.weighing
        rows = [(each, desk.teaches(each)) for each in desk.weighings.values()]
        names = {each.part: bench.catalogue.part_name(each.part) for each, _ in rows}
    if as_json:
        answer_mappings(
            "weighings",
            [
                {
                    "weighing": each.id,
                    "at": each.at,
                    "part": each.part,
                    "scale": each.scale._asdict(),
                    "handfuls": [handful._asdict() for handful in each.handfuls],
                    "load": each.load._asdict() if each.load else None,
                    "record": each.record or None,
                    "estimate": each.estimate,
                    "low": each.low,
                    "high": each.high,
                    "by_hand": each.by_hand,
                    "note": each.note or None,
                    "struck": each.struck,
                    "holds": holds,
                }
                for each, holds in rows
            ],
        )
        return
    table = [
        (
            each.id,
            names[each.part],
            ", ".join(f"{handful.pieces} in {handful.net_g:g} g" for handful in each.handfuls),
            f"{each.load.net_g:g} g" if each.load else "",
            f"{each.estimate:.1f}" if each.estimate is not None else "",
            str(each.by_hand or ""),
            each.record,
            "struck" if each.struck else "" if holds else "no: its tally does not hold",
        )
        for each, holds in rows
    ]
    answer_table(_WEIGHINGS, table, "Nothing was weighed yet.")
