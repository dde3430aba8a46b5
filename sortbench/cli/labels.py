"""`sortbench labels`."""

from __future__ import annotations

import re
from pathlib import Path

import click

from sortbench.cli.context import BenchCommand, examples, opened_bench
from sortbench.cli.say import say

_SIZE = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,2})?)[x×]([0-9]{1,3}(?:\.[0-9]{1,2})?)")


def _read_size(ctx: click.Context, param: click.Parameter, value: str | None) -> tuple[float, float] | None:
    if value is None:
        return None
    said = _SIZE.fullmatch(value)
    if said is None:
        raise click.BadParameter(
            f"{value[:40]!r} is no size; say width and height in millimetres, as 62x36.", ctx, param
        )
    return float(said[1]), float(said[2])


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench labels labels.pdf",
        "sortbench labels labels.svg --bins --paper Letter",
        "sortbench labels new.pdf B7 B8 T-03 --size 90x50",
    ),
)
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.argument("names", nargs=-1, metavar="[NAME]...")
@click.option("--bins", "bins", is_flag=True, help="Only bins.")
@click.option("--crates", "crates", is_flag=True, help="Only the crates of targets.")
@click.option(
    "--paper",
    type=click.Choice(["A4", "Letter"], case_sensitive=False),
    default="A4",
    show_default=True,
    help="The sheet.",
)
@click.option("--size", metavar="WxH", callback=_read_size, help="A label's size in millimetres; 62x36 otherwise.")
@click.option(
    "--font",
    type=click.Path(path_type=Path, dir_okay=False, exists=True),
    metavar="FILE.ttf",
    help="A TrueType typeface for a PDF; needed where names have letters beyond those of western Europe.",
)
@click.option("--overwrite", is_flag=True, help="Write FILE although it holds something else.")
@click.pass_context
def labels(
    ctx: click.Context,
    file: Path,
    names: tuple[str, ...],
    bins: bool,
    crates: bool,
    paper: str,
    size: tuple[float, float] | None,
    font: Path | None,
    overwrite: bool,
) -> None:
    """Labels for bins and crates on sheets to print and cut, as FILE.pdf or FILE.svg.

    NAMEs are labels of bins and codes of targets; without any, everything is labelled. A label has its name in large
    letters, the shades and the rule of the bin, and a square code that a hand-held scanner types as @ and the name.
    On the entry line that holds the bin, or says what the crate lacks; on the keypad it does too, and counts nothing.

    Print at actual size ("100 %", not "fit to page"). SVG makes a file for each sheet. Codes need `pip install
    'sortbench[labels]'`.
    """
    from sortbench.desks.label_desk import labels_of
    from sortbench.papers.label_files import write_labels
    from sortbench.papers.label_page import USUAL

    with opened_bench(ctx) as bench:
        either = bins or crates
        found = labels_of(bench, bins=bins or not either, crates=crates or not either, only=names)
        written = write_labels(file, found, paper, size or USUAL, font, overwrite=overwrite)
    for path in written:
        click.echo(path)
    say(f"{len(found)} label{'s' if len(found) != 1 else ''}; print at actual size, not fitted to the page.")
