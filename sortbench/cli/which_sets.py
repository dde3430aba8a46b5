"""`sortbench which-sets` and `sortbench library`: which sets the lot probably holds, and the lists of sets."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import FORMAT, BenchCommand, complete_from, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.say import on_terminal, say

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.identify.lot_view import LotView, Share, Sought, Standing
    from sortbench.model.library import SetList


def _codes(bench: Bench) -> Iterator[tuple[str, str]]:
    return ((each.code, each.name) for each in bench.identifying.library.values())


_LIST_CODES = complete_from(_codes)


@click.command(
    "which-sets",
    cls=BenchCommand,
    epilog=examples(
        "sortbench which-sets",
        "sortbench which-sets --top 30 --telling 6",
        "sortbench which-sets --make-target VW-12",
        "sortbench which-sets --json | jq '.rows[] | select(.chance > 0.5) | .set'",
    ),
)
@click.option(
    "--top", type=click.IntRange(1, 1000), default=12, show_default=True, metavar="N", help="How many sets to tell of."
)
@click.option(
    "--telling",
    type=click.IntRange(0, 50),
    default=2,
    show_default=True,
    metavar="N",
    help="How many kinds to name that speak for each.",
)
@click.option(
    "--make-target",
    "chosen",
    metavar="CODE",
    help="Make this list of the library a target, behind all others; asks first.",
    shell_complete=_LIST_CODES,
)
@click.option("--yes", is_flag=True, help="With --make-target: do not ask.")
@json_option
@click.pass_context
def which_sets(ctx: click.Context, top: int, telling: int, chosen: str | None, yes: bool, as_json: bool) -> int:
    """Which sets the lot probably holds, from what was counted so far.

    All that was counted is held against the targets and the lists of the library (`sortbench import library`), several
    sets mixed together, with pieces missing and foreign ones among them. For each set: how likely it is that the pile
    holds it; remains of a set, less than about a third of it, do not count and are told apart. How complete it is if
    it is there, with the interval that holds it 95 times of 100; that needs the size of the pile (`sortbench pile`).
    What speaks for it. Then the kinds to look for next, each with what its turning up would say. Lists of
    which nothing was seen are left out.

    Pieces may be counted in any order; where one shade is counted after the other, that is learnt from the sets that
    are there for sure. Counting one part after the other is not.

    Ordered pieces that came in parcels are left out. Needs the package numpy: pip install 'sortbench[identify]'.

    --json adds "sought", "counted", "pile", "lists", "unlisted" and "foreign" to the rows; chances run from 0 to 1.
    """
    with opened_bench(ctx) as bench:
        if chosen is not None:
            return _make_target(bench, chosen, yes)
        view = bench.identifying.view(limit=top, telling=telling)
        targets = frozenset(bench.documents.targets)
        if as_json:
            _as_json(view, targets)
        else:
            _show(view, targets, bench.catalogue.part_name)
    return 0


def _make_target(bench: Bench, code: str, yes: bool) -> int:
    found = bench.identifying.library.get(code)
    if found is not None and not yes:
        if not on_terminal():
            say("Nothing was written: there is no terminal to ask on. Say --yes to write.")
            return 1
        if not click.confirm(f"Make {_words(found)} a target?", err=True):
            say("Nothing was written.")
            return 1
    say(str(bench.identifying.as_target(code).text))
    return 0


def _words(found: SetList) -> str:
    return f"{found.code} {found.name} ({len(found.lines):,} lines, {found.pieces:,} pieces)"


def _show(view: LotView, targets: frozenset[str], name_of: Callable[[str], str]) -> None:
    from sortbench.engine.identify.lot_view import (
        NOTHING_SEEN,
        complete_words,
        evidence_words,
        percent,
        sought_words,
    )

    answer_table(
        (
            Heading("set"),
            Heading("name", wide=True),
            Heading("chance", number=True),
            Heading("complete", number=True),
            Heading("lines seen", number=True),
            Heading("pieces", number=True),
            Heading("what tells", wide=True),
        ),
        [
            (
                f"{each.key}{' (target)' if each.key in targets else ''}",
                each.name,
                percent(each.chance) if each.remains < 0.5 else "remains",
                complete_words(each.complete),
                f"{each.lines_seen:,} of {each.lines:,}",
                f"{each.found:,.0f} of {each.pieces:,}",
                evidence_words(each, name_of),
            )
            for each in view.standings
        ],
        f"{NOTHING_SEEN} `sortbench library` shows the lists."
        if view.lists
        else "No list is known: bring some in with `sortbench import library` or `sortbench import targets`.",
    )
    if view.standings:
        pile = "" if view.pile is None else f" of a pile of {view.pile:,}"
        say(
            f"{view.counted:,} pieces counted{pile}, held against {view.lists:,} lists; {view.unlisted:,} of kinds in "
            f"no list, about {view.foreign:,.0f} more that belong to none of these sets"
        )
        if view.pile is None:
            say("Say how large the pile is (`sortbench pile`) to be told how complete the sets are.")
    for sought in view.sought:
        say(f"Look for {sought_words(sought, name_of)}")


def _as_json(view: LotView, targets: frozenset[str]) -> None:
    answer = {
        "format": FORMAT,
        "what": "which-sets",
        "rows": [_row(each, targets) for each in view.standings],
        "sought": [_sought(each) for each in view.sought],
        "counted": view.counted,
        "pile": view.pile,
        "lists": view.lists,
        "unlisted": view.unlisted,
        "foreign": round(view.foreign, 1),
    }
    write(json.dumps(answer, indent=1) + "\n")


def _row(each: Standing, targets: frozenset[str]) -> dict[str, Any]:
    return {
        "set": each.key,
        "name": each.name,
        "target": each.key in targets,
        "chance": round(each.chance, 6),
        "remains": round(each.remains, 6),
        "lines": each.lines,
        "lines_seen": each.lines_seen,
        "pieces": each.pieces,
        "found": round(each.found, 1),
        "complete": _share(each.complete),
        "alone": each.alone,
        "telling": [
            {
                "part": told.kind.part,
                "shade": told.kind.shade,
                "counted": told.counted,
                "asked": told.asked,
                "lists": told.holders,
                "bits": round(told.bits, 2),
            }
            for told in each.telling
        ],
    }


def _share(share: Share | None) -> dict[str, float] | None:
    if share is None:
        return None
    return {"low": round(share.low, 4), "likely": round(share.likely, 4), "high": round(share.high, 4)}


def _sought(each: Sought) -> dict[str, Any]:
    return {
        "part": each.kind.part,
        "shade": each.kind.shade,
        "bits": round(each.bits, 4),
        "chance": round(each.chance, 4),
        "set": each.key,
        "now": round(each.now, 4),
        "if_found": round(each.if_found, 4),
        "if_not": round(each.if_not, 4),
    }


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench library", "sortbench library --drop VW-12 --drop VW-13", "sortbench library --json"),
)
@click.option(
    "--drop",
    "dropped",
    multiple=True,
    metavar="CODE",
    help="Take this list out of the library; may be given several times.",
    shell_complete=_LIST_CODES,
)
@json_option
@click.pass_context
def library(ctx: click.Context, dropped: tuple[str, ...], as_json: bool) -> None:
    """The lists of sets that may turn up in a lot; `sortbench import library` brings them in.

    They are no targets and change no count. `sortbench which-sets` holds them against what was counted.
    """
    with opened_bench(ctx) as bench:
        if dropped:
            say(f"no longer in the library: {', '.join(bench.identifying.drop(dropped))}")
            if not as_json:
                return
        lists = tuple(bench.identifying.library.values())
    if as_json:
        answer_mappings(
            "library",
            [{"set": e.code, "name": e.name, "year": e.year, "lines": len(e.lines), "pieces": e.pieces} for e in lists],
        )
        return
    answer_table(
        (
            Heading("set"),
            Heading("name", wide=True),
            Heading("year", number=True),
            Heading("lines", number=True),
            Heading("pieces", number=True),
        ),
        [(e.code, e.name, str(e.year or ""), f"{len(e.lines):,}", f"{e.pieces:,}") for e in lists],
        "The library is empty: `sortbench import library FILE` brings lists in.",
    )
