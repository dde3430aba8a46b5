"""The scale in hand: what lies on it, put together key by key, and what it comes to."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from sortbench.desks.pile_desk import PileDesk
from sortbench.desks.weigh_desk import Answer, Question, ScaleTold, interval_words, mass_words, share_words
from sortbench.desks.weigh_entry import read_grams, read_handful, read_load, read_what
from sortbench.engine.board import Notice, Receipt
from sortbench.model.errors import DataError, SortbenchError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.weighing import Handful, Load

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.model.tally import Cell
    from sortbench.model.weighing import Weighing


class WeighingRow(NamedTuple):
    """One weighing of the part in hand.

    Attributes:
        id, at: which, and when in RFC 3339.
        handfuls: pieces counted by hand and their grams, in words; empty where none was weighed.
        load: what was counted by weight, in words; empty where nothing was.
        by_weight: pieces as they came out; empty where nothing was counted.
        by_hand: pieces counted by hand afterwards; None where nobody did.
        holds: whether something is learnt from it.
        struck: whether it was struck.
    """

    id: str
    at: str
    handfuls: str
    load: str
    by_weight: str
    by_hand: int | None
    holds: bool
    struck: bool


class WeighView(NamedTuple):
    """What the screen shows of the scale in hand.

    Attributes:
        name, shade, rgb: the pieces; empty until they are named.
        grade, flaws, bin: as a tally of them would have them; an empty bin is that of the rules.
        scale: what is known of the scale, in words; empty where nothing is.
        cup_g: grams of the empty cup that is taken where a reading does not tell its own.
        load, handfuls: what lies on the scale, in words; empty where nothing does.
        mass: what a piece weighs, in words; empty where nothing is known.
        answer: how many they are; None where that cannot be said yet.
        figures: the estimate with its interval, in words.
        shares: what the uncertainty is made of.
        missing: what is missing for an answer, or what is wrong; None if nothing is.
        rows: earlier weighings of the part, newest first.
    """

    name: str
    shade: str
    rgb: str
    grade: Grade | None
    flaws: Flaws
    bin: str
    scale: str
    cup_g: float
    load: str
    handfuls: str
    mass: str
    answer: Answer | None
    figures: str
    shares: str
    missing: SortbenchError | None
    rows: tuple[WeighingRow, ...]


class WeighHand:
    """What lies on the scale at one sitting, until it is counted.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._named: Question | None = None
        self._load: Load | None = None
        self._handfuls: tuple[Handful, ...] = ()
        self._cup_g = 0.0

    # What lies there

    def take(self, cell: Cell) -> None:
        """Take pieces like those of a heap; a heap whose part nobody looked at leaves what is in hand."""
        if cell.kind is not None and (self._named is None or self._named.kind.part != cell.part):
            self._handfuls, self._load = (), None
        if cell.kind is not None:
            self._named = Question(cell.kind, Load(0.0), (), None, None, cell.grade, cell.flaws, cell.bin)

    def name(self, text: str) -> Notice:
        """Name the pieces, as on the entry line; see :func:`read_what` for what it raises."""
        named = read_what(self._bench, text, Load(0.0))
        if self._named is None or named.kind.part != self._named.kind.part:
            self._handfuls, self._load = (), None
        self._named = named
        return Notice(f"on the scale: {self._bench.catalogue.part_name(named.kind.part)} {named.kind.shade}")

    def cup(self, text: str) -> Notice:
        """Say what the empty cup weighs, for readings that do not tell it.

        Raises:
            DataError: no weight of a cup.
        """
        grams = read_grams(text)
        if not 0 <= grams < 100_000:
            raise DataError(f"A cup does not weigh {grams:g} g.", "Give grams, 0 for none.")
        self._cup_g = grams
        return Notice(f"the cup weighs {grams:g} g")

    def put(self, text: str) -> Notice:
        """Put the pieces on that are to be counted: ``268.4``, or ``268.4 12.5`` with the cup's own.

        Raises:
            DataError: it cannot be meant.
        """
        self._load = read_load(text, self._cup_g)
        return Notice(f"{self._load.net_g:g} g to count")

    def handful(self, text: str) -> Notice:
        """Note a handful for it: ``30 44.6``, or ``30 44.6 12.5`` with the cup's own.

        Raises:
            DataError: it cannot be meant.
        """
        read = read_handful(text, self._cup_g)
        if read not in self._handfuls:
            self._handfuls += (read,)
        return Notice(f"handful of {read.pieces} in {read.net_g:g} g")

    def drop(self) -> Notice:
        """Take the last handful away again, or else the load.

        Raises:
            DataError: nothing lies there.
        """
        if self._handfuls:
            *rest, last = self._handfuls
            self._handfuls = tuple(rest)
            return Notice(f"without the handful of {last.pieces}")
        if self._load is None:
            raise DataError(
                "Nothing lies on the scale.", in_app="{weigh.load} puts the pieces on, {weigh.handful} a handful."
            )
        self._load = None
        return Notice("nothing lies on the scale")

    def scale(self, text: str) -> Notice:
        """Tell what is known of the scale: its step, how repeated readings differ, and, with a percent sign, how pieces
        do: ``0.1``, ``0.1 0.05``, ``0.1 0.05 0.6%``.

        Raises:
            DataError: it cannot be meant.
            BenchError, WriteError: see :meth:`Desk.keep`.
        """
        cells = text.split()
        grams = [read_grams(cell) for cell in cells if not cell.endswith("%")]
        percent = [read_grams(cell.removesuffix("%")) for cell in cells if cell.endswith("%")]
        if len(grams) > 2 or len(percent) > 1 or not cells:
            raise DataError(f"{text[:30]!r} says too much of a scale.", "Write it as in: 0.1, or: 0.1 0.05 0.6%")
        step, repeat = [*grams, None, None][:2]
        scatter = percent[0] / 100 if percent else None
        self._bench.weighing.tell(ScaleTold(step, repeat, scatter=scatter))
        return Notice(self._scale_words())

    # What comes of it

    def count(self, by_hand: int | None = None) -> Receipt:
        """Count what lies on the scale.

        Args:
            by_hand: pieces as counted by hand; None takes the number that fits best.

        Raises:
            DataError: something is missing, or as :meth:`WeighDesk.tally`.
            WriteError: the disk refused; nothing is counted.
        """
        question = self._question()
        desk = self._bench.weighing
        receipt = desk.tally(question, desk.ask(question), by_hand)
        self._load, self._handfuls = None, ()
        return receipt

    def learn(self) -> Notice:
        """Note the handfuls alone; nothing is counted.

        Raises:
            DataError: the pieces are not named, or no handful lies there.
            BenchError, WriteError: see :meth:`Desk.keep`.
        """
        if self._named is None or not self._handfuls:
            raise DataError(
                "There is no handful to learn from.",
                in_app="{weigh.piece} names the pieces, {weigh.handful} notes a handful.",
            )
        noted = self._bench.weighing.learn(self._named.kind.part, self._handfuls)
        self._handfuls = ()
        return Notice(f"{noted.id} noted: what a piece weighs is learnt from it")

    def confirm(self, weighing: str, text: str) -> Notice:
        """Note how many a load had, counted by hand.

        Raises:
            DataError: no number, or as :meth:`WeighDesk.confirm`.
        """
        noted, receipt = self._bench.weighing.confirm(weighing, read_pieces(text))
        put_right = "; its tally is put right" if receipt else ", as counted"
        return Notice(f"{noted.id}: {noted.by_hand:,} by hand{put_right}")

    def strike(self, weighing: str) -> Notice:
        """Strike a weighing, or let it hold again; see :meth:`WeighDesk.strike`."""
        desk = self._bench.weighing
        noted = desk.strike(weighing, back=desk.find(weighing).struck)
        return Notice(f"{noted.id}: {'struck, nothing is learnt from it' if noted.struck else 'holds again'}")

    def pile(self, text: str) -> Notice:
        """Work out how large the pile is, and keep it: ``5230 410; 61 98.4 12; 55 91 12``, what is not counted yet with
        its crate, then handfuls scooped out of it. Without handfuls it goes by what was counted so far.

        Raises:
            DataError: it cannot be meant, or as :meth:`PileDesk.by_weight`.
            BenchError, WriteError: see :meth:`Desk.keep`.
        """
        first, *others = text.split(";")
        desk = PileDesk(self._bench)
        handfuls = [read_handful(each, self._cup_g) for each in others if each.strip()]
        estimate = desk.by_weight([read_load(first)], handfuls)
        desk.keep(estimate)
        pile = estimate.pile
        words = f"the pile has about {pile.pieces:,} pieces, {pile.low:,} to {pile.high:,} with 95 %"
        return Notice(f"{words}: {estimate.counted:,} are counted, about {estimate.left.pieces:,.0f} are left")

    def _question(self) -> Question:
        if self._named is None:
            raise DataError("Nobody said what lies on the scale.", in_app="{weigh.piece} names it.")
        if self._load is None:
            raise DataError(
                "Nothing lies on the scale yet.", in_app="{weigh.load} puts it on: grams, then those of the cup."
            )
        return self._named._replace(load=self._load, handfuls=self._handfuls)

    # What there is to see

    def view(self) -> WeighView:
        """Everything of it, in words."""
        named, desk = self._named, self._bench.weighing
        answer: Answer | None = None
        missing: SortbenchError | None = None
        try:
            answer = desk.ask(self._question())
        except SortbenchError as error:
            missing = error
        mass = None
        if named is not None:
            try:
                mass = desk.mass(named.kind.part, self._handfuls)
            except SortbenchError as error:  # the scale is not known yet
                missing = error
        picture = self._bench.picture
        return WeighView(
            self._bench.catalogue.part_name(named.kind.part) if named else "",
            named.kind.shade if named else "",
            picture.rgb(named.kind.shade) if named else "",
            named.grade if named else None,
            named.flaws if named else (),
            named.bin_label if named else "",
            self._scale_words(),
            self._cup_g,
            f"{self._load.gross_g:g} g, cup {self._load.tare_g:g} g, net {self._load.net_g:g} g" if self._load else "",
            ", ".join(f"{each.pieces} in {each.net_g:g} g" for each in self._handfuls),
            mass_words(mass) if mass else "",
            answer,
            f"{interval_words(answer.found)} pieces" + (", 95 %" if answer.found.u is not None else "")
            if answer
            else "",
            share_words(answer.found) if answer else "",
            missing,
            tuple(_row(each, desk.teaches(each)) for each in reversed([*desk.weighings.values()]) if self._is_of(each)),
        )

    def _is_of(self, weighing: Weighing) -> bool:
        return self._named is not None and weighing.part == self._named.kind.part

    def _scale_words(self) -> str:
        desk = self._bench.weighing
        try:
            scale = desk.scale
            scatter = desk.scatter
        except SortbenchError:
            return ""
        assumed = "" if desk.told.repeat_g is not None else " (assumed)"
        words = f"{scale.step_g:g} g steps, readings ± {scale.repeat_g:g} g{assumed}"
        words += f", calibration ± {scale.error_g:g} g" if scale.error_g else ""
        told = "" if desk.told.scatter is not None else " (assumed)"
        return f"{words}, pieces ± {100 * scatter.share:g} %{told}"


def read_pieces(text: str) -> int:
    """How many pieces, as typed.

    Raises:
        DataError: it is no number.
    """
    digits = text.strip()
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= 6):
        raise DataError(f"{text[:20]!r} is no number of pieces.", "Type how many there are, as in 143.")
    return int(digits)


def _row(each: Weighing, holds: bool) -> WeighingRow:
    handfuls = ", ".join(f"{handful.pieces} in {handful.net_g:g} g" for handful in each.handfuls)
    load = f"{each.load.net_g:g} g" if each.load else ""
    by_weight = f"{each.estimate:.1f}" if each.estimate is not None else ""
    return WeighingRow(each.id, each.at, handfuls, load, by_weight, each.by_hand, holds, each.struck)
