"""What `sortbench plan` prints: tables for people, an object for programs."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING

from sortbench.cli.context import FORMAT
from sortbench.cli.output import Heading, answer_table, write
from sortbench.cli.say import say
from sortbench.model.money import as_amount, money_words

if TYPE_CHECKING:
    from sortbench.desks.plan_desk import Planned


def show(made: Planned, name_of: Callable[[str], str]) -> None:
    """What is done on each line, what each seller sends, and what it comes to."""
    currency = made.question.currency
    answer_table(
        (
            Heading("target"),
            Heading("line", number=True),
            Heading("piece", wide=True),
            Heading("choice"),
            Heading("pieces", number=True),
            Heading("each", number=True),
            Heading("which", wide=True),
            Heading("why", wide=True),
        ),
        [
            (
                row.target,
                str(row.number),
                f"{name_of(row.kind.part)}, {row.kind.shade}",
                str(row.choice),
                f"{row.quantity:,}",
                f"{as_amount(row.each, currency):,}",
                row.what,
                row.why,
            )
            for row in made.choices
        ],
        "Nothing is to be done.",
    )
    if made.parcels:
        write("\n")
        answer_table(
            (
                Heading("seller", wide=True),
                Heading("pieces", number=True),
                Heading("grams", number=True),
                Heading("goods", number=True),
                Heading("shipping", number=True),
                Heading("to pay", number=True),
            ),
            [
                (
                    row.seller,
                    f"{row.pieces:,}",
                    f"{row.grams:.1f}",
                    *(f"{as_amount(each, currency):,}" for each in (row.goods, row.shipping, row.goods + row.shipping)),
                )
                for row in made.parcels
            ],
            "",
        )
    for code, finished in made.finished.items():
        say(f"{code}: {'worth finishing' if finished else 'not worth finishing; its pieces are spares'}")
    _say_total(made)


def _say_total(made: Planned) -> None:
    plan, currency = made.plan, made.question.currency
    if made.choices or made.finished:
        words = "total cost, less what finished targets are worth" if made.finished else "total cost"
        state = "proven: no plan costs less" if plan.proven else f"at most {plan.gap:.2%} from the best"
        stopped = "; stopped by hand" if plan.cancelled else ""
        paid = f"{money_words(plan.outlay, currency)} paid to sellers"
        say(f"{paid}; {words} {money_words(plan.cost, currency)} ({state}{stopped})")
    for words in (*made.binding, *made.question.notes):
        say(words)


def as_json(made: Planned) -> None:
    """The same as an object; amounts are texts in the bench's money, ASCII only."""
    plan, currency = made.plan, made.question.currency

    def amount(units: int) -> str:
        return str(as_amount(units, currency))

    answer = {
        "format": FORMAT,
        "what": "plan",
        "rows": [
            {
                "target": row.target,
                "line": row.number,
                "part": row.kind.part,
                "shade": row.kind.shade,
                "choice": str(row.choice),
                "quantity": row.quantity,
                "which": row.what,
                "offer": row.offer or None,
                "cost": amount(row.each),
                "price": amount(row.price) if row.offer else None,
                "why": row.why,
            }
            for row in made.choices
        ],
        "parcels": [
            {
                "seller": row.seller,
                "pieces": row.pieces,
                "grams": row.grams,
                "goods": amount(row.goods),
                "shipping": amount(row.shipping),
            }
            for row in made.parcels
        ],
        "finished": dict(made.finished),
        "total": {
            "currency": currency,
            "cost": amount(plan.cost),
            "paid": amount(plan.outlay),
            "bound": amount(plan.bound),
            "gap": plan.gap,
            "proven": plan.proven,
            "cancelled": plan.cancelled,
        },
        "binding": list(made.binding),
        "notes": list(made.question.notes),
    }
    write(json.dumps(answer, indent=1) + "\n")
