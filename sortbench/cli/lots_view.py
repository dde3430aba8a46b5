"""`sortbench lots list` and `show`: lots, expenses, and what everything has cost so far."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table
from sortbench.cli.say import say
from sortbench.model.lot import Spent
from sortbench.model.money import as_amount, money_words

if TYPE_CHECKING:
    from sortbench.desks.lot_desk import LotLedger
    from sortbench.model.lot import Expense


@click.command("list", cls=BenchCommand, epilog=examples("sortbench lots list", "sortbench lots list --json"))
@json_option
@click.pass_context
def list_(ctx: click.Context, as_json: bool) -> None:
    """Every lot with what was spent on it, and every expense, struck ones too. --json has the expenses."""
    from sortbench.desks.lot_desk import LotDesk

    with opened_bench(ctx) as bench:
        desk = LotDesk(bench)
        expenses = list(desk.expenses.values())
        if as_json:
            answer_mappings("expenses", [expense_mapping(each) for each in expenses])
            return
        ledger = desk.ledger()
        for row in ledger.lots:
            lot = row.lot
            told = (
                f"bought {lot.bought}" if lot.bought else "",
                f"from {lot.seller}" if lot.seller else "",
                f"about {lot.pieces:,} pieces" if lot.pieces else "",
                lot.note,
            )
            say(
                f"{lot.code} {lot.name}: {money_words(row.spent, ledger.currency)}"
                + "".join(f", {x}" for x in told if x)
            )
        headings = (
            Heading(""),
            Heading("noted"),
            Heading("on"),
            Heading("amount", number=True),
            Heading(""),
            Heading("lot"),
            Heading("target"),
            Heading("note", wide=True),
        )
        rows = [
            (
                each.id + (" struck" if each.struck else ""),
                each.at[:10],
                each.what.value,
                f"{each.amount:,}",
                each.currency,
                each.lot,
                each.target,
                each.note,
            )
            for each in expenses
        ]
        answer_table(headings, rows, "Nothing was spent yet: `sortbench lots new`, `sortbench lots spend`.")


@click.command(cls=BenchCommand, epilog=examples("sortbench lots show", "sortbench lots show --json"))
@json_option
@click.pass_context
def show(ctx: click.Context, as_json: bool) -> None:
    """What each target and the spares have cost so far; the rows add up to what was spent.

    `sortbench lots --help` has the rule by which costs are shared.
    """
    from sortbench.desks.lot_desk import LotDesk

    with opened_bench(ctx) as bench:
        ledger = LotDesk(bench).ledger()
    if as_json:
        answer_mappings("costs", _cost_mappings(ledger))
        return
    used = [what for what in Spent if any(row.spent[what] for row in ledger.rows)]
    rows = [
        (
            row.target,
            row.name,
            f"{row.pieces:,}",
            f"{float(100 * row.worth):.1f} %",
            *(f"{as_amount(row.spent[what], ledger.currency):,}" for what in used),
            f"{as_amount(row.total, ledger.currency):,}",
        )
        for row in ledger.rows
        if row.target or row.pieces or row.total
    ]
    headings = (
        Heading("target"),
        Heading("name", wide=True),
        Heading("pieces", number=True),
        Heading("worth", number=True),
        *(Heading(what.value, number=True) for what in used),
        Heading("cost so far", number=True),
    )
    answer_table(headings, rows, "There is nothing yet that could bear a cost.")
    say(
        f"{money_words(ledger.total, ledger.currency)} spent in all, "
        f"{money_words(ledger.shared, ledger.currency)} of it shared by worth."
    )
    piece = f"{float(ledger.piece):.4g} {ledger.currency}" if ledger.piece is not None else "as much as any other"
    say(f"A piece without a value of its own weighs {piece}.")


def expense_mapping(spent: Expense) -> dict[str, Any]:
    """An expense as ``--json`` has it; the amount is a text, so that no digit is lost."""
    row: dict[str, Any] = {name: None if value == "" else value for name, value in spent._asdict().items()}
    return row | {"what": spent.what.value, "amount": str(spent.amount)}


def _cost_mappings(ledger: LotLedger) -> list[dict[str, Any]]:
    def money(units: int) -> str:
        return str(as_amount(units, ledger.currency))

    return [
        {
            "target": row.target or None,
            "name": row.name,
            "quantity": row.pieces,
            "worth": round(float(row.worth), 6),
            **{what.value: money(row.spent[what]) for what in Spent},
            "total": money(row.total),
            "currency": ledger.currency,
        }
        for row in ledger.rows
    ]
