"""`sortbench recount show` and `list`, and how recounts are told."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table
from sortbench.cli.say import say
from sortbench.cli.spot_view import piece_mapping, piece_words

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.recount_desk import Comparison, RecountDesk
    from sortbench.model.spot_check import Recount


def recount_ids(bench: Bench) -> Iterator[tuple[str, str]]:
    """Numbers of all recounts with their bins."""
    return ((each.id, each.bin) for each in bench.documents.recounts.values())


RECOUNT = click.argument("number", metavar="RECOUNT", shell_complete=complete_from(recount_ids))


@click.command(cls=BenchCommand, epilog=examples("sortbench recount show R1", "sortbench recount show R1 --json"))
@RECOUNT
@json_option
@click.pass_context
def show(ctx: click.Context, number: str, as_json: bool) -> None:
    """RECOUNT: both counts heap by heap, and where they differ record by record. Blind until it is ended."""
    from sortbench.desks.recount_desk import RecountDesk

    with opened_bench(ctx) as bench:
        desk = RecountDesk(bench)
        answer_recount(bench, desk, desk.recount(number), as_json)


@click.command("list", cls=BenchCommand, epilog=examples("sortbench recount list", "sortbench recount list --json"))
@json_option
@click.pass_context
def list_(ctx: click.Context, as_json: bool) -> None:
    """Every recount and what came of it."""
    from sortbench.desks.recount_desk import RecountDesk

    with opened_bench(ctx) as bench:
        desk = RecountDesk(bench)
        if as_json:
            answer_mappings("recounts", [_mapping(desk, each) for each in desk.recounts()])
            return
        answer_table(
            (
                Heading("recount"),
                Heading("bin"),
                Heading("begun"),
                Heading("by", wide=True),
                Heading("stands", wide=True),
                Heading("noted", number=True),
                Heading("heaps that differ", number=True),
            ),
            [
                (
                    each.id,
                    each.bin,
                    each.at[:10],
                    each.by,
                    _standing(each),
                    f"{sum(record.quantity for record in desk.found(each)):,}",
                    f"{len(desk.comparison(each.id).differing):,}" if each.ended else "",
                )
                for each in desk.recounts()
            ],
            "No bin was recounted yet: `sortbench recount begin BIN`.",
        )


def answer_recount(bench: Bench, desk: RecountDesk, recount: Recount, as_json: bool) -> None:
    """Tell a recount in full; before it is ended only what it noted itself."""
    if as_json:
        answer_mappings("recounts", [_mapping(desk, recount)])
        return
    from sortbench.desks.recount_desk import entries_words

    by = f", counted by {recount.by}" if recount.by else ""
    say(f"{recount.id}: bin {recount.bin}, begun {recount.at[:10]}{by}, {_standing(recount)}")
    if not recount.ended:
        answer_table(
            (Heading("pieces", number=True), Heading("what", wide=True)),
            [(f"{each.quantity:,}", piece_words(bench, each.cell)) for each in desk.found(recount)],
            "Nothing is noted yet.",
        )
        return
    found = desk.comparison(recount.id)
    answer_table(
        (
            Heading("counted", number=True),
            Heading("recounted", number=True),
            Heading(""),
            Heading("what", wide=True),
            Heading("tallies", wide=True),
            Heading("notes", wide=True),
        ),
        [
            (
                f"{row.first:,}",
                f"{row.second:,}",
                row.held.value + (", same kind" if row.kind_agrees and (row.short or row.over) else ""),
                piece_words(bench, row.cell),
                entries_words(row.of_first) if row.short or row.over else "",
                entries_words(row.of_second) if row.short or row.over else "",
            )
            for row in found.rows
        ],
        "Neither count has a piece.",
    )
    say(_summary(recount, found))


def _summary(recount: Recount, found: Comparison) -> str:
    if not found.differing:
        return f"Both counts agree: {found.agreeing:,} pieces."
    heaps = len(found.differing)
    words = (
        f"{found.agreeing:,} pieces agree; {found.short:,} counted were not found again, {found.over:,} found were not "
        f"counted, in {heaps:,} {'heap' if heaps == 1 else 'heaps'}."
    )
    words += "\n  Tallies and notes marked ? have no counterpart of as many pieces in the other count."
    if recount.taken or recount.struck:
        return words
    return f"{words}\n  `sortbench recount take {recount.id}` puts the first count right."


def _standing(recount: Recount) -> str:
    if recount.struck:
        return "struck"
    return "taken over" if recount.taken else "ended" if recount.ended else "not ended"


def _mapping(desk: RecountDesk, recount: Recount) -> dict[str, Any]:
    rows = desk.comparison(recount.id).rows if recount.ended else ()
    return {
        "recount": recount.id,
        "at": recount.at,
        "bin": recount.bin,
        "by": recount.by or None,
        "ended": recount.ended or None,
        "taken": recount.taken or None,
        "struck": recount.struck,
        "noted": [
            {"record": str(each.id), "quantity": each.quantity, **piece_mapping(each.cell)}
            for each in desk.found(recount)
        ],
        "heaps": [
            {
                **piece_mapping(row.cell),
                "counted": row.first,
                "recounted": row.second,
                "short": row.short,
                "over": row.over,
                "held": row.held.value,
                "kind_agrees": row.kind_agrees,
                "tallies": [entry._asdict() for entry in row.of_first],
                "notes": [entry._asdict() for entry in row.of_second],
            }
            for row in rows
        ],
    }
