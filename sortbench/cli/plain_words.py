"""What the line mode says: whole sentences on single lines, without columns, marks or drawing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sortbench.engine.board import BinRow, HeapRow, LineRow, Notice, ResultRow, TargetRow
from sortbench.model.tally import Fate

if TYPE_CHECKING:
    from sortbench.bench import Answer, Bench
    from sortbench.engine.pace import Pace

_DONE = {
    Fate.KEPT: "Counted",
    Fate.WASH: "Set aside for the wash:",
    Fate.OUT: "Discarded:",
    Fate.CRATE: "Into the crate:",
}


def greeting(bench: Bench) -> Iterator[str]:
    """What is said first to a person."""
    yield f"Bench {bench.path.resolve().name}, {bench.picture.ledger.pieces:,} pieces counted."
    if bench.is_bare:
        yield "Nothing is on the bench yet. Say begin to count with nothing but a pile; with a manual, its code, name"
        yield "and year, as in begin T-12 Orchard Gate 1991. A list as a file comes in by sortbench import targets."
    else:
        yield "Type what the piece is, then Enter."
    yield "The command help lists what else there is, quit ends."


def answer_line(answer: Answer) -> str:
    """A receipt or a notice: what was counted, where it goes, whom it serves, what that filled or overflowed."""
    if isinstance(answer, Notice):
        return answer.text[:1].upper() + answer.text[1:].rstrip(".") + "."
    what = [f"{answer.quantity:,} {answer.name}", answer.shade]
    if answer.grade and answer.grade.label != "5":
        what.append(f"grade {answer.grade.label}")
    what += [flaw.value for flaw in answer.flaws]
    if answer.bin:
        what.append(f"into {answer.bin}")
    words = [f"{_DONE[answer.fate]} {', '.join(filter(None, what))}"]
    words += [
        f"{crate.name}{f' line {crate.number}' if crate.number else ''} gets {crate.pieces:,}"
        for crate in answer.crates
    ]
    words += [f"{name} is complete" for name in answer.targets_done]
    if answer.sought:
        words.append(answer.sought)
    if answer.overflow:
        words.append(f"{answer.overflow} overflows" + (f": {answer.proposal}" if answer.proposal else ""))
    if answer.note:
        words.append(answer.note)
    words.append(f"{answer.total:,} in all" + (f", {answer.spare:,} spare" if answer.spare else ""))
    return ". ".join(each[:1].upper() + each[1:] for each in words) + "."


def target_line(row: TargetRow) -> str:
    """How far a target is."""
    if not row.need:
        return f"{row.code} {row.name}: no list yet."
    parked = ", parked" if row.parked else ""
    if not row.short:
        below = row.need - row.standard
        return f"{row.code} {row.name}{parked}: nothing missing" + (f", {below:,} below standard." if below else ".")
    return (
        f"{row.code} {row.name}{parked}: {row.short:,} of {row.need:,} missing, {row.standard:,} to standard, "
        f"{row.lines_complete} of {row.lines} lines complete."
    )


def missing_line(row: LineRow) -> str:
    """A line of a target that lacks pieces."""
    places = ", ".join(
        f"{pieces:,} in {label}" if label else f"{pieces:,} waiting for the wash" for label, pieces in row.places
    )
    lie = f"; such pieces lie elsewhere: {places}" if places and not row.present else ""
    return f"Line {row.number}: {row.short:,} of {row.need:,} {row.name}, {row.kind.shade} missing{lie}."


def bin_line(row: BinRow) -> str:
    """What a bin holds."""
    holds = f"{row.pieces:,} of {row.capacity:,} pieces" if row.capacity else f"{row.pieces:,} pieces"
    if row.capacity_g and row.grams is not None:
        holds += f", {'at least ' if row.grams_unknown else ''}{row.grams:,.0f} of {row.capacity_g:,.0f} g"
    over = ", overflows" if row.overflowing else ""
    return f"{row.label}: {holds}{over}. Takes {row.rule}" + (f". Stands at {row.place}." if row.place else ".")


def heap_line(row: HeapRow) -> str:
    """Like pieces in a bin."""
    words = [f"{row.quantity:,} {row.name}", row.cell.shade]
    if row.cell.grade and row.cell.grade.label != "5":
        words.append(f"grade {row.cell.grade.label}")
    words += [flaw.value for flaw in row.cell.flaws]
    return ", ".join(filter(None, words)) + "."


def result_line(number: int, row: ResultRow) -> str:
    """One thing that a line may mean."""
    words = f"{number}: {row.name}, {row.kind.shade}" + (f", bin {row.bin}" if row.bin else "")
    return f"{words}, goes to {row.home.words}." if row.home else f"{words}."


def held_line(bench: Bench) -> str:
    """What is held between entries."""
    held = bench.held
    words = [held.shade, f"grade {held.grade.label}", held.bin and f"bin {held.bin}"]
    if bench.target_name:
        words.append(f"writing up the list of {bench.target_name}")
    return "Held: " + ", ".join(filter(None, words)) + "."


def pace_lines(pace: Pace) -> Iterator[str]:
    """How fast this sitting goes."""
    yield f"Counted in this sitting: {pace.counted:,} piece{'s' if pace.counted != 1 else ''}."
    if pace.per_minute is not None:
        yield f"About {pace.per_minute:.0f} pieces a minute."
    if pace.left_pieces is not None:
        yield f"About {pace.left_pieces:,} pieces of the pile are left."
    if pace.left_low_s is not None and pace.left_high_s is not None:
        yield f"That takes {pace.left_low_s / 60:.0f} to {pace.left_high_s / 60:.0f} minutes of work."
    elif pace.why:
        yield pace.why[0].upper() + pace.why[1:].rstrip(".") + "."
