"""A label scanned at the bench: a scanner is a keyboard that types fast, whatever state the entry line is in."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.tui.app import SortbenchApp
from tests.tui.looking import enter, line_with, press, text


async def test_a_scan_while_typing_holds_the_bin_and_counts_nothing(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, *"@b2")
        assert "Enter holds bin B2" in text(app)
        await press(pilot, "enter")
        assert (bench.held.bin, bench.picture.ledger.pieces) == ("B2", 3)
        await enter(pilot, "wh pl 24")
        assert bench.recent(1)[0].bin == "B2"


@pytest.mark.parametrize("label", ["B2", "b2"])
async def test_a_scan_on_the_keypad_counts_nothing_and_leads_back_to_it(
    app: SortbenchApp, bench: Bench, label: str
) -> None:
    """Letters and digits of a label are keys of the keypad: 2 would count a piece, Enter the same again."""
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "escape", "7")
        before = bench.picture.ledger.pieces
        await press(pilot, "@", *label, "enter")
        assert (bench.held.bin, bench.picture.ledger.pieces) == ("B2", before)
        assert "held: grade 5; bin B2" in text(app) and "keypad" in line_with(app, "> ")
        await press(pilot, "enter")  # a key of the keypad again: the same once more
        assert bench.picture.ledger.pieces == before + 1


async def test_two_scans_and_a_key_in_one_burst_keep_their_order(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24")
        await press(pilot, "escape")
        await press(pilot, *"@B1", "enter", *"@T-07", "enter", *"@B3", "enter", "enter")
        assert bench.held.bin == "B3" and bench.picture.ledger.pieces == 2
        assert bench.recent(1)[0].bin == "B1"  # the same again lies where it lay


async def test_the_label_of_a_crate_says_what_it_lacks(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "escape", *"@T-07", "enter")
        assert "crate T-07, Glasshouse: 3 of 15 to standard, 12 missing: 1 × plate 2x4 white" in text(app)
        assert bench.picture.ledger.pieces == 3 and not bench.held.bin


async def test_an_unknown_label_on_the_keypad_is_told_and_the_keypad_stays(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24")
        await press(pilot, "escape", *"@B77", "enter")
        assert "No bin is labelled 'B77'" in text(app)
        await press(pilot, "@", *"B3", "enter", "enter")
        assert bench.held.bin == "B3" and bench.picture.ledger.pieces == 2


async def test_leaving_a_scan_half_way_is_leaving_it(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "escape", *"@B", "escape", "/", *"wh pl 24", "enter", *"gr br 24", "enter")
        assert bench.picture.ledger.pieces >= 1  # typing, not the keypad, got the second entry
        assert bench.recent(1)[0].name == "brick 2x4"
