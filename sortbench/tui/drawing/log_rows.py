"""The log screen: records in words, made one by one for what is in sight."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sortbench.engine.board import RecordRow
from sortbench.model.tally import Fate, RecordId, What, place_words
from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.list_rows import headings, holds_words, local_time, searchable
from sortbench.tui.drawing.words import joined, judged, plural, swatch
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns, row_width, widths

Records = Mapping[RecordId, RecordRow]

OWN, OTHER, VOID = "●", "○", "✗"

_RECORD = (
    Column(1),
    Column(1),
    Column(11, 19, drop=1),
    Column(6),
    Column(6, 12, drop=2),
    Column(5, 6, align="right"),
    Column(1),
    Column(8, None),
    Column(6, 18, drop=3),
    Column(6, 18, drop=5),
    Column(8, 22, drop=4),
)
_DONE = {What.LINE: "written up", What.RESERVE: "reserved", What.REGRADE: "judged", What.RECOUNT: "recounted"}
_NAMES = ("", "", "time", "", "what", "pieces", "", "part", "shade", "condition", "where")

EMPTY_LOG: tuple[Row, ...] = (
    (("The log is empty: nothing has been counted on this bench.", "text"),),
    (("{bench}", "key"), (" leads to the bench; every piece counted there becomes a record here.", "quiet")),
    (("Voiding one adds another; nothing is rewritten.", "quiet"),),
)
"""What to say where there are no records."""


def head_rows(records: Sequence[RecordRow], width: int) -> tuple[Row, ...]:
    """How many records there are, and what the marks mean: on two lines where one is too short."""
    count: Row = (("log  ", "title"), (plural(len(records), "record"), "strong"), (", newest first", "quiet"))
    marks: list[Row] = [
        ((OWN, "key"), (" this sitting ", "quiet"), (OTHER, "text"), (" another", "quiet")),
        ((VOID, "warning"), (" void: no longer holds", "quiet")),
    ]
    together = joined([count, *marks])
    if row_width(together) <= width:
        return (together,)
    return clip(count, width), clip(joined(marks), width)


def record_headings(width: int) -> Row:
    """What the columns are called."""
    return headings(_RECORD, _NAMES, width)


def what_words(record: RecordRow, records: Records) -> str:
    """What a record says, in a word or two."""
    if record.what is What.OPEN:
        return "opened"
    if record.what is What.VOID:
        voided = records.get(record.voids) if record.voids else None
        return "brought back" if voided and voided.what is What.VOID else "taken back"
    if record.what is What.MOVE:
        if record.to_fate is Fate.CRATE:
            return "picked"
        if record.to_bin:
            return "put back" if record.fate is Fate.CRATE else "carried"
        return "discarded" if record.to_fate is Fate.OUT else "set aside"
    if record.voids:
        return "put right"
    return _DONE.get(record.what, "counted")


def _meant(record: RecordRow, records: Records) -> RecordRow:
    """The record whose pieces are meant: at the end of what a void voids."""
    for _ in range(len(records)):
        voided = records.get(record.voids) if record.what is What.VOID and record.voids else None
        if voided is None:
            break
        record = voided
    return record


def _where(record: RecordRow) -> str:
    if record.what is What.RESERVE:
        return f"for {record.target}"
    here = place_words(record.bin, record.fate or Fate.KEPT)
    if record.what is What.MOVE:
        there = place_words(record.to_bin, record.to_fate)
        return f"{here} → {there}" if there else f"from {here}" if here else ""
    return f"list of {record.target}" if record.target else here


def searchable_record(record: RecordRow, records: Records) -> str:
    """The text in which words of a filter are looked for."""
    meant = _meant(record, records)
    return searchable(
        local_time(record.at),
        what_words(record, records),
        "" if record.holds else "void",
        meant.name,
        meant.shade,
        judged(meant.grade, meant.flaws, meant.became) if meant.name else "",
        _where(meant),
        str(record.id),
        record.way,
    )


def matching(records: Sequence[RecordRow], haystacks: Sequence[str], words: str) -> tuple[RecordRow, ...]:
    """The records that hold all the words; ``haystacks`` are their searchable texts."""
    pairs = zip(records, haystacks, strict=True)
    return tuple(record for record, haystack in pairs if holds_words(haystack, words))


def record_row(record: RecordRow, records: Records, chosen: bool, width: int) -> Row:
    """One record on one line."""
    room = widths(_RECORD, width)[2]
    at = local_time(record.at)
    meant = _meant(record, records)
    look = "chosen" if chosen else ("text" if record.holds else "quiet")
    pieces = bool(meant.quantity)
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (OWN, "key") if record.own else (OTHER, "text"),
        (at if room >= len(at) else at[5:16], "quiet"),
        ("" if record.holds else f"{VOID} void", "warning"),
        (what_words(record, records), "text" if record.holds else "quiet"),
        (f"{meant.quantity:,}" if pieces else "", look),
        (swatch(meant.rgb, meant.shade),) if pieces else ((" ", "text"),),
        (meant.name or ("sitting" if record.what is What.OPEN else ""), look),
        (meant.shade, look),
        (judged(meant.grade, meant.flaws, meant.became) if pieces else "", "quiet"),
        (_where(meant), "key" if record.holds else "quiet"),
    ]
    return columns(_RECORD, cells, width)


def record_words(record: RecordRow, records: Records) -> str:
    """A record in full, for where its columns find no room."""
    meant = _meant(record, records)
    words = [f"record {record.id.seq} of {'this sitting' if record.own else record.id.sitting}", local_time(record.at)]
    pieces = f" {meant.quantity:,} × {' · '.join(filter(None, (meant.name, meant.shade)))}" if meant.quantity else ""
    words.append(f"{what_words(record, records)}{pieces}")
    if meant.quantity:
        state = judged(meant.grade, meant.flaws, meant.became)
        words.append(f"grade {state}" if meant.grade else state)
        if meant.lab:
            words.append(f"read as Lab {' '.join(f'{each:g}' for each in meant.lab)}")
        words.append(_where(meant))
    if record.voids:
        words.append(f"{'instead of' if record.what is not What.VOID else 'voids'} record {record.voids.seq}")
    words += [record.way, "" if record.holds else f"{VOID} void: it no longer holds"]
    return "; ".join(word for word in words if word)
