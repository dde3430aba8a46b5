"""`sortbench judge`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, bench_labels, complete_from, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.say import say
from sortbench.model.errors import DataError
from sortbench.model.text import shown

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.judge_desk import Judged, Reference
    from sortbench.engine.board import Receipt
    from sortbench.model.catalogue import Kind

_HEADINGS = (
    Heading("reading"),
    Heading("rank", number=True),
    Heading("grade"),
    Heading("may be"),
    Heading("rating", number=True),
    Heading("difference", number=True),
    Heading("seen"),
    Heading("yellower", number=True),
    Heading("went", wide=True),
)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench judge 'plate 2x4 white' --reading '#e8dcb0'",
        "sortbench judge white --reading 'lab 88.1 -1.2 14' --reference 'lab 95.2 -0.8 1.9' --uncertainty 0.3",
        "sortbench judge 'grey late' --reading '#8f8c80' --reading '#99927c' --json | jq '.rows[].grade'",
        "sortbench judge 'plate 2x4 white' --reading '#e8dcb0' --reference '#f2f2ee' --count 6",
    ),
)
@click.argument("words", metavar="WHAT")
@click.option(
    "--reading",
    "readings",
    multiple=True,
    required=True,
    metavar="COLOUR",
    help="Colour of the piece: '#e8dcb0' (sRGB), 'lab 88.1 -1.2 14' or 'xyz 80.1 84.2 70.3'. May be repeated.",
)
@click.option(
    "--reference",
    metavar="COLOUR",
    help="Colour of an unaged piece, read in the same way. The shade's colour in the catalogue otherwise.",
)
@click.option(
    "--uncertainty",
    "u",
    type=float,
    metavar="U",
    help="Standard uncertainty of L*, a* and b* of a reading, as its instrument has it; gives the grades that may be.",
)
@click.option("--count", "quantity", type=int, metavar="N", help="Count N such pieces with the grade and the reading.")
@click.option(
    "--bin", "label", metavar="LABEL", help="Count them into this bin.", shell_complete=complete_from(bench_labels)
)
@json_option
@click.pass_context
def judge(
    ctx: click.Context,
    words: str,
    readings: tuple[str, ...],
    reference: str | None,
    u: float | None,
    quantity: int | None,
    label: str | None,
    as_json: bool,
) -> None:
    """Judge how far a piece has changed in colour from an unaged one, by colour readings.

    WHAT is a kind or a shade, in words. The grade is the grey-scale rating of ISO 105-A05: 5 no change, 1 severe. The
    difference is CIEDE2000; half of all observers see 0.8 and accept 1.8 (ISO/TR 28642, found for tooth ceramics). How
    much yellower the piece is comes as a change in the index of ASTM E313, for colours that the index holds for; "-"
    where it means nothing, and the reason below.

    All readings are for daylight D65 and 2 degrees; XYZ has a white of Y 100. Rank 1 is nearest to the reference.
    """
    if label and quantity is None:
        raise click.UsageError("--bin is for --count.", ctx)
    if quantity is not None and len(readings) > 1:
        raise click.UsageError("--count takes one reading: pieces of one colour are counted at a time.", ctx)
    from sortbench.desks.judge_desk import count_judged, judge_readings, reference_for

    receipt = None
    with opened_bench(ctx) as bench:
        shade, kind = _meant(bench, words)
        against = reference_for(bench, shade, reference)
        judged = judge_readings(against, readings, u)
        if quantity is not None:
            if kind is None:
                raise click.UsageError(f"{shade} is a shade: --count needs a kind, as in 'plate 2x4 {shade}'.", ctx)
            receipt = count_judged(bench, kind, judged[0], quantity, bench.bin_label(label or ""))
    if as_json:
        answer_mappings("judgements", [_mapping(each, against, kind, receipt) for each in judged])
        return
    answer_table(_HEADINGS, [_cells(each, len(judged)) for each in judged], "No reading.")
    if receipt is not None:
        from sortbench.cli.tally import receipt_text

        write(shown(receipt_text(receipt)) + "\n")
    _tell(judged, against)


def _meant(bench: Bench, words: str) -> tuple[str, Kind | None]:
    """The shade that the words mean, and the kind if they mean one.

    Raises:
        DataError: nothing is called so, two are meant alike, or no shade is named.
    """
    from sortbench.cli.kinds import find_kind
    from sortbench.desks.judge_desk import names_shade, shade_named

    if shade := shade_named(bench, words):
        return shade, None
    kind = find_kind(bench, words)
    if not names_shade(bench, words, kind.shade):  # a look-up may prefer one, but a colour is not judged by a guess
        raise DataError(f"{words[:60]!r} names no shade.", "Name part and shade, as in: plate 2x4 white")
    return kind.shade, kind


def _cells(judged: Judged, of: int) -> tuple[str, ...]:
    found = judged.judgement
    yellower = found.yellowness_change
    return (
        judged.text,
        str(judged.rank) if of > 1 else "",
        found.grade.label,
        f"{found.best.label} to {found.worst.label}" if found.best is not found.worst else "",
        _with_u(f"{found.rating:.2f}", found.rating_u),
        _with_u(f"{found.difference:.2f}", found.difference_u),
        found.limit.value,
        "-" if yellower is None else _with_u(f"{yellower:+.1f}", found.yellowness_change_u),
        judged.drift,
    )


def _with_u(text: str, u: float | None) -> str:
    return text if u is None else f"{text} ± {2.0 * u:.2f}"


def _tell(judged: tuple[Judged, ...], against: Reference) -> None:
    """What does not stand in the table."""
    if any(each.judgement.difference_u is not None for each in judged):
        say("± is twice the standard uncertainty, about 95 %")
    whys: dict[str, list[str]] = {}
    for each in judged:
        if why := each.judgement.why_no_yellowness:
            whys.setdefault(why, []).append(each.text)
    for why, texts in whys.items():
        say(f"no change in yellowness for {', '.join(texts)}: {why}")
    for each in judged:
        if each.whiteness is not None:
            say(f"whiteness of {each.text}: {each.whiteness.whiteness:.1f}, tint {each.whiteness.tint:+.1f} (CIE)")
    if any(each.judgement.saturated for each in judged):
        say("the rating has come to its end at 1: the difference tells such pieces apart")
    if against.measured:
        say(f"judged against an unaged piece in {against.shade} that reads {against.text}")
    else:
        say(
            f"judged against {against.text}, the colour that the catalogue lists for {against.shade}; "
            "that is no measured piece: --reference takes the reading of an unaged one"
        )


def _mapping(judged: Judged, against: Reference, kind: Kind | None, receipt: Receipt | None) -> dict[str, Any]:
    found = judged.judgement
    numbers = {
        "rating": found.rating,
        "rating_u": found.rating_u,
        "change": found.change,
        "difference": found.difference,
        "difference_u": found.difference_u,
        "yellowness": found.yellowness,
        "yellowness_change": found.yellowness_change,
        "yellowness_change_u": found.yellowness_change_u,
        "whiteness": judged.whiteness.whiteness if judged.whiteness else None,
        "tint": judged.whiteness.tint if judged.whiteness else None,
        "lightness": found.piece.lightness,
        "a": found.piece.a,
        "b": found.piece.b,
    }
    return {
        "reading": judged.text,
        "part": kind.part if kind else None,
        "shade": against.shade,
        "reference": against.text,
        "reference_measured": against.measured,
        "rank": judged.rank,
        "grade": found.grade.label,
        "grade_best": found.best.label,
        "grade_worst": found.worst.label,
        "saturated": found.saturated,
        "limit": found.limit.value,
        "drift": judged.drift or None,
        "why_no_yellowness": found.why_no_yellowness or None,
        "why_no_whiteness": judged.why_no_whiteness or None,
        **{name: None if value is None else round(value, 4) for name, value in numbers.items()},
        "record": str(receipt.record) if receipt else None,
    }
