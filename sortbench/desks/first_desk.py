"""A bench with nothing on it: from what somebody has to the first counted piece."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.engine.board import Notice
from sortbench.model.target import Target

if TYPE_CHECKING:
    from sortbench.bench import Bench


class FirstDesk:
    """Ways to begin on one bench.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench

    def write_up(self, typed: str) -> Notice:
        """Begin the list of a set from its manual: a new target, whose lines are typed next.

        Args:
            typed: code, name and year, as ``T-12 Orchard Gate 1991``.

        Raises:
            DataError: the code is taken, or there is no name.
            WriteError: the disk refused.
        """
        target = Target.from_words(typed)
        self._with_shades()
        self._bench.add_target(target)
        self._bench.write_up(target.code)
        return Notice(f"writing up {target.name}: +red plate 2x4 *3 puts three on its list; a dot alone ends it")

    def begin(self) -> Notice:
        """Count with nothing but a pile: words are learnt as they are typed.

        Raises:
            WriteError: the disk refused.
        """
        self._with_shades()
        return Notice("+red plate 2x4 counts one and learns the part; once known, red pl 2x4 will do")

    def _with_shades(self) -> None:
        if self._bench.catalogue.shades:
            return
        from sortbench.engine.entering.basic_shades import BASIC_SHADES

        with self._bench.folder.documents.edit() as draft:
            for shade in BASIC_SHADES:
                draft.shades.setdefault(shade.name, shade)
        self._bench.reload()
