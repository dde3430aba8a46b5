"""`sortbench pile`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import answer_mappings
from sortbench.cli.say import say

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.pile_desk import Estimate


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench pile",
        "sortbench pile 2500",
        "sortbench pile 2500 --low 2200 --high 3000",
        "sortbench pile --load 5230:410 --handful 61:98.4:12 --handful 55:91.0:12 --handful 70:112.5:12",
        "sortbench pile --load 2410:310 --load 1980:310",
        "sortbench pile --scoops 40 --scoop 61 --scoop 55 --scoop 70",
        "sortbench pile --forget",
    ),
)
@click.argument("pieces", type=int, required=False)
@click.option("--low", type=int, metavar="PIECES", help="The least that a pile of PIECES may have.")
@click.option("--high", type=int, metavar="PIECES", help="The most.")
@click.option(
    "--load",
    "loads",
    multiple=True,
    metavar="GROSS[:TARE]",
    help="Grams of what is not counted yet, with the crate and of the crate alone. Repeat it for several crates.",
)
@click.option(
    "--handful",
    "handfuls",
    multiple=True,
    metavar="PIECES:GROSS[:TARE]",
    help="With --load: scooped out of the pile blindly, counted and weighed. Three or more say it well.",
)
@click.option("--scoops", type=int, metavar="N", help="How many scoops the pile fills that is not counted yet.")
@click.option(
    "--scoop", "scooped", type=int, multiple=True, metavar="PIECES", help="With --scoops: pieces in one of them."
)
@click.option("--dry-run", is_flag=True, help="Show the estimate and keep nothing.")
@click.option("--forget", is_flag=True, help="Forget the size; no time left is estimated then.")
@json_option
@click.pass_context
def pile(
    ctx: click.Context,
    pieces: int | None,
    low: int | None,
    high: int | None,
    loads: tuple[str, ...],
    handfuls: tuple[str, ...],
    scoops: int | None,
    scooped: tuple[int, ...],
    dry_run: bool,
    forget: bool,
    as_json: bool,
) -> None:
    """Say how many PIECES the whole pile has, the counted ones included, or let it be worked out; else show it.

    By weight: --load is what the rest weighs that is not counted yet. What a piece weighs comes from handfuls; put them
    back before you weigh the pile, or count them. Without handfuls it comes from the pieces counted so far whose masses
    are known; that holds if what is left is like what was counted, and misleads if the large ones were picked first.

    By scoops, without a scale: --scoops is how many scoops of one size the rest fills, --scoop what was in some.

    The app estimates the time left from the size; where that has an interval, the time left has a wider one.
    """
    from sortbench.desks.pile_desk import set_pile

    _check(ctx, pieces, low, high, loads, handfuls, scoops, scooped, forget, dry_run)
    estimate = None
    with opened_bench(ctx) as bench:
        if loads or scoops is not None:
            estimate = _estimate(bench, loads, handfuls, scoops, scooped)
            if not dry_run:
                set_pile(bench, *estimate.pile)
        elif forget or pieces is not None:
            set_pile(bench, pieces, low, high)
        counted = bench.picture.ledger.of_pile
        said = estimate.pile if estimate else bench.pile_said
        if as_json:
            row: dict[str, Any] = dict.fromkeys(("quantity", "low", "high"))
            row |= {"quantity": said.pieces, "low": said.low, "high": said.high} if said else {}
            answer_mappings("pile", [row | {"counted": counted} | (_mapping(estimate) if estimate else {})])
        elif said is None:
            say(f"No pile size is given; {counted:,} pieces are counted.")
        else:
            click.echo(said.pieces)
            if said.low < said.high:
                say(
                    f"between {said.low:,} and {said.high:,} with 95 %"
                    if estimate
                    else f"{said.low:,} to {said.high:,}"
                )
            say(f"{counted:,} counted, {max(0, said.pieces - counted):,} left")
            if estimate:
                _tell(estimate, dry_run)


def _check(
    ctx: click.Context,
    pieces: int | None,
    low: int | None,
    high: int | None,
    loads: tuple[str, ...],
    handfuls: tuple[str, ...],
    scoops: int | None,
    scooped: tuple[int, ...],
    forget: bool,
    dry_run: bool,
) -> None:
    ways = sum((pieces is not None, bool(loads), scoops is not None, forget))
    if ways > 1:
        raise click.UsageError("Give one of: a size, --load, --scoops, --forget.", ctx)
    if (low is not None or high is not None) and pieces is None:
        raise click.UsageError("--low and --high belong to a size in PIECES.", ctx)
    if handfuls and not loads:
        raise click.UsageError("--handful belongs to --load, the weight of the pile.", ctx)
    if scooped and scoops is None:
        raise click.UsageError("--scoop belongs to --scoops, how many the pile fills.", ctx)
    if dry_run and not (loads or scoops is not None):
        raise click.UsageError("--dry-run is for --load and --scoops.", ctx)


def _estimate(
    bench: Bench, loads: tuple[str, ...], handfuls: tuple[str, ...], scoops: int | None, scooped: tuple[int, ...]
) -> Estimate:
    from sortbench.desks.pile_desk import PileDesk
    from sortbench.desks.weigh_entry import read_handful, read_load

    desk = PileDesk(bench)
    if scoops is not None:
        return desk.by_scoops(scoops, scooped)
    return desk.by_weight([read_load(each) for each in loads], [read_handful(each) for each in handfuls])


def _tell(estimate: Estimate, dry_run: bool) -> None:
    left = estimate.left
    say(f"not counted yet: {left.pieces:,.0f} ({left.low:,.0f} to {left.high:,.0f}), from {estimate_words(estimate)}")
    if estimate.unknown:
        say(f"{estimate.unknown:,} counted pieces are left out, for nobody knows what they weigh")
    if estimate.listed:
        say(f"{estimate.listed:,} of them are taken at the catalogue's mass, of which nobody knows how sure it is")
    say("nothing was kept" if dry_run else "kept with the bench")


def estimate_words(estimate: Estimate) -> str:
    """What an estimate stands on."""
    from sortbench.desks.pile_desk import PileFrom

    left = estimate.left
    if left.source is PileFrom.SCOOPS:
        return f"{left.observed:,} pieces in {left.clusters} scoops"
    what = "handfuls" if left.source is PileFrom.HANDFULS else "tallies so far"
    return f"{left.mean_g:.3g} g a piece on average: {left.observed:,} pieces in {left.clusters:,} {what}"


def _mapping(estimate: Estimate) -> dict[str, Any]:
    left = estimate.left
    return {
        "left": round(left.pieces, 3),
        "left_low": round(left.low, 3),
        "left_high": round(left.high, 3),
        "from": left.source.value,
        "clusters": left.clusters,
        "observed": left.observed,
        "mean_g": None if left.mean_g is None else round(left.mean_g, 6),
        "mass_unknown": estimate.unknown,
        "mass_listed": estimate.listed,
    }
