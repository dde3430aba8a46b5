"""Why pieces go where they go, in plain words, with the alternative and what that would cost.

The reason why a piece goes to a line is what would be worse if one such piece did not go there: the pieces are shared
again with that road closed (:mod:`sortbench.engine.sharing.closed_road`), and the weightiest criterion in which the two
sharings differ is the reason.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from sortbench.engine.fill import Home
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.spare_words import spare_words
from sortbench.engine.reconciling.why_words import condition_words, consequence, home_words, kind_words, many
from sortbench.engine.sharing.closed_road import ClosedRoads, pieces_in
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.scores import Criterion, Score, first_difference, scores
from sortbench.engine.sharing.shares import LineFill, Share
from sortbench.model.catalogue import Kind

Progress = Callable[[int, int], None]


class Reason(NamedTuple):
    """Why like pieces go where they go.

    Attributes:
        piece: which.
        quantity: how many go there.
        home: the line; None where they are spare.
        criterion: the weightiest criterion that would be worse if one of them did not go there; None where nothing
            would be, and for spares.
        worse: by how much for each target, by code; below 0 for one that would do better.
        instead: what the line would have in place of one of them.
        elsewhere: lines that one of them would go to; none where it would be spare.
        words: all of this as a sentence or two.
    """

    piece: Piece
    quantity: int
    home: Home | None
    criterion: Criterion | None
    worse: Mapping[str, int]
    instead: tuple[tuple[Piece, int], ...]
    elsewhere: tuple[Home, ...]
    words: str


def silent(done: int, whole: int) -> None:
    """Tell nobody."""


def explain(picture: Picture, kind: Kind, progress: Progress = silent) -> tuple[str, ...]:
    """Why the pieces of a kind go where they go, a paragraph for each line that has some and for those spare.

    Args:
        progress: told questions answered so far and questions in all.
    """
    name = kind_words(picture.catalogue, kind)
    counted = picture.counted(kind)
    if not counted:
        lacking = [f"{want.target.name}, line {want.number} lacks {want.short:,}" for want in picture.fill.wants(kind)]
        return (f"No {name} is counted." + (f" {'; '.join(lacking)}." if lacking else ""),)
    spare = picture.fill.spare(kind, picture.ledger.of_kind(kind))
    first = f"{counted:,} {name}: {counted - spare:,} on lines, {spare:,} spare."
    return (first, *(reason.words for reason in reasons(picture, kind, progress)))


def reasons(picture: Picture, kind: Kind, progress: Progress = silent) -> tuple[Reason, ...]:
    """Why the pieces of a kind go where they go: for each line that has some, the first rank first, then for spares."""
    return tuple(_reasons(picture, kind, progress))


def _reasons(picture: Picture, kind: Kind, progress: Progress) -> Iterator[Reason]:
    roads = ClosedRoads(picture, kind)
    part = roads.part
    asked = [
        (place, share) for place, fill in enumerate(part.fills) for share in fill.shares if share.piece.kind == kind
    ]
    best = scores(part.asks, part.fills, picture.policy, part.needs)
    spare = dict(roads.stock)
    for done, (place, share) in enumerate(asked):
        progress(done, len(asked))
        spare[share.piece] -= share.quantity
        otherwise = roads.without_one(place, share.piece)
        difference = first_difference(best, scores(part.asks, otherwise, picture.policy, part.needs))
        yield _reason(picture, roads, place, share, otherwise, difference)
    progress(len(asked), len(asked))
    for piece, quantity in sorted(spare.items(), key=_best_first):
        if quantity:
            yield Reason(piece, quantity, None, None, {}, (), (), spare_words(picture, part, piece, quantity))


def _best_first(item: tuple[Piece, int]) -> tuple[int, tuple[str, ...], bool, str]:
    piece = item[0]
    return (-piece.quality, piece.flaws, not piece.ready, piece.only)


def _reason(
    picture: Picture,
    roads: ClosedRoads,
    place: int,
    share: Share,
    otherwise: tuple[LineFill, ...],
    difference: tuple[Score, Score] | None,
) -> Reason:
    part, piece = roads.part, share.piece
    had, would_have = pieces_in(part.fills[place]), pieces_in(otherwise[place])
    instead = tuple((each, n - had.get(each, 0)) for each, n in would_have.items() if n > had.get(each, 0))
    elsewhere = tuple(
        part.lines[other]
        for other, (now, then) in enumerate(zip(part.fills, otherwise, strict=True))
        if pieces_in(then).get(piece, 0) > pieces_in(now).get(piece, 0)
    )
    worse: dict[str, int] = {}
    if difference:
        now, then = difference
        sign = -1 if now.criterion in (Criterion.STAND_INS, Criterion.COST) else 1
        worse = {code: sign * (now.of[code] - then.of[code]) for code in now.of if now.of[code] != then.of[code]}
    criterion = difference[0].criterion if difference else None
    home = part.lines[place]
    names = {line.target.code: line.target.name for line in part.lines}
    words = (
        f"{_where(picture, home, share)} {_if_not(share.quantity)}, {consequence(criterion, worse, names)}: "
        f"{_in_its_place(picture, piece.kind, instead)}, and it would {_go(elsewhere)}."
    )
    return Reason(piece, share.quantity, home, criterion, worse, instead, elsewhere, words)


def _where(picture: Picture, home: Home, share: Share) -> str:
    piece = share.piece
    goes = "goes" if share.quantity == 1 else "go"
    words = f"{share.quantity:,} ({condition_words(piece)}) {goes} to {home_words(home)}"
    if share.cost:
        asked = home.target.lines[home.number - 1].kind
        words += f", standing in for {kind_words(picture.catalogue, asked)} at a cost of {share.cost}"
    if piece.only:
        words += ", set aside for it or in its crate"
    return f"{words}, {'to standard' if share.standard else 'not to standard'}."


def _if_not(quantity: int) -> str:
    return "If it did not go there" if quantity == 1 else "If one of them did not go there"


def _in_its_place(picture: Picture, kind: Kind, instead: tuple[tuple[Piece, int], ...]) -> str:
    if not instead:
        return "nothing would take its place"
    taken = " and ".join(
        f"{quantity:,} {'' if piece.kind == kind else kind_words(picture.catalogue, piece.kind) + ' '}"
        f"({condition_words(piece)})"
        for piece, quantity in instead
    )
    return f"{taken} would take its place"


def _go(elsewhere: tuple[Home, ...]) -> str:
    return f"go to {many([home_words(home) for home in elsewhere], ' or ')}" if elsewhere else "be spare"
