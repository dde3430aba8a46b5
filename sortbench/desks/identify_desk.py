"""Which sets are in the lot: what was counted held against the library and the targets, followed while it is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from sortbench.desk import Desk
from sortbench.engine.board import Notice
from sortbench.engine.entering.naming import NameIndex, part_index, shade_index
from sortbench.engine.identify.lot_view import LotView, Sought
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError, UsageError
from sortbench.model.library import SetList
from sortbench.model.tally import PARCEL, Fate, What
from sortbench.model.target import Target
from sortbench.store.library import library_stamp, load_library, save_library
from sortbench.store.locks import bench_lock

if TYPE_CHECKING:
    from sortbench.engine.identify.list_index import Listed
    from sortbench.engine.identify.mixture import Mixture

_STILL = 1e-3  # chances that move by less stand still
MOST_SHOWN = 12
"""Lists told of where nobody says how many."""


class IdentifyDesk:
    """The question which sets are in the lot, at one bench.

    Nothing is read or reckoned before it is asked. From then on every call takes in what was counted since.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self._library: dict[str, SetList] | None = None
        self._read: tuple[int, int] = (0, 0)
        self._mixture: Mixture | None = None
        self._made_of: tuple[object, ...] = ()
        self._sought: tuple[Sought, ...] = ()
        self._ordered: tuple[int, dict[Kind, int]] = (0, {})
        self.is_settled = True
        """Whether another call would say the same, as long as nothing is counted."""

    @property
    def library(self) -> Mapping[str, SetList]:
        """The lists that were brought in, by code; the targets count beside them.

        Raises:
            BenchError: the library is damaged.
        """
        stamp = library_stamp(self._bench.path)
        if self._library is None or stamp != self._read:
            self._library, self._read = load_library(self._bench.path), stamp
        return self._library

    def view(
        self,
        limit: int = MOST_SHOWN,
        telling: int = 3,
        sought: int = 3,
        settle: bool = True,
        among: Callable[[str, str], bool] | None = None,
    ) -> LotView:
        """The likeliest sets and what to look for next.

        Args:
            limit: lists told of, at most.
            telling: kinds named of each, at most.
            sought: kinds to look for, at most.
            settle: work everything out to the end; else only a few steps, for a screen that will ask again: what to
                look for next is then worked out once nothing more was counted since it asked before.
            among: by code and name, whether a list is asked about; None: all are.

        Raises:
            BenchError: the library is damaged.
            UsageError: numpy is not installed.
        """
        mixture, is_fresh = self._followed(settle)
        from sortbench.engine.identify.evidence import view

        seen = view(mixture, limit, telling, sought, None if is_fresh else self._sought, among)
        self._sought = seen.sought
        return seen

    def as_target(self, code: str) -> Notice:
        """Make a list of the library a target, behind all others in rank. Its parts and shades join the catalogue.

        Raises:
            DataError: no such list, or there is such a target already.
            WriteError: the disk refused.
        """
        from sortbench.desks.additions import list_as_target

        found = self.library.get(code)
        if found is None:
            raise DataError(f"The library has no list {code!r}.", "`sortbench library` shows what it has.")
        made = list_as_target(self._bench, found)
        return Notice(f"new target: {made.code} {made.name}, {len(made.lines):,} lines")

    def drop(self, codes: Iterable[str]) -> tuple[str, ...]:
        """Take lists out of the library, all or none.

        Returns:
            Their codes.

        Raises:
            DataError: no such list.
            BenchError: another program writes, or the library is damaged.
            WriteError: the disk refused.
        """
        wanted = tuple(dict.fromkeys(codes))
        with bench_lock(self._bench.path):
            lists = load_library(self._bench.path)
            for code in wanted:
                if lists.pop(code, None) is None:
                    raise DataError(f"The library has no list {code!r}.", "`sortbench library` shows what it has.")
            save_library(self._bench.path, lists)
        self._library = None
        return wanted

    def _followed(self, settle: bool) -> tuple[Mixture, bool]:
        """The model with everything in it that was counted, and whether there is time to work out all of it."""
        bench = self._bench
        made_of = (self.library, bench.catalogue, bench.documents.targets)
        if self._mixture is None or any(old is not new for old, new in zip(self._made_of, made_of, strict=True)):
            self._mixture, self._made_of = _mixture_of(self._lists), made_of
            settle = True
        mixture = self._mixture
        changed = self._take_in(mixture) or mixture.pile != bench.pile
        mixture.pile = bench.pile
        if settle:
            mixture.settle()
            self.is_settled = True
        elif changed or not self.is_settled:
            moved = mixture.update()
            self.is_settled = not changed and moved < _STILL
        return mixture, settle or not changed

    def _lists(self) -> list[Listed]:
        from sortbench.engine.identify.list_index import Listed

        catalogue = self._bench.catalogue
        parts, shades = part_index(catalogue.parts), shade_index(catalogue.shades)
        targets = [_of_target(target) for target in self._bench.documents.targets.values()]
        own = {each.key for each in targets}
        known: dict[tuple[str, str], Kind] = {}
        lists: list[Listed] = []
        for each in self.library.values():
            if each.code in own:  # the target is what the person works with, so its list counts
                continue
            lines: dict[Kind, int] = {}
            for part, shade, quantity in each.lines:
                kind = known.get((part, shade))
                if kind is None:
                    kind = known[part, shade] = Kind(_key(parts, part), _key(shades, shade))
                lines[kind] = lines.get(kind, 0) + quantity
            lists.append(Listed(each.code, each.name, lines))
        return [*targets, *lists]

    def _take_in(self, mixture: Mixture) -> bool:
        """Bring the model's counts to those of the bench; whether any differed."""
        ledger = self._bench.picture.ledger
        ordered = self._came_in_parcels()
        place, found = mixture.index.place, mixture.found
        now: dict[int, int] = {}
        for kind in ledger.kinds:
            if (at := place.get(kind)) is not None:
                pieces = sum(ledger.of_kind(kind).values()) - ordered.get(kind, 0)
                if pieces > 0:
                    now[at] = pieces
        before = {int(at): int(found[at]) for at in found.nonzero()[0]}
        for at in before.keys() | now.keys():
            by = now.get(at, 0) - before.get(at, 0)
            if by:
                mixture.count(at, by)
        others = max(0, ledger.of_pile - int(found.sum()))
        changed = now != before or mixture.counted != int(found.sum()) + others
        mixture.counted = int(found.sum()) + others
        return changed

    def _came_in_parcels(self) -> Mapping[Kind, int]:
        """Pieces by kind that were ordered and came in parcels: they were never in the pile."""
        ledger = self._bench.picture.ledger
        total = ledger.pieces + ledger.of_fate(Fate.OUT) - ledger.of_pile
        if total != self._ordered[0]:
            came: dict[Kind, int] = {}
            for record in ledger.told(lambda what, way: what is What.TALLY and way.startswith(PARCEL)):
                if record.cell is not None and record.cell.kind is not None:
                    came[record.cell.kind] = came.get(record.cell.kind, 0) + record.quantity
            self._ordered = total, came
        return self._ordered[1]


def _mixture_of(lists: Callable[[], list[Listed]]) -> Mixture:
    try:
        from sortbench.engine.identify.list_index import ListIndex
        from sortbench.engine.identify.mixture import Mixture
    except ImportError as error:
        raise UsageError(
            "Which sets are in the lot is worked out with the package numpy, which is not installed.",
            "Install it: pip install 'sortbench[identify]' (or pip install numpy).",
        ) from error
    return Mixture(ListIndex(lists()))


def _of_target(target: Target) -> Listed:
    from sortbench.engine.identify.list_index import Listed

    lines: dict[Kind, int] = {}
    for line in target.lines:
        lines[line.kind] = lines.get(line.kind, 0) + line.quantity
    return Listed(target.code, target.name, lines)


def _key(index: NameIndex, text: str) -> str:
    """The key of what goes by a name; the name where the catalogue does not know it, or several go by it."""
    try:
        return index.find(text) or text
    except DataError:
        return text
