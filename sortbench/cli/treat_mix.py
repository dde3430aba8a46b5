"""`sortbench treat sheet` and `dilute`: what a bath is mixed from, and how dangerous that is."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import answer_mappings, write
from sortbench.cli.say import say
from sortbench.cli.wash_note import say_cautions

if TYPE_CHECKING:
    from sortbench.desks.treat_desk import TreatSheet


def _mixing(command: Callable[..., Any]) -> Callable[..., Any]:
    """What both commands are told."""
    command = json_option(command)
    command = click.option(
        "--licensed",
        is_flag=True,
        help="The law of my place lets me have stock above 12 % w/w. It is refused otherwise.",
    )(command)
    command = click.argument("final_ml", metavar="ML", type=float)(command)
    command = click.argument("bath", metavar="BATH")(command)
    return click.argument("stock", metavar="STOCK")(command)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench treat sheet 11.9%w/w 6%w/w 1000 > sheet.txt", "sortbench treat sheet 40vol 3%w/w 500 --json"
    ),
)
@_mixing
@click.pass_context
def sheet(ctx: click.Context, stock: str, bath: str, final_ml: float, licensed: bool, as_json: bool) -> None:
    """The whole sheet for ML millilitres of a bath of strength BATH from STOCK, as text to print.

    Amounts by mass and by volume, hazard classes before and after, what this bench saw so far, and all cautions with
    their sources. BATH is what you ask for; none is recommended, and nothing is promised.
    """
    from sortbench.desks.treat_desk import TreatDesk

    with opened_bench(ctx) as bench:
        desk = TreatDesk(bench)
        found = desk.sheet(stock, bath, final_ml, licensed)
        if as_json:
            _answer("sheet", found)
            warn(found)
        else:
            write(desk.sheet_text(found))


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench treat dilute 11.9%w/w 6%w/w 1000",
        "sortbench treat dilute 20vol 3%w/v 500",
        "sortbench treat dilute 12%w/v 6%w/v 1000 --json",
    ),
)
@_mixing
@click.pass_context
def dilute(ctx: click.Context, stock: str, bath: str, final_ml: float, licensed: bool, as_json: bool) -> None:
    """How much STOCK and water make ML millilitres of a bath of strength BATH; hazard classes of both.

    By mass balance, which is exact, and by volume (C1 V1 = C2 V2). BATH is what you ask for; none is recommended, and
    nothing is promised.
    """
    from sortbench.desks.treat_desk import TreatDesk

    with opened_bench(ctx) as bench:
        desk = TreatDesk(bench)
        found = desk.sheet(stock, bath, final_ml, licensed)
        if as_json:
            _answer("dilution", found)
        else:
            write(desk.dilution_text(found))
        warn(found)


def warn(found: TreatSheet) -> None:
    """What the law says, and what to mind: first that nothing is promised."""
    for words in found.warnings:
        say(f"WARNING: {words}.")
    say_cautions(found.cautions)


def _answer(what: str, found: TreatSheet) -> None:
    from sortbench.desks.treat_desk import NO_PROMISE

    amounts = found.dilution
    row: dict[str, Any] = {
        "stock_pct_ww": amounts.stock.pct,
        "bath_pct_ww": amounts.target.pct,
        "stock_g": amounts.mass.stock_g,
        "water_g": amounts.mass.water_g,
        "final_g": amounts.final_g,
        "stock_ml": amounts.volume.stock_ml,
        "water_ml": amounts.volume.water_ml,
        "final_ml": amounts.final_ml,
    }
    for name, classed in (("stock", found.before), ("bath", found.after)):
        row[f"{name}_hazard_codes"] = [each.code for each in classed.statements]
        row[f"{name}_hazard_classes"] = classed.classes
        row[f"{name}_hazards_also"] = list(classed.also)
    row |= {
        "hazards_source": found.before.source,
        "warnings": list(found.warnings),
        "promise": NO_PROMISE,
        "cautions": [{"words": each.words, "source": each.source} for each in found.cautions],
    }
    answer_mappings(what, [row])
