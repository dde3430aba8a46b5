"""`sortbench wash scrub` and `sortbench wash scrubbed`: pieces that were found dirty while they were sorted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.kinds import find_kind
from sortbench.cli.output import Heading, answer_mappings, answer_table
from sortbench.cli.say import complain, say
from sortbench.cli.wash_note import say_cautions
from sortbench.model.errors import BenchError, SortbenchError
from sortbench.model.grade import Grade

if TYPE_CHECKING:
    from sortbench.engine.washing.scrub import ScrubRow


@click.command(cls=BenchCommand, epilog=examples("sortbench wash scrub", "sortbench wash scrub --json"))
@json_option
@click.pass_context
def scrub(ctx: click.Context, as_json: bool) -> None:
    """Pieces that were set aside for another wash, what the first target waits for first.

    They count as present; as ready only once they are clean.
    """
    from sortbench.desks.scrub_desk import scrub_rows

    with opened_bench(ctx) as bench:
        rows = scrub_rows(bench)
        if as_json:
            answer_mappings("scrub", [_mapping(row) for row in rows])
            return
        answer_table(
            (
                Heading("pieces", number=True),
                Heading("part", wide=True),
                Heading("shade", wide=True),
                Heading("grade", wide=True),
                Heading("for", wide=True),
                Heading("clean it", wide=True),
            ),
            [
                (
                    f"{row.quantity:,}",
                    row.name,
                    row.shade,
                    " ".join([row.grade.label if row.grade else "-", *(flaw.value for flaw in row.flaws)]),
                    ", ".join(f"{each.code} {each.quantity:,}" for each in row.targets),
                    ("not in the tub: " if row.out else "") + row.how,
                )
                for row in rows
            ],
            "Nothing waits for a wash: in the app, 'wash again' sets a piece aside for one.",
        )
        if rows:
            pieces = sum(row.quantity for row in rows)
            say("1 piece waits for a wash" if pieces == 1 else f"{pieces:,} pieces wait for a wash")
            say_cautions(bench.washing.cautions(step="scrub"))


def _mapping(row: ScrubRow) -> dict[str, Any]:
    return {
        "part": row.cell.part,
        "part_name": row.name,
        "shade": row.shade,
        "grade": row.grade.label if row.grade else None,
        "flaws": [flaw.value for flaw in row.flaws],
        "quantity": row.quantity,
        "in_tub": not row.out,
        "how": row.how,
        "targets": {each.code: each.quantity for each in row.targets},
    }


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench wash scrubbed 'plate 2x4 white'",
        "sortbench wash scrubbed 'plate 2x4 white *3' --grade 4",
        "sortbench wash scrubbed 'bell grey late !2' 'fence 1x4 white #worn'",
    ),
)
@click.argument("entries", nargs=-1, required=True, metavar="ENTRY...")
@click.option("--grade", metavar="GRADE", help="What they turned out to be; else they keep the grade they had.")
@click.pass_context
def scrubbed(ctx: click.Context, entries: tuple[str, ...], grade: str | None) -> int:
    """Pieces of the scrub list are clean: they go into the bins that the rules name.

    Each ENTRY names pieces as an entry line does, without a bin; a grade and flaws in it are those of the list. Without
    a quantity all of them are meant. An entry that is refused is told, the others hold; the exit code is 1 then.
    """
    from sortbench.desks.reserve_desk import read_entry
    from sortbench.desks.scrub_desk import take_off

    became = Grade.from_label(grade) if grade else None
    refused = 0
    with opened_bench(ctx) as bench:
        for number, text in enumerate(entries, 1):
            try:
                entry = read_entry(text)
                notices = take_off(bench, find_kind(bench, entry.words), entry, became)
            except BenchError:
                raise
            except SortbenchError as error:
                refused += 1
                say(f"entry {number}: {text[:80]}")
                complain(error)
                continue
            for notice in notices:
                say(notice.text)
    return 1 if refused else 0
