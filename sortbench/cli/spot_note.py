"""`sortbench spot draw`, `note` and `strike`."""

from __future__ import annotations

import click

from sortbench.cli.context import BenchCommand, bench_labels, complete_from, examples, json_option, opened_bench
from sortbench.cli.spot_view import answer_check, plan_options, say_verdict, spot_ids
from sortbench.model.spot_check import MAX_SEED, Drawing, Level

CHECK = click.argument("number", metavar="CHECK", shell_complete=complete_from(spot_ids))


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench spot draw B7", "sortbench spot draw B7 --level III --aql 0.65 --scoop --by Ann"),
)
@click.argument("label", metavar="BIN", shell_complete=complete_from(bench_labels))
@plan_options
@click.option("--scoop", is_flag=True, help="One blind scoop out of the stirred bin, instead of counting pieces off.")
@click.option("--by", default="", metavar="NAME", help="Who looks.")
@click.option(
    "--seed", type=click.IntRange(0, MAX_SEED), metavar="N", help="Draw the numbers that this seed gave before."
)
@json_option
@click.pass_context
def draw(
    ctx: click.Context, label: str, level: str, aql: str, scoop: bool, by: str, seed: int | None, as_json: bool
) -> None:
    """Draw a check of BIN and print the numbers of the pieces to look at. They can be shown again."""
    from sortbench.desks.spot_desk import SpotDesk

    with opened_bench(ctx) as bench:
        desk = SpotDesk(bench)
        check = desk.begin(label, Level(level), aql, Drawing.SCOOP if scoop else Drawing.COUNTED_OFF, by, seed)
        answer_check(bench, desk, check, as_json)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench spot note S1 'pl 2x4 red *12'",
        "sortbench spot note S1 'pl 2x4 red *11 !4' 'pl 2x4 red !3 #cracked'",
        "sortbench spot note S1 --missing 2",
    ),
)
@CHECK
@click.argument("entries", nargs=-1, metavar="[ENTRY]...")
@click.option("--missing", type=click.IntRange(1), metavar="N", help="N drawn numbers that the bin had no piece for.")
@click.option("--left-over", type=click.IntRange(1), metavar="N", help="N pieces beyond those that were counted.")
@json_option
@click.pass_context
def note(
    ctx: click.Context,
    number: str,
    entries: tuple[str, ...],
    missing: int | None,
    left_over: int | None,
    as_json: bool,
) -> None:
    """Note pieces of the sample: each ENTRY says what they are, as the entry line does, and *N how many.

    Say what you see without looking the count up. The verdict follows by itself.
    """
    from sortbench.desks.spot_desk import SpotDesk

    if not entries and missing is None and left_over is None:
        raise click.UsageError("Give an ENTRY, --missing or --left-over.", ctx)
    with opened_bench(ctx) as bench:
        desk = SpotDesk(bench)
        check = desk.check(number)
        for entry in entries:
            check = desk.note(number, entry)
        if missing is not None:
            check = desk.missing(number, missing)
        if left_over is not None:
            check = desk.left_over(number, left_over)
        if as_json:
            answer_check(bench, desk, check, as_json)
        else:
            say_verdict(bench, desk, check)


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench spot strike S1 3", "sortbench spot strike S1", "sortbench spot strike S1 --back"),
)
@CHECK
@click.argument("find", required=False, type=click.IntRange(1), metavar="[FIND]")
@click.option("--back", is_flag=True, help="Let it count again.")
@click.pass_context
def strike(ctx: click.Context, number: str, find: int | None, back: bool) -> None:
    """Strike a FIND that was noted wrongly; without one, the whole CHECK. What is struck stays on record."""
    from sortbench.desks.spot_desk import SpotDesk

    with opened_bench(ctx) as bench:
        desk = SpotDesk(bench)
        check = desk.strike(number, back) if find is None else desk.strike_find(number, find, back)
        say_verdict(bench, desk, check)
