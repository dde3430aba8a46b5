"""How alike in colour the pieces of each target are, and what might change places, in words and with what to type."""

from __future__ import annotations

import shlex
from typing import NamedTuple

from sortbench.desk import Desk
from sortbench.engine.condition.uniform import Pair, spreads
from sortbench.engine.condition.uniform import SpreadRow as SpreadRow
from sortbench.engine.condition.uniform import Tint as Tint
from sortbench.engine.condition.uniform_swaps import Exchange, proposals
from sortbench.engine.condition.uniform_swaps import Proposal as Proposal
from sortbench.engine.reconciling.what_if import find_target
from sortbench.model.grade import Flaws


class Uniform(NamedTuple):
    """Spreads by target and shade, and proposals to lower them."""

    rows: tuple[SpreadRow, ...]
    proposals: tuple[Proposal, ...]


def uniform(bench: Desk, code: str = "", half_steps: int = 1) -> Uniform:
    """How alike the pieces of a target are, or of all targets; nothing is written.

    Args:
        code: the target; empty for all.
        half_steps: how far apart grades may be that change places, 0 for no proposals.

    Raises:
        DataError: no such target.
    """
    codes = (find_target(bench.picture, code).code,) if code else ()
    found = proposals(bench.picture, codes, half_steps) if half_steps else ()
    return Uniform(spreads(bench.picture, codes), found)


def pair_words(bench: Desk, pair: Pair) -> str:
    """The two that differ most: ``plate 2x4 (5) and tile 2x2 (4, read)``."""
    return f"{_tint_words(bench, pair.better)} and {_tint_words(bench, pair.worse)}"


def _tint_words(bench: Desk, tint: Tint) -> str:
    grade = tint.grade.label if tint.grade else "not judged"
    state = ", ".join([grade, *(flaw.value for flaw in tint.flaws), *(["read"] if tint.lab else [])])
    return f"{bench.catalogue.part_name(tint.kind.part)} ({state})"


def exchange_words(exchange: Exchange) -> str:
    """What changes places: ``2 × plate 2x4 of grade 4 for 4-5; those go to Signal Hut``."""
    flaws = "".join(f", {flaw.value}" for flaw in exchange.flaws)
    goes = " and ".join(exchange.partners) or "the spares"
    return (
        f"{exchange.quantity:,} × {exchange.name} of grade {exchange.gives.label}{flaws} for {exchange.gets.label}; "
        f"those go to {goes}"
    )


def commands(bench: Desk, proposal: Proposal) -> tuple[str, ...]:
    """What to type to bring a proposal about; `sortbench release` takes it back."""
    entries = []
    for kind, grade, flaws, quantity in proposal.asides:
        words = [bench.catalogue.part_name(kind.part), kind.shade, f"!{grade.label}" if grade else "", _marks(flaws)]
        entries.append(shlex.quote(" ".join([*filter(None, words), f"*{quantity}"])))
    return (f"sortbench reserve {shlex.quote(proposal.target)} {' '.join(entries)}",)


def _marks(flaws: Flaws) -> str:
    return " ".join(f"#{flaw.value.split()[0]}" for flaw in flaws)
