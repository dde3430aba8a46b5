"""``sortbench merge``: another copy of the bench brought into this one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, bench_folder, examples, json_option

if TYPE_CHECKING:
    from sortbench.desks.merge_desk import Apart, MergePreview, Side

_SHOWN = 12
_NO_TERMINAL = "Nothing was written: there is no terminal to ask on. Say --yes to write, or --dry-run to look only."


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench merge /media/stick/autumn-lot",
        "sortbench merge --dry-run ../autumn-lot-of-ada",
        "sortbench merge --take ours --take theirs:targets/T-07 --yes ../autumn-lot-of-ada",
    ),
)
@click.argument("other", metavar="OTHER_BENCH", type=click.Path(path_type=Path))
@click.option(
    "--take",
    multiple=True,
    metavar="SIDE[:ROW]",
    help="Where rows differ: ours, theirs, or both for batches, treatments and expenses; for one row, SIDE:TABLE/KEY.",
)
@click.option("--yes", is_flag=True, help="Write without asking.")
@click.option("--dry-run", is_flag=True, help="Show what would be done and write nothing.")
@json_option
@click.pass_context
def merge(ctx: click.Context, other: Path, take: tuple[str, ...], yes: bool, dry_run: bool, as_json: bool) -> int:
    """Bring another copy of this bench into it, as after two laptops counted one pile.

    Records are told apart by their sitting and number, so nothing is counted twice: merge in any order, as often as you
    like. What is set up (parts, targets, bins, batches, offers …) is brought together row by row, the library of set
    lists list by list: what only the other has is added. Where a row or a list differs nobody can know which is newer:
    say so with --take, or nothing is written. Both versions of what changes are kept in the bench's folder backups/.
    The other bench is only read; to bring both to the same state, merge there too, with --take theirs.

    What was deleted on one side comes back from the other. Bins keep the order they have here; new ones come before
    the bin for the rest.

    Exit codes: 0 done or nothing to do, 1 rows or logs differ or the answer was no, 2 wrong usage, 3 a bench is damaged
    or locked.
    """
    from datetime import UTC, datetime

    from sortbench.cli.say import on_terminal, say
    from sortbench.desks import merge_desk

    seen = merge_desk.look(bench_folder(ctx), other, take)
    if as_json:
        _to_json(seen)
    else:
        _show(seen)
    left = bool(seen.refused or seen.lists.why)
    if not seen.changes and not seen.unsettled:
        say("Nothing to bring in: this bench holds all of it already." if not left else "Nothing else to bring in.")
        return int(left)
    if dry_run:
        say("A dry run: nothing was written.")
        return int(left or bool(seen.unsettled))
    if not seen.unsettled and not yes:
        if not on_terminal():
            say(_NO_TERMINAL)
            return 1
        if not click.confirm("Bring this in?", err=True):
            say("Nothing was written.")
            return 1
    kept = merge_desk.merge(seen, datetime.now(UTC))
    say(f"Done: {_records(seen.fresh)} brought in, {seen.before} pieces before, {seen.after} now.")
    for path in kept:
        say(f"Kept: {path}")
    return int(left)


def _show(seen: MergePreview) -> None:
    from sortbench.cli.say import say

    if seen.strangers:
        say("These two have no sitting in common: are they copies of one bench? Merging adds all pieces of the other.")
    say(f"Pieces: {seen.before} here now, {seen.after} with what the other counted.")
    for log in seen.logs:
        if log.content:
            say(f"  {log.sitting}: {_records(log.counted)}, {log.outcome}")
        elif log.why:
            say(f"  {log.sitting}: left alone: {log.why}")
    if seen.lists.why:
        say(f"  library: left alone: {seen.lists.why}")
    added, newer, apart = _rows(seen)
    for title, names in (("Added", added), ("Going on", newer)):
        if names:
            more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
            say(f"{title}: {', '.join(names[:_SHOWN])}{more}")
    for each in apart:
        say(f"Differs: {each.name}{_fields(each)}: {each.side or 'nobody said which holds'}")


def _rows(seen: MergePreview) -> tuple[list[str], list[str], list[Apart]]:
    """Rows of what is set up and lists of the library: those added, those that go on, those that differ."""
    return (
        [name for table in seen.tables for name in table.added],
        [name for table in seen.tables for name in table.newer],
        [each for table in seen.tables for each in table.apart],
    )


def _records(count: int) -> str:
    return "1 record" if count == 1 else f"{count} records"


def _fields(each: Apart) -> str:
    if each.fields:
        return f" ({', '.join(each.fields)})"
    return f" ({str(each.ours)[:40]!r} here, {str(each.theirs)[:40]!r} there)" if each.table == "settings" else ""


def _to_json(seen: MergePreview) -> None:
    from sortbench.cli.output import answer_mappings

    added, newer, apart = _rows(seen)
    rows = [
        _row("log", log.sitting, log.outcome.value, records=log.counted, differs=log.why or None) for log in seen.logs
    ]
    if seen.lists.why:
        rows.append(_row("library", "library", "left alone", differs=seen.lists.why))
    rows += [_row("row", name, "added") for name in added]
    rows += [_row("row", name, "newer") for name in newer]
    rows += [_row("row", each.name, "apart", side=each.side, differs=", ".join(each.fields) or None) for each in apart]
    answer_mappings("merge", rows)


def _row(
    what: str,
    name: str,
    state: str,
    *,
    records: int | None = None,
    side: Side | None = None,
    differs: str | None = None,
) -> dict[str, object]:
    return {"what": what, "name": name, "state": state, "records": records, "side": side, "differs": differs}
