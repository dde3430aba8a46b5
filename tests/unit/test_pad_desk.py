"""The keypad at work on a real bench: one key, one piece."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_bench import BRICK, PLATE, TILE

from sortbench.bench import Bench
from sortbench.engine.board import Notice, Receipt
from sortbench.engine.entering.keypad import PAGES, SLOTS
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError, WriteError

Opener = Callable[[], Bench]


def key_of(bench: Bench, name: str) -> str:
    """The slot of the page shown on which something lies."""
    return next(slot.key for slot in bench.pad.view().slots if slot.name == name)


def press(bench: Bench, keys: str) -> Receipt | Notice | None:
    """Press keys one after the other; the answer to the last."""
    answer = None
    for key in keys:
        answer = bench.pad.press(key)
    return answer


def layout(bench: Bench) -> list[str]:
    return [slot.name for slot in bench.pad.view().slots]


def test_the_slots_lie_as_on_the_number_block_and_hold_what_is_needed(bench: Bench) -> None:
    bench.hold_shade("red")
    view = bench.pad.view()
    assert (view.title, view.tray, view.page, view.note) == ("red", "kinds", 0, "")
    assert [slot.key for slot in view.slots] == list(SLOTS)
    lying = {slot.name: slot for slot in view.slots if slot.name}
    assert set(lying) >= {"plate 2x4", "brick 2x4"}
    assert (lying["plate 2x4"].wants, lying["plate 2x4"].counted, lying["plate 2x4"].detail) == (7, 0, "")


def test_one_key_counts_one_piece(bench: Bench) -> None:
    bench.hold_shade("red")
    key = key_of(bench, "plate 2x4")
    for total in (1, 2, 3):
        receipt = press(bench, key)
        assert isinstance(receipt, Receipt)
        assert (receipt.kind, receipt.quantity, receipt.total, receipt.bin) == (PLATE, 1, total, "B1")
    assert bench.recent(1)[0].way == "pad"


def test_what_is_held_goes_with_the_key(bench: Bench) -> None:
    bench.enter(".red !3-4 @rest")
    receipt = press(bench, key_of(bench, "plate 2x4"))
    assert isinstance(receipt, Receipt)
    assert (receipt.grade.label if receipt.grade else "", receipt.bin) == ("3-4", "REST")


def test_an_empty_slot_counts_nothing_and_says_so(bench: Bench) -> None:
    bench.hold_shade("grey, late")
    empty = next(slot.key for slot in bench.pad.view().slots if not slot.name)
    with pytest.raises(DataError, match="Nothing lies on that slot"):
        bench.pad.press(empty)
    assert bench.picture.ledger.pieces == 0


def test_a_page_key_and_a_slot_count_from_another_page(bench: Bench) -> None:
    bench.hold_shade("white")
    for number in range(12):
        bench.enter(f"+ wedge {number + 1}x20 white")
    bench.pad.view()
    page = next(at for at, group in enumerate(bench.pad.view().pages) if at and group)
    assert bench.pad.press(PAGES[page]) is None
    view = bench.pad.view()
    assert view.page == page
    slot = next(slot for slot in view.slots if slot.name)
    receipt = bench.pad.press(slot.key)
    assert isinstance(receipt, Receipt)
    assert receipt.name == slot.name
    assert bench.pad.view().page == 0


def test_a_shade_from_the_tray_is_for_one_piece_or_held(bench: Bench) -> None:
    assert bench.pad.press("0") is None
    view = bench.pad.view()
    assert (view.tray, view.note) == ("shades", "which shade?")
    assert view.ways == "{slot.1}-{slot.9}, {shade} for more, {pad.undo} for none"
    red = next(slot.key for slot in view.slots if slot.name == "red")
    assert bench.pad.press(red) is None
    assert (bench.pad.view().title, bench.pad.view().note) == ("red", "one piece in red;")
    receipt = bench.pad.press(key_of(bench, "brick 2x4"))
    assert isinstance(receipt, Receipt)
    assert receipt.kind == BRICK
    assert (bench.held.shade, bench.pad.view().title) == ("", "all shades")
    assert press(bench, f"0{red}0") == Notice("held: red", held=True)
    assert bench.held.shade == "red"
    assert press(bench, "0.") == Notice("no shade held", held=True)
    assert bench.held.shade == ""


def test_an_empty_slot_of_the_tray_says_so(bench: Bench) -> None:
    with pytest.raises(DataError, match="No shade lies on that slot"):
        press(bench, "09")


def test_escape_lets_go_of_what_is_pending(bench: Bench) -> None:
    bench.hold_shade("red")
    bench.pad.press("s")
    assert bench.pad.view().page == 1
    bench.pad.press("escape")
    assert bench.pad.view().page == 0


@pytest.mark.parametrize("key", ["z", "x", "é", "12", ""])
def test_a_key_that_means_nothing_counts_nothing(bench: Bench, key: str) -> None:
    answer = bench.pad.press(key)
    assert isinstance(answer, Notice)
    assert "does nothing here" in answer.text
    assert bench.picture.ledger.pieces == 0


def test_bins_alone_take_pieces_that_nobody_looked_at_closely(bench: Bench) -> None:
    assert press(bench, "v") == Notice("bins alone: shape and size not looked at")
    view = bench.pad.view()
    assert (view.tray, [slot.name for slot in view.slots[:5]]) == ("bins", ["FLAWED", "FADED", "B1", "B2", "REST"])
    receipt = press(bench, "3")
    assert isinstance(receipt, Receipt)
    assert (receipt.kind, receipt.bin, receipt.shade) == (None, "B1", "red")
    assert bench.pad.view().slots[2].counted == 1
    with pytest.raises(DataError, match="No bin lies on that slot"):
        press(bench, "9")
    assert bench.pad.press("s") is None
    with pytest.raises(DataError, match="No bin lies on that slot"):
        bench.pad.press("1")
    assert press(bench, "v") == Notice("kinds")
    assert bench.pad.view().tray == "kinds"


def test_slots_stay_where_they_are_until_a_reshuffle_is_asked_for_and_meant(bench: Bench) -> None:
    bench.hold_shade("red")
    before = layout(bench)
    for _ in range(30):
        bench.enter("plate 1x2")
    lying = layout(bench)
    assert all(now == then for then, now in zip(before, lying, strict=True) if then)
    assert bench.pad.press("r") is None
    assert bench.pad.view().ways == "{yes} does it"
    assert press(bench, "n") == Notice("left as it lies")
    assert layout(bench) == lying
    assert bench.picture.ledger.pieces == 30
    press(bench, "ry")
    assert layout(bench)[SLOTS.index("5")] == "plate 1x2"  # the resting finger's slot


def test_a_pinned_slot_stays_through_a_reshuffle(bench: Bench) -> None:
    bench.hold_shade("red")
    key = key_of(bench, "brick 2x4")
    assert press(bench, f"p{key}") == Notice("pinned: brick 2x4")
    assert bench.pad.view().slots[SLOTS.index(key)].pinned
    for _ in range(30):
        bench.enter("plate 1x2")
    press(bench, "ry")
    assert key_of(bench, "brick 2x4") == key
    assert press(bench, f"p{key}") == Notice("unpinned: brick 2x4")
    empty = next(slot.key for slot in bench.pad.view().slots if not slot.name)
    with pytest.raises(DataError, match="Nothing lies on that slot"):
        press(bench, f"p{empty}")


def test_slots_lie_where_they_lay_after_a_restart(opened: Opener) -> None:
    first = opened()
    first.hold_shade("red")
    lying = layout(first)
    for _ in range(9):  # by now another order would be likelier
        first.enter("plate 1x2")
    first.enter("+ trough 1x9")
    assert layout(first) != lying
    lying = layout(first)
    tray = press(first, "0"), [slot.name for slot in first.pad.view().slots]
    first.close()
    second = opened()
    second.hold_shade("red")
    assert layout(second) == lying
    assert (second.pad.press("0"), [slot.name for slot in second.pad.view().slots]) == tray


def test_what_is_kept_of_the_pads_may_be_damaged_and_is_laid_out_anew(opened: Opener) -> None:
    first = opened()
    first.keep(lambda draft: draft.pads.update({"pad:red": {"kinds": 3}, "tray": [], "pad:": None}))
    bench = opened()
    bench.hold_shade("red")
    assert "plate 2x4" in layout(bench)
    bench.hold_shade("")
    assert any(layout(bench))


def test_a_kind_that_was_counted_gets_a_slot_of_its_own(bench: Bench) -> None:
    bench.hold_shade("red")
    bench.pad.view()
    bench.enter("+ trough 2x9")
    assert "trough 2x9" in layout(bench)
    assert press(bench, key_of(bench, "trough 2x9")) is not None
    assert bench.picture.counted(Kind("trough-2x9", "red")) == 2


def test_on_the_mixed_pad_each_slot_says_its_shade(bench: Bench) -> None:
    slots = {(slot.name, slot.detail) for slot in bench.pad.view().slots}
    assert {("plate 2x4", "red"), ("brick 2x4", "red"), ("tile 2x2", "white")} <= slots
    receipt = press(bench, key_of(bench, "tile 2x2"))
    assert isinstance(receipt, Receipt)
    assert receipt.kind == TILE


def test_a_disk_that_refuses_counts_nothing_and_the_next_key_works(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench.hold_shade("red")
    key = key_of(bench, "plate 2x4")

    def refuse(*_: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sortbench.store.durable.os.write", refuse)
    with pytest.raises(WriteError):
        bench.pad.press(key)
    assert bench.pad.view().slots[SLOTS.index(key)].counted == 0
    monkeypatch.undo()
    assert isinstance(bench.pad.press(key), Receipt)


def test_a_bench_that_cannot_be_written_closes_all_the_same(
    opened: Opener, bench_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = opened()
    bench.hold_shade("red")
    press(bench, key_of(bench, "plate 2x4"))

    def refuse(*_: object) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as full:
        full.setattr("sortbench.store.durable.os.write", refuse)
        bench.close()
    assert opened().picture.ledger.pieces == 1
