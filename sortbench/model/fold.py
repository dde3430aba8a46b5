"""A fold of many records, packed: what they come to, and the records themselves in columns.

A million records take some 50 MB so, and are there as fast as memory is copied; a :class:`Record` is made of one when
somebody asks for it.
"""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from sortbench.model.tally import Cell, Condition, Fate, Reading, RecordId, What

TIME_LENGTH = 24
"""Characters of a time to the millisecond, ``2026-03-01T09:31:12.000Z``. Other texts stand apart."""
NUMBERS = "I"
"""Type code of columns of numbers of things: 32 bits, none below 0."""
WHOLE = "q"
"""Type code of columns of whole numbers: 64 bits."""


class Manner(NamedTuple):
    """What a record says besides pieces, time and what it voids: as in :class:`Record`."""

    what: What
    to_bin: str
    target: str
    way: str
    to_fate: Fate
    became: Condition | None


class Stretch(NamedTuple):
    """Records of one sitting whose numbers follow each other.

    Attributes:
        sitting: which.
        seq: number of the first.
        begin: place of the first in the columns.
        length: how many.
    """

    sitting: str
    seq: int
    begin: int
    length: int


class Fold(NamedTuple):
    """Records in columns, all in the same order, and what they come to.

    Attributes:
        cells: heaps that records speak of or pieces lie in, none twice.
        manners: manners of the records, none twice.
        stretches: which records there are; they follow each other in the columns without a hole.
        manner_of: of each record its place in ``manners``.
        cell_of: of each record 1 + its place in ``cells``, 0 where it speaks of none.
        quantity_of: pieces of each record.
        times: TIME_LENGTH bytes of ASCII for each record.
        odd_times: by place, times that are no such text; ``times`` holds blanks there.
        voids: by place, what a record voids or stands in for.
        labs: by place, the colour that a record tells.
        heaps: of each cell, pieces that lie in it; may be below 0.
        unheld: places of records that do not hold.
        dead: places of records that are dead; see ``Ledger``.
        ignored: places of records whose naming of another is ignored, for it closes a ring.
        order: places of all records by time, then id.
        use_cells: 1 + a place in ``cells``, for each kind that records which hold and can be undone speak of.
        use_times: how many records speak of that kind.
        use_last: the ordinal of the last of them among all such records, from 1.
    """

    cells: Sequence[Cell]
    manners: Sequence[Manner]
    stretches: Sequence[Stretch]
    manner_of: array[int]
    cell_of: array[int]
    quantity_of: array[int]
    times: bytes | bytearray
    odd_times: Mapping[int, str]
    voids: Mapping[int, RecordId]
    labs: Mapping[int, Reading]
    heaps: array[int]
    unheld: array[int]
    dead: array[int]
    ignored: array[int]
    order: array[int]
    use_cells: array[int]
    use_times: array[int]
    use_last: array[int]


_NONE = array(NUMBERS)
NO_RECORDS = Fold((), (), (), _NONE, _NONE, _NONE, b"", {}, {}, {}, array(WHOLE), *(_NONE,) * 7)
"""The fold of no records, for others to begin with. Its columns are everybody's: nothing is to be added to them."""
