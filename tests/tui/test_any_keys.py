"""Any keys in any order on the reconcile screen and the pick list: nothing fails, no piece is lost or made."""

from __future__ import annotations

import random

import pytest

from sortbench.bench import Bench
from sortbench.tui.app import SortbenchApp
from sortbench.tui.keys import COMMANDS, keymap
from sortbench.tui.screens.pick import PickScreen
from sortbench.tui.screens.reconcile import ReconcileScreen
from tests.tui.looking import press
from tests.tui.reconciling import reconciled

LEADING_AWAY = frozenset({"f10", "ctrl+q", "ctrl+p", ":", "f2", "f3", "f4", "f5", "?", "f1", "escape"})
"""On the bench, where Escape leads in the end, the keys that follow would count."""


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("place", ["reconcile", "pick"])
async def test_any_keys_do_no_harm(app: SortbenchApp, bench: Bench, place: str, seed: int) -> None:
    reconciled(bench)
    bench.enter("br pl 12 *7")
    pieces = bench.picture.ledger.pieces
    draw = random.Random(seed)
    keys = sorted(set(keymap(COMMANDS, place)) - LEADING_AWAY)  # type: ignore[arg-type]
    async with app.run_test(size=draw.choice([(80, 24), (120, 36), (40, 12)])) as pilot:
        for _ in range(10):
            if not isinstance(app.screen, PickScreen if place == "pick" else ReconcileScreen):
                await press(pilot, "f6")
                if place == "pick":
                    bench.trial.let_go()
                    app.over.pick("T-07")
                await pilot.pause()
            await press(pilot, *(draw.choice([*keys, "2", "w", "right", "down"]) for _ in range(10)))
            await press(pilot, "escape")
            assert bench.picture.ledger.pieces == pieces
            assert sum(row.present for row in bench.target_rows()) <= pieces
    with Bench.open(bench.path) as again:
        assert again.target_rows() == bench.target_rows(), "what is shown is on disk"
