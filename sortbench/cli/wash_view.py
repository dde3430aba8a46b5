"""`sortbench wash`: what shows batches, the pull list and the criterion."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import Heading, answer_mappings, answer_table, number, write
from sortbench.cli.say import say
from sortbench.cli.wash_note import batch_codes, say_cautions

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sortbench.desks.wash_desk import WashDesk
    from sortbench.engine.washing.pull_list import PullList, PullRow
    from sortbench.engine.washing.wash_clock import Due


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench wash pull", "sortbench wash pull T-03", "sortbench wash pull --counted", "sortbench wash pull --json"
    ),
)
@click.argument("targets", nargs=-1, metavar="[TARGET]...", shell_complete=complete_from(target_codes))
@click.option("--counted", is_flag=True, help="Go by what was counted, not by what targets ask for.")
@click.option(
    "--small",
    type=float,
    metavar="GRAMS",
    help="Below which a piece is very small; kept for the next time. Usual: 0.3.",
)
@json_option
@click.pass_context
def pull(ctx: click.Context, targets: tuple[str, ...], counted: bool, small: float | None, as_json: bool) -> None:
    """What must not go into the tub, why, and how to clean it instead; then what needs a hand after the tub.

    It goes by the lists of TARGETs, of all where none is named. Care marks, families and masses of the catalogue
    decide; what they mean at the tub is common practice, no source.
    """
    if counted and targets:
        raise click.UsageError("Name targets or say --counted, not both.", ctx)
    with opened_bench(ctx) as bench:
        if small is not None:
            bench.washing.choose_small(small)
        found = bench.washing.pull(targets, counted)
        if as_json:
            answer_mappings("pull", [_pull_mapping(row) for row in found.rows])
            return
        _pull_table(found)
        say_cautions(bench.washing.cautions(step="pull"))


def _pull_mapping(row: PullRow) -> dict[str, Any]:
    return {
        "part": row.part,
        "part_name": row.name,
        "family": row.family,
        "in_tub": not row.out,
        "reasons": list(row.reasons),
        "why": list(row.why),
        "how": row.how,
        "quantity": row.quantity,
        "shades": {shade.shade: shade.quantity for shade in row.shades},
        "targets": list(row.targets),
        "source": row.source,
    }


def _pull_table(found: PullList) -> None:
    answer_table(
        (
            Heading("tub"),
            Heading("pieces", number=True),
            Heading("part", wide=True),
            Heading("shades", wide=True),
            Heading("because", wide=True),
        ),
        [
            (
                "NO" if row.out else "yes, then",
                f"{row.quantity:,}",
                row.name,
                ", ".join(f"{shade.shade} {shade.quantity:,}" for shade in row.shades),
                ", ".join(row.reasons),
            )
            for row in found.rows
        ],
        "Nothing is known of any part that keeps it out of the tub.",
    )
    if found.advice:
        write("\n")
        answer_table(
            (Heading("mark"), Heading("tub"), Heading("because", wide=True), Heading("clean it", wide=True)),
            [(each.mark, "NO" if each.out else "yes, then", each.why, each.how) for each in found.advice],
            "",
        )
    say(f"{found.out:,} stay out, {found.by_hand:,} need a hand after the tub, {found.others:,} simply go in")
    if found.unweighed:
        say(f"{found.unweighed:,} parts without a mass in the catalogue: whether they are very small is not known")
    if found.unknown:
        say(f"{found.unknown:,} parts are not in the catalogue: nothing is known of them")


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench wash show", "sortbench wash show W1", "sortbench wash show W1 --json"),
)
@click.argument("code", metavar="[BATCH]", required=False, shell_complete=complete_from(batch_codes))
@json_option
@click.pass_context
def show(ctx: click.Context, code: str | None, as_json: bool) -> None:
    """All batches, or everything noted of BATCH, what was struck too, and what its weighings say."""
    with opened_bench(ctx) as bench:
        if code:
            _one(bench.washing, code, as_json)
        else:
            _batches(bench.washing.due(), as_json, "No batches yet: `sortbench wash new`.")


@click.command(cls=BenchCommand, epilog=examples("sortbench wash due", "sortbench wash due --json"))
@json_option
@click.pass_context
def due(ctx: click.Context, as_json: bool) -> None:
    """What is due, most urgent first; dry batches are left out."""
    from sortbench.engine.washing.wash_clock import Urgency

    with opened_bench(ctx) as bench:
        rows = [row for row in bench.washing.due() if row.urgency is not Urgency.NOTHING]
        _batches(rows, as_json, "Nothing is due.")


def _batches(rows: Iterable[Due], as_json: bool, nothing: str) -> None:
    if as_json:
        answer_mappings("batches", [_due_mapping(row) for row in rows])
        return
    answer_table(
        (Heading("batch"), Heading("what", wide=True), Heading("stage"), Heading("due", wide=True)),
        [(row.code, row.name, row.stage.value if row.stage else "", row.words) for row in rows],
        nothing,
    )


def _due_mapping(row: Due) -> dict[str, Any]:
    return {
        "batch": row.code,
        "name": row.name,
        "stage": row.stage.value if row.stage else None,
        "since": _utc(row.since),
        "due_at": _utc(row.at),
        "urgency": row.urgency.name.lower(),
        "due": row.words,
        "weighings": row.weighings,
    }


def _one(desk: WashDesk, code: str, as_json: bool) -> None:
    batch, entries = desk.find(code), desk.entries(code)
    if as_json:
        answer_mappings(
            "batch entries",
            [
                {
                    "batch": batch.code,
                    "number": row.number,
                    "at": _utc(row.at),
                    "what": row.words,
                    "net_g": row.net_g,
                    "struck": row.struck,
                }
                for row in entries
            ],
        )
        return
    answer_table(
        (Heading("no.", number=True), Heading("time"), Heading("what"), Heading("net g", number=True), Heading("")),
        [(str(row.number), row.clock, row.words, number(row.net_g), "STRUCK" if row.struck else "") for row in entries],
        f"Nothing noted of {batch.code}.",
    )
    row = next(each for each in desk.due() if each.code == batch.code)
    say(" · ".join(filter(None, (batch.code, batch.name, row.words, batch.note))))
    for line in desk.tray_words(batch.code):
        say(f"  {line}")
    say_cautions(desk.cautions(row.stage))


@click.command(
    "dry-when",
    cls=BenchCommand,
    epilog=examples(
        "sortbench wash dry-when",
        "sortbench wash dry-when 4h-0.2",
        "sortbench wash dry-when --change 0.5 --hours 3 --weighings 2",
    ),
)
@click.argument("criterion", required=False)
@click.option("--change", type=float, metavar="PERCENT", help="Each change must stay under so much of the mass.")
@click.option("--hours", type=float, metavar="HOURS", help="Between weighings, at least.")
@click.option("--weighings", type=int, metavar="COUNT", help="How many in a row. Usual: 2.")
@json_option
@click.pass_context
def dry_when(
    ctx: click.Context,
    criterion: str | None,
    change: float | None,
    hours: float | None,
    weighings: int | None,
    as_json: bool,
) -> None:
    """What counts as dry at this bench: show the criteria of constant mass, choose one, or set figures of your own.

    All are made for other materials, and nearly all figures are from memory: see the source of each.
    """
    own = change is not None or hours is not None or weighings is not None
    if own and (criterion or change is None or hours is None):
        raise click.UsageError("Name a criterion, or give both --change and --hours.", ctx)
    with opened_bench(ctx) as bench:
        desk = bench.washing
        if change is not None and hours is not None:
            say(desk.choose_own_criterion(change, hours, 2 if weighings is None else weighings).text)
        elif criterion:
            say(desk.choose_criterion(criterion).text)
        here, known = desk.criterion, desk.criteria
        if as_json:
            rows = [{**each._asdict(), "chosen": each == here} for each in known]
            answer_mappings("criteria", rows)
        elif not (own or criterion):
            answer_table(
                (Heading("criterion"), Heading("dry is", wide=True), Heading("source", wide=True), Heading("")),
                [(each.code, each.words, each.source, "CHOSEN" if each == here else "") for each in known],
                "",
            )


def _utc(at: datetime | None) -> str | None:
    return None if at is None else at.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
