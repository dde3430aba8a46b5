"""What is said on the labels of bins and crates."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.labelling.scanned import code_text, scanned
from sortbench.model.bins import Bin
from sortbench.model.errors import DataError
from sortbench.model.target import Target

if TYPE_CHECKING:
    from sortbench.desk import Desk


class Tint(NamedTuple):
    """A shade to be shown: its name, and its sRGB value, empty where nobody told it."""

    shade: str
    rgb: str


class Label(NamedTuple):
    """One label.

    Attributes:
        mark: what is written largest: a bin's label, a target's code.
        name: what the mark stands for, empty for a bin.
        tints: shades that belong in it.
        words: what else is said of it, a line each.
        scanned: what the code says.
    """

    mark: str
    name: str
    tints: tuple[Tint, ...]
    words: tuple[str, ...]
    scanned: str


def labels_of(desk: Desk, *, bins: bool, crates: bool, only: Iterable[str] = ()) -> tuple[Label, ...]:
    """Labels of bins in their order, then of crates in the order of their targets.

    Args:
        bins: whether bins are wanted.
        crates: whether crates are wanted.
        only: labels and codes that are wanted, in any case; all if none is named.

    Raises:
        DataError: there is nothing to label, a name is none of theirs, or a target has the code of a bin's label.
    """
    found = [_of_bin(desk, each) for each in desk.picture.bins] if bins else []
    if crates:
        found += [_of_crate(desk, each) for each in sorted(desk.picture.targets, key=lambda each: each.rank)]
    wanted = {name.casefold(): name for name in only}
    if unknown := [name for key, name in wanted.items() if key not in {each.mark.casefold() for each in found}]:
        raise DataError(
            f"Nothing to be labelled is called {unknown[0][:60]!r}.", "`sortbench bins` and `targets` list them."
        )
    if wanted:
        found = [each for each in found if each.mark.casefold() in wanted]
    if not found:
        raise DataError("There is nothing to label yet.", "Set up bins with `sortbench import bins` or `add bin`.")
    return tuple(found)


def _of_bin(desk: Desk, each: Bin) -> Label:
    tints = tuple(Tint(shade, desk.picture.rgb(shade)) for shade in each.rule.shades)
    rest = each.rule._replace(shades=())
    words = [] if tints and rest.catch_all else [str(rest)]
    holds = [f"{each.capacity:,} pieces"] if each.capacity else []
    if each.capacity_g:
        holds.append(f"{each.capacity_g:,g} g")
    if holds:
        words.append("holds " + ", ".join(holds))
    if each.place:
        words.append(each.place)
    return Label(each.label, "", tints, tuple(words), code_text(each.label))


def _of_crate(desk: Desk, target: Target) -> Label:
    text = code_text(target.code)
    selected = scanned(text, desk.picture)
    if selected is None or selected.bin:
        raise DataError(
            f"The crate of {target.code} and a bin are labelled alike, so a scanner could not tell them apart.",
            "Rename one of them, or label the bins alone with --bins.",
        )
    words = [f"{target.pieces:,} pieces"] if target.lines else []
    if target.year:
        words.insert(0, str(target.year))
    return Label(target.code, target.name, (), (" · ".join(words),) if words else (), text)
