"""Peroxide treatments at a bench: the sheet before, the log of what came of it, and the bench's own rates.

It advises nothing: amounts are arithmetic, hazards are quoted, and outcomes are what this bench saw.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.board import Notice
from sortbench.engine.condition.peroxide import mass_share, parse_strength
from sortbench.engine.condition.treat_sheet import TreatSheet as TreatSheet
from sortbench.engine.condition.treat_sheet import dilution_lines, sheet_lines, treat_sheet
from sortbench.engine.condition.treat_sheet import percent_words as percent_words
from sortbench.engine.entry import Entry
from sortbench.engine.figures.success import Outcomes, outcomes
from sortbench.engine.reconciling.improvements import kind_words
from sortbench.engine.washing.cautions import NO_PROMISE as NO_PROMISE
from sortbench.engine.washing.cautions import Caution, cautions_for
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate, What, place_words
from sortbench.model.treatment import Treatment, checked_treatment
from sortbench.sitting import stamp, utc_now

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.store.documents import Draft

WAY = "treated"
"""How records of a treatment came, for the record."""

FEW_BATHS = (
    "Pieces of one bath share its luck; the intervals take each for itself, so with few baths they are too narrow."
)


class Bath(NamedTuple):
    """How pieces were treated; what nobody noted is None.

    Attributes:
        strength: as it was typed, with its unit: ``6%w/w``.
        hours: time in the bath.
        temp_c: temperature of the bath, °C.
        note: free text.
    """

    strength: str | None = None
    hours: float | None = None
    temp_c: float | None = None
    note: str = ""


class CameOut(NamedTuple):
    """What became of the pieces; see :class:`Treatment`."""

    improved: int = 0
    unchanged: int = 0
    broken: int = 0
    grade: Grade | None = None


class TreatDesk:
    """Treatments of one bench. Nothing noted is deleted: what was wrong is struck, and can be brought back.

    Args:
        bench: the bench, open for one sitting.
        clock: the time, for reading only.
    """

    def __init__(self, bench: Desk, clock: Callable[[], datetime] = utc_now) -> None:
        self._bench = bench
        self._clock = clock

    @property
    def treatments(self) -> Mapping[str, Treatment]:
        """All that was noted, by id, the oldest first; struck ones too."""
        return self._bench.documents.treatments

    def cautions(self) -> tuple[Caution, ...]:
        """What to mind at a treatment."""
        return cautions_for("treat")

    def rates(self) -> tuple[Outcomes, ...]:
        """How often pieces improved and broke here, by shade and then all together."""
        return outcomes(self.treatments.values())

    def sheet(self, stock: str, bath: str, final_ml: float, licensed: bool = False) -> TreatSheet:
        """The sheet for a bath; strengths as they are typed, with their unit.

        Raises:
            DataError: a strength without a sure unit, or as :func:`sortbench.engine.condition.treat_sheet.treat_sheet`.
        """
        return treat_sheet(parse_strength(stock), parse_strength(bath), final_ml, licensed)

    def sheet_text(self, sheet: TreatSheet) -> str:
        """The whole sheet to print, with what this bench saw so far."""
        return "\n".join(sheet_lines(sheet, self.rates())) + "\n"

    def dilution_text(self, sheet: TreatSheet) -> str:
        """Amounts and hazards only."""
        return "\n".join(dilution_lines(sheet)) + "\n"

    def record(self, kind: Kind, entry: Entry, bath: Bath, out: CameOut) -> tuple[Treatment, tuple[Notice, ...]]:
        """Note a treatment, and let the counts follow: improved pieces get their new grade where they lie, broken ones
        are thrown out. Each of the two is a record that undo takes back; striking the treatment leaves the counts.

        Args:
            kind: what was treated.
            entry: which of them: grade, flaws, bin, and the quantity if it is said.
            bath: how.
            out: what became of them.

        Raises:
            DataError: the figures do not agree, or the pieces do not all lie in one heap, or more of them are set aside
                for targets than may change; nothing is noted then.
            BenchError: another program writes the documents for longer.
            WriteError: the disk refused; what was recorded up to then stays so.
        """
        quantity = entry.quantity or sum(out[:3])
        cell = self._heap(kind, entry, quantity)
        strength = mass_share(parse_strength(bath.strength)).pct if bath.strength is not None else None
        noted: list[Treatment] = []
        notices: list[Notice] = []

        def change(draft: Draft) -> None:
            own = f"P{max((int(key[1:]) for key in draft.treatments if key[1:].isdecimal()), default=0) + 1}"
            treatment = Treatment(
                own,
                stamp(self._clock()),
                kind.part,
                kind.shade,
                cell.grade,
                quantity,
                strength,
                bath.hours,
                bath.temp_c,
                *out,
                bath.note.strip(),
            )
            draft.treatments[own] = checked_treatment(treatment)
            noted.append(treatment)
            # The records go out while the documents are locked and the treatment is checked: what can still fail is the
            # one write behind them.
            notices.extend(self._follow(cell, out))

        self._bench.keep(change)
        return noted[0], tuple(notices)

    def _follow(self, cell: Cell, out: CameOut) -> list[Notice]:
        sitting, notices = self._bench.sitting, []
        if out.improved and out.grade is not None and out.grade != cell.grade:
            receipt = sitting.rejudge(cell, out.improved, (out.grade, cell.flaws), way=WAY)
            notices.append(Notice(f"{out.improved:,} × {receipt.name} {receipt.shade} {receipt.note}"))
        if out.broken:
            receipt = sitting.record(What.MOVE, cell, out.broken, to_fate=Fate.OUT, way=WAY)
            notices.append(Notice(sitting.words(receipt.record)))
        return notices

    def strike(self, number: str, back: bool = False) -> Treatment:
        """Let a treatment that was noted wrongly count for nothing, or bring it back. The counts stay as they are.

        Raises:
            DataError: there is no such treatment, or it is so already.
            BenchError, WriteError: the documents cannot be written.
        """
        wanted = number.strip().upper()
        struck: list[Treatment] = []

        def change(draft: Draft) -> None:
            found = draft.treatments.get(wanted)
            if found is None:
                raise DataError(f"No treatment is called {number[:20]!r}.", "`sortbench treat log` lists them.")
            if found.struck is not back:
                raise DataError(f"{wanted} is {'struck' if found.struck else 'not struck'} already.")
            draft.treatments[wanted] = found._replace(struck=not back)
            struck.append(draft.treatments[wanted])

        self._bench.keep(change)
        return struck[0]

    def _heap(self, kind: Kind, entry: Entry, quantity: int) -> Cell:
        """The one heap that the pieces lie in.

        Raises:
            DataError: none or several are meant, or too few lie there.
        """
        name = kind_words(self._bench.catalogue, kind)
        heaps = {
            cell: there
            for cell, there in self._bench.picture.ledger.of_kind(kind).items()
            if there > 0
            and cell.fate is not Fate.OUT
            and entry.grade in (None, cell.grade)
            and entry.flaws in ((), cell.flaws)
            and entry.bin.casefold() in ("", cell.bin.casefold())
        }
        if not heaps:
            raise DataError(f"No such piece of {name} is counted.", "`sortbench counts` shows what is.")
        if len(heaps) > 1:
            told = "; ".join(f"{there:,} {_heap_words(cell)}" for cell, there in list(heaps.items())[:6])
            raise DataError(
                f"{name} lies in {len(heaps)} heaps: {told}.",
                "Say which with grade, flaw or bin: plate 2x4 white !3 @B1",
            )
        cell, there = next(iter(heaps.items()))
        if quantity > there:
            raise DataError(
                f"{quantity:,} of {name} cannot have been treated: {there:,} {_heap_words(cell)}.",
                f"Give 1 to {there:,}, or count the others first.",
            )
        return cell


def _heap_words(cell: Cell) -> str:
    grade = f"grade {cell.grade.label}" if cell.grade else "not judged"
    flaws = "".join(f", {flaw.value}" for flaw in cell.flaws)
    place = place_words(cell.bin, cell.fate) or cell.fate.value
    return f"{grade}{flaws} ({place})"
