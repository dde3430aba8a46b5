"""Which counts of the kinds in a box were looked over: spot checks and recounts of bins that these kinds lay in.

A check speaks of a bin as it was counted then, never of one piece in a box, and is told so.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Callable, Collection, Iterable
from typing import NamedTuple

from sortbench.engine.ledger import Ledger
from sortbench.engine.spot_check.recounting import compare
from sortbench.engine.spot_check.verdict import Standing, verdict_of
from sortbench.model.catalogue import Kind
from sortbench.model.spot_check import Heap, Recount, SpotCheck, recount_way


class SampleNote(NamedTuple):
    """A spot check that is done.

    Attributes:
        number, bin: the check and its bin.
        on: the day it was drawn in UTC, as YYYY-MM-DD.
        lot: pieces in the bin by the count then.
        level, aql: the plan it was drawn by.
        looked, wrong: pieces looked at, and wrong ones among them.
        left_over: pieces in the bin beyond those that were counted.
        accepted: whether the count was accepted; otherwise a recount was asked for.
        low, high: ends of the 95 % interval for the share of wrong pieces, 0 to 1; None where looking was broken off
            because too many were wrong.
    """

    number: str
    bin: str
    on: str
    lot: int
    level: str
    aql: str
    looked: int
    wrong: int
    left_over: int
    accepted: bool
    low: float | None
    high: float | None


class RecountNote(NamedTuple):
    """A recount that was ended.

    Attributes:
        number, bin: the recount and its bin.
        on: the day it was ended in UTC, as YYYY-MM-DD.
        agreeing: pieces that both counts have.
        short, over: pieces counted and not found again, and found that were not counted.
        taken: whether the count was put right by it.
    """

    number: str
    bin: str
    on: str
    agreeing: int
    short: int
    over: int
    taken: bool


class Checking(NamedTuple):
    """What was looked over of the kinds in the box.

    Attributes:
        kinds: kinds in the box.
        covered: those that lay in a bin that was looked over.
        samples, recounts: checks of bins that at least one of these kinds lay in.
        others: checks and recounts that are done and concern none of these kinds.
    """

    kinds: int
    covered: int
    samples: tuple[SampleNote, ...] = ()
    recounts: tuple[RecountNote, ...] = ()
    others: int = 0


def checking_of(
    ledger: Ledger,
    kinds: Collection[Kind],
    spots: Iterable[SpotCheck],
    recounts: Iterable[Recount],
    family_of: Callable[[str], str],
) -> Checking:
    """What was looked over of some kinds; struck checks and those that are not done count for nothing.

    Args:
        family_of: the shape family of a part, by its code.
    """
    covered: set[Kind] = set()
    samples: list[SampleNote] = []
    noted: list[RecountNote] = []
    others = 0
    for check in spots:
        if check.struck or (verdict := verdict_of(check, family_of)).standing is Standing.OPEN:
            continue
        if not (concerned := _kinds(check.counted) & set(kinds)):
            others += 1
            continue
        covered |= concerned
        whole = verdict.looked >= verdict.plan.sample
        error = verdict.error if whole else None
        samples.append(
            SampleNote(
                check.id,
                check.bin,
                check.at[:10],
                check.lot,
                check.level.value,
                check.aql,
                verdict.looked,
                verdict.faults,
                verdict.left_over,
                verdict.standing is Standing.ACCEPTED,
                error.low if error else None,
                error.high if error else None,
            )
        )
    for recount in recounts:
        if recount.struck or not recount.ended:
            continue
        found = ledger.recounted(recount_way(recount))
        seen = {record.cell.kind for record in found if record.cell is not None and record.cell.kind is not None}
        if not (concerned := (_kinds(recount.counted) | seen) & set(kinds)):
            others += 1
            continue
        covered |= concerned
        both = compare(recount.counted, (), found, family_of)
        noted.append(
            RecountNote(
                recount.id,
                recount.bin,
                recount.ended[:10],
                both.agreeing,
                both.short,
                both.over,
                bool(recount.taken),
            )
        )
    return Checking(len(kinds), len(covered), tuple(samples), tuple(noted), others)


def checking_words(checking: Checking) -> tuple[str, tuple[str, ...]]:
    """What was looked over, as a sentence and one item a check."""
    if not checking.covered:
        if checking.others:
            return "None of the spot checks and recounts on record is of a bin that these kinds lay in.", ()
        return "No spot check of the counts is on record.", ()
    some = "all" if checking.covered == checking.kinds else f"{checking.covered:,} of {checking.kinds:,}"
    said = (
        f"Bins that held {some} kinds of these were looked over after they were counted. That speaks of the counts of "
        "these bins then, not of single pieces here:"
    )
    items = [_sample_words(note) for note in checking.samples]
    items += [_recount_words(note) for note in checking.recounts]
    return said, tuple(items)


def _sample_words(note: SampleNote) -> str:
    looked = f"{note.looked:,} of {note.lot:,} pieces looked at, {note.wrong:,} wrong"
    if note.left_over:
        looked += f", {note.left_over:,} more there than were counted"
    plan = f"ISO 2859-1, level {note.level}, limit {note.aql}"
    verdict = "accepted" if note.accepted else "more than the plan bears, so a full recount was asked for"
    share = ""
    if note.low is not None and note.high is not None and note.looked < note.lot:
        share = f"; with 95 % confidence {100 * note.low:.1f} to {100 * note.high:.1f} % of that count were wrong"
    return f"bin {note.bin}, spot check of {note.on} ({plan}): {looked}; {verdict}{share}"


def _recount_words(note: RecountNote) -> str:
    if not (note.short or note.over):
        result = f"both counts agree, {note.agreeing:,} {'piece' if note.agreeing == 1 else 'pieces'}"
    else:
        result = f"{note.agreeing:,} pieces agree, {note.short:,} were not found again, {note.over:,} were not counted"
        result += "; the count was put right" if note.taken else "; the count was not put right by it"
    return f"bin {note.bin}, recounted without sight of the first count, ended {note.on}: {result}"


def _kinds(counted: Iterable[Heap]) -> set[Kind]:
    return {kind for heap in counted if (kind := heap.cell.kind) is not None}
