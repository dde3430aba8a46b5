"""Orders in the bench's documents: kept as they are, damage refused by name."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from sortbench.model.catalogue import Kind
from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.order import Order, OrderLine, Outcome, Remark
from sortbench.model.standing import StandingNote
from sortbench.store.documents import Documents

LINES = (
    OrderLine("of-1", Kind("plate-2x4", "white"), Grade.G4_5, (Flaw.SCRATCHED,), Decimal("0.12"), 7, "T-03"),
    OrderLine("of-2", Kind("arch-1x6x2", "grey, early"), None, (), Decimal("0.250"), 2, currency="KWD"),
)
REMARKS = (
    Remark("2026-03-09T10:00:00.000Z", 1, 2, Outcome.SHORT, "next week, they say"),
    Remark("2026-03-09T10:05:00.000Z", 2, 1, Outcome.WRONG, struck=True),
)
ORDERS = (
    Order("P1", "Mill Lane Bricks", "EUR", LINES, Decimal("3.50"), "2026-03-01T09:30:00.000Z"),
    Order("P2", "Attic & Co", "USD", LINES[:1], Decimal("0.00"), "2026-03-02", "2026-03-03", REMARKS[:1], True, "x"),
    Order("P3", "Attic & Co", "USD", LINES, Decimal("1.00"), "2026-03-02", remarks=REMARKS),
)


@pytest.fixture
def documents(tmp_path: Path) -> Documents:
    made = Documents(tmp_path / "bench.json")
    made.create()
    with made.edit() as draft:
        draft.orders = {order.id: order for order in ORDERS}
    return made


@pytest.mark.parametrize("late", [False, True])
def test_what_is_kept_is_read_again(documents: Documents, late: bool) -> None:
    assert tuple(documents.load(late).orders.values()) == ORDERS
    assert len(documents.load(late).orders) == 3


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"shipping": "dear"}, "shipping"),
        ({"shipping": "-1"}, "-1"),
        ({"id": "7"}, "number of an order"),
        ({"lines": []}, "at least one line"),
        ({"colour": "red"}, "colour"),
        ({"remarks": [{"at": "", "line": 9, "quantity": 1, "outcome": "short"}]}, "line 9"),
        ({"remarks": [{"at": "", "line": 1, "quantity": 1, "outcome": "good"}]}, "line 1"),
        ({"remarks": [{"at": "", "line": 1, "quantity": 1, "outcome": "lost"}]}, "lost"),
        ({"remarks": [{"at": "", "line": 1, "quantity": 0, "outcome": "short"}]}, "0 pieces"),
        ({"lines": [{"offer": "a", "part": "b", "shade": "c", "price": "0.001", "quantity": 1}]}, "smallest coin"),
        ({"lines": [{"offer": "a", "part": "b", "shade": "c", "price": "1", "quantity": 0}]}, "0 pieces"),
    ],
)
def test_a_damaged_order_is_refused_by_name(documents: Documents, change: dict[str, Any], word: str) -> None:
    tables = json.loads(documents.path.read_text())
    key = next(iter(tables["orders"]))
    tables["orders"][key] |= change
    documents.path.write_text(json.dumps(tables))
    with pytest.raises(BenchError, match="'orders'") as refused:
        documents.load()
    assert word in refused.value.message


NOTE = StandingNote("T-03", Kind("plate-2x4", "white"), "2026-03-01T09:30:00.000Z")


def test_since_when_pieces_cannot_be_had_is_kept(documents: Documents) -> None:
    with documents.edit() as draft:
        draft.standing[NOTE.key] = NOTE
    assert documents.load(late=True).standing == {NOTE.key: NOTE}
    tables = json.loads(documents.path.read_text())
    for change in ({"since": "last spring"}, {"part": ""}, {"colour": "red"}):
        documents.path.write_text(
            json.dumps(tables | {"standing": {key: row | change for key, row in tables["standing"].items()}})
        )
        with pytest.raises(BenchError, match="'standing'"):
            documents.load()
    documents.path.write_text(json.dumps(tables))
    with pytest.raises(DataError, match="T-03"), documents.edit() as draft:
        draft.standing["T-04"] = NOTE


def test_an_order_under_another_key_is_not_written(documents: Documents) -> None:
    with pytest.raises(DataError, match="P1"), documents.edit() as draft:
        draft.orders["P9"] = ORDERS[0]
    assert tuple(documents.load().orders.values()) == ORDERS
