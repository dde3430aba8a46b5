"""Setting pieces aside by hand, told by entry lines: what is not said of grade and flaws makes no difference."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from sortbench.bench import Bench
from sortbench.engine.board import Notice
from sortbench.engine.entry import Entry, parse
from sortbench.engine.reconciling.improvements import kind_words
from sortbench.engine.reconciling.what_if import find_target
from sortbench.engine.sharing.pieces import Piece, pieces_of
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Condition
from sortbench.model.target import MAX_QUANTITY


def read_entry(text: str) -> Entry:
    """An entry line that names pieces.

    Raises:
        DataError: it names none, holds something, or has a mark that says nothing here.
    """
    entry = parse(text)
    if entry.hold or entry.add or not entry.words:
        raise DataError(f"{text[:60]!r} names no pieces.", "Write what they are, as in: plate 2x4 white *3")
    if entry.bin:
        raise DataError("Pieces are set aside wherever they lie.", "Leave the bin out.")
    return entry


def set_aside(bench: Bench, code: str, kind: Kind, entry: Entry) -> tuple[Notice, ...]:
    """Set pieces of a kind aside for a target, the best first; one where the entry says no quantity.

    Args:
        entry: quantity, grade and flaws; see :func:`read_entry`.

    Raises:
        DataError: no such target, or fewer such pieces are there than nobody has yet; nothing is set aside.
        WriteError: the disk refused; what was set aside up to then stays so.
    """
    find_target(bench.picture, code)
    ledger = bench.picture.ledger
    free: dict[Condition, int] = {}
    for piece, quantity in pieces_of(kind, ledger.of_kind(kind), ledger.reserved(kind)).items():
        if not piece.only and _is_meant(entry, piece.grade, piece.flaws):
            free[piece.grade, piece.flaws] = free.get((piece.grade, piece.flaws), 0) + quantity
    wanted, there = entry.quantity or 1, sum(free.values())
    if wanted > there:
        name = kind_words(bench.catalogue, kind) + _marks(entry)
        raise DataError(
            f"{wanted:,} of {name} cannot be set aside: {there:,} are free.",
            "`sortbench reserve` shows what is set aside already." if ledger.reserved_kinds else "Count them first.",
        )
    return _each(kind, free, wanted, True, lambda n, g, f: bench.crates.reserve(kind, n, code, g, f))


def let_go(bench: Bench, code: str, kind: Kind, entry: Entry) -> tuple[Notice, ...]:
    """Let pieces of a kind go that are set aside for a target, the worst first; all where no quantity is said.

    Raises:
        DataError: fewer are set aside for it; nothing is let go.
        WriteError: the disk refused; what was let go up to then stays so.
    """
    held = {
        (grade, flaws): by_target[code]
        for (grade, flaws), by_target in bench.picture.ledger.reserved(kind).items()
        if code in by_target and _is_meant(entry, grade, flaws)
    }
    there = sum(held.values())
    wanted = entry.quantity or there
    if not there or wanted > there:
        raise DataError(
            f"{there:,} of {kind_words(bench.catalogue, kind)}{_marks(entry)} are set aside for {code}"
            + (f", not {wanted:,}." if wanted else "."),
            f"Give 1 to {there:,}." if there else "`sortbench reserve` shows what is set aside.",
        )
    return _each(kind, held, wanted, False, lambda n, g, f: bench.crates.release(kind, n, code, g, f))


def let_all_go(bench: Bench, code: str) -> tuple[Notice, ...]:
    """Let everything go that is set aside for a target.

    Raises:
        DataError: nothing is.
        WriteError: the disk refused; what was let go up to then stays so.
    """
    ledger = bench.picture.ledger
    kinds = [kind for kind in sorted(ledger.reserved_kinds) if any(code in by for by in ledger.reserved(kind).values())]
    if not kinds:
        raise DataError(f"Nothing is set aside for {code}.", "`sortbench reserve` shows what is set aside.")
    return tuple(notice for kind in kinds for notice in let_go(bench, code, kind, Entry()))


_Act = Callable[[int, Grade | None, Flaws], Notice]


def _each(kind: Kind, there: Mapping[Condition, int], wanted: int, best: bool, act: _Act) -> tuple[Notice, ...]:
    """Do something to so many pieces, a record for each condition, the best first or the worst."""

    def quality(condition: Condition) -> tuple[int, Flaws]:
        grade, flaws = condition
        return Piece(kind, grade, flaws, True).quality, flaws

    notices = []
    for condition in sorted(there, key=quality, reverse=best):
        left = min(wanted, there[condition])
        wanted -= left
        while left:
            some = min(left, MAX_QUANTITY)
            notices.append(act(some, *condition))
            left -= some
    return tuple(notices)


def _is_meant(entry: Entry, grade: Grade | None, flaws: Flaws) -> bool:
    return entry.grade in (None, grade) and (not entry.flaws or entry.flaws == flaws)


def _marks(entry: Entry) -> str:
    marks = [f"grade {entry.grade.label}"] if entry.grade else []
    marks += [flaw.value for flaw in entry.flaws]
    return f" ({', '.join(marks)})" if marks else ""
