"""`sortbench pick`."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import Heading, answer_mappings, answer_table
from sortbench.cli.say import say
from sortbench.model.sheet_cells import grade_label

if TYPE_CHECKING:
    from sortbench.desks.pick_desk import PickDesk, Tick
    from sortbench.engine.reconciling.pick_list import PickList, PickRow

_ROWS = re.compile(r"([1-9][0-9]{0,5})(?:-([1-9][0-9]{0,5})|=([0-9]{1,6}))?")
_MOST = 100_000

_HEADINGS = (
    Heading(""),
    Heading("row", number=True),
    Heading("bin", wide=True),
    Heading("pieces", number=True),
    Heading("piece", wide=True),
    Heading("grade"),
    Heading("line"),
    Heading("note", wide=True),
)


def _read_rows(
    ctx: click.Context, param: click.Parameter, values: tuple[str, ...]
) -> tuple[tuple[int, int | None], ...]:
    """``4``, ``4-7``, ``4=2`` for two pieces of row 4, several with commas between them."""
    found: list[tuple[int, int | None]] = []
    for word in (word.strip() for value in values for word in value.split(",")):
        said = _ROWS.fullmatch(word)
        first, last = (int(said[1]), int(said[2] or said[1])) if said else (1, 0)
        if said is None or last < first or last - first > _MOST:
            raise click.BadParameter(f"{word[:40]!r} names no rows; say 4, 4-7, 4,6 or 4=2.", ctx, param)
        found += [(number, int(said[3]) if said[3] else None) for number in range(first, last + 1)]
    return tuple(found)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench pick T-03",
        "sortbench pick T-02 --html glasshouse.html",
        "sortbench pick T-03 --tick 1-4,9 --list 1a2b",
        "sortbench pick T-03 --tick 5=2",
        "sortbench pick T-03 --all",
        "sortbench pick T-03 --put-back 4",
        "sortbench pick T-03 --left --json | jq '.rows[].bin'",
    ),
)
@click.argument("target", shell_complete=complete_from(target_codes))
@click.option("--left", is_flag=True, help="Only rows that are not ticked off.")
@click.option(
    "--tick",
    "ticks",
    multiple=True,
    callback=_read_rows,
    metavar="ROWS",
    help="Pieces of these rows are in the crate now: 4, 4-7, 4,6, or 4=2 for two pieces of row 4; may be repeated.",
)
@click.option("--all", "tick_all", is_flag=True, help="All that is left is in the crate now.")
@click.option(
    "--put-back",
    "back",
    multiple=True,
    callback=_read_rows,
    metavar="ROWS",
    help="Pieces of these rows are where they came from again.",
)
@click.option(
    "--list",
    "mark",
    metavar="MARK",
    help="Do nothing if the list is no longer the one with this mark, as printed on it.",
)
@click.option(
    "--csv", "table", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Write it as a table."
)
@click.option(
    "--html",
    "page",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write it as a page to print.",
)
@click.option("--overwrite", is_flag=True, help="Write FILE although it holds something else.")
@json_option
@click.pass_context
def pick(
    ctx: click.Context,
    target: str,
    left: bool,
    ticks: tuple[tuple[int, int | None], ...],
    tick_all: bool,
    back: tuple[tuple[int, int | None], ...],
    mark: str | None,
    table: Path | None,
    page: Path | None,
    overwrite: bool,
    as_json: bool,
) -> None:
    """The pick list of TARGET: which pieces to take out of which bin, and what lies in its crate already.

    Bins come in their order; a row is pieces of one heap. Ticking a row off says that its pieces left the bin and are
    in the crate: records like any other, which `sortbench` can undo. Rows and their numbers stay as they are meanwhile;
    counting may change them, and --list makes sure that the numbers are those of the list in hand.
    """
    from sortbench.desks.pick_desk import PickDesk
    from sortbench.papers.pick_files import check_mark, page_of, sheet_rows, summary, table_of, write_pick_file
    from sortbench.sitting import utc_now

    if sum((bool(ticks), tick_all, bool(back))) > 1:
        raise click.UsageError("--tick, --all and --put-back do not go together; say one of them.", ctx)
    with opened_bench(ctx) as bench:
        desk = PickDesk(bench, target)
        if mark is not None:
            check_mark(desk.listed(), mark)
        changed = _change(desk, ticks, tick_all, back)
        picks = desk.listed()
        rows = [row for row in picks.rows if row.left or not left]
        if table is not None:
            write_pick_file(table, table_of(picks, rows), overwrite=overwrite)
        if page is not None:
            write_pick_file(page, page_of(picks, utc_now(), rows), overwrite=overwrite)
        if as_json:
            answer_mappings(
                "pick",
                [
                    {name: None if value == "" else value for name, value in row._asdict().items()}
                    for row in sheet_rows(picks, rows)
                ],
            )
        elif written := [path for path in (table, page) if path is not None]:
            for path in written:
                click.echo(path)
        elif not changed:
            _show(picks, rows)
        say(f"{summary(picks)} List {picks.mark}.")


def _change(
    desk: PickDesk, ticks: tuple[tuple[int, int | None], ...], tick_all: bool, back: tuple[tuple[int, int | None], ...]
) -> bool:
    """Do what was asked for, and say it; whether anything was."""
    from sortbench.desks.pick_desk import Tick

    def told(rows: tuple[tuple[int, int | None], ...]) -> list[Tick]:
        return [Tick(*row) for row in rows]

    if tick_all:
        say(desk.tick_all().text)
    elif ticks:
        say(desk.tick(told(ticks)).text)
    elif back:
        say(desk.put_back(told(back)).text)
    return bool(tick_all or ticks or back)


def _show(picks: PickList, rows: list[PickRow]) -> None:
    from sortbench.papers.pick_files import note

    table, before = [], None
    for row in rows:
        # Where a bin stands is told once, in the first of its rows.
        where = f"{row.where}, {row.place}" if row.place and row.where != before else row.where
        before = row.where
        table.append(
            (
                "[x]" if row.ticked else "[ ]",
                str(row.number),
                where,
                f"{row.left or row.picked:,}",
                f"{row.name}, {row.kind.shade}",
                grade_label(row.grade),
                ", ".join(dict.fromkeys(str(use.line) for use in row.uses)),
                "; ".join(filter(None, (*(flaw.value for flaw in row.flaws), note(row)))),
            )
        )
    answer_table(_HEADINGS, table, "All of it is ticked off." if picks.rows else "No piece counted so far is for it.")
