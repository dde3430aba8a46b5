"""A statement in sentences: the one wording that text, Markdown, HTML and the screen share.

Every word of judgement comes from the data; there is none that they do not carry.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from sortbench.engine.finishing.statement import Pieces, Statement
from sortbench.engine.finishing.statement_checks import Checking, checking_words
from sortbench.engine.finishing.statement_log import BatchNote, Counting, TreatedKind
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade

SCALE = (
    "A grade is the rating for change in colour on the grey scale of ISO 105-A05: 5 is no change, 1 the most. "
    "Grades and flaws are as noted when the pieces were counted, or judged anew since."
)
LIMITS = (
    "This statement speaks of counted pieces and of the list they were counted for, and of nothing else: neither of "
    "printed matter and packaging nor of anything that the list does not name."
)
HEADINGS = ("line", "piece", "shade", "asked for", "there", "missing", "remarks")
"""Columns of the list, line by line."""
NUMBERS = frozenset({"line", "asked for", "there", "missing"})
"""Columns that hold numbers."""


class Section(NamedTuple):
    """A part of a statement: sentences, then items."""

    title: str
    said: tuple[str, ...]
    items: tuple[str, ...] = ()


def about(statement: Statement) -> str:
    """Which target, and for which day."""
    sold = f"sold in {statement.year}" if statement.year else "year not told"
    return f"{statement.code} · {sold} · as of {statement.on}"


def verdict(statement: Statement) -> str:
    """Whether it is complete, in a sentence or two."""
    where = "would be there" if statement.as_shared else "in the box"
    lines = _plural(len(statement.lines), "line")
    if not statement.lines:
        words = "The list is empty, so nothing can be said of what is missing."
    elif statement.complete:
        stands = f", {statement.stand_ins:,} of them as stand-ins" if statement.stand_ins else ""
        word = "Would be complete" if statement.as_shared else "Complete"
        words = f"{word}: {_of(statement.present, statement.need)} on {lines} {where}{stands}."
    else:
        short = sum(1 for line in statement.lines if line.short)
        stands = f"; {statement.stand_ins:,} of those there as stand-ins" if statement.stand_ins else ""
        word = "Would not be complete" if statement.as_shared else "Not complete"
        words = (
            f"{word}: {_of(statement.present, statement.need)} {where}, {statement.short:,} missing on "
            f"{short:,} of {lines}{stands}."
        )
    if statement.as_shared:
        words += " This is what would be there if it were picked now; it is not picked."
    if statement.impossible:
        words += (
            f" Parts of the log are missing: {'; '.join(statement.impossible)} come to fewer than no pieces, so no "
            "figure here is sure."
        )
    return words


def sections(statement: Statement) -> tuple[Section, ...]:
    """Everything but the list line by line, in the order in which it is told."""
    found = [*_missing(statement), _stand_ins(statement), _period(statement), _condition(statement)]
    found += [_treated(statement.treated, statement.present), _washing(statement)]
    found.append(_counting(statement.counting, statement.checking))
    if statement.surplus:
        said = "Lies in the crate, and no line of the list asks for it:"
        found.append(Section("Also in the box", (said,), tuple(map(_pieces, statement.surplus))))
    return (*found, Section("Not covered", (LIMITS,)))


def list_rows(statement: Statement) -> tuple[tuple[str, ...], ...]:
    """The list line by line, in the columns of `HEADINGS`."""
    return tuple(
        (
            str(line.number),
            line.name,
            line.kind.shade,
            f"{line.need:,}",
            f"{line.present:,}",
            f"{line.short:,}" if line.short else "",
            "; ".join(_remark(each) for each in line.pieces),
        )
        for line in statement.lines
    )


def list_words(statement: Statement) -> tuple[tuple[str, str], ...]:
    """The list line by line where there is no room for columns: the line's number, and all of it in words."""
    return tuple(
        (
            number,
            f"{name}, {shade}: {present} of {need}"
            + (f", {short} missing" if short else "")
            + (f" ({remarks})" if remarks else ""),
        )
        for number, name, shade, need, present, short, remarks in list_rows(statement)
    )


def _remark(pieces: Pieces) -> str:
    kind = f" {_kind(pieces.name, pieces.kind)} instead," if pieces.cost else ""
    return f"{pieces.quantity:,}:{kind} {condition(pieces.grade, pieces.flaws)}"


def _missing(statement: Statement) -> Iterator[Section]:
    if statement.short:
        items = (f"line {x.number}: {x.short:,} × {_kind(x.name, x.kind)}" for x in statement.lines if x.short)
        yield Section("Missing", (f"{_plural(statement.short, 'piece')} in all.",), tuple(items))


def _stand_ins(statement: Statement) -> Section:
    if not statement.present:
        return Section("Stand-ins", ("No piece is there to speak of.",))
    items = tuple(
        f"line {line.number}: {each.quantity:,} × {_kind(each.name, each.kind)} for {_kind(line.name, line.kind)}, "
        f"{_plural(each.cost, 'point')}"
        for line, each in statement.pieces
        if each.cost
    )
    if not items:
        return Section("Stand-ins", ("None: every piece there is of the part and shade that the list asks for.",))
    said = (
        f"{_plural(statement.stand_ins, 'piece')} of another part or shade than the list asks for. Points say "
        "what that costs in correctness by the bench's own rules: 1 is slight, 9 plain to see."
    )
    return Section("Stand-ins", (said,), items)


def _period(statement: Statement) -> Section:
    title, present = "Period", statement.present
    if statement.year is None:
        return Section(title, ("The year of the set is not told, so nothing is said of period.",))
    wrong, unknown = statement.of_period(False), statement.of_period(None)
    if not present:
        return Section(title, ("No piece is there to speak of.",))
    right = _of(statement.of_period(True), present).capitalize()
    said = [
        f"{right} there are of a part and a shade made in {statement.year}, by the years of this bench's catalogue."
    ]
    if unknown:
        said.append(f"Of {_plural(unknown, 'piece')} the years are not known: nothing is claimed of them.")
    if wrong:
        said.append(f"{_plural(wrong, 'piece')} not made in {statement.year}, by the same years:")
    return Section(title, tuple(said), _items(each for _, each in statement.pieces if each.period is False))


def _condition(statement: Statement) -> Section:
    title = "Grades and flaws"
    if not statement.present:
        return Section(title, ("No piece is there to speak of.",))
    items = [f"{_grade(grade)}: {_plural(quantity, 'piece')}" for grade, quantity in statement.grades]
    items += [f"{flaw.value}: {_plural(quantity, 'piece')}" for flaw, quantity in statement.flaws]
    said = [
        f"{_of(statement.present - statement.flawed, statement.present).capitalize()} there have no flaw noted. {SCALE}"
    ]
    if statement.below_lowest:
        said.append(
            f"{_plural(statement.below_lowest, 'piece')} of a lower grade than the lowest that their line takes."
        )
    return Section(title, tuple(said), tuple(items))


def _treated(treated: tuple[TreatedKind, ...], present: int) -> Section:
    title = "Treatment"
    if not treated:
        words = "these kinds" if present else "any piece"
        return Section(title, (f"No treatment of {words} is on record at this bench.",))
    said = "Pieces of these kinds were treated with peroxide at this bench. Which single pieces is not noted."
    return Section(title, (said,), tuple(map(_treated_words, treated)))


def _treated_words(each: TreatedKind) -> str:
    of = f"of {each.quantity:,} × {_kind(each.name, each.kind)} in the box"
    if each.least == each.most:
        return f"{each.most:,} {of}"
    return f"{each.least:,} to {each.most:,} {of}" if each.least else f"up to {each.most:,} {of}"


def _washing(statement: Statement) -> Section:
    washing, said = statement.washing, ["No batch is noted at this bench."]
    if washing.batches:
        noted = "; ".join(_batch(batch) for batch in washing.batches)
        said = [f"Batches washed at this bench: {noted}. Which pieces were in which is not noted."]
    if washing.scrubbed:
        said.append(f"{_plural(washing.scrubbed, 'piece')} of these kinds taken off the scrub list as clean.")
    if statement.waiting:
        waiting = sum(each.quantity for each in statement.waiting)
        said.append(f"{_plural(waiting, 'piece')} put aside for a wash, and not noted as washed since:")
    else:
        said.append("No piece there is noted as waiting for a wash.")
    return Section("Washing", tuple(said), tuple(map(_pieces, statement.waiting)))


def _batch(batch: BatchNote) -> str:
    name = f" ({batch.name})" if batch.name else ""
    dry = f", noted dry on {batch.dry}" if batch.dry else ", not noted as dry"
    return f"{batch.code}{name}: {', '.join(stage.value for stage in batch.stages)}{dry}"


def _counting(counting: Counting, checking: Checking) -> Section:
    title, (looked_over, checks) = "How it was counted", checking_words(checking)
    if not counting.tallied:
        return Section(title, ("No tally of these kinds holds.", looked_over), checks)
    days = counting.first if counting.first == counting.last else f"{counting.first} to {counting.last}"
    said = [
        f"{_plural(counting.tallied, 'piece')} of these kinds tallied at this bench, in the box or not, in "
        f"{_plural(counting.sittings, 'sitting')}{f', {days} (UTC)' if days else ''}: "
        + ", ".join(f"{pieces:,} {way}" for way, pieces in counting.ways)
        + "."
    ]
    if counting.corrections:
        said.append(f"{_plural(counting.corrections, 'tally', 'tallies')} put right after it was entered.")
    if counting.read:
        said.append(f"Colour readings were noted of {_plural(counting.read, 'piece')} of these kinds.")
    return Section(title, (*said, looked_over), checks)


def condition(grade: Grade | None, flaws: Flaws) -> str:
    """A condition in words: ``grade 4, chipped``."""
    return ", ".join([_grade(grade), *(flaw.value for flaw in flaws)])


def _grade(grade: Grade | None) -> str:
    return f"grade {grade.label}" if grade else "not graded"


def _kind(name: str, kind: Kind) -> str:
    return f"{name}, {kind.shade}" if kind.shade else name


def _pieces(each: Pieces) -> str:
    return f"{each.quantity:,} × {_kind(each.name, each.kind)} ({condition(each.grade, each.flaws)})"


def _items(pieces: Iterable[Pieces]) -> tuple[str, ...]:
    """Kinds with their pieces, whatever their condition."""
    found: dict[str, int] = {}
    for each in pieces:
        words = _kind(each.name, each.kind)
        found[words] = found.get(words, 0) + each.quantity
    return tuple(f"{quantity:,} × {words}" for words, quantity in found.items())


def _of(some: int, whole: int) -> str:
    """``all 13 pieces``, ``12 of 13 pieces``."""
    pieces = "piece" if whole == 1 else "pieces"
    return f"all {whole:,} {pieces}" if some == whole and whole > 1 else f"{some:,} of {whole:,} {pieces}"


def _plural(count: int, one: str, many: str = "") -> str:
    return f"{count:,} {one if count == 1 else many or one + 's'}"
