"""Adding one part, shade, target or bin to a bench without a file; splitting a bin that overflows."""

from __future__ import annotations

import difflib

from sortbench.desk import Desk
from sortbench.engine.board import Notice
from sortbench.engine.split import propose_split
from sortbench.engine.taking_back import SPLIT
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import FAMILIES, Kind, Part, Shade
from sortbench.model.errors import DataError
from sortbench.model.library import SetList
from sortbench.model.tally import What
from sortbench.model.target import MAX_QUANTITY, MAX_RANK, Line, Target


def add_part(bench: Desk, part: Part) -> None:
    """Put a part into the catalogue.

    Raises:
        DataError: its code is taken by another part.
        WriteError: the disk refused.
    """
    with bench.folder.documents.edit() as draft:
        if draft.parts.get(part.code, part) != part:
            raise DataError(f"The code {part.code!r} is taken.", "Give the part another name.")
        draft.parts[part.code] = part
    bench.reload()


def add_shade(bench: Desk, shade: Shade) -> None:
    """Put a shade into the catalogue.

    Raises:
        DataError: its name is taken by a different one.
        WriteError: the disk refused.
    """
    with bench.folder.documents.edit() as draft:
        if draft.shades.get(shade.name, shade) != shade:
            raise DataError(f"The shade {shade.name!r} is there already.", "Change it with `sortbench import shades`.")
        draft.shades[shade.name] = shade
    bench.reload()


def add_target(bench: Desk, target: Target) -> None:
    """Put a target on the bench; its list may be empty and be written up later.

    Raises:
        DataError: its code is taken by a different one.
        WriteError: the disk refused.
    """
    with bench.folder.documents.edit() as draft:
        if draft.targets.get(target.code, target) != target:
            raise DataError(f"The target {target.code!r} is there already.", "Give it another code.")
        draft.targets[target.code] = target
    bench.reload()


def list_as_target(bench: Desk, found: SetList) -> Target:
    """Make a list of the library a target, behind all others in rank. What the catalogue lacks joins it.

    Returns:
        The target.

    Raises:
        DataError: there is a target of this code, or a name could be any of several parts or shades.
        WriteError: the disk refused.
    """
    from sortbench.engine.entering.naming import guess_family, part_index, shade_index, spell_code

    with bench.folder.documents.edit() as draft:
        if found.code in draft.targets:
            raise DataError(f"The target {found.code!r} is there already.", "`sortbench targets` shows it.")
        parts, shades = part_index(draft.parts), shade_index(draft.shades)
        lines: dict[Kind, int] = {}
        for part_text, shade_text, quantity in found.lines:
            part, shade = parts.find(part_text), shades.find(shade_text)
            if part is None:
                made = Part(spell_code(part_text), part_text, guess_family(part_text))
                part = draft.parts.setdefault(made.code, made).code
                parts.add(part, (part_text,))
            if shade is None:
                shade = draft.shades.setdefault(shade_text, Shade(shade_text)).name
                shades.add(shade)
            lines[Kind(part, shade)] = lines.get(Kind(part, shade), 0) + quantity
        rank = min(MAX_RANK, max((each.rank for each in draft.targets.values()), default=0) + 1)
        asked = tuple(Line(kind, min(quantity, MAX_QUANTITY)) for kind, quantity in lines.items())
        target = Target(found.code, found.name, found.year, rank, asked)
        draft.targets[target.code] = target
    bench.reload()
    return target


def add_bin(bench: Desk, bin: Bin) -> None:
    """Put up a bin: before the catch-all, if there is one, so that its rule is tried.

    Raises:
        DataError: its label is taken, or it would be a second catch-all.
        WriteError: the disk refused.
    """
    with bench.folder.documents.edit() as draft:
        for place, each in enumerate(draft.bins):
            if each == bin:
                return
            if each.label.casefold() == bin.label.casefold():
                raise DataError(f"The bin {each.label!r} is there already.", "Give it another label.")
            if each.rule.catch_all:
                if bin.rule.catch_all:
                    raise DataError(
                        f"Bin {each.label} takes everything else already.", "Say what the new one takes, as --shade."
                    )
                draft.bins.insert(place, bin)
                break
        else:
            draft.bins.append(bin)
    bench.reload()


def unknown_names(bench: Desk, rule: Rule) -> list[str]:
    """What a rule names that the bench does not know, in words, with the nearest name it does know.

    No error: a bin may be put up before its pieces come in.
    """
    catalogue = bench.catalogue
    families = {*FAMILIES, *(part.family for part in catalogue.parts.values())}
    known = (("shade", rule.shades, catalogue.shades), ("part", rule.parts, catalogue.parts))
    told = []
    for what, names, there in (*known, ("shape family", rule.families, families)):
        for name in names:
            if name not in there:
                near = difflib.get_close_matches(name, there, 1)
                told.append(f"No {what} {name!r} is known yet." + (f" Did you mean {near[0]!r}?" if near else ""))
    return told


def split_bin(bench: Desk, label: str) -> Notice:
    """Put up the bin that the split of an overflowing one proposes, and carry over what belongs in it.

    The new bin comes right before the old one and holds as much; every heap carried is a record of its own, so that
    undo brings it back.

    Raises:
        DataError: no such bin, it does not overflow, or no rule tells its pieces apart.
        WriteError: the disk refused; what was carried before stays carried.
    """
    old = bench.picture.bin(label)
    if old is None:
        raise DataError(f"No bin is labelled {label!r}.", "The bins screen lists them.")
    content = dict(bench.picture.content(label))
    proposal = propose_split(old, content, bench.catalogue, [each.label for each in bench.picture.bins])
    if proposal is None:
        raise DataError(f"There is nothing to split in {label}.", "Only a bin that overflows is split.")
    most = max(content.values())
    if min(content.values()) < 0 or most > MAX_QUANTITY:
        raise DataError(
            f"{label} holds a heap of {most if most > MAX_QUANTITY else min(content.values()):,} pieces.",
            "`sortbench check` tells why; put that right first.",
        )
    new = Bin(proposal.label, proposal.rule, old.capacity, old.capacity_g)
    with bench.folder.documents.edit() as draft:
        place = next((n for n, each in enumerate(draft.bins) if each.label == label), len(draft.bins))
        draft.bins.insert(place, new)
    bench.reload()
    carried = 0
    for cell, quantity in content.items():
        family = bench.catalogue.family(cell.part) if cell.part else cell.family
        if new.rule.matches(cell.part, family, cell.shade, cell.grade, cell.flaws):
            bench.sitting.record(What.MOVE, cell, quantity, to_bin=new.label, way=SPLIT)
            carried += quantity
    return Notice(f"put up {new.label} for {new.rule}: carry {carried:,} pieces over from {label}")
