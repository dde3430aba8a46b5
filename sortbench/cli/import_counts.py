"""`sortbench import counts`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, examples, opened_bench
from sortbench.cli.progress import counting, waiting
from sortbench.cli.say import on_terminal, say

if TYPE_CHECKING:
    from sortbench.desks.sheet_intake import SheetIntake


@click.command(
    "counts",
    cls=BenchCommand,
    epilog=examples(
        "sortbench new merged",
        "sortbench --bench merged import counts sheet",
        "sortbench --bench merged import counts sheet --dry-run",
    ),
)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--changed", is_flag=True, help="Also take tables that were changed since the export.")
@click.option("--dry-run", is_flag=True, help="Show what would be done; write nothing.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_context
def counts(ctx: click.Context, folder: Path, changed: bool, dry_run: bool, yes: bool) -> int:
    """Read a count sheet from FOLDER and count its pieces here.

    Its pieces are added to those of this bench, into the bins and crates that it names, and what it has set aside is
    set aside here. Parts and shades that the catalogue lacks, targets of codes that are new here and stand-in rules are
    brought in with it; what the bench has already stays as it is. Reading the same sheet again adds nothing.
    """
    from sortbench.desks.sheet_intake import preview_sheet, take_in

    with opened_bench(ctx) as bench:
        with waiting("reading the sheet"):
            intake = preview_sheet(bench, folder, changed=changed)
        if intake.known:
            say(f"{intake.known:,} pieces of this sheet are counted here already.")
        for note in intake.notes:
            say(f"Note: {note}")
        if intake.nothing:
            say("Nothing to count.")
            return 0
        for line in _told(intake):
            say(line)
        if dry_run:
            return 0
        if not yes:
            if not on_terminal():
                say("Nothing was written: there is no terminal to ask on. Say --yes to count them.")
                return 1
            if not click.confirm("Count them?", err=True):
                say("Nothing was written.")
                return 1
        with counting("counting") as progress:
            take_in(bench, intake, progress)
    say(f"Counted {intake.pieces:,} pieces.")
    return 0


def _told(intake: SheetIntake) -> list[str]:
    """What would be brought in, in words."""
    lines = [
        f"To count: {intake.pieces:,} pieces in {len(intake.cells):,} heaps; "
        f"new parts: {len(intake.parts)}, new shades: {len(intake.shades)}."
    ]
    if intake.reserved:
        lines.append(f"To set aside: {sum(intake.reserved.values()):,} pieces.")
    if intake.targets:
        names = "; ".join(f"{target.code} {target.name}" for target in intake.targets)
        lines.append(f"New targets ({len(intake.targets)}): {names}")
    if intake.swaps:
        names = "; ".join(f"{swap.instead} for {swap.wanted}" for swap in intake.swaps)
        lines.append(f"New stand-in rules ({len(intake.swaps)}): {names}")
    return lines
