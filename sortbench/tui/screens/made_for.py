"""What a screen made of the whole log, it makes once for a state of the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from sortbench.bench import Bench


class MadeFor(NamedTuple):
    """A bench, and what was asked of it, when something was made; once it is another, that is made anew.

    Attributes:
        picture, documents: of the bench; another object is another state.
        records: how many the log has.
        asked: what else it hangs on, compared by value.
    """

    picture: object
    documents: object
    records: int
    asked: tuple[object, ...]

    def is_same(self, other: MadeFor | None) -> bool:
        """Whether nothing changed from one to the other."""
        if other is None:
            return False
        same = self.picture is other.picture and self.documents is other.documents
        return same and self[2:] == other[2:]


def made_for(bench: Bench, *asked: object) -> MadeFor:
    """The state of the bench now."""
    return MadeFor(bench.picture, bench.documents, len(bench.picture.ledger.records), asked)
