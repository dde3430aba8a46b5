"""`sortbench spot plan`, `show` and `list`, and how checks are told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, bench_labels, complete_from, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.say import say
from sortbench.model.spot_check import AQLS, Level

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.spot_desk import SamplingPlan, SpotDesk
    from sortbench.model.spot_check import Find, SpotCheck
    from sortbench.model.tally import Cell


def spot_ids(bench: Bench) -> Iterator[tuple[str, str]]:
    """Numbers of all checks with their bins."""
    return ((check.id, check.bin) for check in bench.documents.spots.values())


def plan_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options that choose a plan."""
    level = click.option(
        "--level",
        type=click.Choice([level.value for level in Level], case_sensitive=False),
        default=Level.II.value,
        show_default=True,
        help="General inspection level: III looks at more pieces, I at fewer.",
    )
    aql = click.option(
        "--aql",
        default="1.0",
        show_default=True,
        metavar="LIMIT",
        help=f"Acceptance quality limit, wrong pieces in a hundred: {', '.join(AQLS)}.",
    )
    return level(aql(command))


@click.command(cls=BenchCommand, epilog=examples("sortbench spot plan B7", "sortbench spot plan B7 --level I --aql 4"))
@click.argument("label", metavar="BIN", shell_complete=complete_from(bench_labels))
@plan_options
@json_option
@click.pass_context
def plan(ctx: click.Context, label: str, level: str, aql: str, as_json: bool) -> None:
    """How many pieces of BIN to look at, how many may be wrong, and how often a bad count would slip through.

    The chances are exact (hypergeometric). Nothing is written.
    """
    from sortbench.desks.spot_desk import SpotDesk, curve, most_wrong, percent

    with opened_bench(ctx) as bench:
        found = SpotDesk(bench).plan(label, Level(level), aql)
    points = curve(found)
    if as_json:
        row = _plan_mapping(found) | {"curve": [point._asdict() for point in points]}
        answer_mappings("plan of a spot check", [row])
        return
    say(_plan_words(found))
    answer_table(
        (Heading("wrong in the bin", number=True), Heading("share", number=True), Heading("accepted", number=True)),
        [(f"{point.wrong:,}", percent(point.share), percent(point.accepted)) for point in points],
        "",
    )
    half, rare = (most_wrong(found, chance) / found.lot for chance in (0.5, 0.1))
    say(f"A count with {percent(half)} wrong passes every other time, one with {percent(rare)} one time in ten.")


@click.command(cls=BenchCommand, epilog=examples("sortbench spot show S1", "sortbench spot show S1 --json"))
@click.argument("number", metavar="CHECK", shell_complete=complete_from(spot_ids))
@json_option
@click.pass_context
def show(ctx: click.Context, number: str, as_json: bool) -> None:
    """CHECK: the numbers that were drawn, what was found, and the verdict."""
    from sortbench.desks.spot_desk import SpotDesk

    with opened_bench(ctx) as bench:
        desk = SpotDesk(bench)
        answer_check(bench, desk, desk.check(number), as_json)


@click.command("list", cls=BenchCommand, epilog=examples("sortbench spot list", "sortbench spot list --json"))
@json_option
@click.pass_context
def list_(ctx: click.Context, as_json: bool) -> None:
    """Every check and how it stands."""
    from sortbench.desks.spot_desk import SpotDesk, rate_words

    with opened_bench(ctx) as bench:
        desk = SpotDesk(bench)
        found = [(check, desk.verdict(check)) for check in desk.checks()]
        if as_json:
            answer_mappings("spot checks", [_mapping(bench, desk, check) for check, _ in found])
            return
        answer_table(
            (
                Heading("check"),
                Heading("bin"),
                Heading("drawn"),
                Heading("stands", wide=True),
                Heading("looked at", number=True),
                Heading("of", number=True),
                Heading("wrong", number=True),
                Heading("", wide=True),
            ),
            [
                (
                    check.id,
                    check.bin,
                    check.at[:10],
                    "struck" if check.struck else verdict.standing.value,
                    f"{verdict.looked:,}",
                    f"{verdict.plan.sample:,}",
                    f"{verdict.faults:,}",
                    rate_words(verdict),
                )
                for check, verdict in found
            ],
            "No bin was checked yet: `sortbench spot draw BIN`.",
        )


def answer_check(bench: Bench, desk: SpotDesk, check: SpotCheck, as_json: bool) -> None:
    """Tell a check in full."""
    if as_json:
        answer_mappings("spot checks", [_mapping(bench, desk, check)])
        return
    verdict, numbers = desk.verdict(check), desk.numbers(check)
    by = f", looked at by {check.by}" if check.by else ""
    say(f"{check.id}: bin {check.bin}, drawn {check.at[:10]}{by}, seed {check.seed}")
    say(_plan_words(verdict.plan))
    if verdict.plan.whole:
        say("That is every piece. A recount says more: `sortbench recount begin`.")
    elif numbers:
        say("Take all pieces out one by one; look at those with these numbers:")
        write(" ".join(map(str, numbers)) + "\n")
    else:
        say(f"Stir the bin, and take {verdict.plan.sample:,} pieces out in one blind scoop.")
    if check.finds:
        answer_table(
            (Heading("find", number=True), Heading("pieces", number=True), Heading("what", wide=True), Heading("")),
            [
                (
                    str(number),
                    f"{find.quantity:,}",
                    "left over" if find.left_over else piece_words(bench, find.cell),
                    "struck" if find.struck else "",
                )
                for number, find in enumerate(check.finds, 1)
            ],
            "",
        )
    say_verdict(bench, desk, check)


def say_verdict(bench: Bench, desk: SpotDesk, check: SpotCheck) -> None:
    """How a check stands, in a few lines."""
    from sortbench.desks.spot_desk import Standing, rate_words

    verdict = desk.verdict(check)
    if check.struck:
        say(f"{check.id} is struck and counts for nothing.")
    for each in verdict.wrong:
        pieces = f"{each.quantity:,} × {piece_words(bench, each.cell)}" if each.cell else f"{each.quantity:,}"
        say(f"  {each.fault.value}: {pieces}")
    looked = f"{verdict.looked:,} of {verdict.plan.sample:,} looked at, {verdict.faults:,} wrong"
    if verdict.left_over:
        looked += f", {verdict.left_over:,} left over"
    if verdict.standing is Standing.OPEN:
        say(f"{check.id}: {looked}; {verdict.left:,} still to look at.")
    elif verdict.standing is Standing.ACCEPTED:
        say(f"{check.id}: {looked}: the count of {check.bin} is accepted.")
    else:
        say(f"{check.id}: {looked}, more than {verdict.plan.accept:,}: count {check.bin} again in full.")
        say(f"  `sortbench recount begin {check.bin}` lets a second person do so without seeing the first count.")
    if verdict.error is not None:
        say(f"  {rate_words(verdict)}")
    if desk.changed_since(check):
        say(f"  The count of {check.bin} has changed since the check was drawn; the verdict is about the count then.")


def piece_words(bench: Bench, cell: Cell | None) -> str:
    """A piece in words; what was not there, too."""
    if cell is None:
        return "a piece that was not there"
    grade = f"grade {cell.grade.label}" if cell.grade else ""
    flaws = ", ".join(flaw.value for flaw in cell.flaws)
    return ", ".join(filter(None, (bench.picture.name(cell), cell.shade, grade, flaws)))


def _plan_words(found: SamplingPlan) -> str:
    letter = f"code letter {found.letter}, " if found.letter else ""
    return (
        f"{found.lot:,} pieces counted; level {found.level}, limit {found.aql}: {letter}look at {found.sample:,}, "
        f"accept with {found.accept:,} wrong, recount with {found.reject:,}"
    )


def _plan_mapping(found: SamplingPlan) -> dict[str, Any]:
    return {
        "lot": found.lot,
        "level": found.level.value,
        "aql": found.aql,
        "letter": found.letter,
        "sample": found.sample,
        "accept": found.accept,
        "reject": found.reject,
        "whole": found.whole,
    }


def _mapping(bench: Bench, desk: SpotDesk, check: SpotCheck) -> dict[str, Any]:
    verdict = desk.verdict(check)
    error = verdict.error
    return {
        "check": check.id,
        "at": check.at,
        "bin": check.bin,
        "by": check.by or None,
        "drawing": check.drawing.value,
        "seed": check.seed,
        "numbers": list(desk.numbers(check)),
        "plan": _plan_mapping(verdict.plan),
        "finds": [{**piece_mapping(find.cell), **_about(find)} for find in check.finds],
        "looked": verdict.looked,
        "left": verdict.left,
        "wrong": verdict.faults,
        "left_over": verdict.left_over,
        "faults": [
            {"fault": each.fault.value, "quantity": each.quantity, **piece_mapping(each.cell)} for each in verdict.wrong
        ],
        "standing": verdict.standing.value,
        "error_rate": error.estimate if error else None,
        "error_low": error.low if error else None,
        "error_high": error.high if error else None,
        "count_changed": desk.changed_since(check),
        "struck": check.struck,
    }


def _about(find: Find) -> dict[str, Any]:
    return {
        "at": find.at,
        "quantity": find.quantity,
        "missing": find.cell is None and not find.left_over,
        "left_over": find.left_over,
        "struck": find.struck,
    }


def piece_mapping(cell: Cell | None) -> dict[str, Any]:
    """What a piece is, by the column names of the count sheet; all empty where none was there."""
    return {
        "part": cell.part if cell else None,
        "shade": cell.shade if cell else None,
        "grade": cell.grade.label if cell and cell.grade else None,
        "flaw": " | ".join(flaw.value for flaw in cell.flaws) or None if cell else None,
    }
