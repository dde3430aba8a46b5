"""`sortbench tally`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.kinds import TELL_APART, either
from sortbench.cli.output import answer_mappings, write
from sortbench.cli.say import complain, say
from sortbench.model.errors import BenchError, DataError, SortbenchError
from sortbench.model.text import shown

if TYPE_CHECKING:
    from sortbench.bench import Answer, Bench

_LONGEST_ENTRY = 1000
_TELL_APART = f"{TELL_APART}, or say --first."


class _TallyCommand(BenchCommand):
    """Its help ends with the grammar of the entry line, from the one table that says it."""

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        from sortbench.engine.entry import GRAMMAR

        with formatter.section("Entry line"):
            formatter.write_dl([(example or "(nothing)", meaning) for example, meaning in GRAMMAR])
        super().format_epilog(ctx, formatter)


@click.command(
    cls=_TallyCommand,
    epilog=examples(
        "sortbench tally 'pl 2x4 wh *12'",
        "sortbench tally .white '2x4 pl *12' '2x2 pl !4-5' '*3'",
        "sortbench tally --target T-07 < list.txt",
        "printf '%s\\n' '.grey late' 'pl 2x4 *6' | sortbench tally --json",
    ),
)
@click.argument("entries", nargs=-1, metavar="[ENTRY]...")
@click.option(
    "--target",
    "code",
    metavar="CODE",
    help="Write up the list of this target instead of counting into bins.",
    shell_complete=complete_from(target_codes),
)
@click.option("--first", is_flag=True, help="Where two kinds or shades match alike, take the first one.")
@click.option("--strict", is_flag=True, help="Stop at the first entry that is refused.")
@json_option
@click.pass_context
def tally(
    ctx: click.Context, entries: tuple[str, ...], code: str | None, first: bool, strict: bool, as_json: bool
) -> int:
    """Count pieces: each ENTRY is one entry line; without any, one a line is read from standard input.

    What was counted is on disk when its receipt is printed. An entry that is refused is told with its number, the
    others are counted; the exit code is 1 then. What an entry holds (a line that starts with a dot) stays until the
    command ends. On standard input an empty line is passed over; "*1" counts the same again.
    """
    if not entries and sys.stdin.isatty():
        say("One entry a line; Ctrl+D ends.")
    answers: list[dict[str, Any]] = []
    refused = 0
    with opened_bench(ctx) as bench:
        if code:
            bench.write_up(code)
        try:
            for number, text in _numbered(entries):
                try:
                    row = _enter(bench, text, first, as_json)
                except BenchError:
                    raise
                except SortbenchError as error:
                    refused += 1
                    row = {"error": str(error)}
                    say(f"entry {number}: {text[:80]}")
                    complain(error)
                answers.append({"entry": text, "number": number} | row)
                if strict and refused:
                    break
        finally:
            if as_json:
                answer_mappings("receipts", answers)
    if refused:
        say(f"{refused} of {len(answers)} entries refused, {len(answers) - refused} taken")
    return 1 if refused else 0


def _numbered(entries: tuple[str, ...]) -> Iterator[tuple[int, str]]:
    if entries:
        yield from enumerate(entries, 1)
        return
    for number, line in enumerate(sys.stdin, 1):
        if line.strip():
            yield number, line.strip()


def _enter(bench: Bench, text: str, first: bool, as_json: bool) -> dict[str, Any]:
    """Take one entry and print what the bench answers; the row that ``--json`` tells of it."""
    if len(text) > _LONGEST_ENTRY:
        raise DataError(f"The entry has {len(text)} characters.", f"At most {_LONGEST_ENTRY} are read.")
    if not first:
        found = bench.search(text)
        if len(found.rows) > 1 and found.rows[0].tie and not found.error:
            raise DataError(either(*found.rows[:2]), _TELL_APART)
        if len(shades := bench.entries.shades_meant(text)) > 1:
            raise DataError(f"Could be {shades[0]} or {shades[1]}.", _TELL_APART)
    answer = bench.enter(text, way="shell")
    if not as_json:
        write(shown(receipt_text(answer)) + "\n")
        sys.stdout.flush()
    return _row(answer)


def _row(answer: Answer) -> dict[str, Any]:
    from sortbench.engine.board import Notice
    from sortbench.model.sheet_cells import join_flaws

    if isinstance(answer, Notice):
        return {"notice": answer.text}
    return {
        "record": str(answer.record),
        "bin": answer.bin or None,
        "part": answer.kind.part if answer.kind else None,
        "shade": answer.shade or None,
        "grade": answer.grade.label if answer.grade else None,
        "flaw": join_flaws(answer.flaws) or None,
        "fate": answer.fate.value,
        "quantity": answer.quantity,
        "target": answer.target or None,
        "crates": [{"target": c.code, "line": c.number, "quantity": c.pieces} for c in answer.crates],
        "total": answer.total,
        "spare": answer.spare,
        "overflow": answer.overflow or None,
        "completes": list(answer.targets_done),
        "sought": answer.sought or None,
    }


def receipt_text(answer: Answer) -> str:
    """A receipt on one line."""
    from sortbench.engine.board import Notice

    if isinstance(answer, Notice):
        return answer.text
    what = [f"{answer.quantity} × {answer.name}", answer.shade]
    if answer.grade and answer.grade.label != "5":
        what.append(f"grade {answer.grade.label}")
    what += [flaw.value for flaw in answer.flaws]
    words = [", ".join(filter(None, what)) + (f" -> {answer.bin}" if answer.bin else "")]
    for crate in answer.crates:
        words.append(f"{crate.name}{f' line {crate.number}' if crate.number else ''} +{crate.pieces}")
    words += [f"fills the last hole in {name}" for name in answer.targets_done]
    if answer.sought:
        words.append(answer.sought)
    if answer.overflow:
        words.append(f"{answer.overflow} OVERFLOWS" + (f": {answer.proposal}" if answer.proposal else ""))
    if answer.note:
        words.append(answer.note)
    words.append(f"{answer.total} in all" + (f", {answer.spare} spare" if answer.spare else ""))
    return "; ".join(words)
