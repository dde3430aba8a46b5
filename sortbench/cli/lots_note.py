"""`sortbench lots new`, `spend`, `strike` and `worth`: what was bought and spent."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import answer_mappings
from sortbench.cli.say import say
from sortbench.model.lot import Lot, Spent

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.model.lot import Expense

_CURRENCY = click.option(
    "--currency", default="", metavar="CODE", help="Of the amount, a code of ISO 4217; the bench's own otherwise."
)


def _lot_codes(bench: Bench) -> Iterator[tuple[str, str]]:
    return ((lot.code, lot.name) for lot in bench.documents.lots.values())


def _numbers(bench: Bench) -> Iterator[tuple[str, str]]:
    return ((each.id, _words(each)) for each in bench.documents.expenses.values())


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench lots new 'attic lot' --paid 120.00 --seller 'Attic & Co' --bought 2026-03-01 --pieces 6000",
        "sortbench lots new 'two crates' --code CRATES --paid 80.00 --currency GBP",
    ),
)
@click.argument("name")
@click.option("--code", default="", metavar="CODE", help="Its code; otherwise the next of L1, L2 ...")
@click.option("--paid", metavar="AMOUNT", help="What it cost, as in 120.00; noted as its first expense.")
@_CURRENCY
@click.option("--bought", default="", metavar="DAY", help="The day, as in 2026-03-01.")
@click.option("--seller", default="", metavar="NAME", help="From whom.")
@click.option("--pieces", type=int, metavar="N", help="How many pieces it has, as you estimate it.")
@click.option("--note", default="", metavar="TEXT", help="Anything else.")
@json_option
@click.pass_context
def new(
    ctx: click.Context,
    name: str,
    code: str,
    paid: str | None,
    currency: str,
    bought: str,
    seller: str,
    pieces: int | None,
    note: str,
    as_json: bool,
) -> None:
    """Note a lot called NAME, and what it cost."""
    from sortbench.desks.lot_desk import LotDesk, Paid

    if currency and paid is None:
        raise click.UsageError("--currency goes with --paid.", ctx)
    with opened_bench(ctx) as bench:
        lot = Lot(code, name, bought, seller, pieces, note)
        made, spent = LotDesk(bench).new(lot, None if paid is None else Paid(paid, currency))
        if as_json:
            row = {field: None if value == "" else value for field, value in made._asdict().items()}
            answer_mappings("lots", [row | {"expense": spent.id if spent else None}])
        say(f"{made.code}: {made.name}" + (f"; {_words(spent)} ({spent.id})" if spent else ""))


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench lots spend 3.20 --on washing --note 'dish soap'",
        "sortbench lots spend 7.45 --on parcel --target T-03",
        "sortbench lots spend 15.00 --on lot --lot L1 --note 'fetching it'",
    ),
)
@click.argument("amount")
@click.option(
    "--on",
    "what",
    type=click.Choice([each.value for each in Spent]),
    required=True,
    help="On what it was spent.",
)
@click.option("--lot", default="", metavar="CODE", shell_complete=complete_from(_lot_codes), help="For which lot.")
@click.option(
    "--target",
    default="",
    metavar="CODE",
    shell_complete=complete_from(target_codes),
    help="The one target that bears it; otherwise it is shared.",
)
@_CURRENCY
@click.option("--note", default="", metavar="TEXT", help="What exactly.")
@json_option
@click.pass_context
def spend(
    ctx: click.Context, amount: str, what: str, lot: str, target: str, currency: str, note: str, as_json: bool
) -> None:
    """Note AMOUNT of money spent, as in 3.20.

    Without --target it is shared among all targets and spares; `sortbench lots --help` has the rule.
    """
    from sortbench.desks.lot_desk import LotDesk, Paid

    with opened_bench(ctx) as bench:
        spent = LotDesk(bench).spend(Spent(what), Paid(amount, currency), lot=lot, target=target, note=note)
        if as_json:
            from sortbench.cli.lots_view import expense_mapping

            answer_mappings("expenses", [expense_mapping(spent)])
        say(f"{spent.id}: {_words(spent)}")


@click.command(cls=BenchCommand, epilog=examples("sortbench lots strike E3", "sortbench lots strike E3 --back"))
@click.argument("number", metavar="EXPENSE", shell_complete=complete_from(_numbers))
@click.option("--back", is_flag=True, help="Bring it back.")
@click.pass_context
def strike(ctx: click.Context, number: str, back: bool) -> None:
    """Strike an EXPENSE that was noted by mistake: it stays in the list and counts for nothing."""
    from sortbench.desks.lot_desk import LotDesk

    with opened_bench(ctx) as bench:
        done = LotDesk(bench).strike(number, back)
        say(f"{done.id} {'struck' if done.struck else 'counts again'}: {_words(done)}")


@click.command(cls=BenchCommand, epilog=examples("sortbench lots worth 0.04", "sortbench lots worth none"))
@click.argument("amount", metavar="AMOUNT")
@click.pass_context
def worth(ctx: click.Context, amount: str) -> None:
    """Say what a piece is worth that no target with a value has, spares above all; `none` forgets it."""
    from sortbench.desks.lot_desk import LotDesk

    with opened_bench(ctx) as bench:
        told = LotDesk(bench).set_piece_worth(None if amount == "none" else amount)
        say("Nothing is said of a piece's worth." if told is None else f"A piece is worth {told}.")


def _words(spent: Expense) -> str:
    named = (f"lot {spent.lot}" if spent.lot else "", f"for {spent.target}" if spent.target else "", spent.note)
    return f"{spent.amount} {spent.currency} on {spent.what.value}" + "".join(f", {each}" for each in named if each)
