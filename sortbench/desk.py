"""The desk: a bench folder open for one sitting, its documents and figures, and the counting of pieces.

The keypad and the entry line work on it, and :class:`sortbench.bench.Bench` is it with both of them at hand.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Self, TypeVar

from sortbench.engine.board import Held, Notice, Receipt
from sortbench.engine.ledger import Ledger
from sortbench.engine.pace import Pace, PaceMeter, Pile, pile_of
from sortbench.engine.picture import Picture
from sortbench.logs_read import LogsRead
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import PARCEL, Cell, Reading, What
from sortbench.model.target import Policy
from sortbench.sitting import Sitting, utc_now
from sortbench.store.folder import BenchFolder
from sortbench.store.locks import PATIENCE_S

if TYPE_CHECKING:
    from sortbench.desks.kept_aside import KeptAside
    from sortbench.desks.sought_desk import SoughtDesk
    from sortbench.engine.lookup import Lookup
    from sortbench.store.documents import Draft

_Answer = TypeVar("_Answer")

_RECENT = 1_000_000
"""Weight in the look-up of a kind counted at this bench, above any that is only needed; later ones weigh more."""


class Desk:
    """One folder of work, open for one sitting.

    Open it with :meth:`open` or :meth:`create`, and close it (or use it in a ``with`` statement).
    """

    def __init__(self, folder: BenchFolder, clock: Callable[[], datetime] = utc_now) -> None:
        self.folder = folder
        self.held = Held()
        self._clock = clock
        self.logs = LogsRead(folder)
        self.sitting = Sitting(folder, self._picture(self.logs.ledger), clock)
        self._meter = PaceMeter()
        self._learners: list[Callable[[Kind], None]] = []
        self._aside: KeptAside | None = None

    @classmethod
    def open(cls, path: Path, clock: Callable[[], datetime] = utc_now) -> Self:
        """Open the bench in a folder.

        Raises:
            BenchError: no bench there, damaged, locked or from a newer version.
        """
        return cls(BenchFolder.open(path), clock)

    @classmethod
    def create(cls, path: Path, clock: Callable[[], datetime] = utc_now) -> Self:
        """Make a new bench in an empty or missing folder, and open it.

        Raises:
            BenchError: the folder holds something else, or cannot be written.
        """
        return cls(BenchFolder.create(path), clock)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End the sitting; every count is on disk already."""
        self.sitting.close()
        self.logs.pack(self.sitting.id, self.sitting.take_in)

    @property
    def path(self) -> Path:
        """The bench folder."""
        return self.folder.path

    # Documents

    def _picture(self, ledger: Ledger, before: Picture | None = None) -> Picture:
        stamp = self.folder.documents.stamp()
        self.documents = documents = self.folder.documents.load(late=True)
        self._stamp = stamp  # only now: what could not be read is read again at the next look
        catalogue = Catalogue(MappingProxyType(dict(documents.parts)), MappingProxyType(dict(documents.shades)))
        return Picture(
            catalogue,
            tuple(documents.targets.values()),
            documents.bins,
            ledger,
            swaps=tuple(documents.swaps.values()),
            policy=self.policy,
            before=before,
        )

    @property
    def policy(self) -> Policy:
        """How pieces are shared among the targets; *complete* where nobody said otherwise."""
        value = self.documents.settings.get("policy")
        return Policy(value) if value in list(Policy) else Policy.COMPLETE

    @property
    def picture(self) -> Picture:
        """Counts, fills and bins as they are now."""
        return self.sitting.picture

    @property
    def catalogue(self) -> Catalogue:
        """Parts and shades."""
        return self.picture.catalogue

    @cached_property
    def lookup(self) -> Lookup:
        """The look-up index; built when first asked for."""
        from sortbench.engine.lookup import Lookup

        index = Lookup(self.catalogue)
        fill = self.picture.fill
        weights = {kind: min(_RECENT - 1, fill.asked(kind)) for kind in fill.kinds}
        weights |= {kind: _RECENT + ordinal for kind, (_, ordinal) in self.sitting.use().items()}
        index.weigh_all(weights)
        return index

    def reload(self) -> None:
        """Read the documents anew after they were changed."""
        self.sitting.picture = self._picture(self.picture.ledger, self.picture)
        self.__dict__.pop("lookup", None)
        self.__dict__.pop("_sought", None)
        held = self.held
        self.held = held._replace(
            shade=held.shade if held.shade in self.catalogue.shades else "",
            rgb=self.picture.rgb(held.shade),
            bin=held.bin if self.picture.bin(held.bin) else "",
            target=held.target if held.target in self.documents.targets else "",
        )

    def refresh(self) -> bool:
        """Take in what other sittings and commands wrote since the last look.

        Returns:
            Whether anything changed.
        """
        # What is written aside just now is this sitting's own: nothing of it needs to be read.
        changed = self.settle() and self.folder.documents.stamp() != self._stamp
        if changed:
            self.reload()
        for record in self.logs.read_new(self.sitting.id):
            self.sitting.take_in(record)
            changed = True
        return changed

    # Counting

    def learn(self, learner: Callable[[Kind], None]) -> None:
        """Have somebody told of every kind that is counted from now on."""
        self._learners.append(learner)

    def count_cell(self, cell: Cell, quantity: int, way: str, lab: Reading | None = None) -> Receipt:
        """Count pieces whose bin and condition are settled already, with their colour if it was measured."""
        return self._counted(self.sitting.record(What.TALLY, cell, quantity, way=way, lab=lab))

    def count(
        self,
        kind: Kind,
        quantity: int = 1,
        grade: Grade | None = None,
        flaws: Flaws = (),
        bin_label: str = "",
        way: str = "typed",
        lab: Reading | None = None,
    ) -> Receipt:
        """Count pieces of a kind; without a grade or bin the held ones apply, then the bins' rules.

        Args:
            lab: the colour that was measured on them; see :func:`sortbench.model.tally.reading_of`.

        Raises:
            DataError: a part, shade, quantity or reading that cannot be.
            WriteError: the disk refused; nothing is counted.
        """
        if kind.part not in self.catalogue.parts:
            raise DataError(f"No part has the code {kind.part!r}.", "Import it, or add it with + in the entry line.")
        if kind.shade not in self.catalogue.shades:
            raise DataError(f"No shade is called {kind.shade!r}.", "Import it with `sortbench import shades`.")
        grade = grade or self.held.grade
        cell = Cell("", kind.part, kind.shade, "", grade, flaws)
        if self.held.target:
            if lab:
                raise DataError(
                    "A list being written up takes no readings.", "A dot alone on the line ends the writing up."
                )
            return self._counted(self.sitting.record(What.LINE, cell, quantity, target=self.held.target, way=way))
        label = bin_label or self.held.bin or self.picture.router.route(kind.part, kind.shade, grade, flaws)
        return self.count_cell(cell._replace(bin=label), quantity, way, lab)

    def count_coarse(self, bin_label: str, quantity: int = 1, way: str = "pad") -> Receipt:
        """Count pieces into a bin without looking at their size: only the held shade and the bin's rule are known."""
        found = self.picture.bin(bin_label)
        if found is None:
            raise DataError(f"No bin is labelled {bin_label!r}.", "The bins screen lists them.")
        if self.held.target:
            raise DataError("A list being written up takes kinds only.", "A dot alone on the line ends the writing up.")
        rule = found.rule
        shade = self.held.shade or (rule.shades[0] if len(rule.shades) == 1 else "")
        family = rule.families[0] if len(rule.families) == 1 else ""
        cell = Cell(found.label, "", shade, family, self.held.grade, ())
        return self.count_cell(cell, quantity, way)

    def _counted(self, receipt: Receipt) -> Receipt:
        """Let the pace, the look-up and whoever asked to be told learn from a tally, and say what was sought."""
        # What is written up on a list is no piece of the pile, and neither is what was ordered.
        if not receipt.target and not self._is_ordered(receipt):
            self._meter.add(self._clock().timestamp(), receipt.quantity)
        if receipt.kind is not None:
            if "lookup" in self.__dict__:
                self.lookup.weigh(receipt.kind, _RECENT + len(self.sitting.history))
            for learn in self._learners:
                learn(receipt.kind)
        if self.documents.offers or self.documents.orders:
            return receipt._replace(sought=self._sought_words(receipt))
        return receipt

    def _is_ordered(self, receipt: Receipt) -> bool:
        return self.picture.ledger.records[receipt.record].way.startswith(PARCEL)

    def _sought_words(self, receipt: Receipt) -> str:
        """What the lines that were just filled were waiting for."""
        if self._is_ordered(receipt):
            self.__dict__.pop("_sought", None)  # ordered pieces came: that is no find, and less is awaited now
            return ""
        return self._sought.words(receipt)

    @cached_property
    def _sought(self) -> SoughtDesk:
        """What is on order or cannot be had; made anew after either may have changed."""
        from sortbench.desks.sought_desk import SoughtDesk

        return SoughtDesk(self)

    def hold_shade(self, name: str) -> None:
        """Hold a shade until another is held or let go; an empty name lets it go."""
        if name and name not in self.catalogue.shades:
            raise DataError(f"No shade is called {name!r}.", "Hold one that the catalogue knows.")
        self.held = self.held._replace(shade=name, rgb=self.picture.rgb(name) if name else "")

    def write_up(self, code: str) -> Notice:
        """Let tallies go to a target's list instead of a bin; an empty code ends it.

        Raises:
            DataError: no such target.
        """
        if code and code not in self.documents.targets:
            raise DataError(f"No target has the code {code!r}.", "The targets screen lists them.")
        self.held = self.held._replace(target=code)
        name = self.documents.targets[code].name if code else ""
        return Notice(f"writing up the list of {name}" if code else "counting into bins again", held=True)

    @property
    def target_name(self) -> str:
        """The name of the target whose list is being written up, empty if none is."""
        target = self.documents.targets.get(self.held.target)
        return target.name if target else ""

    def bin_label(self, text: str) -> str:
        """The label of a bin as it was typed, in any case.

        Raises:
            DataError: no bin is labelled so.
        """
        if not text:
            return ""
        for each in self.picture.bins:
            if each.label.casefold() == text.casefold():
                return each.label
        labels = ", ".join(each.label for each in self.picture.bins[:12])
        raise DataError(
            f"No bin is labelled {text[:20]!r}.", f"Bins are: {labels}." if labels else "Set up bins first."
        )

    def keep(self, change: Callable[[Draft], None], patience_s: float = PATIENCE_S) -> None:
        """Change documents that no figure of the picture hangs on: pads, batches, lots, orders, settings and such.

        Args:
            change: changes the draft. What it refuses is not written.
            patience_s: seconds to wait while another program writes the documents.

        Raises:
            BenchError: another program writes them for longer.
            DataError: what ``change`` raises, or the draft holds what cannot be kept.
            WriteError: the disk refused.
        """
        if not self.settle(patience_s):
            raise BenchError("The disk is slow: what was kept before is still being written.", "Try again in a moment.")
        with self.folder.documents.edit(patience_s) as draft:
            before = self.folder.documents.stamp()
            change(draft)
        self._take_in(draft, before)

    def keep_aside(self, change: Callable[[Draft], None], heard: Callable[[], None]) -> KeptAside:
        """As :meth:`keep`, but in a thread of its own; what was written before must have ended.

        Args:
            change: changes the draft, in that thread.
            heard: called from it once the change is written or was given up; :meth:`settle` then takes it in.
        """
        from sortbench.desks.kept_aside import KeptAside

        assert self._aside is None, "one change at a time"
        self._aside = KeptAside(self.folder.documents, change, heard)
        return self._aside

    def settle(self, wait_s: float = 0.0) -> bool:
        """Take in what was written aside, if it is; waits so many seconds for that.

        Returns:
            Whether nothing is being written aside any more.
        """
        aside = self._aside
        if aside is not None:
            if not aside.has_ended(wait_s):
                return False
            self._aside = None
            # Where another program wrote since, the next look reads all of it.
            if aside.draft is not None and aside.after == self.folder.documents.stamp():
                self._take_in(aside.draft, aside.before)
                aside.taken = True
        return True

    def _take_in(self, draft: Draft, before: tuple[int, int, int] | None) -> None:
        """A draft was written over the documents that had a stamp."""
        if before == self._stamp:  # else another program changed the documents: the next look reads them anew
            self._stamp = self.folder.documents.stamp()
        self.__dict__.pop("_sought", None)
        self.documents = self.documents.with_kept(draft)

    def timed(self, change: Callable[[], _Answer]) -> _Answer:
        """Make a change to what was counted, and let the pace know by how many pieces."""
        before = self.picture.ledger.of_pile
        answer = change()
        self.__dict__.pop("_sought", None)
        if (after := self.picture.ledger.of_pile) != before:
            self._meter.add(self._clock().timestamp(), after - before)
        return answer

    # Pace

    def pace(self) -> Pace:
        """Counted in this sitting, pieces a minute, and time left where a pile size is given."""
        before = self.picture.ledger.of_pile - self._meter.counted  # at other sittings
        said = self.pile_said
        return self._meter.pace(said and Pile(*(each - before for each in said)))

    @property
    def pile(self) -> int | None:
        """Pieces in the whole pile as it is estimated, None if it is not."""
        return self.pile_said.pieces if self.pile_said else None

    @property
    def pile_said(self) -> Pile | None:
        """The pile as it is estimated, with the interval of that."""
        return pile_of(self.documents.settings)
