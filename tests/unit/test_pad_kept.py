"""How the keypad lies is kept while somebody counts: aside, so that no key waits, and never lost for good."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from sortbench.bench import Bench


def refusing(*_: object) -> None:
    """A disk that is full."""
    raise OSError(28, "No space left on device")


def test_how_the_slots_lie_survives_a_crash_once_kept(opened: Callable[[], Bench]) -> None:
    bench = opened()
    bench.pad.view()
    for line in ("plate 2x4 red *2", "tile 2x2 white", "arch grey"):
        bench.enter(line)
    lying = [slot.name for slot in bench.pad.view().slots]
    bench.keep_layout()
    assert bench.settle(wait_s=5)
    later = opened()  # the first sitting never ends: as after a crash
    assert [slot.name for slot in later.pad.view().slots] == lying


def test_keeping_the_layout_does_not_wait_for_another_program(bench: Bench) -> None:
    bench.pad.view()
    bench.enter("plate 2x4 red")
    with bench.folder.documents.edit():
        bench.keep_layout()
        bench.enter("plate 1x2 white")
        bench.keep_layout()  # the first one is on its way still
        assert not bench.settle() and not bench.folder.documents.load().pads, "the other program was writing"
    assert bench.settle(wait_s=5)
    first = bench.folder.documents.load().pads
    assert first and "plate-1x2" not in str(first)
    bench.keep_layout()
    assert bench.settle(wait_s=5)
    assert "plate-1x2" in str(bench.folder.documents.load().pads)
    stamp = bench.folder.documents.stamp()
    bench.keep_layout()
    assert bench.settle(wait_s=5)
    assert bench.folder.documents.stamp() == stamp, "nothing changed, nothing is written"


def test_a_layout_that_could_not_be_written_goes_with_a_later_one(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench.pad.view()
    bench.enter("plate 2x4 red")
    with monkeypatch.context() as patch:
        patch.setattr("sortbench.store.atomic_storage.replace_file", refusing)
        bench.keep_layout()
        assert bench.settle(wait_s=5)
    assert not bench.folder.documents.load().pads
    bench.keep_layout()  # notices, and has it written
    assert bench.settle(wait_s=5)
    assert bench.folder.documents.load().pads
