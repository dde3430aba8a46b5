"""A small market for the tests of the plan: three kinds, one seller, one target that lacks plates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.engine.plan import solve
from sortbench.engine.planning.plan_case import Choice, figures
from sortbench.engine.planning.plan_market import Market
from sortbench.engine.planning.plan_question import Question
from sortbench.model.catalogue import Care, Catalogue, Kind, Part, Shade, Years
from sortbench.model.grade import Flaws, Grade
from sortbench.model.offer import Offer, Seller
from sortbench.model.prices import Prices, Terms
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.model.target import Line, Target

YEARS = Years(1980, 2000)
PARTS = {
    code: Part(code, code, mass_g=2.0, years=YEARS, care=care)
    for code, care in (("plate-2x4", ()), ("tile-1x1", ()), ("bell", (Care.PRINT,)))
}
CATALOGUE = Catalogue(PARTS, {name: Shade(name, years=YEARS) for name in ("white", "cream")})
PLATE, TILE, BELL = Kind("plate-2x4", "white"), Kind("tile-1x1", "white"), Kind("bell", "white")
CREAM = Kind("plate-2x4", "cream")
ATTIC = Seller("Attic & Co", "EUR", Decimal("1.00"))
TERMS = Terms()
PRICES = {"": Prices("", Decimal("2.00"), Decimal("0.10"), Decimal("0.25"), Decimal("0.30"))}
BELL_FOUNDRY = Target("T-03", "Bell Foundry", 1988, 1, (Line(PLATE, 3),))


def picture(targets: Sequence[Target], *heaps: tuple[Kind, Grade | None, Flaws, int]) -> Picture:
    records = [
        Record(RecordId("s", number), "", What.TALLY, Cell("", kind.part, kind.shade, "", grade, flaws), quantity)
        for number, (kind, grade, flaws, quantity) in enumerate(heaps, 1)
    ]
    return Picture(CATALOGUE, targets, (), Ledger(records))


def market(*offers: Offer, terms: Terms = TERMS, sellers: Sequence[Seller] = (ATTIC,)) -> Market:
    return Market({s.name: s for s in sellers}, {offer.id: offer for offer in offers}, PRICES, terms)


def offer(kind: Kind, price: str, stock: int = 9, *, grade: Grade | None = None, currency: str = "") -> Offer:
    return Offer(f"{kind} {price} {currency}", ATTIC.name, kind, grade, (), Decimal(price), stock, currency)


def costs(question: Question, choice: Choice) -> list[int]:
    return sorted(way.cost for way in question.case.ways if way.choice is choice)


def done(question: Question) -> Mapping[tuple[str, int, Choice], int]:
    """Pieces by target, line and choice, in the plan."""
    plan = solve(question.case)
    assert plan.proven
    assert figures(question.case, dict(plan.taken)) is not None
    found: dict[tuple[str, int, Choice], int] = {}
    for place, quantity in plan.taken:
        way = question.case.ways[place]
        spot = question.spots[way.demand]
        key = spot.target, spot.number, way.choice
        found[key] = found.get(key, 0) + quantity
    return found
