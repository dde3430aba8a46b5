"""On each run every call of small acts fails, and a third of the calls of large ones; ``fault_loop.py`` fails all."""

from __future__ import annotations

from pathlib import Path

import pytest
from acts import ACTS, Act
from fault_layer import Fault, faults
from fault_loop import EVERY_WAY, Trials

from sortbench.store.durable import replace_file


@pytest.mark.parametrize("act", ACTS, ids=[act.name for act in ACTS])
def test_a_disk_that_refuses_loses_nothing_and_lies_about_nothing(tmp_path: Path, act: Act) -> None:
    loop = Trials(act, tmp_path)
    share = 3 if loop.points > 30 else 1
    loop.all(EVERY_WAY, step=share * len(EVERY_WAY))
    assert loop.troubles == []
    assert loop.trials * 2 > loop.points // share >= 3
    assert sum(loop.ends.values()) - loop.ends["done"] > 0 or act.name == "leaving", "no failure came through"


def test_the_layer_sees_every_call_and_fails_the_one_it_is_told(tmp_path: Path) -> None:
    """Else a loop without troubles would say nothing."""
    path = tmp_path / "file"
    path.write_bytes(b"old")
    with faults() as layer:
        replace_file(path, b"new")
        assert path.read_bytes() == b"new"
    assert " ".join(layer.calls) == "stat open stat fchmod write fsync close replace open fsync close open read"
    for at, call in enumerate(layer.calls, 1):
        with faults(at, Fault.INPUT_OUTPUT) as once, pytest.raises(Exception, match="Input/output error"):
            replace_file(path, b"new")
            path.read_bytes()
        assert once.failed and once.calls[at - 1] == call
