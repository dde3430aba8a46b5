"""Which bin a piece belongs in: the bins in their order, the first whose rule matches."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.model.bins import Bin
from sortbench.model.catalogue import Catalogue
from sortbench.model.grade import Flaws, Grade


class Router:
    """Answers where a piece goes; remembers the answers, for the same few hundred questions come again and again."""

    def __init__(self, bins: Sequence[Bin], catalogue: Catalogue) -> None:
        self._bins = tuple(bins)
        self._catalogue = catalogue
        self._known: dict[tuple[str, str, str, Grade | None, Flaws], str] = {}

    def route(self, part: str, shade: str, grade: Grade | None, flaws: Flaws, family: str = "") -> str:
        """The label of the bin for a piece; empty where no bin takes it (a bench without a catch-all).

        Args:
            family: told only where the part is not (a coarse count); a part's own family comes from the catalogue.
        """
        question = (part, shade, family, grade, flaws)
        label = self._known.get(question)
        if label is None:
            shape = self._catalogue.family(part) if part else family
            label = next((b.label for b in self._bins if b.rule.matches(part, shape, shade, grade, flaws)), "")
            self._known[question] = label
        return label
