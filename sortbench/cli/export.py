"""`sortbench export`."""

from __future__ import annotations

from pathlib import Path

import click

from sortbench.cli.context import BenchCommand, examples, opened_bench
from sortbench.cli.progress import counting, waiting
from sortbench.cli.say import say


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench export sheet",
        "frictionless validate sheet/datapackage.json",
        "sortbench --bench other import counts sheet",
    ),
)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--overwrite", is_flag=True, help="Write into FOLDER although it holds other things.")
@click.pass_context
def export(ctx: click.Context, folder: Path, overwrite: bool) -> None:
    """Write the count sheet into FOLDER: what was counted, for a spreadsheet or another program.

    \b
    counts.csv      pieces by bin or crate, part, shade, grade and flaw
    fills.csv       every line of every target: asked for, present, to standard, short
    allocation.csv  which pieces each line has, heap by heap
    shortfall.csv   what lines lack, or have below standard
    spares.csv      pieces that no target needs, heap by heap
    tallies.csv     the log behind the figures
    reserved.csv    pieces set aside for a target and not yet picked
    stand_ins.csv   what may be taken for what, and what is refused on a target
    targets.csv, bins.csv, parts.csv, shades.csv
    datapackage.json  describes all of them (tabular data package)

    FOLDER is made if it is missing; an earlier count sheet in it is replaced. A text that a spreadsheet would run as a
    formula gets an apostrophe before it, which reading the sheet back takes off again.
    """
    from sortbench.desks.sheet_desk import require_room, sound_sheet, write_sheet

    with opened_bench(ctx) as bench:
        require_room(folder, overwrite)
        with waiting("working the sheet out"):
            sheet = sound_sheet(bench)
        with counting("writing rows") as progress:
            write_sheet(sheet, folder, overwrite=overwrite, progress=progress)
    click.echo(folder / "datapackage.json")
    pieces = sum(row.quantity for row in sheet.counts)
    say(f"{pieces:,} pieces in {len(sheet.counts):,} heaps, {len(sheet.fills):,} lines of {len(sheet.targets)} targets")
