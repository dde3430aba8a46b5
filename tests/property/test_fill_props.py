"""Sharing pieces among targets against an exhaustive search written apart from it.

The rule under test is our own (own reasoning, brute force); how many pieces can come to standard is also held against
the defect form of Hall's theorem (P. Hall, On representatives of subsets, J. London Math. Soc. 10 (1935) 26-30; the
defect form is O. Ore's, 1955, cited from memory).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.fill import Fill, LineFill, Piece
from sortbench.engine.sharing.plain import share_kind
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade, Years
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, Target

KIND = Kind("plate-2x4", "red")
PIECES = (
    Piece(KIND, Grade.G5, (), True),
    Piece(KIND, Grade.G4, (), True),
    Piece(KIND, Grade.G3_4, (), True),
    Piece(KIND, Grade.G1, (), True),
    Piece(KIND, None, (), True),
    Piece(KIND, Grade.G5, (Flaw.CRACKED,), True),
    Piece(KIND, Grade.G5, (), False),
    Piece(KIND, Grade.G5, (Flaw.CRACKED,), False),
)
GRADES = (Grade.G5, Grade.G4, Grade.G3_4, Grade.G3, Grade.G1)

stocks = st.lists(st.sampled_from(PIECES), max_size=6).map(lambda pieces: dict(Counter(pieces)))
lines = st.lists(
    st.builds(
        lambda quantity, lowest, period: LineFill(Line(KIND, quantity, lowest), period=period),
        st.integers(1, 4),
        st.sampled_from(GRADES),
        st.sampled_from([True, True, True, False, None]),
    ),
    min_size=1,
    max_size=3,
)


def value(piece: Piece) -> int:
    """The grade that counts for a standard: 0 for a flawed, unready or ungraded piece."""
    return int(piece.grade) if piece.grade is not None and not piece.flaws and piece.ready else 0


def meets(piece: Piece, fill: LineFill) -> bool:
    return fill.period is True and value(piece) >= fill.line.lowest


def sharings(pieces: Sequence[Piece], asked: Sequence[LineFill]) -> Iterator[list[list[Piece]]]:
    """Every way to lay pieces into lines or aside, none over-filled."""
    for way in product(range(len(asked) + 1), repeat=len(pieces)):
        shares: list[list[Piece]] = [[] for _ in asked]
        for piece, place in zip(pieces, way, strict=True):
            if place < len(asked):
                shares[place].append(piece)
        if all(len(share) <= fill.line.quantity for share, fill in zip(shares, asked, strict=True)):
            yield shares


def worth(shares: Sequence[Sequence[Piece]], asked: Sequence[LineFill]) -> tuple[object, ...]:
    """What is to be as large as can be, the weightiest first: presence, standard, then how good the pieces are."""
    good = [sum(meets(piece, fill) for piece in share) for share, fill in zip(shares, asked, strict=True)]
    return tuple(map(len, shares)), tuple(good), tuple(sum(piece.quality for piece in share) for share in shares)


@settings(max_examples=120, deadline=None)
@given(stocks, lines)
def test_no_sharing_is_better_than_ours(stock: dict[Piece, int], asked: list[LineFill]) -> None:
    pieces = list(Counter(stock).elements())
    ours = share_kind(stock, asked)
    laid = [[share.piece for share in fill.shares for _ in range(share.quantity)] for fill in ours]
    assert [fill.present for fill in ours] == [len(share) for share in laid]
    assert [fill.standard for fill in ours] == [
        sum(meets(piece, fill) for piece in share) for share, fill in zip(laid, ours, strict=True)
    ]
    assert worth(laid, asked) == max(worth(shares, asked) for shares in sharings(pieces, asked))


@settings(max_examples=300, deadline=None)
@given(stocks, lines)
def test_no_piece_is_given_twice_none_comes_from_nowhere_no_line_is_overfilled(
    stock: dict[Piece, int], asked: list[LineFill]
) -> None:
    ours = share_kind(stock, asked)
    given_out = Counter[Piece]()
    for fill in ours:
        for share in fill.shares:
            given_out[share.piece] += share.quantity
    assert given_out <= Counter(stock)
    assert sum(given_out.values()) == min(sum(stock.values()), sum(fill.line.quantity for fill in asked))
    for before, after in zip(asked, ours, strict=True):
        assert (after.line, after.period) == (before.line, before.period)
        assert 0 <= after.standard <= after.present <= after.line.quantity
        assert all(share.quantity > 0 for share in after.shares)


@settings(max_examples=200, deadline=None)
@given(stocks, lines, st.randoms(use_true_random=False))
def test_the_order_in_which_heaps_come_makes_no_difference(
    stock: dict[Piece, int], asked: list[LineFill], random
) -> None:  # type: ignore[no-untyped-def]
    items = list(stock.items())
    random.shuffle(items)
    assert share_kind(dict(items), asked) == share_kind(stock, asked)


@settings(max_examples=120, deadline=None)
@given(stocks, lines)
def test_as_many_come_to_standard_as_halls_theorem_allows(stock: dict[Piece, int], asked: list[LineFill]) -> None:
    ours = share_kind(stock, asked)
    # Every piece that a line gets is a place of its own; the defect form says how many places can have a piece.
    places = [fill for fill in ours if fill.period for _ in range(fill.present)][:8]
    most = min(
        len(places) - len(some) + sum(n for piece, n in stock.items() if any(meets(piece, fill) for fill in some))
        for size in range(len(places) + 1)
        for some in combinations(places, size)
    )
    if len(places) == sum(fill.present for fill in ours if fill.period):
        assert sum(fill.standard for fill in ours) == most


@st.composite
def benches(draw: st.DrawFn) -> tuple[Fill, dict[Cell, int], Cell]:
    years = Years(1980, 1999)
    catalogue = Catalogue(
        {"plate-2x4": Part("plate-2x4", "plate 2x4", years=years)}, {"red": Shade("red", years=years)}
    )
    line = st.builds(Line, st.just(KIND), st.integers(1, 4), st.sampled_from(GRADES))
    targets = [
        Target(f"T-{number}", "", draw(st.sampled_from([1988, 2005, None])), number + 1, tuple(asked))
        for number, asked in enumerate(draw(st.lists(st.lists(line, max_size=2), min_size=1, max_size=4)))
    ]
    cell = st.builds(
        lambda piece, fate: Cell("B1", *KIND, "", piece.grade, piece.flaws, fate),
        st.sampled_from(PIECES),
        st.sampled_from(Fate),
    )
    cells = draw(st.dictionaries(cell, st.integers(1, 4), max_size=5))
    return Fill(draw(st.permutations(targets)), catalogue), cells, draw(cell)


@settings(max_examples=200, deadline=None)
@given(benches())
def test_one_more_piece_takes_nothing_from_any_target(bench: tuple[Fill, dict[Cell, int], Cell]) -> None:
    fill, cells, newcomer = bench
    fill.update(KIND, cells)
    before = [(target.target.code, target.present, target.lines_complete) for target in fill.all()]
    spare = fill.spare(KIND, cells)
    more = Counter(cells) + Counter([newcomer])
    gains = fill.update(KIND, more)
    after = [(target.target.code, target.present, target.lines_complete) for target in fill.all()]
    assert all(now[1] >= then[1] and now[2] >= then[2] for then, now in zip(before, after, strict=True))
    usable = newcomer.fate is not Fate.OUT
    assert sum(gain.present for gain in gains) + fill.spare(KIND, more) - spare == usable
    if gains:  # the first in rank that was short got it
        assert len(gains) == 1
        short = [code for (code, present, _), target in zip(before, fill.all(), strict=True) if target.need > present]
        assert gains[0].target.code == short[0]


@settings(max_examples=200, deadline=None)
@given(benches())
def test_figures_of_a_target_are_the_sums_of_its_lines(bench: tuple[Fill, dict[Cell, int], Cell]) -> None:
    fill, cells, newcomer = bench
    for content in (cells, Counter(cells) + Counter([newcomer]), {}, cells):
        fill.update(KIND, content)
        for target in fill.all():
            assert target.present == sum(line.present for line in target.lines)
            assert target.standard == sum(line.standard for line in target.lines)
            assert target.lines_complete == sum(line.short == 0 for line in target.lines)
            assert target.need - target.short == target.present
        lacking = sum(line.short for target in fill.all() for line in target.lines)
        assert lacking == fill.needs().get(KIND, 0) == sum(want.short for want in fill.wants(KIND))
    ranks = [(target.target.rank, target.target.code) for target in fill.all()]
    assert ranks == sorted(ranks)
