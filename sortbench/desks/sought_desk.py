"""What the lines that a tally fills were waiting for: pieces on order, or such as cannot be had."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from sortbench.engine.finishing.orders import states_of
from sortbench.engine.finishing.standing import Sought
from sortbench.model.errors import BenchError

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.engine.board import Receipt


class SoughtDesk:
    """What is sought at one bench for as long as its orders and offers stay as they are.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench

    def words(self, receipt: Receipt) -> str:
        """What the holes that were just filled were waiting for; nothing where the orders cannot be read."""
        try:
            return self._sought.words(receipt.fills) if receipt.fills else ""
        except BenchError:
            return ""

    @cached_property
    def _sought(self) -> Sought:
        """Worked out when a hole is first filled."""
        documents, picture = self._bench.documents, self._bench.picture
        states = states_of(documents.orders.values(), picture.ledger, picture.catalogue)
        return Sought(states, documents.offers)
