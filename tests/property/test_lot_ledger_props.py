"""Costs of random ledgers add up to the smallest coin, and follow the rule to within one coin a share."""

from __future__ import annotations

import random
from decimal import Decimal
from fractions import Fraction

import pytest
from picture_of import picture_of
from random_sharing import random_case

from sortbench.engine.finishing.lot_ledger import lot_ledger
from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.model.lot import Expense, Lot, Spent
from sortbench.model.money import MINOR_UNITS, Rates
from sortbench.model.tally import Fate

RATES = {"EUR": "1 EUR = 1.1723 USD", "JPY": "1 EUR = 171.3 JPY", "KWD": "1 KWD = 2.77 EUR", "GBP": "1 GBP = 1.15 EUR"}


def expenses_of(chance: random.Random, codes: list[str]) -> list[Expense]:
    found = []
    for number in range(1, chance.randint(1, 12)):
        currency = chance.choice(("EUR", "EUR", "USD", "JPY", "KWD"))
        amount = Decimal(chance.randint(0, 99_999)).scaleb(-MINOR_UNITS[currency])
        target = chance.choice(("", "", "", *codes, "T-GONE"))
        what, struck = chance.choice(list(Spent)), chance.random() < 0.2
        found.append(Expense(f"E{number}", "2026-03-01T09:00:00Z", what, amount, currency, "L1", target, "", struck))
    return found


def in_euro_cents(expense: Expense) -> int:
    """The amount converted a second time, by the rates written out, half to even."""
    per_euro = {"EUR": Fraction(1), "USD": Fraction("1.1723"), "JPY": Fraction("171.3"), "KWD": 1 / Fraction("2.77")}
    return round(Fraction(expense.amount) / per_euro[expense.currency] * 100)


def weights_of(picture: Picture, piece: Decimal | None, pile: int) -> list[Fraction]:
    """The rule once more: targets in the order of ranks, spares, rest."""
    valued = [t for t in picture.targets if t.value is not None]
    if piece is not None:
        one = Fraction(piece)
    elif valued:
        one = Fraction(sum(t.value or 0 for t in valued), sum(line.quantity for t in valued for line in t.lines))
    else:
        one = Fraction(1)
    counts = picture.ledger.counts
    counted = sum(n for cell, n in counts.items() if cell.fate is not Fate.OUT)
    held, weights = 0, []
    for target in picture.targets:
        need = sum(line.quantity for line in target.lines)
        crate = sum(n for cell, n in counts.items() if cell.fate is Fate.CRATE and cell.bin == target.code)
        has = min(crate, need) if target.parked else sum(line.present for line in picture.fill[target.code].lines)
        held += has
        weights.append(one * has if target.value is None else Fraction(target.value * has, need))
    return [*weights, one * (counted - held), one * max(0, pile - sum(counts.values()))]


@pytest.mark.parametrize("seed", range(0, 120, 20))
def test_costs_reconcile_to_the_cent(seed: int) -> None:
    for each in range(seed, seed + 20):
        chance = random.Random(each)
        picture = picture_of(random_case(each))
        values = {t.code: chance.choice((None, None, 0, 40, 125)) for t in picture.targets}
        picture = picture.shared_otherwise(lambda t, v=values: t._replace(value=v[t.code]), picture.policy)
        codes = [target.code for target in picture.targets]
        expenses = expenses_of(chance, codes)
        piece = chance.choice((None, None, Decimal("0.04"), Decimal(0)))
        pile = chance.choice((0, 30, 500))
        ledger = lot_ledger(
            picture, [Lot("L1", "attic")], expenses, Rates("EUR", RATES.values()), piece_worth=piece, pile=pile
        )
        living = [expense for expense in expenses if not expense.struck]
        total = sum(map(in_euro_cents, living))
        assert ledger.total == total == sum(row.total for row in ledger.rows) == ledger.lots[0].spent
        for what in Spent:
            paid = sum(in_euro_cents(expense) for expense in living if expense.what is what)
            assert sum(row.spent[what] for row in ledger.rows) == paid
        assert all(units >= 0 for row in ledger.rows for units in row.spent.values())
        weights = weights_of(picture, piece, pile)
        rows = [row for row in ledger.rows if row.target != "T-GONE"]
        assert [row.target for row in rows] == [*codes, "", ""]
        shared = {what: sum(in_euro_cents(e) for e in living if e.what is what and not e.target) for what in Spent}
        for row, weight in zip(rows, weights, strict=True):
            for what, units in shared.items():
                own = sum(in_euro_cents(e) for e in living if e.what is what and e.target and e.target == row.target)
                if sum(weights):
                    assert abs(row.spent[what] - own - units * weight / sum(weights)) < 1
        gone = [row for row in ledger.rows if row.target == "T-GONE"]
        assert sum(row.total for row in gone) == sum(in_euro_cents(e) for e in living if e.target == "T-GONE")


def test_where_nothing_is_counted_the_rest_bears_all() -> None:
    picture = Picture(random_case(1).catalogue, (), (), Ledger())
    paid = Expense("E1", "2026-03-01T09:00:00Z", Spent.LOT, Decimal("120.01"), "EUR")
    ledger = lot_ledger(picture, [], [paid], Rates("EUR"))
    assert [(row.name, row.total) for row in ledger.rows] == [("spares", 0), ("not counted yet", 12_001)]
