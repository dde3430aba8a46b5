"""News of the bench: what stands on the top line for some seconds, whatever is counted next."""

from __future__ import annotations

from sortbench.engine.board import Receipt
from sortbench.tui.drawing.bench_rows import FULL, OVER
from sortbench.tui.drawing.words import joined
from sortbench.tui.widgets.rows import Row


def news_row(receipt: Receipt) -> Row:
    """What a receipt says that should outlast the next key: a target that became complete, a bin that ran over.

    Empty for most receipts.
    """
    parts: list[Row] = []
    if receipt.all_done:
        parts.append(((f"{FULL} every target is complete", "good"),))
    elif receipt.targets_done:
        verb = "is" if len(receipt.targets_done) == 1 else "are"
        parts.append(((f"{FULL} {' and '.join(receipt.targets_done)} {verb} complete", "good"),))
    if receipt.ran_over:
        parts.append(((f"{OVER} {receipt.overflow} overflows", "over"),))
    return joined(parts)
