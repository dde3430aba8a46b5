"""What `sortbench reconcile` prints: tables for people, rows for programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.progress import counting
from sortbench.cli.say import say
from sortbench.model.grade import Flaws, Grade
from sortbench.model.sheet import PERIODS
from sortbench.model.sheet_cells import join_flaws
from sortbench.model.text import shown

if TYPE_CHECKING:
    from sortbench.desks.reconcile_desk import Outlook
    from sortbench.engine.reconciling.reconcile_board import (
        PlaceRow,
        ReconcileLine,
        ReconcileTarget,
        ShareRow,
        SpareHeap,
        Standing,
    )
    from sortbench.model.catalogue import Kind


# -- targets


def targets(outlook: Outlook, as_json: bool) -> None:
    """How far each target is filled, and what a change comes to."""
    rows = outlook.targets()
    before = {effect.code: effect.before for effect in outlook.effects()}
    if as_json:
        tried = bool(outlook.words)
        answer_mappings("reconcile", [_target_json(row, before[row.code] if tried else None) for row in rows])
        return
    wild = any(row.possible > row.present for row in rows)
    tried = bool(outlook.words)
    columns = [
        Heading("rank", number=True, wide=tried),
        Heading("target"),
        Heading("name", wide=True),
        Heading("pieces", number=True),
        # A figure before and after is folded where a terminal is narrow, never cut.
        Heading("present", number=True, wide=tried),
        Heading("possible", number=True),
        Heading("to standard", number=True, wide=True),
        Heading("stand-ins", number=True, wide=tried),
        Heading("short", number=True),
        Heading("waiting", number=True),
        Heading("state", wide=True),
    ]
    cells = [_target_cells(row, before[row.code]) for row in rows]
    # With a change there are two figures where there was one: what follows from the others gives way.
    waiting = any(row.waiting for row in rows)
    hidden = {"" if wild else "possible", "short" if tried else "", "" if waiting else "waiting"}
    hidden.add("" if any(line[-1] for line in cells) else "state")
    chosen = [place for place, heading in enumerate(columns) if heading.title not in hidden]
    answer_table(
        [columns[place] for place in chosen],
        [[line[place] for place in chosen] for line in cells],
        "No targets yet: `sortbench import targets`.",
    )
    if rows:
        have, need = sum(row.present for row in rows), sum(row.need for row in rows)
        say(f"{have:,} of {need:,} pieces; {outlook.spare_pieces():,} spare")
        if wild:
            say("possible: with pieces whose kind nobody looked at, if they are what is lacking")
        if waiting:
            say("waiting: pieces that are present and wait for a wash")


def _target_cells(row: ReconcileTarget, before: Standing) -> tuple[str, ...]:
    return (
        _changed(before.rank, row.rank),
        row.code,
        row.name,
        f"{row.need:,}",
        _changed(before.present, row.present),
        f"{row.possible:,}",
        _changed(before.standard, row.standard),
        _changed(before.stand_ins, row.stand_ins),
        f"{row.short:,}",
        f"{row.waiting:,}",
        _state(row, before),
    )


def _state(row: ReconcileTarget, before: Standing) -> str:
    parked = "parked" if row.parked else "no longer parked" if before.parked else ""
    complete = row.need > 0 and not row.short
    done = "complete" if complete else "no longer complete" if before.complete else ""
    return "; ".join(filter(None, (parked, done)))


def _changed(before: int, after: int) -> str:
    return f"{after:,}" if before == after else f"{before:,} -> {after:,}"


def _target_json(row: ReconcileTarget, before: Standing | None) -> dict[str, Any]:
    return {
        "target": row.code,
        "name": row.name,
        "year": row.year,
        "rank": row.rank,
        "lines": row.lines,
        "complete": row.lines_complete,
        "quantity": row.need,
        "present": row.present,
        "to_standard": row.standard,
        "short": row.short,
        "value": row.value,
        "parked": row.parked,
        "stand_ins": row.stand_ins,
        "possible": row.possible,
        "waiting": row.waiting,
        "before": None
        if before is None
        else {
            "rank": before.rank,
            "parked": before.parked,
            "present": before.present,
            "to_standard": before.standard,
            "stand_ins": before.stand_ins,
            "short": row.need - before.present,
        },
    }


# -- lines


def lines(outlook: Outlook, codes: Sequence[str], only_short: bool, as_json: bool) -> None:
    """The lines of some targets, and the pieces each has."""
    found = [
        (code, line) for code in dict.fromkeys(codes) for line in outlook.lines(code) if line.short or not only_short
    ]
    if as_json:
        answer_mappings("lines", [_line_json(code, line) for code, line in found])
        return
    answer_table(
        (
            Heading("target"),
            Heading("line", number=True),
            Heading("piece", wide=True),
            Heading("have", number=True),
            Heading("to standard", number=True, wide=True),
            Heading("short", number=True),
            Heading("which, and where they lie", wide=True),
        ),
        [cells for code, line in found for cells in _line_cells(code, line)],
        "Nothing is short." if only_short else "Its list is empty: write it up with `sortbench tally --target`.",
    )
    better = [(code, str(line.number), words) for code, line in found for words in line.better]
    if better:
        write("\n")
        headings = (Heading("target"), Heading("line", number=True), Heading("what would improve it", wide=True))
        answer_table(headings, better, "")


def _line_cells(code: str, line: ReconcileLine) -> Iterable[tuple[str, ...]]:
    """A row for the line and its first pieces, and one for each further sort of pieces."""
    head: tuple[str, ...] = (
        code,
        str(line.number),
        f"{line.name}, {line.kind.shade}",
        f"{line.present:,}/{line.need:,}",
        f"{line.standard:,}",
        f"{line.short:,}",
    )
    for share in line.shares:
        yield (*head, _share_words(share))
        head = ("",) * len(head)
    if not line.shares:
        yield (*head, "")


def _share_words(share: ShareRow) -> str:
    """Like pieces in words: ``2 × grade 5 from B8: 2``."""
    what = f"{share.name}, {share.kind.shade}, " if share.cost else ""
    words = (
        f"{share.quantity:,} × {what}{_condition(share.grade, share.flaws, share.ready)} from {_places(share.places)}"
    )
    notes = [share.held] if share.held and not all(place.crated for place in share.places) else []
    if share.cost:
        notes.append(f"stands in, cost {share.cost}")
    if not share.period:
        notes.append(f"period {PERIODS[share.period]}")
    if not share.standard:
        notes.append("not to standard")
    return words + (f" ({'; '.join(notes)})" if notes else "")


def _condition(grade: Grade | None, flaws: Flaws, ready: bool) -> str:
    words = [f"grade {grade.label}" if grade else "not graded", *(flaw.value for flaw in flaws)]
    return ", ".join(words if ready else [*words, "to wash"])


def _places(places: Sequence[PlaceRow]) -> str:
    if len(places) == 1:
        return places[0].words
    return ", ".join(f"{place.words}: {place.quantity:,}" for place in places)


def _line_json(code: str, line: ReconcileLine) -> dict[str, Any]:
    return {
        "target": code,
        "line": line.number,
        "part": line.kind.part,
        "shade": line.kind.shade,
        "lowest": line.lowest.label,
        "quantity": line.need,
        "present": line.present,
        "to_standard": line.standard,
        "short": line.short,
        "period": PERIODS[line.period],
        "stand_ins": line.stand_ins,
        "pieces": [
            {
                **_piece_json(share.kind, share.grade, share.flaws),
                "quantity": share.quantity,
                "cost": share.cost,
                "to_standard": share.standard,
                "period": PERIODS[share.period],
                "held": share.held or None,
                "places": _places_json(share.places),
            }
            for share in line.shares
        ],
        "may_stand_in": [
            {"part": row.kind.part, "shade": row.kind.shade, "cost": row.cost, "refused": row.refused}
            for row in line.accepts
        ],
        "better": list(line.better),
    }


def _piece_json(kind: Kind, grade: Grade | None, flaws: Flaws) -> dict[str, Any]:
    return {
        "part": kind.part,
        "shade": kind.shade,
        "grade": grade.label if grade else None,
        "flaw": join_flaws(flaws) or None,
    }


def _places_json(places: Iterable[PlaceRow]) -> list[dict[str, Any]]:
    return [
        {
            "bin": None if place.crated else place.bin or None,
            "target": place.bin if place.crated else None,
            "place": place.place or None,
            "fate": place.fate.value,
            "quantity": place.quantity,
        }
        for place in places
    ]


# -- spares


def spares(outlook: Outlook, as_json: bool) -> None:
    """Every piece that no line has."""
    heaps = outlook.spares()
    if as_json:
        answer_mappings("spares", [_spare_json(heap) for heap in heaps])
        return
    answer_table(
        (
            Heading("part", wide=True),
            Heading("shade", wide=True),
            Heading("grade", wide=True),
            Heading("spare", number=True),
            Heading("lie in", wide=True),
            Heading("only for"),
        ),
        [
            (
                heap.name,
                heap.kind.shade,
                _condition(heap.grade, heap.flaws, heap.ready),
                f"{heap.quantity:,}",
                _places(heap.places),
                heap.only,
            )
            for heap in heaps
        ],
        "Nothing is spare.",
    )
    if heaps:
        say(f"{sum(heap.quantity for heap in heaps):,} pieces that no target needs")


def _spare_json(heap: SpareHeap) -> dict[str, Any]:
    return {
        **_piece_json(heap.kind, heap.grade, heap.flaws),
        "quantity": heap.quantity,
        "target": heap.only or None,
        "places": _places_json(heap.places),
    }


# -- why


def explain(outlook: Outlook, kind: Kind, as_json: bool) -> None:
    """Why the pieces of a kind go where they go."""
    with counting("asking what if not") as progress:
        if not as_json:
            words = outlook.explain(kind, progress)
        else:
            rows = [
                {
                    **_piece_json(each.piece.kind, each.piece.grade, each.piece.flaws),
                    "quantity": each.quantity,
                    "target": each.home.target.code if each.home else None,
                    "line": each.home.number if each.home else None,
                    "criterion": each.criterion.value if each.criterion else None,
                    "worse": dict(each.worse),
                    "instead": [
                        {**_piece_json(piece.kind, piece.grade, piece.flaws), "quantity": quantity}
                        for piece, quantity in each.instead
                    ],
                    "elsewhere": [{"target": home.target.code, "line": home.number} for home in each.elsewhere],
                    "words": each.words,
                }
                for each in outlook.reasons(kind, progress)
            ]
    if as_json:
        answer_mappings("reasons", rows)
        return
    first, *more = words
    write(f"{shown(first)}\n")
    for paragraph in more:
        write(f"- {shown(paragraph)}\n")
