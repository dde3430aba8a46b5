"""`sortbench weigh count`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import answer_mappings, write
from sortbench.cli.say import say
from sortbench.model.text import shown

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.weigh_desk import Answer, Question
    from sortbench.engine.board import Receipt
    from sortbench.model.weighing import Handful

HANDFUL = "PIECES:GROSS[:TARE]"


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench weigh count 'plate 2x4 white' 268.4 --tare 12.5 --handful 30:44.6",
        "sortbench weigh count 'plate 2x4 white !4 @B2' 268.4 --tare 12.5 --tally",
        "sortbench weigh count 'plate 2x4 white' 268.4 --tare 12.5 --handful 30:44.6 --trials --shares",
        "sortbench weigh count 'plate 2x4 white' 268.4 --tare 12.5 --by-hand 240",
        "sortbench weigh count 'plate 2x4 white' 268.4 --mass 1.07 --mass-u 0.002 --json",
    ),
)
@click.argument("what", metavar="WHAT")
@click.argument("gross", type=float, metavar="GROSS")
@click.option("--tare", type=float, default=0.0, metavar="GRAMS", help="What the scale shows with the empty cup.")
@click.option(
    "--handful",
    "handfuls",
    multiple=True,
    metavar=HANDFUL,
    help="Pieces counted by hand and weighed; TARE is that of --tare if left out. May be repeated.",
)
@click.option("--mass", type=float, metavar="GRAMS", help="What one piece weighs, instead of what is known here.")
@click.option("--mass-u", type=float, metavar="GRAMS", help="Standard uncertainty of --mass.")
@click.option("--trials", is_flag=True, help="Take the interval from random trials (Monte Carlo, JCGM 101).")
@click.option("--seed", type=int, default=1, metavar="N", help="Of the random numbers of --trials. Usual: 1.")
@click.option("--shares", is_flag=True, help="Show what the uncertainty is made of.")
@click.option("--tally", is_flag=True, help="Count the number that fits best, as a tally marked as weighed.")
@click.option(
    "--by-hand", type=int, metavar="N", help="Count N: so many there are, counted by hand. It is learnt from."
)
@json_option
@click.pass_context
def count(
    ctx: click.Context,
    what: str,
    gross: float,
    tare: float,
    handfuls: tuple[str, ...],
    mass: float | None,
    mass_u: float | None,
    trials: bool,
    seed: int,
    shares: bool,
    tally: bool,
    by_hand: int | None,
    as_json: bool,
) -> None:
    """How many pieces of one kind lie on the scale.

    WHAT names them as on the entry line, with grade, flaws and bin if need be: 'plate 2x4 white !4 @B2'. GROSS is what
    the scale shows in grams, the cup included. What a piece weighs comes from --mass, else from handfuls (those given
    now and all that were noted), else from the catalogue; how sure the catalogue is nobody knows, so nothing is called
    exact then.

    The handful is no part of the load unless it lies on the scale as well. Nothing is written without --tally or
    --by-hand; handfuls are noted with the tally.
    """
    if tally and by_hand is not None:
        raise click.UsageError("Give --tally or --by-hand, not both.", ctx)
    if mass_u is not None and mass is None:
        raise click.UsageError("--mass-u belongs to --mass.", ctx)
    if mass is not None and handfuls:
        raise click.UsageError("Give --mass or handfuls, not both.", ctx)
    from sortbench.model.weighing import Load

    receipt = None
    with opened_bench(ctx) as bench:
        question = _question(bench, what, Load(gross, tare), tuple(read_handful(each, tare) for each in handfuls))
        question = question._replace(mass_g=mass, mass_u_g=mass_u, seed=seed if trials else None)
        answer = bench.weighing.ask(question)
        if tally or by_hand is not None:
            receipt = bench.weighing.tally(question, answer, by_hand)
    if as_json:
        answer_mappings("count_by_weight", [_mapping(question, answer, receipt)])
        return
    _tell(answer, shares)
    if receipt is not None:
        from sortbench.cli.tally import receipt_text

        write(shown(receipt_text(receipt)) + "\n")


def _question(bench: Bench, what: str, load: Any, handfuls: tuple[Handful, ...]) -> Question:
    from sortbench.desks.weigh_entry import read_what

    return read_what(bench, what, load)._replace(handfuls=handfuls)


def read_handful(text: str, tare_g: float) -> Handful:
    """A handful as it is typed; raises as :func:`sortbench.desks.weigh_entry.read_handful`."""
    from sortbench.desks.weigh_entry import read_handful as read

    return read(text, tare_g)


def _tell(answer: Answer, shares: bool) -> None:
    from sortbench.desks.weigh_desk import interval_words, mass_words, share_words

    found = answer.found
    write(shown(answer.headline) + "\n")
    if found.u is not None:
        say(f"{interval_words(found)} pieces, 95 %; {mass_words(answer.mass)}")
    else:
        say(f"{found.estimate:.1f} pieces; {mass_words(answer.mass)}")
    if found.trials is not None:
        how = "the figures stand" if found.trials.stable else "more would be needed for the last digit"
        say(f"from {found.trials.trials:,} random trials: {how}")
    if shares and (words := share_words(found)):
        say(f"the uncertainty comes from: {words}")
    for line in (*answer.advice, *answer.assumed):
        say(line)
    if answer.assumed:
        say("`sortbench weigh scale` tells what is known instead.")


def _mapping(question: Question, answer: Answer, receipt: Receipt | None) -> dict[str, Any]:
    found, mass = answer.found, answer.mass
    figures = {
        "estimate": found.estimate,
        "u": found.u,
        "low": found.low,
        "high": found.high,
        "chance": found.chance,
        "mass_g": mass.mass_g,
        "mass_u_g": mass.u_g,
        "scatter": mass.scatter.share,
    }
    return {
        "part": question.kind.part,
        "shade": question.kind.shade,
        "gross_g": question.load.gross_g,
        "tare_g": question.load.tare_g,
        "verdict": found.verdict.value,
        "quantity": found.best,
        "lowest": found.lowest if found.u is not None else None,
        "highest": found.highest if found.u is not None else None,
        **{name: None if value is None else round(value, 6) for name, value in figures.items()},
        "mass_from": mass.source.value,
        "handfuls": len(mass.pooled),
        "handful_pieces": mass.pieces,
        "scatter_from": mass.scatter.source.value,
        "largest_exact": answer.largest,
        "handful_needed": answer.needed,
        "shares": None if found.shares is None else {k: round(v, 4) for k, v in found.shares._asdict().items()},
        "trials": found.trials.trials if found.trials else None,
        "headline": answer.headline,
        "record": str(receipt.record) if receipt else None,
    }
