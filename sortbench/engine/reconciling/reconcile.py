"""Counts against targets: which pieces each line has and where they lie, what it lacks, and what is spare after all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sortbench.engine.fill import LineFill, Share
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.improvements import improvements
from sortbench.engine.reconciling.places import Dealt, deal
from sortbench.engine.reconciling.reconcile_board import (
    CRATED,
    RESERVED,
    AcceptRow,
    PlaceRow,
    ReconcileLine,
    ReconcileTarget,
    ShareRow,
    SpareHeap,
)
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.stand_ins import Swaps, stand_ins_of
from sortbench.model.tally import Fate
from sortbench.model.target import Target


def targets_of(picture: Picture) -> tuple[ReconcileTarget, ...]:
    """All targets, the first rank first."""
    return tuple(
        ReconcileTarget(
            code=fill.target.code,
            name=fill.target.name,
            rank=fill.target.rank,
            year=fill.target.year,
            value=fill.target.value,
            parked=fill.target.parked,
            need=fill.need,
            present=fill.present,
            standard=fill.standard,
            stand_ins=fill.stand_ins,
            short=fill.short,
            lines=len(fill.lines),
            lines_complete=fill.lines_complete,
            possible=row.possible,
            waiting=fill.waiting,
        )
        for fill, row in zip(picture.fill.all(), picture.target_rows(), strict=True)
    )


def lines_of(picture: Picture, code: str) -> tuple[ReconcileLine, ...]:
    """The lines of one target, in the order of its list.

    Raises:
        KeyError: no such target.
    """
    fill = picture.fill[code]
    dealt = deal(picture, {share.piece.kind for line in fill.lines for share in line.shares}).lines
    swaps = Swaps(picture.swaps)
    return tuple(
        _line(picture, fill.target, number, line, dealt.get((code, number), ()), swaps)
        for number, line in enumerate(fill.lines, 1)
    )


def _line(
    picture: Picture, target: Target, number: int, fill: LineFill, dealt: Sequence[Dealt], swaps: Swaps
) -> ReconcileLine:
    line, catalogue = fill.line, picture.catalogue
    accepts = accepted(picture, target, number, swaps)
    return ReconcileLine(
        number=number,
        kind=line.kind,
        name=catalogue.part_name(line.kind.part),
        rgb=picture.rgb(line.kind.shade),
        lowest=line.lowest,
        need=line.quantity,
        present=fill.present,
        standard=fill.standard,
        stand_ins=fill.stand_ins,
        short=fill.short,
        period=fill.period,
        shares=tuple(row for share in fill.shares for row in _shares(picture, share, dealt)),
        better=improvements(catalogue, target, fill, [row.kind for row in accepts if not row.refused]),
        accepts=accepts,
    )


def accepted(picture: Picture, target: Target, number: int, swaps: Swaps | None = None) -> tuple[AcceptRow, ...]:
    """What may stand in on a line, numbered from 1, in order of preference; what the target refuses as well."""
    line = target.lines[number - 1]
    rules = Swaps(picture.swaps) if swaps is None else swaps
    return tuple(
        AcceptRow(
            kind=found.kind,
            name=picture.catalogue.part_name(found.kind.part),
            rgb=picture.rgb(found.kind.shade),
            cost=found.cost,
            refused=(line.kind, found.kind) in target.refused,
        )
        for found in stand_ins_of(target._replace(refused=()), line, rules)
    )


def _shares(picture: Picture, share: Share, dealt: Iterable[Dealt]) -> list[ShareRow]:
    """The rows of like pieces: one, or two where some lie in the crate and others are only set aside for it."""
    piece = share.piece
    rows = []
    for in_crate in (True, False):
        heaps = [each for each in dealt if each.piece == piece and each.in_crate == in_crate]
        if heaps:
            rows.append(
                ShareRow(
                    kind=piece.kind,
                    name=picture.catalogue.part_name(piece.kind.part),
                    rgb=picture.rgb(piece.kind.shade),
                    grade=piece.grade,
                    flaws=piece.flaws,
                    ready=piece.ready,
                    held=CRATED if in_crate else RESERVED if piece.only else "",
                    quantity=sum(each.quantity for each in heaps),
                    cost=share.cost,
                    standard=share.standard,
                    period=share.period,
                    places=_places(picture, heaps),
                )
            )
    return rows


def _places(picture: Picture, heaps: Iterable[Dealt]) -> tuple[PlaceRow, ...]:
    rows = []
    for _, cell, quantity in heaps:
        found = None if cell.fate is Fate.CRATE else picture.bin(cell.bin)
        rows.append(PlaceRow(cell.bin, found.place if found else "", quantity, cell.fate))
    return tuple(rows)


def spares_of(picture: Picture) -> tuple[SpareHeap, ...]:
    """Every piece that no line has, also of kinds that nobody asks for; by kind, the best first.

    Coarse pieces, whose kind nobody looked at, are left out: they may yet be what a line lacks.
    """
    by_piece: dict[Piece, list[Dealt]] = {}
    for each in deal(picture).spares:
        by_piece.setdefault(each.piece, []).append(each)
    return tuple(
        SpareHeap(
            kind=piece.kind,
            name=picture.catalogue.part_name(piece.kind.part),
            rgb=picture.rgb(piece.kind.shade),
            grade=piece.grade,
            flaws=piece.flaws,
            ready=piece.ready,
            only=piece.only,
            quantity=sum(each.quantity for each in heaps),
            places=_places(picture, heaps),
        )
        for piece, heaps in by_piece.items()
    )
