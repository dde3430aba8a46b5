"""What reconciling shows: counts against targets, line by line, as frozen figures.

Named tuples, and annotations not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Fate, place_words


class PlaceRow(NamedTuple):
    """Pieces that lie in one place.

    Attributes:
        bin: label of the bin; for pieces in a crate the code of its target; empty for pieces in neither.
        place: where the bin stands on the table; empty where nobody said.
        quantity: pieces.
        fate: kept, to wash, or in a crate.
    """

    bin: str
    place: str
    quantity: int
    fate: Fate = Fate.KEPT

    @property
    def crated(self) -> bool:
        """Whether they lie in a target's crate already."""
        return self.fate is Fate.CRATE

    @property
    def words(self) -> str:
        """Where they lie, in a word or two."""
        if self.fate is Fate.WASH:
            return f"{self.bin}, to wash" if self.bin else "to wash"
        return place_words(self.bin, self.fate) or "no bin"


RESERVED, CRATED = "reserved", "in the crate"
"""Why only one target may have some pieces."""


class ShareRow(NamedTuple):
    """Like pieces that one line has.

    Attributes:
        kind, name, rgb: what they are; the name is the part's.
        grade: None where nobody graded them.
        flaws: what else is wrong with them.
        ready: whether they are washed.
        held: `RESERVED`, `CRATED`, or empty where any target might have them.
        quantity: pieces.
        cost: what the stand-in costs in correctness, 0 for the kind that is asked for.
        standard: whether grade, flaws and period are all right.
        period: whether the kind is right for the target's year; None where years are not known.
        places: where they lie; together ``quantity`` pieces.
    """

    kind: Kind
    name: str
    rgb: str
    grade: Grade | None
    flaws: Flaws
    ready: bool
    held: str
    quantity: int
    cost: int
    standard: bool
    period: bool | None
    places: tuple[PlaceRow, ...]


class AcceptRow(NamedTuple):
    """A kind that may stand in on a line, or that might if it were not refused.

    Attributes:
        kind, name, rgb: which.
        cost: what it costs in correctness, 1 to 9.
        refused: whether the target does not allow it.
    """

    kind: Kind
    name: str
    rgb: str
    cost: int
    refused: bool


class ReconcileLine(NamedTuple):
    """One line of a target against what is counted.

    Attributes:
        number: from 1, in the order of the list.
        kind, name, rgb: what is asked for.
        lowest: the lowest grade to standard.
        need, present, standard, stand_ins, short: pieces.
        period: whether the kind asked for is right for the target's year; None where years are not known.
        shares: which pieces it has, best first, the kind asked for before stand-ins.
        better: what would improve it, in words; empty where nothing is left to improve.
        accepts: what may stand in, in order of preference, refused ones among them.
    """

    number: int
    kind: Kind
    name: str
    rgb: str
    lowest: Grade
    need: int
    present: int
    standard: int
    stand_ins: int
    short: int
    period: bool | None
    shares: tuple[ShareRow, ...]
    better: tuple[str, ...]
    accepts: tuple[AcceptRow, ...] = ()


class ReconcileTarget(NamedTuple):
    """How far one target is filled; numbers of pieces but for ``lines`` and ``lines_complete``.

    ``possible`` counts the pieces present and those that coarse pieces may bring at most; ``waiting`` those that are
    present and wait for a wash.
    """

    code: str
    name: str
    rank: int
    year: int | None
    value: int | None
    parked: bool
    need: int
    present: int
    standard: int
    stand_ins: int
    short: int
    lines: int
    lines_complete: int
    possible: int = 0
    waiting: int = 0


class SpareHeap(NamedTuple):
    """Like pieces of one kind that no line has.

    Attributes:
        kind, name, rgb: what they are; the name is the part's.
        grade: None where nobody graded them.
        flaws: what else is wrong with them.
        ready: whether they are washed.
        only: code of the one target that may have them; empty where any may.
        quantity: pieces.
        places: where they lie; together ``quantity`` pieces.
    """

    kind: Kind
    name: str
    rgb: str
    grade: Grade | None
    flaws: Flaws
    ready: bool
    only: str
    quantity: int
    places: tuple[PlaceRow, ...]


class Standing(NamedTuple):
    """How one target stands: its rank, whether it takes nothing, and pieces it has."""

    rank: int
    parked: bool
    present: int
    standard: int
    stand_ins: int
    complete: bool


class Effect(NamedTuple):
    """What a change comes to for one target."""

    code: str
    name: str
    need: int
    before: Standing
    after: Standing

    @property
    def changed(self) -> bool:
        """Whether anything is otherwise than before."""
        return self.before != self.after
