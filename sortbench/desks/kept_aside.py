"""One change to a bench's documents, written in a thread of its own: a slow disk must not keep keys waiting."""

from __future__ import annotations

from collections.abc import Callable
from threading import Thread

from sortbench.model.errors import SortbenchError
from sortbench.store.documents import Documents, Draft

NAME = "keeping documents"
"""Name of the thread that does so."""
_Stamp = tuple[int, int, int]


class KeptAside:
    """A change on its way to the disk. It touches nothing but the file; the desk takes in what was written.

    Args:
        documents: the bench's.
        change: changes the draft.
        heard: called from that thread in the end.

    Attributes:
        draft: what was written; None where nothing was, and as long as it is not.
        before, after: stamps of the file that was changed and of the one that was written.
        error: why it could not be written.
        fault: what went wrong inside the program.
        taken: whether the desk's documents hold it.
    """

    def __init__(self, documents: Documents, change: Callable[[Draft], None], heard: Callable[[], None]) -> None:
        self._documents, self._change, self._heard = documents, change, heard
        self.draft: Draft | None = None
        self.before: _Stamp | None = None
        self.after: _Stamp | None = None
        self.error: SortbenchError | None = None
        self.fault: Exception | None = None
        self.taken = False
        self._thread = Thread(target=self._run, name=NAME, daemon=True)
        self._thread.start()

    def has_ended(self, wait_s: float = 0.0) -> bool:
        """Whether it is written or was given up; waits so many seconds for that."""
        self._thread.join(wait_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        try:
            with self._documents.edit() as draft:
                self.before = self._documents.stamp()
                self._change(draft)
            self.after = self._documents.stamp()
            self.draft = draft
        except SortbenchError as error:
            self.error = error
        except Exception as error:  # raised where it is heeded, as any fault of the program is
            self.fault = error
        self._heard()
