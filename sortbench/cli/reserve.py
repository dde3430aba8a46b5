"""`sortbench reserve` and `sortbench release`."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.kinds import find_kind
from sortbench.cli.output import Heading, answer_json, answer_table
from sortbench.cli.say import complain, say
from sortbench.model.errors import BenchError, SortbenchError

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.board import Notice


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench reserve",
        "sortbench reserve T-03 'plate 2x4 white *3' 'bell grey late !5'",
        "sortbench reserve T-03 'fence 1x4 white #worn *2'",
    ),
)
@click.argument("target", required=False, shell_complete=complete_from(target_codes))
@click.argument("entries", nargs=-1, metavar="[ENTRY]...")
@json_option
@click.pass_context
def reserve(ctx: click.Context, target: str | None, entries: tuple[str, ...], as_json: bool) -> int:
    """Set counted pieces aside for TARGET, or show what is set aside.

    Each ENTRY names pieces as an entry line does, without a bin: they stay where they lie, and no other target gets
    them. Where no grade is said, the best pieces are taken first. An entry that is refused is told with its number, the
    others hold; the exit code is 1 then.
    """
    from sortbench.desks.reserve_desk import read_entry, set_aside

    def act(bench: Bench, code: str, text: str) -> tuple[Notice, ...]:
        entry = read_entry(text)
        return set_aside(bench, code, find_kind(bench, entry.words), entry)

    with opened_bench(ctx) as bench:
        refused = _do_each(bench, target or "", entries, act)
        if as_json or not entries:
            _show(bench, target, as_json)
    return 1 if refused else 0


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench release T-03 'plate 2x4 white *2'", "sortbench release T-03 'bell'", "sortbench release T-03 --all"
    ),
)
@click.argument("target", shell_complete=complete_from(target_codes))
@click.argument("entries", nargs=-1, metavar="[ENTRY]...")
@click.option("--all", "everything", is_flag=True, help="Everything that is set aside for the target.")
@json_option
@click.pass_context
def release(ctx: click.Context, target: str, entries: tuple[str, ...], everything: bool, as_json: bool) -> int:
    """Let pieces go that were set aside for TARGET: whichever target needs them gets them.

    Each ENTRY names pieces as an entry line does, without a bin; without a quantity, all of them. Where no grade is
    said, the worst go first. Pieces that lie in the crate already are not meant: put them back for that.
    """
    from sortbench.desks.reserve_desk import let_all_go, let_go, read_entry

    if everything == bool(entries):
        raise click.UsageError("Name the pieces, or say --all.", ctx)

    def act(bench: Bench, code: str, text: str) -> tuple[Notice, ...]:
        entry = read_entry(text)
        return let_go(bench, code, find_kind(bench, entry.words), entry)

    refused = 0
    with opened_bench(ctx) as bench:
        if everything:
            for notice in let_all_go(bench, target):
                say(notice.text)
        else:
            refused = _do_each(bench, target, entries, act)
        if as_json:
            _show(bench, target, as_json)
    return 1 if refused else 0


def _do_each(
    bench: Bench, code: str, entries: tuple[str, ...], act: Callable[[Bench, str, str], tuple[Notice, ...]]
) -> int:
    """Take each entry, and tell what came of it; how many were refused."""
    refused = 0
    for number, text in enumerate(entries, 1):
        try:
            notices = act(bench, code, text)
        except BenchError:
            raise
        except SortbenchError as error:
            refused += 1
            say(f"entry {number}: {text[:80]}")
            complain(error)
            continue
        for notice in notices:
            say(notice.text)
    if refused:
        say(f"{refused} of {len(entries)} entries refused, {len(entries) - refused} taken")
    return refused


def _show(bench: Bench, target: str | None, as_json: bool) -> None:
    """What is set aside, of one target or of all."""
    from sortbench.desks.sheet_desk import reserved_rows

    rows = [row for row in reserved_rows(bench) if target in (None, row.target)]
    if as_json:
        answer_json("reserved", rows)
        return
    answer_table(
        (
            Heading("target"),
            Heading("part", wide=True),
            Heading("shade", wide=True),
            Heading("grade"),
            Heading("flaw", wide=True),
            Heading("quantity", number=True),
        ),
        [
            (row.target, bench.catalogue.part_name(row.part), row.shade, row.grade, row.flaw, str(row.quantity))
            for row in rows
        ],
        f"Nothing is set aside for {target}." if target else "Nothing is set aside.",
    )
