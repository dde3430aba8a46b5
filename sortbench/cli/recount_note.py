"""`sortbench recount begin`, `note`, `end`, `take` and `strike`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, bench_labels, complete_from, examples, json_option, opened_bench
from sortbench.cli.recount_view import RECOUNT, answer_recount
from sortbench.cli.say import on_terminal, say
from sortbench.cli.spot_view import piece_words

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.recount_desk import Taken


@click.command(cls=BenchCommand, epilog=examples("sortbench recount begin B7", "sortbench recount begin B7 --by Ann"))
@click.argument("label", metavar="BIN", shell_complete=complete_from(bench_labels))
@click.option(
    "--by", default="", metavar="NAME", help="Who counts; best another person than the one who counted first."
)
@click.pass_context
def begin(ctx: click.Context, label: str, by: str) -> None:
    """Begin to recount BIN. Its count as it is now is what the recount will be held against."""
    from sortbench.desks.recount_desk import RecountDesk

    with opened_bench(ctx) as bench:
        made = RecountDesk(bench).begin(label, by)
    say(f"{made.id}: bin {made.bin}. Note all that lies in it, with `sortbench recount note {made.id} ENTRY...`.")


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench recount note R1 'pl 2x4 red *12'", "sortbench recount note R1 --back"),
)
@RECOUNT
@click.argument("entries", nargs=-1, metavar="[ENTRY]...")
@click.option("--back", is_flag=True, help="Take the last note back.")
@click.pass_context
def note(ctx: click.Context, number: str, entries: tuple[str, ...], back: bool) -> None:
    """Note pieces that lie in the bin: each ENTRY says what they are, as the entry line does, and *N how many."""
    from sortbench.desks.recount_desk import RecountDesk

    if bool(entries) is back:
        raise click.UsageError("Give an ENTRY, or --back.", ctx)
    with opened_bench(ctx) as bench:
        desk = RecountDesk(bench)
        for entry in entries:
            record = desk.note(number, entry)
            say(f"noted: {record.quantity:,} × {piece_words(bench, record.cell)}")
        if back:
            record = desk.take_back(number)
            say(f"taken back: {record.quantity:,} × {piece_words(bench, record.cell)}")
        found = desk.found(desk.recount(number))
        say(f"{desk.recount(number).id}: {sum(each.quantity for each in found):,} pieces noted so far")


@click.command(cls=BenchCommand, epilog=examples("sortbench recount end R1", "sortbench recount end R1 --back"))
@RECOUNT
@click.option("--back", is_flag=True, help="Some pieces are not noted yet: open it again.")
@json_option
@click.pass_context
def end(ctx: click.Context, number: str, back: bool, as_json: bool) -> None:
    """Say that all pieces are noted, and compare both counts."""
    from sortbench.desks.recount_desk import RecountDesk

    with opened_bench(ctx) as bench:
        desk = RecountDesk(bench)
        found = desk.end(number, back)
        if back:
            say(f"{found.id} is open again.")
        else:
            answer_recount(bench, desk, found, as_json)


@click.command(cls=BenchCommand, epilog=examples("sortbench recount take R1", "sortbench recount take R1 --yes"))
@RECOUNT
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_context
def take(ctx: click.Context, number: str, yes: bool) -> int:
    """Take a recount over: tallies of the first count are put right, so that the bin comes to what was recounted.

    Grades half a step apart stay as they were first judged. Undo, or the log, takes each correction back.
    """
    from sortbench.desks.recount_desk import RecountDesk

    with opened_bench(ctx) as bench:
        desk = RecountDesk(bench)
        differing = desk.comparison(number).differing
        if not differing:
            say(f"Both counts agree: there is nothing to take over of {desk.recount(number).id}.")
            return 0
        pieces = sum(row.short + row.over for row in differing)
        if not yes:
            say(f"To put right: {pieces:,} pieces in {len(differing):,} {'heap' if len(differing) == 1 else 'heaps'}.")
            if not on_terminal():
                say("Nothing was written: there is no terminal to ask on. Say --yes to put them right.")
                return 1
            if not click.confirm("Put the first count right?", err=True):
                say("Nothing was changed.")
                return 1
        _say_taken(bench, desk.take(number))
    return 0


def _say_taken(bench: Bench, taken: Taken) -> None:
    for step in taken.steps:
        what = piece_words(bench, step.cell)
        if step.record is None:
            say(f"counted: {step.quantity:,} × {what}")
        else:
            say(f"put right: {step.record.quantity:,} -> {step.quantity:,} × {what} (record {step.record.id})")
    for heap in taken.left:
        say(f"left: {heap.quantity:,} × {piece_words(bench, heap.cell)} too many, and no tally can put that right")
        say("  They were carried or judged into the heap: correct the record that brought them (`sortbench log`).")
    for cell in taken.moved:
        say(f"left: {piece_words(bench, cell)}, for its count has changed since the recount began; recount it anew")
    say(f"{taken.recount.id} is taken over.")


@click.command(cls=BenchCommand, epilog=examples("sortbench recount strike R1", "sortbench recount strike R1 --back"))
@RECOUNT
@click.option("--back", is_flag=True, help="Let it count again.")
@click.pass_context
def strike(ctx: click.Context, number: str, back: bool) -> None:
    """Let a recount count for nothing; it stays on record, and so do corrections that were taken over."""
    from sortbench.desks.recount_desk import RecountDesk

    with opened_bench(ctx) as bench:
        found = RecountDesk(bench).strike(number, back)
    say(f"{found.id} {'counts again' if back else 'is struck'}.")
