"""`sortbench weigh`: what notes something."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench
from sortbench.cli.output import answer_mappings
from sortbench.cli.say import say
from sortbench.cli.weigh_count import HANDFUL

if TYPE_CHECKING:
    from sortbench.bench import Bench


def weighing_ids(bench: Bench) -> Iterator[tuple[str, str]]:
    """Ids of all weighings with the parts that were weighed."""
    return ((each.id, bench.catalogue.part_name(each.part)) for each in bench.weighing.weighings.values())


_weighing = click.argument("weighing", metavar="WEIGHING", shell_complete=complete_from(weighing_ids))


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench weigh scale",
        "sortbench weigh scale --step 0.1",
        "sortbench weigh scale --step 0.01 --repeat 0.005 --scatter 0.6",
        "sortbench weigh scale --forget",
    ),
)
@click.option("--step", type=float, metavar="GRAMS", help="The smallest step that the scale shows.")
@click.option(
    "--repeat",
    type=float,
    metavar="GRAMS",
    help="Standard deviation of repeated readings of one load. Half a step is taken until you say.",
)
@click.option(
    "--error",
    type=float,
    metavar="GRAMS",
    help="Standard uncertainty of a reading from calibration and linearity, as a certificate has it. Usual: none.",
)
@click.option(
    "--scatter",
    type=float,
    metavar="PERCENT",
    help="Standard deviation from piece to piece of one part, in percent of their mass. 1 is taken until you say, "
    "or until ten handfuls show it.",
)
@click.option("--forget", is_flag=True, help="Forget what was told before.")
@json_option
@click.pass_context
def scale(
    ctx: click.Context,
    step: float | None,
    repeat: float | None,
    error: float | None,
    scatter: float | None,
    forget: bool,
    as_json: bool,
) -> None:
    """Show what is known of the scale, or tell it. It is kept with the bench.

    To find --repeat, weigh one load ten times and take the standard deviation; where the scale always shows the same,
    half a step is on the careful side.
    """
    from sortbench.desks.weigh_desk import ScaleTold

    given = ScaleTold(step, repeat, error, None if scatter is None else scatter / 100)
    with opened_bench(ctx) as bench:
        desk = bench.weighing
        told = desk.tell(given, forget) if forget or given != ScaleTold() else desk.told
        taken = desk.scale if told.step_g is not None else None
        pieces = desk.scatter
    if as_json:
        row: dict[str, Any] = {**told._asdict(), "taken": taken._asdict() if taken else None}
        answer_mappings("scale", [row | {"scatter_taken": pieces.share, "scatter_from": pieces.source.value}])
        return
    if taken is None:
        say("Nothing is known of the scale yet: tell its smallest step with --step.")
        return
    click.echo(f"steps of {taken.step_g:g} g")
    click.echo(f"repeated readings differ by {taken.repeat_g:g} g{'' if told.repeat_g is not None else ' (assumed)'}")
    click.echo(f"calibration {taken.error_g:g} g{'' if told.error_g is not None else ' (none told)'}")
    click.echo(f"pieces of one part differ by {100 * pieces.share:g} % ({pieces.source.value})")


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench weigh learn plate-2x4 30:44.6:12.5", "sortbench weigh learn 'plate 2x4 white' 30:44.6 25:38.2"
    ),
)
@click.argument("what", metavar="WHAT")
@click.argument("handfuls", nargs=-1, required=True, metavar=f"{HANDFUL}...")
@click.option("--note", default="", metavar="TEXT", help="Anything else.")
@click.pass_context
def learn(ctx: click.Context, what: str, handfuls: tuple[str, ...], note: str) -> None:
    """Note handfuls of a part that were counted by hand and weighed; nothing is counted into a bin.

    WHAT is a part's code, or a kind in words. Each handful is how many pieces, what the scale shows with them in the
    cup, and what the cup weighs alone (0 if left out).
    """
    from sortbench.desks.weigh_desk import mass_words
    from sortbench.desks.weigh_entry import kind_named, read_handful

    with opened_bench(ctx) as bench:
        read = [read_handful(each) for each in handfuls]
        part = what if what in bench.catalogue.parts else kind_named(bench, what).part
        noted = bench.weighing.learn(part, read, note)
        mass = bench.weighing.mass(part)
        say(f"{noted.id}: {bench.catalogue.part_name(part)}: {mass_words(mass) if mass else ''}")


@click.command(
    cls=BenchCommand, epilog=examples("sortbench weigh confirm G1 143", "sortbench weigh confirm G1 142 --json")
)
@_weighing
@click.argument("pieces", type=int)
@json_option
@click.pass_context
def confirm(ctx: click.Context, weighing: str, pieces: int, as_json: bool) -> None:
    """Note that a weighed load has PIECES, counted by hand; its tally is put right if it said otherwise.

    WEIGHING is its number, or the record of the tally. What the pieces weigh is learnt from it.
    """
    with opened_bench(ctx) as bench:
        noted, receipt = bench.weighing.confirm(weighing, pieces)
        if as_json:
            record = str(receipt.record) if receipt else None
            answer_mappings("weighings", [{"weighing": noted.id, "by_hand": pieces, "record": record}])
        elif receipt is None:
            say(f"{noted.id}: {pieces:,} by hand, as counted")
        else:
            say(f"{noted.id}: {pieces:,} by hand; the tally says so now ({receipt.note})")


@click.command(cls=BenchCommand, epilog=examples("sortbench weigh strike G2", "sortbench weigh strike G2 --back"))
@_weighing
@click.option("--back", is_flag=True, help="Let it hold again.")
@click.pass_context
def strike(ctx: click.Context, weighing: str, back: bool) -> None:
    """Learn nothing from a weighing that was wrong. It stays on record, and so does the tally that came of it.

    To take a tally back, undo or void it: nothing is learnt from its weighing then either.
    """
    with opened_bench(ctx) as bench:
        noted = bench.weighing.strike(weighing, back)
        say(f"{noted.id}: {'holds again' if back else 'struck'}")
