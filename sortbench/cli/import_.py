"""``sortbench import``: lists of all that is set up, from CSV files."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, bench_folder, examples
from sortbench.cli.lazy import LazyGroup
from sortbench.cli.say import on_terminal
from sortbench.cli.start import require_bench

if TYPE_CHECKING:
    from sortbench.desks.intake import IntakePreview, IntakeResult

_EXAMPLES = {
    "parts": ("sortbench import parts parts.csv", "sortbench import parts --column mass=Gewicht --dry-run teile.csv"),
    "shades": ("sortbench import shades --yes shades.csv",),
    "targets": (
        "sortbench import targets T-07.csv T-08.csv",
        "sortbench import targets --target T-07 --name 'Signal Hut' --year 1988 list.csv",
    ),
    "bins": ("sortbench import bins --rest SPILL bins.csv",),
    "stand-ins": ("sortbench import stand-ins stand_ins.csv", "sortbench import stand-ins --replace --dry-run new.csv"),
    "sellers": ("sortbench import sellers sellers.csv", "sortbench import sellers --currency GBP --yes sellers.csv"),
    "library": (
        "sortbench import library lists/*.csv",
        "sortbench import library --list VW-12 --name 'Peat Tramway' --year 1987 tramway.csv",
    ),
    "offers": (
        "sortbench import offers offers.csv",
        "sortbench import offers --seller 'Mill Lane Bricks' --dry-run list.csv",
    ),
}

_SHORT = {
    "stand-ins": "Bring in rules about stand-ins from CSV files.",
    "library": "Bring in lists of sets for the library from CSV files.",
}
"""What the list of commands says where the plain sentence would not do."""

_ABOUT = {
    "parts": """Bring in parts: code, name, shape family, aliases, mass in grams, first and last year, care marks.

    A part is known by its code. A column that the file does not have leaves what the bench holds; an empty cell empties
    it.""",
    "shades": "Bring in shades: name, sRGB value (9ba19d or #9BA19D), first and last year, aliases.",
    "targets": """Bring in targets: part, shade and quantity of each line; lowest grade and stand-ins if wanted.

    The lines of a file replace those that the target had. Which target a row belongs to says a column, else --target,
    else the name of the file. --name, --year and --rank serve rows that do not say them. A line names a part by code,
    name or alias; parts and shades that the catalogue lacks are created, after they are shown, or refused with
    --known-only. Rows that repeat a line
    (same kind, grade and stand-ins) are added to it; rows that differ stay lines of their own.

    The rank says which target has its pieces first, 1 before 2; targets of one rank are filled evenly. A list with a
    column of ranks must say the rank of each target; without one a new target comes behind all others. The value is
    what the finished set is worth to you, in whole units of money; a parked target (yes or no) takes nothing for now.

    Stand-ins are written "PART in SHADE (COST)", several of them between bars: brick-1x1 in grey, late (2) | tile-1x1.
    Without a shade the line's shade is meant, without a part ("in white") its part, without a cost 1; 9 costs most.""",
    "bins": """Bring in bins: label, the rule (shades, shape families, parts, lowest and highest grade, flaws), capacity
    in pieces or grams, place.

    The order of the file is the order in which rules are tried: the first that fits wins. A bin without a rule takes
    the rest and is put last; if there is none, one is added (--rest says its label). Bins that the file does not name
    stay, behind those it names. A flaw may be "any".""",
    "stand-ins": """Bring in rules about stand-ins that hold for all targets: a part and the mould variant that may be
    taken for it (in the same shade), or a shade and the later one that may be taken for it (of the same part).

    Each row names either two parts or two shades, by code, name or alias, all of them in the catalogue already; the
    cost says how plain to see the difference is, 1 (slight, also where no column says it) to 9. A rule goes one way
    only, and one rule is never applied on top of another. A part or shade cannot stand in for itself, and rules must
    not lead back in a circle. Rules that the files do not name stay, unless --replace is given. A stand-in for one line
    of one target is written in the list of that target instead.""",
    "sellers": """Bring in sellers: name, currency, shipping of a parcel, steps of shipping by weight, least order,
    trust, a note such as how to pay.

    A seller is known by name. Amounts are in the seller's own currency, a code of ISO 4217 such as EUR, with no more
    decimals than it has; a sign before an amount, or a mark between thousands, is refused. Steps come on top of the
    fixed shipping and are written by the weight of the pieces, the lightest first: 500 g 0.00 | 2000 g 2.50. A parcel
    heavier than the last step is not sent; without steps weight makes no difference. Trust runs from 1 (pieces often
    come other than described) to 5 (as described, also where no column says it). A column that the file does not have
    leaves what the bench holds; an empty cell empties it.""",
    "library": """Bring in lists of sets that may turn up in a lot: part, shade and quantity of each line. They are no
    targets: `sortbench which-sets` holds them against what was counted, and can make one a target.

    The lines of a file replace those that the list of this code had. Which set a row belongs to says a column, else
    --list, else the name of the file. Parts and shades that the catalogue does not know are kept by name; nothing is
    added to the catalogue. Rows that repeat a line are added to it.""",
    "offers": """Bring in what sellers offer: part, shade, price of one piece, pieces in stock; grade, flaws, currency
    and an id if wanted.

    Parts and shades are named by code, name or alias and must be in the catalogue, sellers must be known already. The
    price is in the seller's currency unless a column says another. Without an id, seller, part, shade and condition
    tell offers apart. The offers of a seller whom a file names take the place of all that the bench had from that
    seller, unless --keep is given; offers of others stay.""",
}

# Written out, so that help imports no more than it shows.
_FIELDS = {
    "parts": "code, name, family, aliases, mass, first_year, last_year, care",
    "shades": "name, rgb, first_year, last_year, aliases",
    "targets": (
        "target, target_name, year, rank, value, parked, part, part_name, family, shade, quantity, lowest, stand_ins"
    ),
    "bins": "label, shade, family, part, lowest, highest, flaw, capacity, capacity_g, place",
    "stand-ins": "part, stand_in_part, shade, stand_in_shade, cost",
    "sellers": "name, currency, shipping, steps, minimum, trust, note",
    "library": "list, list_name, year, part, part_name, shade, quantity",
    "offers": "id, seller, part, shade, grade, flaws, price, currency, stock",
}

_COMMON = """Cells that hold several values part them by bars (a|b), or by semicolons where these do not part the cells.
Columns are found by their headers and shown; which was which is remembered. Nothing is written unless every row is good
and you say yes."""


@click.group(
    "import",
    cls=LazyGroup,
    lazy={"counts": ("sortbench.cli.import_counts:counts", "Read a count sheet back.")},
    epilog=examples(*(lines[0] for lines in _EXAMPLES.values())),
)
def import_() -> None:
    """Bring in lists from CSV files of any dialect: what is found is shown first, then written.

    Exit codes: 0 done or nothing to do, 1 a row is bad or the answer was no, 2 wrong usage, 3 the bench is damaged or
    locked.
    """


def _command(what: str, *more: Callable[[Any], Any]) -> None:
    """Add the command for one kind of list to the group."""

    def run(ctx: click.Context, /, **given: Any) -> int:
        return _import(ctx, what, **given)

    decorated: Any = click.pass_context(run)
    for option in (*reversed(more), *reversed(_OPTIONS)):
        decorated = option(decorated)
    import_.command(
        what,
        cls=BenchCommand,
        help=f"{inspect.cleandoc(_ABOUT[what])}\n\n{_COMMON}\n\nFields for --column: {_FIELDS[what]}.",
        short_help=_SHORT.get(what, f"Bring in {what} from CSV files."),
        epilog=examples(*_EXAMPLES[what]),
    )(decorated)


_OPTIONS: tuple[Callable[[Any], Any], ...] = (
    click.argument(
        "files",
        nargs=-1,
        required=True,
        metavar="FILE...",
        type=click.Path(exists=True, dir_okay=False, path_type=Path),
    ),
    click.option("--yes", is_flag=True, help="Write without asking."),
    click.option("--dry-run", is_flag=True, help="Show what would be done and write nothing."),
    click.option("--skip-bad", is_flag=True, help="Take the good rows; the others go to the bench's folder refused/."),
    click.option(
        "--column",
        "columns",
        multiple=True,
        metavar="FIELD=HEADER",
        help="The column of a field; no HEADER leaves it out. May be given several times.",
    ),
    click.option("--json", "as_json", is_flag=True, help="Tell what was found and done as JSON on standard output."),
)


def _import(
    ctx: click.Context,
    what: str,
    *,
    files: tuple[Path, ...],
    yes: bool,
    dry_run: bool,
    skip_bad: bool,
    columns: tuple[str, ...],
    as_json: bool,
    **defaults: str | None,
) -> int:
    from sortbench.cli.import_view import narrator, show, to_json
    from sortbench.desks import intake

    documents = intake.documents_of(require_bench(bench_folder(ctx)))
    console = narrator()
    given = {name: text for name, text in defaults.items() if text is not None}
    with console.status("Reading …"):
        seen = intake.preview(documents, what, files, fixed=_fixed(columns), defaults=given)
    show(console, seen, skip_bad)
    bad = bool(seen.unreadable) or bool(seen.errors and not skip_bad)
    result, verdict = None, ""
    if bad:
        verdict = "Nothing was written: a file lacks a column." if seen.unreadable else _BAD_ROWS
    elif dry_run:
        verdict = "A dry run: nothing was written."
    elif seen.same and not seen.errors and not (yes and seen.learns):
        verdict = "The bench holds all of this already: nothing was written."
    elif yes or _asked(seen):
        with console.status("Writing …"):
            result = intake.commit(documents, seen, skip_bad)
    else:
        bad, verdict = True, "Nothing was written." if on_terminal() else _NO_TERMINAL
    console.print(verdict or _done(seen, result), soft_wrap=True)
    if as_json:
        click.echo(to_json(seen, result))
    return int(bad)


_BAD_ROWS = "Nothing was written: mend the file, or take the good rows with --skip-bad."
_NO_TERMINAL = "Nothing was written: there is no terminal to ask on. Say --yes to write, or --dry-run to look only."


def _asked(seen: IntakePreview) -> bool:
    if not on_terminal():
        return False
    question = "Put the refused rows aside?" if seen.same else "Write this to the bench?"
    return click.confirm(question, err=True)


def _done(seen: IntakePreview, result: IntakeResult | None) -> str:
    from sortbench.model.text import shown

    lines = [f"Done, {seen.what}: {seen.counts_words}."]
    if result:
        lines += [f"Refused rows: {shown(str(path))}" for path in result.refused]
        if result.refused:
            lines.append("Mend them in the file that they came from and import that again: a list comes in as a whole.")
    return "\n".join(lines)


def _fixed(columns: tuple[str, ...]) -> Mapping[str, str]:
    fixed: dict[str, str] = {}
    for text in columns:
        field, mark, header = text.partition("=")
        if not mark:
            raise click.BadParameter(f"{text!r} lacks the equals sign.", param_hint="--column FIELD=HEADER")
        fixed[field.strip()] = header.strip()
    return fixed


_text = functools.partial(click.option, default=None)

_command("parts")
_command("shades")
_command(
    "targets",
    _text("--target", metavar="CODE", help="Code of the target, where no column says it."),
    _text("--name", help="Name of the target, where no column says it."),
    _text("--year", help="Year the target was sold, where no column says it."),
    _text("--rank", help="Rank of the target, 1 first, where no column says it."),
    click.option(
        "--known-only",
        flag_value="yes",
        default=None,
        help="Refuse rows that name a part or shade the catalogue lacks, instead of creating it.",
    ),
)
_command("bins", _text("--rest", metavar="LABEL", help="Label of the bin for the rest, where there is none."))
_command(
    "stand-ins",
    click.option(
        "--replace",
        flag_value="yes",
        default=None,
        help="Let the rules of the files take the place of all that the bench has.",
    ),
)
_command("sellers", _text("--currency", metavar="CODE", help="Currency of sellers, where no column says it."))
_command(
    "library",
    _text("--list", metavar="CODE", help="Code of the set, where no column says it."),
    _text("--name", help="Name of the set, where no column says it."),
    _text("--year", help="Year the set was sold, where no column says it."),
)
_command(
    "offers",
    _text("--seller", metavar="NAME", help="Who offers, where no column says it."),
    click.option(
        "--keep", flag_value="yes", default=None, help="Leave the offers of these sellers that the files do not name."
    ),
)
