"""`sortbench prices`."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import Heading, answer_mappings, answer_table
from sortbench.cli.say import say

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.model.prices import Prices

_CODES = complete_from(target_codes)


def _amount(name: str, help_text: str) -> Callable[[Any], Any]:
    return click.option(f"--{name}", metavar="AMOUNT", help=help_text)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench prices",
        "sortbench prices --hole 1.50 --blemish 0.05 --flaw 0.10 --point 0.05",
        "sortbench prices T-03 --hole 4.00",
        "sortbench prices --currency EUR --rate '1 EUR = 1.17 USD'",
        "sortbench prices --treatment 0.03 --improved 80 --broken 5 --gain 3",
        "sortbench prices --spare 60",
    ),
)
@click.argument("target", required=False, shell_complete=_CODES)
@_amount("hole", "What a missing piece costs.")
@_amount("blemish", "What a piece costs for each half step of grade below its line's lowest.")
@_amount("flaw", "What each flaw of a piece costs.")
@_amount("point", "What a stand-in costs for each point of its cost in correctness.")
@click.option("--currency", metavar="CODE", help="In what the bench reckons, a code of ISO 4217; EUR to begin with.")
@click.option(
    "--rate", "rates", multiple=True, metavar="RATE", help="As in '1 EUR = 1.17 USD'; all rates are given at once."
)
@_amount("doubt", "What a piece costs for each point that its seller's trust is below 5.")
@_amount("treatment", "What treating one piece costs.")
@click.option("--improved", type=click.FloatRange(0, 100), metavar="PERCENT", help="Treated pieces that improve.")
@click.option("--broken", type=click.FloatRange(0, 100), metavar="PERCENT", help="Treated pieces that break.")
@click.option("--gain", type=click.IntRange(1, 8), metavar="N", help="Half steps that an improved piece gains.")
@click.option(
    "--spare",
    type=click.FloatRange(0, 100),
    metavar="PERCENT",
    help="Share of the lowest price offered for its kind that a spare piece brings.",
)
@json_option
@click.pass_context
def prices(
    ctx: click.Context, /, target: str | None, rates: tuple[str, ...], as_json: bool, **given: str | float | None
) -> None:
    """What the plan reckons with: the price of a hole and of blemishes, the money, treating. Without options, shows it.

    With TARGET, hole, blemish, flaw and point hold for that target; without, for all that say nothing of their own. All
    amounts are in the bench's money. Amounts of sellers in other money are converted once, rounded half to even to the
    smallest coin. Rates of success that are not set are those of the bench's own record of treatments. What a spare
    brings is reckoned by `sortbench plan --worth` only, and not guessed: a kind that nobody offers brings nothing.
    """
    from decimal import Decimal

    from sortbench.desks.plan_settings import keep_prices, keep_terms, terms_of
    from sortbench.model.money import amount_from
    from sortbench.model.prices import FIRST_PRICES, Prices

    said: dict[str, Any] = {name: value for name, value in given.items() if value is not None}
    of_target = {name: said.pop(name) for name in Prices._fields if name in said}
    if rates:
        said["rates"] = rates
    if target and said:
        raise click.UsageError(f"--{min(said).removesuffix('s')} holds for all targets; leave TARGET out.", ctx)
    with opened_bench(ctx) as bench:
        if said:
            terms = terms_of(bench)
            currency = said.get("currency", terms.currency)
            said |= {name: amount_from(said[name], currency) for name in ("doubt", "treatment") if name in said}
            said |= {name: said[name] / 100 for name in ("improved", "broken") if name in said}
            if "spare" in said:
                said["spare"] = Decimal(str(said["spare"])) / 100
            keep_terms(bench, terms._replace(**said))
        if of_target:
            currency = terms_of(bench).currency
            amounts: dict[str, Any] = {name: amount_from(text, currency) for name, text in of_target.items()}
            old = bench.documents.prices.get(target or "", Prices(target or ""))
            keep_prices(bench, old._replace(**amounts))
        if said or of_target:
            say("Kept.")
        _show(bench, FIRST_PRICES, as_json)


def _show(bench: Bench, first: Prices, as_json: bool) -> None:
    from sortbench.desks.plan_settings import terms_of

    terms = terms_of(bench)
    usual = bench.documents.prices.get("", first)
    amounts: dict[str, Any] = {name: value for name, value in usual._asdict().items() if value is not None}
    usual = first._replace(**amounts)
    rows = [usual, *(each for code, each in sorted(bench.documents.prices.items()) if code)]
    cells = [{name: None if value is None else str(value) for name, value in row._asdict().items()} for row in rows]
    if as_json:
        told = terms._asdict() | {"doubt": str(terms.doubt), "treatment": str(terms.treatment)}
        told["spare"] = None if terms.spare is None else float(terms.spare)
        answer_mappings("prices", [*cells, {"target": None, **told, "rates": list(terms.rates)}])
        return
    answer_table(
        [Heading("target"), *(Heading(name, number=True) for name in ("hole", "blemish", "flaw", "point"))],
        [[row["target"] or "all", *(row[name] or "as all" for name in list(row)[1:])] for row in cells],
        "",
    )
    say(f"reckoned in {terms.currency}{''.join(f'; {rate}' for rate in terms.rates)}")
    improved, broken = (None if share is None else f"{100 * share:g} %" for share in (terms.improved, terms.broken))
    say(
        f"treating: {terms.treatment} a piece; improve {improved or 'as recorded'}, break {broken or 'as recorded'}, "
        f"gain {terms.gain or 'as recorded'} half steps; a point of doubt {terms.doubt}"
    )
    if terms.spare is not None:
        say(f"a spare brings {(100 * terms.spare).normalize():f} % of the lowest price offered for its kind")
