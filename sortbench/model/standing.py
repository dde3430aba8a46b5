"""Since when pieces have been on the standing list, as far as anybody looked."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError


class StandingNote(NamedTuple):
    """A kind that a target lacked and that could not be had.

    Attributes:
        target: its code.
        kind: what its list asks for.
        since: when that was first seen: RFC 3339 in UTC. It may have been so before.
    """

    target: str
    kind: Kind
    since: str

    @property
    def key(self) -> str:
        """What tells it from all others: target, part and shade, with tabs between, which no name has."""
        return "\t".join((self.target, *self.kind))


def checked_note(note: StandingNote) -> StandingNote:
    """The same note, once it can be.

    Raises:
        DataError: a name is missing, or the time is none.
    """
    if not (note.target and note.kind.part and note.kind.shade):
        raise DataError("A note of the standing list needs a target, a part and a shade.")
    try:
        datetime.fromisoformat(note.since)
    except ValueError:
        raise DataError(f"{note.since[:40]!r} is no time.") from None
    return note
