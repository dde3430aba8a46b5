"""What `sortbench plan` prints: tables for people, an object for programs."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
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
        _choice_cells(made, name_of),
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
    if made.spares:
        write("\n")
        _show_spares(made, name_of)
    for code, finished in made.finished.items():
        say(f"{code}: {'worth finishing' if finished else 'not worth finishing; its pieces are spares'}")
    _say_total(made)
    _say_settled(made)


def _choice_cells(made: Planned, name_of: Callable[[str], str]) -> list[tuple[str, ...]]:
    """What is done line by line."""
    currency = made.question.currency
    return [
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
    ]


def _show_spares(made: Planned, name_of: Callable[[str], str]) -> None:
    """What becomes spare and what is so already, with what it brings."""
    currency = made.question.currency
    answer_table(
        (
            Heading("spare piece", wide=True),
            Heading("condition"),
            Heading("pieces", number=True),
            Heading("each", number=True),
            Heading("together", number=True),
            Heading("why", wide=True),
        ),
        [
            (
                f"{name_of(row.piece.kind.part)}, {row.piece.kind.shade}",
                row.condition,
                f"{row.quantity:,}",
                *(f"{as_amount(each, currency):,}" if row.each else "-" for each in (row.each, row.all)),
                row.why,
            )
            for row in made.spares
        ],
        "",
    )
    becoming = [row for row in made.spares if row.target]
    already = [row for row in made.spares if not row.target]
    for rows, what in (becoming, "become spare"), (already, "spare already"):
        if rows:
            pieces, sum_ = sum(row.quantity for row in rows), sum(row.all for row in rows)
            brings = f", {money_words(sum_, currency)}" if made.question.priced else ""
            say(f"{pieces:,} pieces {what}{brings}")
    if not made.question.priced:
        say("Spares are worth nothing here: `sortbench prices --spare 60` says what share of the offers they bring.")


def _say_settled(made: Planned) -> None:
    """What is settled by hand, and how to let it go."""
    limits, currency = made.settled.limits, made.question.currency
    told = [] if limits.budget is None else [f"at most {limits.budget} {currency} paid (--budget none lifts it)"]
    if limits.parcels is not None:
        told.append(f"at most {limits.parcels} parcel{'' if limits.parcels == 1 else 's'} (--parcels none lifts it)")
    if told:
        say(f"limits: {', '.join(told)}")
    for lock in made.settled.locks:
        words = made.waiting.get(lock.line) or f"{lock.target} line {lock.number} is locked to {lock.words}."
        say(f"{words} --unlock {lock.target} {lock.number} lets go.")


def _say_total(made: Planned) -> None:
    plan, currency = made.plan, made.question.currency
    if made.choices or made.finished:
        words = "total cost, less what finished targets and spares bring" if made.finished else "total cost"
        state = "proven: no plan costs less" if plan.proven else f"at most {plan.gap:.2%} from the best"
        stopped = "; stopped by hand" if plan.cancelled else ""
        paid = f"{money_words(plan.outlay, currency)} paid to sellers"
        say(f"{paid}; {words} {money_words(plan.cost, currency)} ({state}{stopped})")
    for words in (*made.binding, *made.question.notes):
        say(words)


def as_json(made: Planned, dropped: Sequence[str]) -> None:
    """The same as an object; amounts are texts in the bench's money, ASCII only.

    Args:
        made: the plan.
        dropped: sentences on locks that were dropped.
    """
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
        "spares": [
            {
                "part": row.piece.kind.part,
                "shade": row.piece.kind.shade,
                "grade": row.piece.grade.label if row.piece.grade else None,
                "flaws": [flaw.value for flaw in row.piece.flaws],
                "quantity": row.quantity,
                "each": amount(row.each) if row.each else None,
                "together": amount(row.all) if row.each else None,
                "target": row.target or None,
                "why": row.why,
            }
            for row in made.spares
        ],
        "locks": [
            {
                "target": lock.target,
                "line": lock.number,
                "choice": str(lock.choice),
                "offer": lock.offer or None,
                "waits": lock.line in made.waiting,
            }
            for lock in made.settled.locks
        ],
        "dropped": list(dropped),
        "limits": {
            "budget": None if made.settled.limits.budget is None else str(made.settled.limits.budget),
            "parcels": made.settled.limits.parcels,
        },
        "total": {
            "currency": currency,
            "cost": amount(plan.cost),
            "paid": amount(plan.outlay),
            "value": amount(made.totals.value),
            "spares": amount(made.totals.spares),
            "bound": amount(plan.bound),
            "gap": plan.gap,
            "proven": plan.proven,
            "cancelled": plan.cancelled,
        },
        "binding": list(made.binding),
        "notes": list(made.question.notes),
    }
    write(json.dumps(answer, indent=1) + "\n")
