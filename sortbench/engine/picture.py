"""The picture of the bench: catalogue, targets, bins and ledger joined, kept up to date record by record."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import replace

from sortbench.engine.board import (
    BinRow,
    Crate,
    HeapRow,
    HomeRow,
    LineRow,
    RecordRow,
    ResultRow,
    TargetRow,
    Wanted,
)
from sortbench.engine.fill import Fill, Gain, Piece, TargetFill
from sortbench.engine.ledger import Ledger
from sortbench.engine.loads import Loads
from sortbench.engine.routing import Router
from sortbench.engine.sharing.possible import Possible, wild_cards
from sortbench.model.bins import Bin
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import CHANGES_NO_HEAP, Cell, Fate, Record, What, place_words
from sortbench.model.target import MAX_QUANTITY, Line, Policy, Swap, Target


class Picture:
    """All that can be said about the counts at this moment. Pure: no disk, no clock.

    Args:
        catalogue, targets, bins: from the bench's documents.
        ledger: the counts; records go in through :meth:`apply`, not past it.
        swaps: the catalogue's stand-in rules.
        policy: how pieces are shared.
        before: the picture before the documents changed; where sharings are equally good, the one nearest to it stays.
    """

    def __init__(
        self,
        catalogue: Catalogue,
        targets: Sequence[Target],
        bins: Sequence[Bin],
        ledger: Ledger,
        *,
        swaps: Sequence[Swap] = (),
        policy: Policy = Policy.COMPLETE,
        before: Picture | None = None,
    ) -> None:
        self.catalogue = catalogue
        self.ledger = ledger
        self.bins = tuple(bins)
        self._listed = tuple(targets)
        self._bins = {b.label: b for b in bins}
        self._loads = Loads(catalogue, ledger)
        self._bin_rows: dict[str, BinRow] = {}
        self.router = Router(bins, catalogue)
        self.swaps = tuple(swaps)
        self.policy = policy
        self._share_all(before.fill if before else None)

    def shared_otherwise(self, change: Callable[[Target], Target], policy: Policy) -> Picture:
        """What this picture would be if each target were changed and the policy were this one; for looking at, for it
        no longer holds once a record is taken in."""
        other = copy(self)
        other._listed = tuple(map(change, self._listed))
        other.policy = policy
        other._share_all(self.fill)
        return other

    def _share_all(self, before: Fill | None) -> None:
        self.fill = Fill(
            map(self._with_written, self._listed),
            self.catalogue,
            self.ledger.of_kind,
            swaps=self.swaps,
            policy=self.policy,
            reserved=self.ledger.reserved,
            before=before,
        )
        self._possible = Possible(self.fill, self.catalogue.family)
        self._possible.renew(wild_cards(self.ledger.coarse))

    def _with_written(self, target: Target) -> Target:
        """A target with what was written up on its list: more of a line it has, or lines of its own at the end."""
        written = dict(self.ledger.written(target.code))
        if not written:
            return target
        lines = []
        for line in target.lines:
            more = written.pop(line.kind, 0)
            lines.append(replace(line, quantity=min(MAX_QUANTITY, line.quantity + more)) if more else line)
        # Sittings merged from several machines may come to more than a line can ask for; the bench opens all the same.
        lines += [Line(kind, min(MAX_QUANTITY, quantity)) for kind, quantity in written.items()]
        return target._replace(lines=tuple(lines))

    def apply(self, record: Record) -> list[Gain]:
        """Take a record in and bring everything it touches up to date.

        Returns:
            What lines gained or lost; empty for a record known already.
        """
        touched = self._touched(record)
        counts = self.ledger.counts
        before = {cell: counts.get(cell, 0) for each in touched for cell in _heaps_of(each)}
        if not self.ledger.apply(record):
            return []
        if any(each.what is What.LINE for each in touched):
            self._share_all(self.fill)
            return []
        gains: list[Gain] = []
        kinds = {kind for cell in before if (kind := cell.kind) is not None}
        kinds |= {kind for each in touched if each.cell and (kind := each.cell.kind) is not None}
        for kind in kinds:
            gains += self.fill.update(kind, self.ledger.of_kind(kind))
        if any(not cell.part for cell in before):
            self._possible.renew(wild_cards(self.ledger.coarse))
        elif self.ledger.coarse:
            self._possible.touch(code for kind in kinds for code in self.fill.targets_near(kind))
        for cell, quantity in before.items():
            self._loads.change(cell, quantity, counts.get(cell, 0))
            self._bin_rows.pop(cell.bin, None)
        return gains

    def _touched(self, record: Record) -> list[Record]:
        """The record and every record down the chain of what it voids."""
        chain = [record]
        while (voids := chain[-1].voids) is not None and len(chain) <= len(self.ledger.records):
            found = self.ledger.records.get(voids)
            if found is None:
                break
            chain.append(found)
        return chain

    def rgb(self, shade: str) -> str:
        """The sRGB value of a shade, empty if not known."""
        found = self.catalogue.shades.get(shade)
        return found.rgb if found else ""

    def name(self, cell: Cell) -> str:
        """A heap in words, without its shade."""
        if cell.part:
            return self.catalogue.part_name(cell.part)
        return f"{cell.family or 'piece'}, size not looked at"

    @property
    def targets(self) -> tuple[Target, ...]:
        """All targets, with what was written up on their lists."""
        return tuple(self.fill.targets)

    @property
    def is_unsettled(self) -> bool:
        """Whether what some target could have at most is still to be worked out anew."""
        return self._possible.is_stale

    def settle_one(self) -> bool:
        """Work out anew what one target could have at most; False if all such figures are right already."""
        return self._possible.settle_one()

    def target_rows(self, highlighted: Kind | None = None, at_once: bool = False) -> tuple[TargetRow, ...]:
        """All targets by rank; those that still lack the highlighted kind say how many.

        Args:
            highlighted: a kind.
            at_once: show what targets could have at most as it was worked out last; :meth:`settle_one` comes after.
        """
        lacking: dict[str, int] = {}
        for want in self.fill.wants(highlighted) if highlighted else ():
            lacking[want.target.code] = lacking.get(want.target.code, 0) + want.short
        return tuple(self._target_row(fill, lacking.get(fill.target.code, 0), at_once) for fill in self.fill.all())

    def _target_row(self, fill: TargetFill, wants: int, at_once: bool) -> TargetRow:
        target = fill.target
        return TargetRow(
            code=target.code,
            name=target.name,
            rank=target.rank,
            year=target.year,
            need=fill.need,
            present=fill.present,
            standard=fill.standard,
            short=fill.short,
            lines=len(fill.lines),
            lines_complete=fill.lines_complete,
            period_unknown=fill.period_unknown,
            wants=wants,
            stand_ins=fill.stand_ins,
            possible=(self._possible.seen if at_once else self._possible.of)(target.code),
            parked=target.parked,
        )

    def line_rows(self, code: str) -> tuple[LineRow, ...]:
        """The lines of one target, in the order of its list."""
        rows = []
        for number, fill in enumerate(self.fill[code].lines, 1):
            kind = fill.line.kind
            rows.append(
                LineRow(
                    number=number,
                    kind=kind,
                    name=self.catalogue.part_name(kind.part),
                    rgb=self.rgb(kind.shade),
                    lowest=fill.line.lowest,
                    need=fill.line.quantity,
                    present=fill.present,
                    standard=fill.standard,
                    short=fill.short,
                    period=fill.period,
                    places=self.places(kind),
                )
            )
        return tuple(rows)

    def places(self, kind: Kind) -> tuple[tuple[str, int], ...]:
        """Where pieces of a kind lie, as `place_words` has it, and pieces, most first; empty: put aside for a wash."""
        found: dict[str, int] = {}
        for cell, quantity in self.ledger.of_kind(kind).items():
            if cell.fate is not Fate.OUT:
                place = place_words(cell.bin, cell.fate)
                found[place] = found.get(place, 0) + quantity
        return tuple(sorted(found.items(), key=lambda item: (-item[1], item[0])))

    def bin_rows(self) -> tuple[BinRow, ...]:
        """All bins in their order, then any that are only named by tallies."""
        extra = sorted(label for label in self.ledger.bins if label not in self._bins)
        return tuple(self.bin_row(label) for label in [*self._bins, *extra])

    def bin_row(self, label: str) -> BinRow:
        """One bin's figures; kept until something in the bin changes."""
        row = self._bin_rows.get(label)
        if row is None:
            row = self._bin_rows[label] = self._weigh_bin(label)
        return row

    def _weigh_bin(self, label: str) -> BinRow:
        load = self._loads[label]
        found = self._bins.get(label)
        capacity = found.capacity if found else None
        capacity_g = found.capacity_g if found else None
        return BinRow(
            label=label,
            rule=str(found.rule) if found else "not set up on this bench",
            place=found.place if found else "",
            pieces=load.pieces,
            capacity=capacity,
            grams=load.grams if load.pieces > load.unknown or not load.pieces else None,
            grams_unknown=load.unknown,
            capacity_g=capacity_g,
            over=max(0, load.pieces - capacity) if capacity else 0,
            over_g=max(0.0, load.grams - capacity_g) if capacity_g else 0.0,
            kinds=len(load.kinds),
        )

    def heaps(self, label: str) -> tuple[HeapRow, ...]:
        """What lies in a bin, most pieces first."""
        rows = [
            HeapRow(cell, self.name(cell), self.rgb(cell.shade), quantity)
            for cell, quantity in self.ledger.in_bin(label).items()
        ]
        return tuple(sorted(rows, key=_most_first))

    def record_row(self, record: Record, own: bool) -> RecordRow:
        """One record in words; a void shows what it voids."""
        shown = record
        if record.what is What.VOID and record.voids is not None:
            shown = self.ledger.records.get(record.voids, record)
        cell = shown.cell
        return RecordRow(
            id=record.id,
            at=record.at,
            what=record.what,
            name=self.name(cell) if cell else "",
            shade=cell.shade if cell else "",
            rgb=self.rgb(cell.shade) if cell else "",
            quantity=shown.quantity,
            grade=cell.grade if cell else None,
            flaws=cell.flaws if cell else (),
            bin=cell.bin if cell else "",
            to_bin=shown.to_bin,
            target=shown.target,
            fate=cell.fate if cell else None,
            voids=record.voids,
            holds=self.ledger.holds(record.id),
            way=record.way,
            own=own,
            to_fate=shown.to_fate,
            became=shown.became,
            lab=shown.lab,
        )

    def result_row(self, kind: Kind, grade: Grade, flaws: Flaws, bin_label: str, tie: bool) -> ResultRow:
        """A kind as a look-up result: its bin and who still needs it."""
        return ResultRow(
            kind=kind,
            name=self.catalogue.part_name(kind.part),
            rgb=self.rgb(kind.shade),
            bin=bin_label or self.router.route(kind.part, kind.shade, grade, flaws),
            wants=tuple(Wanted(w.target.code, w.target.name, w.number, w.short) for w in self.fill.wants(kind)),
            counted=self.counted(kind),
            tie=tie,
            home=self.home_row(kind, grade, flaws),
        )

    def home_row(self, kind: Kind, grade: Grade | None, flaws: Flaws) -> HomeRow | None:
        """Where one more piece of a kind would go; None if no target needs it."""
        home = self.fill.home(Piece(kind, grade, flaws, True))
        if home is None:
            return None
        line = self.fill[home.target.code].lines[home.number - 1]
        wanted = sum(want.short for want in self.fill.wants(kind))
        exact = line.line.kind == kind
        then = wanted - 1 if exact and line.short else wanted
        return HomeRow(home.target.code, home.target.name, home.number, line.short > 0, not exact, then)

    def counted(self, kind: Kind) -> int:
        """Pieces of a kind counted and not thrown out."""
        return sum(n for cell, n in self.ledger.of_kind(kind).items() if cell.fate is not Fate.OUT)

    def crates(self, gains: Iterable[Gain]) -> tuple[Crate, ...]:
        """Which lines take the pieces that were counted."""
        return tuple(Crate(g.target.code, g.target.name, g.number, g.taken) for g in gains if g.taken > 0)

    def content(self, label: str) -> Mapping[Cell, int]:
        """What lies in a bin, heap by heap."""
        return self.ledger.in_bin(label)

    def bin(self, label: str) -> Bin | None:
        """A bin that is set up, by its label."""
        return self._bins.get(label)


def _most_first(row: HeapRow) -> tuple[int, str, str, int, tuple[str, ...], str, str]:
    cell = row.cell
    return (-row.quantity, row.name, cell.shade, -(cell.grade or 0), cell.flaws, cell.fate, cell.part)


def _heaps_of(record: Record) -> tuple[Cell, ...]:
    """The heaps that a record takes from or adds to."""
    cell = record.cell
    if cell is None or record.what in CHANGES_NO_HEAP:
        return ()
    put = record.put
    return (cell,) if put is None or put == cell else (cell, put)
