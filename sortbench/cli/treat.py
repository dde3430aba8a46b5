"""`sortbench treat`: the sheet for a peroxide bath, and what came of treatments at this bench."""

from __future__ import annotations

import click

from sortbench.cli.context import examples
from sortbench.cli.lazy import LazyGroup

COMMANDS = {
    "sheet": ("sortbench.cli.treat_mix:sheet", "The whole sheet for a bath, to print: amounts, hazards, cautions."),
    "dilute": ("sortbench.cli.treat_mix:dilute", "How much stock and water; hazards before and after."),
    "record": ("sortbench.cli.treat_note:record", "Note what came of treated pieces; the counts follow."),
    "rates": ("sortbench.cli.treat_note:rates", "How often pieces improved and broke here, with intervals."),
    "log": ("sortbench.cli.treat_note:log", "Every treatment that was noted."),
    "strike": ("sortbench.cli.treat_note:strike", "Strike a treatment noted by mistake, or bring it back."),
}


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    epilog=examples(
        "sortbench treat sheet 11.9%w/w 6%w/w 1000 > sheet.txt",
        "sortbench treat dilute 20vol 3%w/v 500",
        "sortbench treat record 'plate 2x4 white !3' --improved 7 --unchanged 2 --broken 1 --grade 4-5",
        "sortbench treat rates",
    ),
)
def treat() -> None:
    """Peroxide treatment: amounts, hazards, cautions, and the bench's own log of outcomes.

    Nothing is promised and nothing recommended: no strength, time or temperature is published that holds for these
    pieces, and they may come out as they were, blotched or broken. The label of the product, local rules and licensed
    practice come first. Replacing is preferred where a piece can be had.

    \b
    A strength needs its unit, for the label's per cent may be either:
      6%w/w   grams in 100 g of solution; limits of law and hazard classes go by it
      6%w/v   grams in 100 mL of solution
      20vol   litres of oxygen from a litre
    """
