"""A simulated pair of hands that counts the demo's pile and presses the keys which the real engine asks for.

It knows nothing beforehand but what the targets need, and always picks the shortest way that the engine offers at that
moment: the figures say what the keys allow, not how soon a person has learned where things lie.
"""

from __future__ import annotations

import csv
import math
import random
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, product
from typing import Any

from sortbench.demo_data import PILE, demo_files, read_pile
from sortbench.engine.entering.keypad import Pad, keys_for, place, reshuffle
from sortbench.engine.entering.pad_hand import Hand, press
from sortbench.engine.entering.ranking import guess_kinds, rank_kinds, rank_shades
from sortbench.engine.entering.shade_tray import ShadeTray, place_shades, reshuffle_shades
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade
from sortbench.model.grade import Flaw, Grade

RESHUFFLE = "ry"
COUNTED = 1_000_000
"""What the bench adds to the weight of a counted kind, so that it comes before any that is only needed."""


@dataclass(frozen=True)
class Piece:
    """One piece of the pile."""

    kind: Kind
    grade: Grade
    flaws: tuple[Flaw, ...]


@dataclass(frozen=True)
class World:
    """The demo: its catalogue, what its targets need, and its pile as it lies on the drying table."""

    catalogue: Catalogue
    needs: Mapping[Kind, int]
    pile: tuple[Piece, ...]

    @property
    def families(self) -> dict[str, str]:
        """Shape family by part code."""
        return {code: part.family for code, part in self.catalogue.parts.items()}


def read_world() -> World:
    """The demo's files, read plainly."""
    folder = demo_files()

    def rows(name: str) -> list[dict[str, str]]:
        with (folder / name).open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    def several(cell: str) -> tuple[str, ...]:
        return tuple(value.strip() for value in cell.split("|") if value.strip())

    parts = {r["code"]: Part(r["code"], r["name"], r["family"], several(r["aliases"])) for r in rows("parts.csv")}
    shades = {r["name"]: Shade(r["name"], aliases=several(r["aliases"])) for r in rows("shades.csv")}
    needs: Counter[Kind] = Counter()
    for row in rows("targets.csv"):
        needs[Kind(row["part"], row["shade"])] += int(row["quantity"])
    pile = tuple(Piece(Kind(p.part, p.shade), p.grade, p.flaws) for p in read_pile(folder / PILE))
    return World(Catalogue(parts, shades), needs, pile)


def sorted_by_shade(pile: Iterable[Piece]) -> list[Piece]:
    """One shade after another, the order within a shade kept."""
    return sorted(pile, key=lambda piece: piece.kind.shade)


def stirred(pile: Sequence[Piece], seed: int = 1) -> list[Piece]:
    """The same pieces in random order: no like pieces side by side but by chance."""
    mixed = list(pile)
    random.Random(seed).shuffle(mixed)
    return mixed


def entropy(counts: Mapping[Any, int]) -> float:
    """Bits a draw: H = -sum p log2 p (C. E. Shannon, Bell System Technical Journal 27 (1948), section 6)."""
    total = sum(counts.values())
    return -sum(n / total * math.log2(n / total) for n in counts.values() if n)


@dataclass
class Tally:
    """Strokes spent, and on what."""

    pieces: int = 0
    strokes: int = 0
    condition: int = 0
    """Strokes for grades and flaws, not part of ``strokes``."""
    spent: Counter[str] = field(default_factory=Counter)

    def spend(self, what: str, strokes: int) -> None:
        """Note strokes."""
        self.strokes += strokes
        self.spent[what] += strokes

    @property
    def each(self) -> float:
        """Strokes a piece for the kind."""
        return self.strokes / self.pieces

    @property
    def each_with_condition(self) -> float:
        """Strokes a piece, grades and flaws included."""
        return (self.strokes + self.condition) / self.pieces


class Typist:
    """Types with the real look-up, on a stated small family of queries.

    A query is a run of word starts of the part's name in its own order (0 to 4 letters of a word or all of it; a size
    whole or not at all), and where its shade is not held, before it likewise the shade. The shortest that puts the
    right kind first is typed.
    """

    def __init__(self, world: World) -> None:
        from sortbench.engine.lookup import Lookup

        self._world = world
        self._lookup = Lookup(world.catalogue)
        self._counted = 0
        self._queries: dict[tuple[Kind, bool], list[str]] = {}
        for kind, pieces in world.needs.items():
            self._lookup.weigh(kind, pieces)

    def saw(self, kind: Kind) -> None:
        """Weigh a counted kind as the bench does: the later, the likelier."""
        self._counted += 1
        self._lookup.weigh(kind, COUNTED + self._counted)

    def query(self, kind: Kind, shade: str) -> str:
        """The shortest query of the family that finds a kind while a shade is held.

        Raises:
            LookupError: none of the family finds it.
        """
        for query in self._family(kind, named=shade != kind.shade):
            hits = self._lookup.search(query, shade=shade, limit=1)
            if hits and hits[0].kind == kind:
                return query
        raise LookupError(kind)

    def hold(self, shade: str) -> str:
        """The entry that holds a shade."""
        for query in _starts(shade.replace(",", " ").split()):
            if query and self._lookup.shades(query, limit=1)[:1] == [shade]:
                return f".{query}"
        raise LookupError(shade)

    def _family(self, kind: Kind, named: bool) -> list[str]:
        found = self._queries.get((kind, named))
        if found is None:
            words = list(_starts(self._world.catalogue.part_name(kind.part).split()))
            if named:
                shades = list(_starts(kind.shade.replace(",", " ").split()))
                words = [" ".join(filter(None, pair)) for pair in product(shades, words)]
            found = sorted((word for word in set(words) if word), key=lambda query: (len(query), query))
            self._queries[kind, named] = found
        return found

    def count(self, pile: Sequence[Piece], hold: bool) -> Tally:
        """Type a whole pile.

        Like pieces that lie side by side are seen as one heap: counted one by one with Enter alone, or all at once with
        ``*n`` on the line, whichever is shorter.

        Args:
            pile: in the order counted.
            hold: whether the shade is held and changed when it changes.
        """
        tally, held = Tally(), ""
        for kind, heap in groupby(pile, key=lambda piece: piece.kind):
            pieces = list(heap)
            if hold and kind.shade != held:
                held = kind.shade
                tally.spend("shade", len(self.hold(held)) + 1)
            tally.spend("words", len(self.query(kind, held)) + 1)
            again = min(len(pieces) - 1, 1 + len(str(len(pieces))))
            tally.spend("again", again)
            tally.pieces += len(pieces)
            for piece in pieces:
                self.saw(piece.kind)
                tally.condition += _marks(piece)
        return tally


class PadHand:
    """Presses the keypad's keys.

    Args:
        world: the demo.
        typist: what types a kind that lies on no page; without one a typed kind costs ``typed`` strokes flat.
        mixed: whether the pad of no shade held may be used for a pile that is not sorted.
        reshuffles: numbers of pieces counted on a pad after which a reshuffle of it is asked for.
        guesses: whether pads are filled up with parts known in other shades.
        typed: see ``typist``.
    """

    def __init__(
        self,
        world: World,
        typist: Typist | None = None,
        *,
        mixed: bool = True,
        reshuffles: Sequence[int] = (),
        guesses: bool = True,
        typed: int = 12,
    ) -> None:
        self._families = world.families
        self._needs = dict(world.needs)
        self._use: dict[Kind, tuple[int, int]] = {}
        self._pads: dict[str, Pad] = {}
        self._on_pad: Counter[str] = Counter()
        self._tray = reshuffle_shades(ShadeTray(), rank_shades({}, world.needs))
        self._hand = Hand()
        self._typist = typist
        self._mixed, self._reshuffles, self._guesses, self._typed = mixed, reshuffles, guesses, typed
        self.tally = Tally()

    def pad(self, shade: str) -> Pad:
        """The pad of a shade, laid out when first opened."""
        if shade not in self._pads:
            self._pads[shade] = self._laid_out(Pad(shade))
        return self._pads[shade]

    def _laid_out(self, pad: Pad) -> Pad:
        guesses = guess_kinds(pad.shade, self._use, self._needs) if self._guesses else []
        return reshuffle(pad, rank_kinds(pad.shade, self._use, self._needs), self._families, guesses)

    def count(self, pile: Sequence[Piece], hold: bool) -> Tally:
        """Count a whole pile.

        Args:
            pile: in the order counted.
            hold: whether the shade of each piece is held until another comes (a sorted pile).
        """
        last: Piece | None = None
        for piece in pile:
            if hold and piece.kind.shade != self._hand.held:
                self._hold(piece.kind.shade)
            same = last is not None and last.kind == piece.kind
            if same:
                self.tally.spend("again", 1)
            else:
                self._reach(piece.kind)
            self._condition(piece, last.grade if same and last else Grade.G5)
            self._saw(piece.kind)
            last = piece
        return self.tally

    def _hold(self, shade: str) -> None:
        self._tray = place_shades(self._tray, [shade])
        keys = self._tray.keys_for(shade) + "0"
        for key in keys:
            self._hand = press(self._hand, key, self._tray).hand
        assert self._hand == Hand(shade), "the keys of the tray must hold the shade"
        self.tally.spend("shade", len(keys))

    def _reach(self, kind: Kind) -> None:
        self._tray = place_shades(self._tray, [kind.shade])
        keys = min(filter(None, self._ways(kind)), key=len, default="")
        if not keys:
            words = self._typist.query(kind, self._hand.held) if self._typist else " " * (self._typed - 3)
            self.tally.spend("typed", len(words) + 3)  # the typing key, Enter and Esc
            return
        step = None
        for key in keys:
            step = press(self._hand, key, self._tray)
            self._hand = step.hand
        assert step is not None and step.index is not None, "the keys must end on a slot"
        assert self.pad(step.shade).kinds[step.index] == kind, "the keys must count the kind they were pressed for"
        self.tally.spend({1: "first page", 2: "further page"}.get(len(keys), "shade for one"), len(keys))

    def _ways(self, kind: Kind) -> Iterator[str]:
        if self._hand.held or self._mixed:
            yield keys_for(self.pad(self._hand.held), kind)
        if self._hand.held != kind.shade:
            slot = keys_for(self.pad(kind.shade), kind)
            yield self._tray.keys_for(kind.shade) + slot if slot else ""

    def _condition(self, piece: Piece, shown: Grade) -> None:
        steps = abs(_whole(piece.grade) - _whole(shown)) // 2
        flaws = sum(2 + len(_flaw_start(flaw)) for flaw in piece.flaws)
        # A flaw has no key of its own: the typing key, its mark and start, Enter, Esc.
        self.tally.condition += steps + (flaws + 2 if flaws else 0)

    def _saw(self, kind: Kind) -> None:
        self.tally.pieces += 1
        times, _ = self._use.get(kind, (0, 0))
        self._use[kind] = (times + 1, self.tally.pieces)
        self._needs[kind] = max(0, self._needs.get(kind, 0) - 1)
        if self._typist:
            self._typist.saw(kind)
        for shade in (kind.shade, ""):
            if shade in self._pads:
                self._pads[shade] = place(self._pads[shade], [kind], self._families)
        shown = self._hand.held
        self._on_pad[shown] += 1
        if self._on_pad[shown] in self._reshuffles:
            self._pads[shown] = self._laid_out(self.pad(shown))
            self.tally.spend("reshuffle", len(RESHUFFLE))


def _starts(words: Sequence[str]) -> Iterator[str]:
    """Runs of word starts, the shortest first; the empty run included."""
    choices = []
    for word in words:
        if word[:1].isdigit():
            choices.append(["", word])
        else:
            cuts = [word[:n] for n in range(min(4, len(word)) + 1)]
            choices.append([*cuts, word] if len(word) > 4 else cuts)
    yield from sorted((" ".join(filter(None, pick)) for pick in product(*choices)), key=len)


def _marks(piece: Piece) -> int:
    """Strokes that a typed piece's condition takes: ``!4`` and ``#cr``, each with the blank before it."""
    grade = 0 if piece.grade is Grade.G5 else 2 + len(piece.grade.label)
    return grade + sum(2 + len(_flaw_start(flaw)) for flaw in piece.flaws)


def _whole(grade: Grade) -> int:
    """A half step is given as the whole grade below: the keypad steps by whole grades."""
    return grade.value // 2 * 2


def _flaw_start(flaw: Flaw) -> str:
    for length in range(1, len(flaw.value) + 1):
        start = flaw.value[:length]
        if sum(other.value.startswith(start) for other in Flaw) == 1:
            return start
    return flaw.value
