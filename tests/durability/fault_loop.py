"""Every system call of every act fails once, in each way; then it is looked at what is left.

    python -m tests.durability.fault_loop            # all acts, all faults: some minutes
    python -m tests.durability.fault_loop --act tally --act undo

After each failure: whatever was acknowledged is there and what was refused is not, the bench that stays open shows what
is on disk, counting goes on, ``check`` finds no damage, and ``check --repair`` clears the traces and changes no figure.
"""

from __future__ import annotations

import argparse
import re
import shutil
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

if __name__ == "__main__":  # pytest has the tests' folders on its path
    sys.path[1:1] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from acts import ACTS, Act, make_template
from fault_layer import Fault, FaultLayer, faults
from small_bench import ticking

from sortbench.bench import Bench
from sortbench.model.errors import SortbenchError, WriteError
from sortbench.model.tally import Record, What
from sortbench.store.folder import BenchFolder, Severity
from sortbench.store.log_reading import read_log

CONFESSIONS = ("may be in it", "did not confirm")
"""What an error says that does not know whether the act is kept."""

_CLOSED = ("closed to further writing", "changed by another", "exists already")
"""What a sitting says that counts no more until the bench is opened again."""

Said = tuple[Any, ...]
"""What a record says, without its number and time."""


class State(NamedTuple):
    """What a bench holds.

    Attributes:
        records: what each sitting's records say.
        counts: heap by heap.
        documents: all that is set up, table by table, but for how the keypad lies.
    """

    records: dict[str, list[Said]]
    counts: dict[Any, int]
    documents: tuple[Any, ...]


def state_of(folder: Path) -> State:
    """A bench as somebody finds it who opens it now."""
    with Bench.open(folder, ticking()) as bench:
        return State(records_of(folder), dict(bench.picture.ledger.counts), _told(bench))


def _told(bench: Bench) -> tuple[str, ...]:
    documents = bench.documents._replace(pads={})
    told = (repr(dict(each) if hasattr(each, "keys") else each) for each in documents)
    return tuple(_SITTING.sub("a sitting", each) for each in told)


_SITTING = re.compile(r"\d{8}T\d{6}Z-[a-z2-7]{6}")
"""Part of it is drawn by chance, so no two runs have the same."""


def records_of(folder: Path) -> dict[str, list[Said]]:
    """What the records of each sitting say, in their order."""
    found = {}
    for log in sorted((folder / "tallies").glob("[!.]*.jsonl")):
        found[log.stem] = [_said(record) for record in read_log(log).records if record.what is not What.OPEN]
    return {sitting: said for sitting, said in found.items() if said}


def _said(record: Record) -> Said:
    return record.what, record.cell, record.quantity, record.to_bin, record.target, record.way, record.became


class Trials:
    """The loop over one act.

    Args:
        act: what is done.
        scratch: an empty folder.

    Attributes:
        points: calls that the act makes.
        trials: how often one of them was made to fail.
        troubles: what went wrong, in words; empty if all is well.
        ends: how trials ended: ``done``, or the name of the error.
    """

    def __init__(self, act: Act, scratch: Path) -> None:
        self.act = act
        self.points = 0
        self.trials = 0
        self.troubles: list[str] = []
        self.ends: Counter[str] = Counter()
        self._scratch = scratch
        self._owned_up = False
        self._template = scratch / "template"
        self._template.mkdir()
        make_template(self._template)
        self._before = state_of(self._template / "bench")
        with self._bench() as (bench, beside):
            layer = self._act(bench, beside, 0, Fault.INPUT_OUTPUT, False)
            assert not isinstance(layer, BaseException), layer
            self.points = len(layer.calls)
            bench.close()
            self._after = self._state(beside)

    def all(self, faults: Sequence[tuple[Fault, bool]], step: int = 1) -> None:
        """Fail every call in each of the ways; with a step only every so many-th, the ways taking turns."""
        for point in range(1, self.points + 40):
            failed = False
            for place, (fault, onward) in enumerate(faults):
                if (point + place) % step == 0 or point > self.points:
                    failed |= self._one(point, fault, onward)
            if point >= self.points and not failed:
                return
        self.troubles.append(f"{self.act.name}: there is no end of calls to fail")

    def _one(self, point: int, fault: Fault, onward: bool) -> bool:
        with self._bench() as (bench, beside):
            came = self._act(bench, beside, point, fault, onward)
            if isinstance(came, FaultLayer) and not came.failed:
                return False
            self.trials += 1
            name = "done" if isinstance(came, FaultLayer) else type(came).__name__
            self.ends[name] += 1
            where = f"{self.act.name}, call {point}, {fault.name}{' and on' if onward else ''}, {name}"
            if isinstance(came, BaseException):
                where += f" ({str(came)[:150]})"
            try:
                self._look(bench, beside, None if isinstance(came, FaultLayer) else came, where)
            except (AssertionError, SortbenchError, OSError) as error:
                self.troubles.append(f"{where}: {type(error).__name__} {error}")
        return True

    def _bench(self) -> Any:
        from contextlib import contextmanager

        @contextmanager
        def opened() -> Iterator[tuple[Bench, Path]]:
            beside = Path(shutil.copytree(self._template, self._scratch / "trial"))
            bench = Bench.open(beside / "bench", ticking())
            try:
                for line in self.act.warm:
                    bench.enter(line)
                if self.act.closed and not self.act.warm:
                    bench.close()
                yield bench, beside
            finally:
                bench.close()
                shutil.rmtree(beside)

        return opened()

    def _act(self, bench: Bench, beside: Path, at: int, fault: Fault, onward: bool) -> FaultLayer | BaseException:
        self._owned_up = False
        with faults(at, fault, onward) as layer:
            try:
                self._owned_up = self.act.owns_up(self.act.run(bench, beside))
            except (Exception, KeyboardInterrupt) as error:
                return error
        return layer

    def _state(self, beside: Path) -> State:
        return state_of(beside / ("damaged" if self.act.name == "repair" else "bench"))

    def _look(self, bench: Bench, beside: Path, error: BaseException | None, where: str) -> None:
        assert error is None or isinstance(error, SortbenchError | KeyboardInterrupt), f"bare, from {_origin(error)}"
        if self.act.name == "repair":
            self._look_at_repaired(beside, error)
            return
        folder = BenchFolder(bench.path)
        unsure = error is not None and any(words in str(error) for words in CONFESSIONS)
        found = self._state(beside)
        self._hold(found, bench.sitting.id, error, unsure)
        if (error is not None or self._owned_up) and not self.act.closed:  # as the app does once a second
            bench.refresh()
        if not unsure:
            shown = dict(bench.picture.ledger.counts)
            assert shown == found.counts, "the bench that is open shows other counts than are on disk"
            if not self.act.closed:
                assert _told(bench) == found.documents, "the bench that is open shows other documents than are on disk"
        assert not [each for each in folder.check() if each.severity is Severity.DAMAGE], "check calls it damaged"
        if not self.act.closed:
            try:
                bench.enter("ti22 wh *5")
            except WriteError as refused:
                assert any(words in str(refused) for words in _CLOSED), refused
            if not unsure:
                assert dict(bench.picture.ledger.counts) == self._state(beside).counts, "counting on, figures differ"
        bench.close()
        last = self._state(beside)
        BenchFolder(bench.path).repair()
        assert self._state(beside) == last, "the repair changed what is there"
        left = BenchFolder(bench.path).check()
        assert not [each for each in left if each.severity is not Severity.NOTE], left

    def _hold(self, found: State, sitting: str, error: BaseException | None, unsure: bool) -> None:
        """Hold what is there against what was there before and what the act was to make of it."""
        new = found.records.get(sitting, [])
        others = {name: said for name, said in found.records.items() if name != sitting}
        assert all(others[name][: len(said)] == said for name, said in self._before.records.items()), "records are gone"
        meant = self._after.records
        mine = max((said for name, said in meant.items() if name not in self._before.records), key=len, default=[])
        if error is None and not self._owned_up:
            assert found.counts == self._after.counts, "acknowledged, and not what it was to be"
            assert found.documents == self._after.documents, "acknowledged, and the documents are others"
            return
        warm = len(self.act.warm)
        # Ctrl+C says nothing about what is done, nor does an error that something could not be read, maybe afterwards.
        silent = isinstance(error, KeyboardInterrupt) or "cannot be read" in str(error)
        if not (self.act.many or unsure or silent):
            assert len(new) == warm, f"refused, and yet there are {len(new) - warm} records"
        if self.act.name not in ("merge",):
            assert mine[: len(new)] == new, "records that nobody wrote"
        assert found.documents in (self._before.documents, self._after.documents), "documents in between"
        if not (self.act.many or unsure or silent):
            assert found.documents == self._before.documents, "refused, and the documents are changed"

    def _look_at_repaired(self, beside: Path, error: BaseException | None) -> None:
        folder = BenchFolder(beside / "damaged")
        if error is not None or self._owned_up:
            folder.repair()
        assert not [each for each in folder.check() if each.severity is not Severity.NOTE], "not mended"
        assert state_of(folder.path) == self._after, "sound records are gone"


def _origin(error: BaseException) -> str:
    """The innermost line of ours that an error came through."""
    frames = [frame for frame in traceback.extract_tb(error.__traceback__) if "/sortbench/" in frame.filename]
    return f"{Path(frames[-1].filename).name}:{frames[-1].lineno} ({frames[-1].line})" if frames else "nowhere"


EVERY_WAY = [
    *((fault, False) for fault in Fault),
    (Fault.NO_SPACE, True),
    (Fault.INPUT_OUTPUT, True),
    (Fault.DENIED, True),
]


def main(arguments: list[str] | None = None) -> int:
    """Run the loops and print what came out; 1 if anything went wrong."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--act", action="append", choices=[act.name for act in ACTS], help="only this one")
    parser.add_argument("--step", type=int, default=1, help="fail only every so many-th call, the ways taking turns")
    parser.add_argument("--limit", type=int, default=8, help="troubles told of each act")
    chosen = parser.parse_args(arguments)
    began = time.process_time()
    troubles, trials, points = 0, 0, 0
    print(f"{'act':<28}{'calls':>7}{'trials':>8}{'done':>7}{'refused':>9}{'wrong':>7}")
    for act in ACTS:
        if chosen.act and act.name not in chosen.act:
            continue
        with tempfile.TemporaryDirectory() as scratch:
            loop = Trials(act, Path(scratch))
            loop.all(EVERY_WAY, chosen.step)
        done = loop.ends["done"]
        wrong = len(loop.troubles)
        print(f"{act.name:<28}{loop.points:>7}{loop.trials:>8,}{done:>7}{loop.trials - done:>9}{wrong:>7}", flush=True)
        for line in loop.troubles[: chosen.limit]:
            print(f"    {line}")
        troubles, trials, points = troubles + wrong, trials + loop.trials, points + loop.points
    print(
        f"{points} calls, {trials:,} failures, {troubles} went wrong, {time.process_time() - began:.0f} s of CPU time"
    )
    return 1 if troubles else 0


if __name__ == "__main__":
    raise SystemExit(main())
