"""`sortbench uniform`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import Heading, answer_mappings, answer_table
from sortbench.cli.say import say

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.uniform_desk import Proposal, SpreadRow, Tint


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench uniform",
        "sortbench uniform T-02",
        "sortbench uniform T-02 --half-steps 2",
        "sortbench uniform --json | jq -r '.rows[] | select(.spread > 1.8) | [.target, .shade, .spread] | @tsv'",
    ),
)
@click.argument("target", required=False, shell_complete=complete_from(target_codes))
@click.option(
    "--half-steps",
    type=click.IntRange(0, 8),
    default=1,
    show_default=True,
    metavar="N",
    help="How far apart grades may be that change places; 0 proposes nothing.",
)
@json_option
@click.pass_context
def uniform(ctx: click.Context, target: str | None, half_steps: int, as_json: bool) -> None:
    """How alike in colour the pieces are that each target has, shade by shade, and what might change places.

    Two pieces of which there are readings differ by CIEDE2000 between them. Any other two differ by what the grey scale
    gives their grades (ISO 105-A02), which is a CIELAB difference: the column "by" says which it is.

    A proposal lowers the worst difference of one target, and leaves what every target has present, to standard and
    standing in as it is. Nothing is written: the command that would bring it about stands below it.
    """
    from sortbench.desks.uniform_desk import commands, exchange_words, pair_words
    from sortbench.desks.uniform_desk import uniform as worked_out

    with opened_bench(ctx) as bench:
        found = worked_out(bench, target or "", half_steps)
        if as_json:
            by_place = {(each.target, each.shade): each for each in found.proposals}
            answer_mappings("uniform", [_json(bench, row, by_place.get((row.target, row.shade))) for row in found.rows])
            return
        answer_table(
            (
                Heading("target"),
                Heading("shade", wide=True),
                Heading("pieces", number=True),
                Heading("read", number=True),
                Heading("unknown", number=True),
                Heading("spread", number=True),
                Heading("by"),
                Heading("worst pair", wide=True),
            ),
            [
                (
                    row.target,
                    row.shade,
                    f"{row.pieces:,}",
                    f"{row.measured:,}",
                    f"{row.unknown:,}",
                    f"{row.spread:.1f}" if row.worst else "",
                    _measure(row),
                    pair_words(bench, row.worst) if row.worst and row.spread else "",
                )
                for row in found.rows
            ],
            "No target has any pieces yet.",
        )
        for each in found.proposals:
            say(f"{each.target} {each.name}, {each.shade}: {each.before:.1f} -> {each.after:.1f}")
            for exchange in each.exchanges:
                say(f"  {exchange_words(exchange)}")
            for command in commands(bench, each):
                say(f"  {command}")
        if found.rows and half_steps and not found.proposals:
            say("Nothing that could change places would make a target look more of one colour.")


def _measure(row: SpreadRow) -> str:
    return "" if row.worst is None or not row.spread else "reading" if row.worst.measured else "grade"


def _json(bench: Bench, row: SpreadRow, proposal: Proposal | None) -> dict[str, Any]:
    return {
        "target": row.target,
        "name": row.name,
        "shade": row.shade,
        "pieces": row.pieces,
        "read": row.measured,
        "unknown": row.unknown,
        "spread": round(row.spread, 3) if row.worst else None,
        "measured": row.worst.measured if row.worst else None,
        "worst": [_tint_json(tint) for tint in (row.worst.better, row.worst.worse)] if row.worst else [],
        "proposal": None if proposal is None else _proposal_json(bench, proposal),
    }


def _tint_json(tint: Tint) -> dict[str, Any]:
    return {
        "part": tint.kind.part,
        "grade": tint.grade.label if tint.grade else None,
        "flaw": [flaw.value for flaw in tint.flaws],
        "quantity": tint.quantity,
        "lab": [round(each, 2) for each in tint.lab] if tint.lab else None,
    }


def _proposal_json(bench: Bench, proposal: Proposal) -> dict[str, Any]:
    from sortbench.desks.uniform_desk import commands

    return {
        "before": round(proposal.before, 3),
        "after": round(proposal.after, 3),
        "exchanges": [
            {
                "part": each.kind.part,
                "quantity": each.quantity,
                "flaw": [flaw.value for flaw in each.flaws],
                "gives": each.gives.label,
                "gets": each.gets.label,
                "partners": list(each.partners),
            }
            for each in proposal.exchanges
        ],
        "commands": list(commands(bench, proposal)),
    }
