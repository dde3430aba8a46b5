"""Invented sellers and what they offer: the rows of sellers.csv and offers.csv.

Prices follow no market: a piece costs by its mass, a foreign one more, each seller dearer or cheaper than the next.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shapes import Shape

Kind = tuple[str, str]

SELLER_COLUMNS = ("name", "currency", "shipping", "steps", "minimum", "trust", "note")
OFFER_COLUMNS = ("id", "seller", "part", "shade", "grade", "flaws", "price", "stock")


@dataclass(frozen=True, slots=True)
class Stall:
    """One seller.

    Attributes:
        code: begins the ids of the offers.
        share: of all kinds that targets ask for, how many the seller has.
        dear: by how much prices are above or below the usual.
        worn: how many of the pieces are not as new.
    """

    code: str
    name: str
    shipping: str
    steps: str
    minimum: str
    trust: int
    note: str
    share: float
    dear: float
    worn: float


STALLS = (
    Stall("ML", "Mill Lane Bricks", "2.90", "250 g 0.00 | 1000 g 1.60 | 5000 g 4.20", "5.00", 5, "", 0.42, 1.15, 0.05),
    Stall(
        "AC",
        "Attic & Co",
        "3.50",
        "500 g 0.00 | 2000 g 2.40 | 10000 g 6.00",
        "",
        3,
        "unsorted attic finds",
        0.3,
        0.6,
        0.5,
    ),
    Stall("QR", "Quarry Row", "1.80", "100 g 0.00 | 500 g 1.20 | 2000 g 3.10", "", 4, "", 0.24, 1.0, 0.15),
    Stall("HB", "Harebell Yard", "4.40", "", "12.00", 5, "ships on Fridays", 0.5, 0.9, 0.1),
    Stall("LF", "Long Field Stores", "2.20", "250 g 0.00 | 1000 g 1.90", "3.00", 4, "", 0.16, 0.8, 0.2),
)


def seller_rows() -> list[tuple[object, ...]]:
    """The rows of sellers.csv."""
    return [(s.name, "EUR", s.shipping, s.steps, s.minimum, s.trust, s.note) for s in STALLS]


def offer_rows(rng: random.Random, wanted: Sequence[Kind], catalogue: Mapping[str, Shape]) -> list[tuple[object, ...]]:
    """The rows of offers.csv: what some sellers have of the kinds that targets ask for."""
    rows: list[tuple[object, ...]] = []
    for stall in STALLS:
        number = 0
        for part, shade in wanted:
            if rng.random() >= stall.share:
                continue
            number += 1
            is_worn = rng.random() < stall.worn
            grade = ("4", "3-4", "3")[int(rng.random() * 3)] if is_worn else ("5", "4-5")[int(rng.random() * 1.3)]
            grams = catalogue[part].mass_g
            cents = max(
                2, round((2 + 4 * grams**0.7) * stall.dear * (0.7 + 0.6 * rng.random()) * (0.5 if is_worn else 1))
            )
            stock = 1 + int(rng.random() * rng.random() * 40)
            offer = f"{stall.code}-{number:03}"
            rows.append((offer, stall.name, part, shade, grade, "", f"{cents // 100}.{cents % 100:02}", stock))
    return rows
