"""Which kinds and lines hang together: through stand-ins, or through targets that share a rank."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sortbench.engine.sharing.stand_ins import Swaps, stand_ins_of
from sortbench.model.catalogue import Kind
from sortbench.model.target import Target


class Links:
    """The kinds that must be shared together.

    Args:
        targets: the first rank first.
        swaps: the catalogue's stand-in rules.

    Attributes:
        roots: for each kind that hangs together with others, the one that stands for all of them; the other kinds are
            shared by themselves.
        parts: by that kind all of them.
        needs: pieces that each target which shares its rank asks for, by code.
    """

    def __init__(self, targets: Sequence[Target], swaps: Swaps) -> None:
        self._accepts: dict[tuple[str, int], dict[Kind, int]] = {}
        self._groups: dict[str, tuple[int, bool]] = {}
        self._up: dict[Kind, Kind] = {}
        self.needs: dict[str, int] = {}
        ranks: dict[int, list[Target]] = {}
        for target in targets:
            if not target.parked:
                ranks.setdefault(target.rank, []).append(target)
        for place, together in enumerate(ranks.values()):
            for target in together:
                self._groups[target.code] = place, len(together) > 1
            if len(together) > 1:
                self._tie(together)
        for target in targets:
            if not target.parked:
                self._add_stand_ins(target, swaps)
        self.roots = {kind: self._top(kind) for kind in self._up}
        self.parts: dict[Kind, list[Kind]] = {}
        for kind, root in self.roots.items():
            self.parts.setdefault(root, []).append(kind)

    def _tie(self, together: Sequence[Target]) -> None:
        first: Kind | None = None
        for target in together:
            self.needs[target.code] = target.pieces
            for line in target.lines:
                first = first or line.kind
                self._join(first, line.kind)

    def _add_stand_ins(self, target: Target, swaps: Swaps) -> None:
        for index, line in enumerate(target.lines):
            if found := stand_ins_of(target, line, swaps):
                accepts = {line.kind: 0}
                for stand_in in found:
                    accepts[stand_in.kind] = stand_in.cost
                    self._join(line.kind, stand_in.kind)
                self._accepts[target.code, index] = accepts

    def _top(self, kind: Kind) -> Kind:
        ups = self._up
        while (up := ups.setdefault(kind, kind)) != kind:
            ups[kind] = ups[up]
            kind = up
        return kind

    def _join(self, one: Kind, other: Kind) -> None:
        self._up[self._top(other)] = self._top(one)

    def accepts(self, target: Target, index: int) -> Mapping[Kind, int]:
        """Kinds that may fill a line, by its place from 0, and what each costs; the kind asked for (0) first."""
        return self._accepts.get((target.code, index)) or {target.lines[index].kind: 0}

    def group(self, target: Target) -> tuple[int, bool]:
        """The place of a target's rank among all ranks, and whether others share it. Parked targets have none."""
        return self._groups[target.code]
