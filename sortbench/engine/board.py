"""What the screens and commands show: frozen figures, worked out before anything is drawn.

Named tuples, because there are many of these classes and a start of the app waits until each is made. For the same
reason annotations are not put off in this module: a named tuple would compile the text of each one.
"""

from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.errors import SortbenchError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Condition, Fate, Reading, RecordId, What


class TargetRow(NamedTuple):
    """One target's bar: pieces asked for, present, to standard; lines complete of lines."""

    code: str
    name: str
    rank: int
    year: int | None
    need: int
    present: int
    standard: int
    short: int
    lines: int
    lines_complete: int
    period_unknown: int
    wants: int = 0
    """Pieces of the highlighted kind it still lacks."""
    stand_ins: int = 0
    """Pieces present that stand in for what is asked for."""
    possible: int = 0
    """Pieces present at most, if those counted without looking at their size are what it lacks."""
    parked: bool = False


class LineRow(NamedTuple):
    """One line of a target."""

    number: int
    kind: Kind
    name: str
    rgb: str
    lowest: Grade
    need: int
    present: int
    standard: int
    short: int
    period: bool | None
    places: tuple[tuple[str, int], ...]
    """Where pieces of the kind lie: bin label (empty: put aside for a wash) and pieces."""


class BinRow(NamedTuple):
    """One bin: what it holds against what it can hold."""

    label: str
    rule: str
    place: str
    pieces: int
    capacity: int | None
    grams: float | None
    """Known mass of what lies in it; None where no piece's mass is known."""
    grams_unknown: int
    """Pieces whose mass is not known, left out of ``grams``."""
    capacity_g: float | None
    over: int
    """Pieces above capacity, 0 if none."""
    over_g: float
    kinds: int

    @property
    def overflowing(self) -> bool:
        """Whether it holds more than it can, by pieces or by grams."""
        return self.over > 0 or self.over_g > 0

    @property
    def share(self) -> float | None:
        """How full, 1.0 is full; the fuller of pieces and grams; None without a capacity."""
        shares = []
        if self.capacity:
            shares.append(self.pieces / self.capacity)
        if self.capacity_g and self.grams is not None:
            shares.append(self.grams / self.capacity_g)
        return max(shares, default=None)


class HeapRow(NamedTuple):
    """One heap of like pieces, named."""

    cell: Cell
    name: str
    rgb: str
    quantity: int


class RecordRow(NamedTuple):
    """One record of the log, named."""

    id: RecordId
    at: str
    what: What
    name: str
    shade: str
    rgb: str
    quantity: int
    grade: Grade | None
    flaws: Flaws
    bin: str
    to_bin: str
    target: str
    fate: Fate | None
    voids: RecordId | None
    holds: bool
    way: str
    own: bool
    """Whether this sitting wrote it."""
    to_fate: Fate = Fate.KEPT
    """For a move, what became of the pieces."""
    became: Condition | None = None
    """For a regrade, the condition they were found in."""
    lab: Reading | None = None
    """The colour that was measured on them."""


class Wanted(NamedTuple):
    """A target that still lacks a kind."""

    code: str
    name: str
    number: int
    short: int


class HomeRow(NamedTuple):
    """The crate that one more piece would go to.

    Attributes:
        code, name, number: the target and its line, from 1.
        lacking: whether the line lacks a piece; otherwise the piece takes the place of a lesser one.
        stand_in: whether it would only stand in there.
        then: pieces of the kind that are wanted after it.
    """

    code: str
    name: str
    number: int
    lacking: bool
    stand_in: bool
    then: int

    @property
    def words(self) -> str:
        """As one says it: ``Glasshouse, line 12, then 3 more``."""
        how = "betters " if not self.lacking else ("stands in at " if self.stand_in else "")
        return f"{how}{self.name}, line {self.number}" + (f", then {self.then:,} more" if self.then else "")


class ResultRow(NamedTuple):
    """One result of a look-up: a kind, its bin, and who still needs it."""

    kind: Kind
    name: str
    rgb: str
    bin: str
    wants: tuple[Wanted, ...]
    counted: int
    tie: bool
    """The one below is as good a match: look before counting."""
    home: HomeRow | None = None
    """Where the next piece of it goes; None if no target needs it."""


class Results(NamedTuple):
    """What an entry line finds as typed so far.

    Attributes:
        enter: what the key that counts would do, where that is not counting the first row: ``holds bin B2``.
        note: what else to know.
        wrong: why the line cannot be taken.
    """

    rows: tuple[ResultRow, ...] = ()
    enter: str = ""
    note: str = ""
    wrong: SortbenchError | None = None

    @property
    def error(self) -> str:
        """What is wrong, and how to mend it outside the app; empty if nothing is."""
        return str(self.wrong or "")


class PastedRow(NamedTuple):
    """A pasted line that waits, and what it would do.

    Attributes:
        line: as it was pasted.
        meaning: the piece it counts, or what else it does; why it cannot be taken, where ``wrong``. Empty where that
            hangs on a line above it.
        wrong: it would be refused.
    """

    line: str
    meaning: str
    wrong: bool = False


class Crate(NamedTuple):
    """Where counted pieces go in the end."""

    code: str
    name: str
    number: int
    pieces: int


class Receipt(NamedTuple):
    """What the bench answers to a tally.

    Attributes:
        record: its id in the log; it is on disk.
        quantity: pieces counted.
        kind: None for a coarse count.
        name: the part in words; for a coarse count what is known of it.
        bin: where to put it; empty if it goes back to the wash or out.
        crates: which lines took pieces (for a target's list being written up, the list).
        lines_done: ``Glasshouse, line 12`` that became complete.
        targets_done: names of targets that became complete.
        overflow: the bin it overflowed, empty if none; ``proposal`` how to split it.
        ran_over: whether that bin was not yet over without these pieces.
        all_done: whether one of the targets became complete, and with it every target that is not parked.
        spare: pieces of the kind no target needs, after this.
        total: pieces of the kind counted, after this.
    """

    record: RecordId
    quantity: int
    kind: Kind | None
    name: str
    shade: str
    rgb: str
    grade: Grade | None
    flaws: Flaws
    fate: Fate
    bin: str
    crates: tuple[Crate, ...]
    lines_done: tuple[str, ...]
    targets_done: tuple[str, ...]
    overflow: str
    proposal: str
    spare: int
    total: int
    target: str = ""
    note: str = ""
    """What else to know: a part that was added, a tally that this one stands in for."""
    fills: tuple[Kind, ...] = ()
    """Kinds asked for by lines that lack fewer pieces now."""
    sought: str = ""
    """What these lines were waiting for: an order under way, or what could not be had."""
    ran_over: bool = False
    all_done: bool = False


class Notice(NamedTuple):
    """An answer that counted nothing: something held, something undone."""

    text: str
    held: bool = False


class Held(NamedTuple):
    """What stays put between entries."""

    shade: str = ""
    rgb: str = ""
    grade: Grade = Grade.G5
    bin: str = ""
    target: str = ""
    """Code of the target whose list is being written up; empty while counting into bins."""


class SlotRow(NamedTuple):
    """One key of the keypad: a kind, a shade, or a bin alone."""

    key: str
    name: str
    detail: str
    shade: str
    rgb: str
    pinned: bool
    wants: int
    counted: int


class PadView(NamedTuple):
    """The keypad as it lies: nine slots of the page shown, and what the pages hold."""

    title: str
    tray: str
    """``kinds``, ``shades`` or ``bins``."""
    page: int
    slots: tuple[SlotRow, ...]
    pages: tuple[str, ...]
    """What each page mostly holds, empty for an empty page."""
    note: str = ""
    ways: str = ""
    """The keys that what the note tells waits for: ids in braces stand for them."""
