"""`sortbench counts`."""

from __future__ import annotations

import difflib

import click

from sortbench.cli.context import BenchCommand, bench_labels, complete_from, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_json, answer_table
from sortbench.cli.say import say
from sortbench.model.errors import DataError
from sortbench.model.tally import Fate

_HEADINGS = (
    Heading("bin"),
    Heading("part", wide=True),
    Heading("shade", wide=True),
    Heading("grade"),
    Heading("flaw", wide=True),
    Heading("fate"),
    Heading("quantity", number=True),
)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench counts",
        "sortbench counts --in B7 --shade 'grey, late'",
        "sortbench counts --spare",
        "sortbench counts --json | jq '.rows | map(.quantity) | add'",
    ),
)
@click.option("--in", "in_bin", metavar="BIN", help="Only this bin.", shell_complete=complete_from(bench_labels))
@click.option("--part", metavar="CODE", help="Only this part.")
@click.option("--shade", metavar="NAME", help="Only this shade.")
@click.option("--spare", is_flag=True, help="Of these, only pieces that no target needs.")
@json_option
@click.pass_context
def counts(
    ctx: click.Context, in_bin: str | None, part: str | None, shade: str | None, spare: bool, as_json: bool
) -> None:
    """What was counted: one line for each heap of like pieces.

    Like pieces lie in one bin and are the same in part, shade, grade and flaws. A coarse count has no part, only the
    shape family as far as it was looked at.
    """
    from sortbench.desks.sheet_desk import count_rows, spare_rows

    with opened_bench(ctx) as bench:
        counted = count_rows(bench)
        _check_known("part has the code", part, {*bench.catalogue.parts, *(row.part for row in counted)})
        _check_known("shade is called", shade, {*bench.catalogue.shades, *(row.shade for row in counted)})
        label = bench.bin_label(in_bin) if in_bin else None
        rows = [
            row
            for row in (spare_rows(bench) if spare else counted)
            if label in (None, row.bin) and part in (None, row.part) and shade in (None, row.shade)
        ]
        if as_json:
            answer_json("spares" if spare else "counts", rows)
            return
        table = [
            (
                f"crate {row.target}" if row.fate == Fate.CRATE else row.bin,
                bench.catalogue.part_name(row.part) if row.part else f"({row.family or 'piece'}, size not looked at)",
                row.shade,
                row.grade,
                row.flaw,
                row.fate,
                str(row.quantity),
            )
            for row in rows
        ]
    nothing = "Nothing is spare." if spare else "Nothing is counted yet."
    answer_table(_HEADINGS, table, nothing if not (in_bin or part or shade) else "No such pieces.")
    if rows:
        pieces = sum(row.quantity for row in rows)
        say(f"{pieces:,} pieces{' that no target needs' if spare else ''} in {len(rows):,} heaps")


def _check_known(what: str, value: str | None, known: set[str]) -> None:
    """Refuse a name that is nowhere to be found: an empty answer would look like nothing of it was counted."""
    if value is None or value in known:
        return
    near = difflib.get_close_matches(value, known, 1)
    raise DataError(f"No {what} {value[:60]!r}.", f"Did you mean {near[0]!r}?" if near else "")
