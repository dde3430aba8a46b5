"""The receipt of a record: what was counted, where it goes, and what that changed."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.engine.board import BinRow, Crate, Receipt
from sortbench.engine.fill import Gain
from sortbench.engine.picture import Picture
from sortbench.model.tally import Record, What


def make_receipt(picture: Picture, record: Record, gains: Sequence[Gain], note: str = "") -> Receipt:
    """The receipt of a record that was just taken in.

    Args:
        picture: as it is after the record.
        record: a tally, move, line or regrade, with its cell.
        gains: what lines gained or lost by it.
    """
    cell = record.put
    assert cell is not None, "only records about pieces get receipts"
    bin_label = cell.bin
    kind = cell.kind
    crates = picture.crates(gains)
    fuller = [gain for gain in gains if gain.present > 0]
    names = {gain.target.code: gain.target.name for gain in fuller if picture.fill[gain.target.code].complete}
    lines_done = tuple(
        f"{gain.target.name}, line {gain.number}"
        for gain in fuller
        if not picture.fill[gain.target.code].lines[gain.number - 1].short
    )
    if record.what is What.LINE:
        bin_label, crates = "", (Crate(record.target, _target_name(picture, record.target), 0, record.quantity),)
    overflow, proposal, ran_over = "", "", False
    if bin_label and (row := picture.bin_row(bin_label)).overflowing:
        overflow = bin_label
        ran_over = _just_ran_over(picture, row, cell.part, record.quantity)
        # Working out a split takes longer than a tally: it is told when a bin runs over, then on the bins screen.
        if ran_over:
            proposal = split_words(picture, bin_label)
    cells = picture.ledger.of_kind(kind) if kind else {}
    return Receipt(
        record=record.id,
        quantity=record.quantity,
        kind=kind,
        name=picture.name(cell),
        shade=cell.shade,
        rgb=picture.rgb(cell.shade),
        grade=cell.grade,
        flaws=cell.flaws,
        fate=cell.fate,
        bin=bin_label,
        crates=crates,
        lines_done=lines_done,
        targets_done=tuple(names.values()),
        overflow=overflow,
        proposal=proposal,
        spare=picture.fill.spare(kind, cells) if kind else 0,
        total=picture.counted(kind) if kind else 0,
        target=record.target,
        note=note,
        ran_over=ran_over,
        all_done=bool(names) and all(each.complete for each in picture.fill.all() if not each.target.parked),
        fills=tuple(picture.fill[gain.target.code].lines[gain.number - 1].line.kind for gain in fuller),
    )


def split_words(picture: Picture, label: str) -> str:
    """How to split an overflowing bin, in words; empty where it is not set up or no split helps."""
    found = picture.bin(label)
    if found is None:
        return ""
    # Imported here: few tallies make a bin run over, and every start of the app would pay for it.
    from sortbench.engine.split import propose_split

    labels = [each.label for each in picture.bins]
    proposal = propose_split(found, picture.content(label), picture.catalogue, labels)
    return proposal.words if proposal else ""


def _just_ran_over(picture: Picture, row: BinRow, part: str, quantity: int) -> bool:
    """Whether an overflowing bin was not yet over without these pieces."""
    grams = quantity * ((picture.catalogue.mass_g(part) if part else None) or 0.0)
    return row.over <= quantity and row.over_g <= grams * (1 + 1e-9)


def _target_name(picture: Picture, code: str) -> str:
    return next((fill.target.name for fill in picture.fill.all() if fill.target.code == code), code)
