"""A receipt as it stands under the entry line: what was counted, and what came of it."""

from __future__ import annotations

from sortbench.engine.board import Receipt
from sortbench.model.tally import Fate
from sortbench.tui.drawing.bench_rows import FULL, OVER
from sortbench.tui.drawing.words import condition, joined, swatch
from sortbench.tui.keymap import Keymap
from sortbench.tui.widgets.rows import Row


def counted(receipt: Receipt) -> Row:
    """What was counted, and where it goes."""
    if receipt.fate is Fate.WASH:
        goes: Row = (("→ set aside for another wash", "warning"),)
    elif receipt.fate is Fate.OUT:
        goes = (("→ discarded", "warning"),)
    elif receipt.target:
        goes = (("→ the list", "good"),)
    else:
        goes = ((f"→ {receipt.bin}" if receipt.bin else "→ no bin takes it", "good" if receipt.bin else "warning"),)
    speck: Row = (swatch(receipt.rgb, receipt.shade), (" ", "text")) if receipt.shade else ()
    state = "  " if receipt.target else f"  {condition(receipt.grade, receipt.flaws)}  "
    return (
        ("✓ ", "good"),
        (f"{receipt.quantity:,} × ", "strong"),
        *speck,
        (" · ".join(filter(None, [receipt.name, receipt.shade])), "strong"),
        (state, "text"),
        *goes,
    )


def consequences(receipt: Receipt, keys: Keymap) -> Row:
    """What that filled and overflowed, whom it serves, and what else is to be said of it."""
    parts: list[Row] = []
    if receipt.overflow:
        more = "" if receipt.proposal else keys.said(" · {bins} says more")
        parts.append(((f"{OVER} {receipt.overflow} overflows", "over"), (more, "quiet")))
    for name in receipt.targets_done:
        parts.append(((f"{FULL} fills the last hole in {name}", "good"),))
    if receipt.sought:
        parts.append(((receipt.sought, "good"),))
    if receipt.crates:
        crates = ", ".join(
            (f"{c.name} line {c.number}" if c.number else c.name) + (f" ({c.pieces:,})" if c.pieces != 1 else "")
            for c in receipt.crates[:3]
        )
        more = f" and {len(receipt.crates) - 3} more" if len(receipt.crates) > 3 else ""
        parts.append(((f"for {crates}{more}", "text"),))
    elif (
        receipt.kind is not None
        and not receipt.target
        and receipt.fate is Fate.KEPT
        and receipt.spare >= receipt.quantity
    ):
        # A tally put right may fill the same line as before: nothing is gained, and yet the piece is needed.
        parts.append((("no target needs it", "quiet"),))
    if receipt.lines_done and not receipt.targets_done:
        done = receipt.lines_done[0] + (f" and {len(receipt.lines_done) - 1} more" if receipt.lines_done[1:] else "")
        parts.append(((f"{FULL} {done}", "good"),))
    if receipt.proposal:
        parts.append(((receipt.proposal, "warning"),))
    if receipt.note:
        parts.append(((receipt.note, "quiet"),))
    return joined(parts, " · ")
