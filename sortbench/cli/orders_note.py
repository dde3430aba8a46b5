"""`sortbench orders new`, `from-plan`, `sent`, `arrive`, `tell` and `strike`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import answer_mappings
from sortbench.cli.say import say
from sortbench.cli.searching import progress_told, stopped_by_hand
from sortbench.model.errors import DataError
from sortbench.model.order import Outcome

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.orders_desk import OrdersDesk, OrderState, Purchase
    from sortbench.model.order import Order

_PURCHASE = re.compile(r"(.+?)\*([0-9]{1,6})")
_TOLD = [outcome.value for outcome in Outcome if outcome is not Outcome.GOOD]


def order_ids(bench: Bench) -> Iterator[tuple[str, str]]:
    """Numbers of all orders with their sellers."""
    return ((order.id, order.seller) for order in bench.documents.orders.values())


def _offers(bench: Bench) -> Iterator[tuple[str, str]]:
    return ((offer.id, f"{offer.seller}, {offer.kind}") for offer in bench.documents.offers.values())


ORDER = click.argument("number", metavar="ORDER", shell_complete=complete_from(order_ids))


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench orders new M-14*6 M-17 --for T-03",
        "sortbench orders new A-2*4 --shipping 3.90 --note 'they post on Fridays'",
    ),
)
@click.argument("bought", nargs=-1, required=True, metavar="OFFER[*N]...", shell_complete=complete_from(_offers))
@click.option(
    "--for",
    "target",
    default="",
    metavar="TARGET",
    shell_complete=complete_from(target_codes),
    help="The target that the pieces are for.",
)
@click.option("--shipping", metavar="AMOUNT", help="What the parcel costs; otherwise by the seller's terms.")
@click.option("--note", default="", metavar="TEXT", help="Anything else; it is not sent to the seller.")
@json_option
@click.pass_context
def new(
    ctx: click.Context, bought: tuple[str, ...], target: str, shipping: str | None, note: str, as_json: bool
) -> None:
    """Make an order for each seller of N pieces of every OFFER, one piece where no N is said.

    Nothing is sent: `sortbench orders text` gives the text for the seller. An offer's stock is what it was when it was
    imported, less what open orders wait for.
    """
    from sortbench.desks.orders_desk import OrdersDesk

    with opened_bench(ctx) as bench:
        desk = OrdersDesk(bench)
        purchases = [_purchase(text, target, bench) for text in bought]
        _told_new(desk, desk.new(purchases, shipping=shipping, note=note), as_json)


@click.command(
    "from-plan",
    cls=BenchCommand,
    epilog=examples("sortbench orders from-plan", "sortbench orders from-plan --budget 40 --parcels 3 --time 60"),
)
@click.option(
    "--budget",
    metavar="AMOUNT",
    help="Most to be paid to sellers, for these orders only, shipping included, in the bench's money.",
)
@click.option("--parcels", type=click.IntRange(0), metavar="N", help="Most parcels, for these orders only.")
@click.option("--worth", is_flag=True, help="Finish only those targets whose value is worth what it costs.")
@click.option(
    "--time",
    "seconds",
    type=click.FloatRange(0),
    default=30.0,
    show_default=True,
    metavar="SECONDS",
    help="How long to look.",
)
@json_option
@click.pass_context
def from_plan(
    ctx: click.Context, budget: str | None, parcels: int | None, worth: bool, seconds: float, as_json: bool
) -> None:
    """Make orders of what `sortbench plan` would buy with the same options, limits and locks.

    Limits and locks that are kept with the bench hold here too. Pieces that are on order already are not planned again,
    so doing this twice orders nothing twice. Ctrl+C ends the search, and then nothing is ordered.
    """
    from sortbench.cli.plan import limits_from
    from sortbench.desks.orders_desk import OrdersDesk, Purchase
    from sortbench.desks.plan_desk import Change, make_plan, settle

    with opened_bench(ctx) as bench:
        limits = limits_from(bench, budget, None if parcels is None else str(parcels))
        settled, dropped = settle(bench, Change(limits=limits), worth=worth, keep=False)
        for words in dropped:
            say(words)
        before = bench.documents.orders
        with progress_told() as told, stopped_by_hand() as stopped:
            made = make_plan(bench, settled, worth=worth, seconds=seconds, progress=told, cancel=stopped)
        if stopped():
            raise DataError("The search was stopped, so nothing is ordered.", "--time says how long to look at most.")
        purchases = [Purchase(row.offer, row.quantity, row.target) for row in made.choices if row.offer]
        if not purchases:
            raise DataError("The plan buys nothing.", "`sortbench plan` says what it does instead, and why.")
        desk = OrdersDesk(bench)
        _told_new(desk, desk.new(purchases, since=before), as_json)


def _purchase(text: str, target: str, bench: Bench) -> Purchase:
    from sortbench.desks.orders_desk import Purchase

    found = _PURCHASE.fullmatch(text)
    # An offer's id may end as a quantity does: one that is known is taken as it stands.
    if found is None or text in bench.documents.offers:
        return Purchase(text, 1, target)
    return Purchase(found[1], int(found[2]), target)


def _told_new(desk: OrdersDesk, made: tuple[Order, ...], as_json: bool) -> None:
    from sortbench.papers.order_files import mapping_of, total_words

    if as_json:
        answer_mappings("orders", [mapping_of(desk.state(order.id)) for order in made])
    for order in made:
        pieces = sum(line.quantity for line in order.lines)
        words = "1 piece" if pieces == 1 else f"{pieces:,} pieces"
        say(f"{order.id}: {words} from {order.seller}, {total_words(order)} to pay")
        if below := desk.below_minimum(order):
            say(f"  {below}")


@click.command(cls=BenchCommand, epilog=examples("sortbench orders sent P1", "sortbench orders sent P1 --back"))
@ORDER
@click.option("--back", is_flag=True, help="It was not sent after all.")
@click.pass_context
def sent(ctx: click.Context, number: str, back: bool) -> None:
    """Note that ORDER was sent to the seller.

    What it costs goes into the lot ledger, once: each target bears its own pieces, shipping is shared by the pieces.
    `sortbench lots list` has it; --back strikes it there.
    """
    from sortbench.desks.orders_desk import OrdersDesk

    with opened_bench(ctx) as bench:
        desk = OrdersDesk(bench)
        _say_state(desk.sent(number, back))
        _say_expenses(desk, number)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench orders arrive P1",
        "sortbench orders arrive P1 2 5",
        "sortbench orders arrive P1 3 1 --as '!3 #cracked'",
        "sortbench orders arrive P1 4 2 --as 'plate 1x2 red @B3'",
    ),
)
@ORDER
@click.argument("line", required=False, type=int, metavar="[LINE]")
@click.argument("quantity", required=False, type=int, metavar="[N]")
@click.option(
    "--as",
    "entry",
    metavar="ENTRY",
    help="What came instead, as on an entry line: a grade (!3), flaws (#cracked), a bin (@B3), or another piece.",
)
@click.option("--extra", is_flag=True, help="Count them although no more are awaited.")
@json_option
@click.pass_context
def arrive(
    ctx: click.Context,
    number: str,
    line: int | None,
    quantity: int | None,
    entry: str | None,
    extra: bool,
    as_json: bool,
) -> None:
    """Count N pieces that came on LINE of ORDER; all that is still awaited where neither is said.

    They are counted as the offer describes them, into the bins of the rules; with grade 5 where the offer tells none. A
    lower grade than the offer tells, or a flaw that it does not, makes them damaged; another piece makes them wrong.
    All of these settle what was awaited. Pieces that you do not keep are not counted: `sortbench orders tell`.

    Broken off, a call without N goes on where it stopped: it counts what is awaited still, and nothing twice.
    """
    from sortbench.cli.tally import receipt_text
    from sortbench.desks.orders_desk import OrdersDesk
    from sortbench.desks.orders_entry import read_came

    if line is None and (entry is not None or extra):
        raise click.UsageError("--as and --extra go with a LINE.", ctx)
    with opened_bench(ctx) as bench:
        desk = OrdersDesk(bench)
        if line is None:
            for receipt in desk.arrive_all(number):
                say(f"good: {receipt_text(receipt)}")
        else:
            pieces = quantity if quantity is not None else _awaited(desk.state(number), line)
            came = None if entry is None else read_came(bench, entry)
            receipt, outcome = desk.arrive(number, line, pieces, came, extra)
            say(f"{outcome.value}: {receipt_text(receipt)}")
        state = desk.state(number)
        if as_json:
            from sortbench.papers.order_files import mapping_of

            answer_mappings("orders", [mapping_of(state)])
        _say_state(state)


def _awaited(state: OrderState, line: int) -> int:
    """What is awaited on a line, for a call that says no quantity."""
    found = next((each for each in state.lines if each.number == line), None)
    if found is not None and not found.awaited:
        raise DataError(f"Nothing is awaited on line {line} of {state.order.id}.", "Say how many came, and --extra.")
    return found.awaited if found else 1


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench orders tell P1 4 2 short --note 'paid back'",
        "sortbench orders tell P1 2 1 damaged --note 'sent back'",
    ),
)
@ORDER
@click.argument("line", type=int)
@click.argument("quantity", type=int, metavar="N")
@click.argument("outcome", type=click.Choice(_TOLD))
@click.option("--note", default="", metavar="TEXT", help="What exactly.")
@click.pass_context
def tell(ctx: click.Context, number: str, line: int, quantity: int, outcome: str, note: str) -> None:
    """Note N pieces on LINE of ORDER that are not counted: short, or wrong or damaged and not kept.

    They are no longer awaited. If they come after all, strike the remark first.
    """
    from sortbench.desks.orders_desk import OrdersDesk

    with opened_bench(ctx) as bench:
        _say_state(OrdersDesk(bench).tell(number, line, quantity, Outcome(outcome), note))


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench orders strike P1 2", "sortbench orders strike P1", "sortbench orders strike P1 --back"),
)
@ORDER
@click.argument("remark", required=False, type=int, metavar="[REMARK]")
@click.option("--back", is_flag=True, help="Let it hold again.")
@click.pass_context
def strike(ctx: click.Context, number: str, remark: int | None, back: bool) -> None:
    """Strike a REMARK that `sortbench orders tell` made; without one, call ORDER off, so that nothing is awaited of it.

    Pieces that were counted stay counted: undo or correct the tally instead (`sortbench log` has it). What an order
    costs is struck in the lot ledger when it is called off and nothing of it came; where something came, it stays.
    """
    from sortbench.desks.orders_desk import OrdersDesk

    with opened_bench(ctx) as bench:
        desk = OrdersDesk(bench)
        _say_state(desk.call_off(number, back) if remark is None else desk.strike(number, remark, back))
        if remark is None:
            _say_expenses(desk, number)


def _say_expenses(desk: OrdersDesk, number: str) -> None:
    """What the lot ledger has of an order."""
    for each in desk.expenses(number):
        whom = f"for {each.target}" if each.target else "shared by worth"
        stands = ", struck: it counts for nothing" if each.struck else ""
        say(f"  {each.id} in the lot ledger: {each.amount:,} {each.currency}, {whom}{stands}")


def _say_state(state: OrderState) -> None:
    awaited = f", {state.awaited:,} of {state.pieces:,} pieces awaited" if state.awaited else ""
    say(f"{state.order.id} from {state.order.seller}: {state.words}{awaited}")
