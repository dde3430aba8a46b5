"""The entry line at work: a typed line in, a tally, a correction or something held out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sortbench.engine.board import Held, Notice, PastedRow, Receipt, Results
from sortbench.engine.entering.new_part import part_from_words
from sortbench.engine.entering.results import refuse_marks_on_a_list, results_for
from sortbench.engine.entering.words import tokens
from sortbench.engine.entry import Entry, parse
from sortbench.engine.labelling.scanned import crate_words, scanned
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.tally import RecordId, What

if TYPE_CHECKING:
    from sortbench.desk import Desk

RESULTS = 8
"""Most results shown for an entry line."""


class EntryDesk:
    """What entry lines do at one sitting.

    Args:
        bench: looks up, counts and holds.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench

    def search(self, text: str) -> Results:
        """What a line finds as typed so far. Never raises: an error is part of the answer."""
        bench = self._bench
        hand = bench.sitting.hand_words
        return results_for(text, bench.picture, bench.lookup, bench.held, hand, bench.bin_label, RESULTS)

    def preview(self, lines: Sequence[str]) -> tuple[PastedRow, ...]:
        """What pasted lines would do, one by one; nothing is taken. A line takes as long as a look-up."""
        from sortbench.engine.entering.pasted import pasted_rows

        return pasted_rows(lines, self.search)

    def enter(self, text: str, pick: int = 0, way: str = "typed") -> Receipt | Notice:
        """Take one entry line.

        Args:
            text: the line; an empty one counts the same again.
            pick: which of the results is meant, 0 the first.
            way: how it came, for the record.

        Raises:
            DataError: it cannot be meant, or names nothing known; nothing is counted.
            WriteError: the disk refused; nothing is counted.
        """
        if selected := scanned(text, self._bench.picture):
            if selected.target:
                return Notice(crate_words(self._bench.picture, selected.target))
            return self._hold(Entry(bin=selected.bin, hold=True))
        entry = parse(text)
        if entry.hold:
            return self._hold(entry)
        if self._bench.held.target:
            refuse_marks_on_a_list(entry)
        label = self._bench.bin_label(entry.bin)
        if entry.add:
            kind, added = self._add_part(entry.words)
            receipt = self._bench.count(kind, entry.quantity or 1, entry.grade, entry.flaws, label, way)
            return receipt._replace(note=f"added the part {kind.part}") if added else receipt
        if not entry.words:
            return self.again(entry, label)
        kind = self._find(entry.words, self._bench.held.shade, pick)
        return self._bench.count(kind, entry.quantity or 1, entry.grade, entry.flaws, label, way)

    def _find(self, words: str, shade: str, pick: int = 0) -> Kind:
        hits = self._bench.lookup.search(words, shade=shade, limit=max(RESULTS, pick + 1))
        if not hits:
            raise DataError(
                f"Nothing is called {words[:60]!r}.", "Try fewer letters, or put + in front to add it as a part."
            )
        if pick >= len(hits):
            raise DataError(f"There is no result {pick + 1}.", f"{len(hits)} are shown.")
        return hits[pick].kind

    def again(self, entry: Entry, label: str = "") -> Receipt:
        """Count the same again, with what the entry changes: quantity, grade, flaws, bin.

        Raises:
            DataError: nothing has been counted yet.
        """
        bench = self._bench
        cell = bench.sitting.in_hand().cell
        assert cell is not None, "a tally in hand has its pieces"
        quantity = entry.quantity or 1
        if bench.held.target:
            if cell.kind is None:
                raise DataError("A list being written up takes kinds only.", "Type what the piece is.")
            return bench.count(cell.kind, quantity, way="again")
        grade, flaws = entry.grade or cell.grade, entry.flaws or cell.flaws
        if not label and (grade, flaws) == (cell.grade, cell.flaws):
            label = cell.bin
        label = label or bench.held.bin or bench.picture.router.route(cell.part, cell.shade, grade, flaws, cell.family)
        return bench.count_cell(cell._replace(grade=grade, flaws=flaws, bin=label), quantity, "again")

    def shades_meant(self, text: str) -> list[str]:
        """The shades that a line which holds one may mean, best first: one alone if its name is typed in full.

        Empty for any other line.
        """
        entry = parse(text)
        typed = tokens(entry.words)
        if not entry.hold or not typed:
            return []
        names = {name: tokens(name) for name in self._bench.lookup.shades(entry.words, limit=RESULTS)}
        if full := [name for name, words in names.items() if words == typed]:
            return full[:1]
        return [
            name for name, words in names.items() if all(any(w.startswith(start) for w in words) for start in typed)
        ]

    def _hold(self, entry: Entry) -> Notice:
        bench = self._bench
        if not (entry.words or entry.grade or entry.bin):
            bench.held = Held()
            return Notice("nothing held; grade 5 unless you say another", held=True)
        label = bench.bin_label(entry.bin)
        if entry.words:
            shades = bench.lookup.shades(entry.words, limit=1)
            if not shades:
                raise DataError(f"No shade is called {entry.words[:60]!r}.", "Type the start of its name.")
            bench.hold_shade(shades[0])
        bench.held = bench.held._replace(grade=entry.grade or bench.held.grade, bin=label or bench.held.bin)
        words = [bench.held.shade, f"grade {bench.held.grade.label}", bench.held.bin and f"bin {bench.held.bin}"]
        return Notice("held: " + "; ".join(filter(None, words)), held=True)

    def _add_part(self, words: str) -> tuple[Kind, bool]:
        """The kind that the words of a line mean; its part is put into the catalogue if it is not there: True then."""
        bench = self._bench
        shade, part = part_from_words(words, bench.catalogue, bench.held.shade, bench.lookup.shades)
        new = part.code not in bench.catalogue.parts
        if new:
            from sortbench.desks.additions import add_part

            add_part(bench, part)
        return Kind(part.code, shade), new

    def correct(self, rid: RecordId, text: str) -> Receipt:
        """Put a tally right: what the line names replaces what the record said, the rest stays.

        ``*4`` makes it four pieces, ``!3`` grade 3, ``#cracked`` cracked, ``@B2`` in that bin, words another kind.

        Raises:
            DataError: no such tally, it is void, its pieces were carried on, or the line cannot be meant.
        """
        bench = self._bench
        record = bench.picture.ledger.records.get(rid)
        if record is None or record.cell is None or record.what not in (What.TALLY, What.LINE):
            raise DataError(f"Record {rid} is no tally.", "Only tallies can be put right.")
        entry = parse(text)
        if entry.hold or entry.add:
            raise DataError("A correction takes words and marks only.", "Leave out the dot or plus in front.")
        if record.what is What.LINE:
            refuse_marks_on_a_list(entry)
        label = bench.bin_label(entry.bin)
        cell = record.cell
        if entry.words:
            kind = self._find(entry.words, cell.shade)
            cell = cell._replace(part=kind.part, shade=kind.shade, family="")
        cell = cell._replace(grade=entry.grade or cell.grade, flaws=entry.flaws or cell.flaws)
        if label:
            cell = cell._replace(bin=label)
        elif record.what is What.TALLY:
            cell = bench.sitting.rerouted(record.cell, cell)
        return bench.sitting.replace(record, cell, entry.quantity or record.quantity)
