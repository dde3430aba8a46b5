"""`sortbench orders list`, `show`, `text` and `standing`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.orders_note import ORDER
from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.say import say
from sortbench.model.order import Outcome

if TYPE_CHECKING:
    from sortbench.desks.orders_desk import OrderState, StandingRow

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("list", cls=BenchCommand, epilog=examples("sortbench orders list", "sortbench orders list --json"))
@json_option
@click.pass_context
def list_(ctx: click.Context, as_json: bool) -> None:
    """Every order and how it stands. --json has the lines and remarks too."""
    from sortbench.desks.orders_desk import OrdersDesk
    from sortbench.papers.order_files import mapping_of, total_words

    with opened_bench(ctx) as bench:
        states = OrdersDesk(bench).states()
    if as_json:
        answer_mappings("orders", [mapping_of(state) for state in states])
        return
    answer_table(
        (
            Heading("order"),
            Heading("seller", wide=True),
            Heading("made"),
            Heading("stands"),
            Heading("pieces", number=True),
            Heading("awaited", number=True),
            Heading("to pay", number=True),
            Heading("note", wide=True),
        ),
        [
            (
                state.order.id,
                state.order.seller,
                state.order.made[:10],
                state.words,
                f"{state.pieces:,}",
                f"{state.awaited:,}",
                total_words(state.order),
                state.order.note,
            )
            for state in states
        ],
        "Nothing was ordered yet: `sortbench orders from-plan`, `sortbench orders new`.",
    )


@click.command(cls=BenchCommand, epilog=examples("sortbench orders show P1", "sortbench orders show P1 --json"))
@ORDER
@json_option
@click.pass_context
def show(ctx: click.Context, number: str, as_json: bool) -> None:
    """ORDER line by line: what came good, wrong or damaged, what did not come, what is awaited; then the remarks."""
    from sortbench.desks.orders_desk import OrdersDesk
    from sortbench.papers.order_files import mapping_of

    with opened_bench(ctx) as bench:
        state = OrdersDesk(bench).state(number)
    if as_json:
        answer_mappings("orders", [mapping_of(state)])
        return
    _show(state)


def _show(state: OrderState) -> None:
    from sortbench.papers.order_files import total_words

    order = state.order
    say(f"{order.id} from {order.seller}: {state.words}; {total_words(order)} to pay, shipping included")
    answer_table(
        (
            Heading("line", number=True),
            Heading("piece", wide=True),
            Heading("offer"),
            Heading("each", number=True),
            Heading("ordered", number=True),
            *(Heading(outcome.value, number=True) for outcome in Outcome),
            Heading("awaited", number=True),
            Heading("target"),
        ),
        [
            (
                str(each.number),
                ", ".join(
                    filter(
                        None,
                        (
                            each.name,
                            each.line.kind.shade,
                            f"grade {each.line.grade.label}" if each.line.grade else "",
                            *(flaw.value for flaw in each.line.flaws),
                        ),
                    )
                ),
                each.line.offer,
                f"{each.line.price:,} {each.line.currency or order.currency}",
                f"{each.line.quantity:,}",
                *(f"{each.of(outcome):,}" for outcome in Outcome),
                f"{each.awaited:,}",
                each.line.target,
            )
            for each in state.lines
        ],
        "",
    )
    for number, remark in enumerate(order.remarks, 1):
        words = f"remark {number}, line {remark.line}: {remark.quantity:,} {remark.outcome.value}"
        say(words + (f", {remark.note}" if remark.note else "") + (" (struck)" if remark.struck else ""))
    if order.note:
        say(f"note: {order.note}")


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench orders text P1",
        "sortbench orders text P1 --csv order.csv",
        "sortbench orders text P1 --html order.html",
    ),
)
@ORDER
@click.option("--csv", "table", type=_FILE, metavar="FILE", help="Write it as comma-separated values.")
@click.option("--html", "page", type=_FILE, metavar="FILE", help="Write it as a page to print.")
@click.option("--overwrite", is_flag=True, help="Write FILE although it holds something else.")
@json_option
@click.pass_context
def text(
    ctx: click.Context, number: str, table: Path | None, page: Path | None, overwrite: bool, as_json: bool
) -> None:
    """ORDER as a text to send to the seller, on standard output where no file is named.

    It names offers, pieces and prices, and nothing of targets and notes. Nothing is sent, and it is not noted as sent.
    """
    from sortbench.desks.orders_desk import OrdersDesk
    from sortbench.papers import order_files

    with opened_bench(ctx) as bench:
        state = OrdersDesk(bench).state(number)
        catalogue = bench.catalogue
    for path, make in ((table, order_files.table_of), (page, order_files.page_of)):
        if path is not None:
            data = make(state.order, lambda kind: catalogue.part_name(kind.part))
            order_files.write_order(path, data, overwrite=overwrite)
            say(f"Written: {path}")
    if as_json:
        answer_mappings("orders", [order_files.mapping_of(state)])
    elif table is None and page is None:
        write(order_files.text_of(state.order, lambda kind: catalogue.part_name(kind.part)))


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench orders standing", "sortbench orders standing --all", "sortbench orders standing --json"),
)
@click.option("--all", "every", is_flag=True, help="Show lines too that orders and offers cover wholly.")
@json_option
@click.pass_context
def standing(ctx: click.Context, every: bool, as_json: bool) -> None:
    """What targets lack and neither an open order nor an offer covers.

    The list is worked out each time, from counts, orders and offers. Pieces on order go to the target they were ordered
    for; what is left of them, and offers of just the kind asked for, go to the first rank first. Offers of stand-ins
    are not reckoned with: `sortbench plan` weighs those. A piece of the list that is tallied later is pointed out then.

    "since" is the day on which a line was first seen standing, by this list or when an order changed; it may have stood
    before. Once it is covered that day is forgotten.
    """
    from sortbench.desks.orders_desk import OrdersDesk

    with opened_bench(ctx) as bench:
        OrdersDesk(bench).note_standing()
        rows = [row for row in OrdersDesk(bench).standing() if every or row.standing]
    if as_json:
        answer_mappings("standing", [_standing_mapping(row) for row in rows])
        return
    answer_table(
        (
            Heading("target"),
            Heading("name", wide=True),
            Heading("line", number=True),
            Heading("piece", wide=True),
            Heading("lacks", number=True),
            Heading("on order", number=True),
            Heading("offered", number=True),
            Heading("standing", number=True),
            Heading("since"),
        ),
        [
            (
                row.target,
                row.name,
                str(row.number),
                f"{row.part_name}, {row.kind.shade}",
                *(f"{n:,}" for n in (row.short, row.ordered, row.offered, row.standing)),
                row.since[:10],
            )
            for row in rows
        ],
        "Nothing is lacking." if every else "Orders and offers cover all that is lacking.",
    )


def _standing_mapping(row: StandingRow) -> dict[str, object]:
    return {
        "target": row.target,
        "name": row.name,
        "line": row.number,
        "part": row.kind.part,
        "shade": row.kind.shade,
        "short": row.short,
        "ordered": row.ordered,
        "offered": row.offered,
        "standing": row.standing,
        "since": row.since or None,
    }
