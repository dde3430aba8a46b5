"""`sortbench treat record`, `rates`, `log` and `strike`: what came of treatments at this bench."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench
from sortbench.cli.kinds import find_kind
from sortbench.cli.output import Heading, answer_mappings, answer_table, number
from sortbench.cli.say import say
from sortbench.cli.wash_note import say_cautions
from sortbench.model.sheet_cells import grade_label

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.model.treatment import Treatment


def _numbers(bench: Bench) -> Iterator[tuple[str, str]]:
    """Numbers of all treatments with what was treated."""
    return ((each.id, f"{each.quantity} {each.part}, {each.shade}") for each in bench.documents.treatments.values())


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench treat record 'plate 2x4 white !3' --improved 7 --unchanged 2 --broken 1 --grade 4-5",
        "sortbench treat record 'brick 2x4 white !2 @B1 *4' --unchanged 4 --strength 6%w/w --hours 5 --temp 21",
    ),
)
@click.argument("entry")
@click.option("--improved", type=click.IntRange(0), default=0, metavar="N", help="Pieces less discoloured than before.")
@click.option(
    "--unchanged", type=click.IntRange(0), default=0, metavar="N", help="Pieces as before, or worse in colour."
)
@click.option(
    "--broken", type=click.IntRange(0), default=0, metavar="N", help="Pieces that cracked or broke; thrown out."
)
@click.option("--grade", metavar="GRADE", help="Grade of the improved pieces now: 5, 4-5 ... 1.")
@click.option("--strength", metavar="STRENGTH", help="Of the bath, with its unit: 6%w/w, 6%w/v or 20vol.")
@click.option("--hours", type=float, metavar="HOURS", help="Time in the bath, as it was.")
@click.option("--temp", "temp_c", type=float, metavar="CELSIUS", help="Temperature of the bath, as it was.")
@click.option("--note", default="", metavar="TEXT", help="Anything else: lamp, place, product.")
@json_option
@click.pass_context
def record(
    ctx: click.Context,
    entry: str,
    improved: int,
    unchanged: int,
    broken: int,
    grade: str | None,
    strength: str | None,
    hours: float | None,
    temp_c: float | None,
    note: str,
    as_json: bool,
) -> None:
    """Note what came of pieces that were treated, and let the counts follow.

    ENTRY names the pieces as an entry line does: grade, flaw and bin tell one heap from another. Improved pieces with
    a new grade are judged anew where they lie, broken ones are thrown out; both are records that undo takes back.
    What is noted says what happened here, and promises nothing for other pieces.
    """
    from sortbench.desks.treat_desk import Bath, CameOut, TreatDesk
    from sortbench.engine.entry import parse
    from sortbench.model.errors import DataError
    from sortbench.model.grade import Grade

    with opened_bench(ctx) as bench:
        desk = TreatDesk(bench)
        meant = parse(entry)
        if meant.hold or meant.add or not meant.words:
            raise DataError(f"{entry[:60]!r} names no pieces.", "Write what they are, as in: plate 2x4 white !3")
        out = CameOut(improved, unchanged, broken, Grade.from_label(grade) if grade else None)
        done, notices = desk.record(find_kind(bench, meant.words), meant, Bath(strength, hours, temp_c, note), out)
        if as_json:
            answer_mappings("treatments", [_mapping(bench, done)])
        say(f"{done.id}: {_words(bench, done)}")
        for notice in notices:
            say(notice.text)
        say_cautions(desk.cautions())


@click.command(cls=BenchCommand, epilog=examples("sortbench treat rates", "sortbench treat rates --json"))
@json_option
@click.pass_context
def rates(ctx: click.Context, as_json: bool) -> None:
    """How often treated pieces improved and broke at this bench, by shade and all together.

    Intervals are exact (Clopper and Pearson 1934) and hold 95 % for pieces that turn out independently. They say what
    happened here, and promise nothing.
    """
    from sortbench.desks.treat_desk import FEW_BATHS, TreatDesk, percent_words

    with opened_bench(ctx) as bench:
        desk = TreatDesk(bench)
        found = desk.rates()
        if as_json:
            answer_mappings(
                "treatment_rates",
                [
                    {
                        "shade": each.shade or None,
                        "treatments": each.treatments,
                        "quantity": each.quantity,
                        "improved": each.improved,
                        "unchanged": each.unchanged,
                        "broken": each.broken,
                        "success": each.success._asdict(),
                        "breakage": each.breakage._asdict(),
                    }
                    for each in found
                ],
            )
        else:
            answer_table(
                (
                    Heading("shade", wide=True),
                    Heading("baths", number=True),
                    Heading("pieces", number=True),
                    Heading("improved", number=True),
                    Heading("broken", number=True),
                ),
                [
                    (
                        each.shade or "all together",
                        str(each.treatments),
                        f"{each.quantity:,}",
                        percent_words(each.success),
                        percent_words(each.breakage),
                    )
                    for each in found
                ],
                "No treatment was noted yet: `sortbench treat record`.",
            )
        if found:
            say(FEW_BATHS)
        say_cautions(desk.cautions())


@click.command(cls=BenchCommand, epilog=examples("sortbench treat log", "sortbench treat log --json"))
@json_option
@click.pass_context
def log(ctx: click.Context, as_json: bool) -> None:
    """Every treatment that was noted here, struck ones too."""
    from sortbench.desks.treat_desk import TreatDesk

    with opened_bench(ctx) as bench:
        desk = TreatDesk(bench)
        found = list(desk.treatments.values())
        if as_json:
            answer_mappings("treatments", [_mapping(bench, each) for each in found])
        else:
            headings = (
                Heading(""),
                Heading("when"),
                Heading("part", wide=True),
                Heading("shade", wide=True),
                Heading("grade"),
                Heading("pieces", number=True),
                Heading("improved", number=True),
                Heading("same", number=True),
                Heading("broken", number=True),
                Heading("bath"),
                Heading("note", wide=True),
            )
            answer_table(headings, [_cells(bench, each) for each in found], "No treatment was noted yet.")
        say_cautions(desk.cautions())


@click.command(cls=BenchCommand, epilog=examples("sortbench treat strike P3", "sortbench treat strike P3 --back"))
@click.argument("number", metavar="TREATMENT", shell_complete=complete_from(_numbers))
@click.option("--back", is_flag=True, help="Bring it back.")
@click.pass_context
def strike(ctx: click.Context, number: str, back: bool) -> None:
    """Strike a TREATMENT that was noted by mistake: it stays in the log and counts for nothing.

    The counts stay as they are; undo takes their records back.
    """
    from sortbench.desks.treat_desk import TreatDesk

    with opened_bench(ctx) as bench:
        done = TreatDesk(bench).strike(number, back)
        say(f"{done.id} {'struck' if done.struck else 'counts again'}: {_words(bench, done)}")


def _words(bench: Bench, done: Treatment) -> str:
    what = f"{done.quantity:,} × {bench.catalogue.part_name(done.part)} {done.shade}"
    return f"{what}: {done.improved:,} improved, {done.unchanged:,} unchanged, {done.broken:,} broken"


def _mapping(bench: Bench, done: Treatment) -> dict[str, Any]:
    row: dict[str, Any] = {
        ("treatment" if name == "id" else name): None if value == "" else value
        for name, value in done._asdict().items()
    }
    for name in ("grade", "grade_after"):
        row[name] = row[name].label if row[name] is not None else None
    return row | {"part_name": bench.catalogue.part_name(done.part)}


def _cells(bench: Bench, done: Treatment) -> tuple[str, ...]:
    grades = dict.fromkeys(map(grade_label, filter(None, (done.grade, done.grade_after))))
    strength = "" if done.strength_ww is None else f"{done.strength_ww:.3g} % w/w"
    hours = "" if done.hours is None else f"{number(done.hours)} h"
    warmth = "" if done.temp_c is None else f"{number(done.temp_c)} °C"
    return (
        done.id + (" struck" if done.struck else ""),
        done.at[:16].replace("T", " "),
        bench.catalogue.part_name(done.part),
        done.shade,
        " -> ".join(grades),
        f"{done.quantity:,}",
        f"{done.improved:,}",
        f"{done.unchanged:,}",
        f"{done.broken:,}",
        ", ".join(filter(None, (strength, hours, warmth))),
        done.note,
    )
