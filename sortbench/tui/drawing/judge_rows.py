"""The judge screen: the reference and the nine grades as blocks of colour that touch, and what a reading says."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum
from itertools import pairwise
from typing import TYPE_CHECKING

from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Row, Span, clip, pad

if TYPE_CHECKING:
    from sortbench.desks.grade_desk import JudgeView
    from sortbench.model.grade import Grade

JUDGED, MAYBE = "▲", "±"
"""Below a step: the grade of the reading, and a grade that its uncertainty leaves possible."""
ALIKE = "="
"""Between two steps that a terminal shows in the same colour."""
_LABELS = 11
"""Cells for what the bands are called, where there is room for it."""
_LABELS_FROM, _GAPS_FROM = 72, 40
_MOST_FIELD = 21
_LEAST_FIELD = 3


class Colours(Enum):
    """What a terminal can show of a colour."""

    ALL = "every colour of sRGB"
    INDEXED = "the nearest of 256 colours"
    FEW = "16 colours"
    OFF = "none, for NO_COLOR is set"
    NONE = "none"

    @property
    def enough(self) -> bool:
        """Whether swatches mean anything there."""
        return self in (Colours.ALL, Colours.INDEXED)


def colours_of(system: str | None, switched_off: bool) -> Colours:
    """What there is to show colours with.

    Args:
        system: as Rich names it: ``truecolor``, ``256``, ``standard``, ``windows``, or None.
        switched_off: whether somebody asked for no colours.
    """
    if switched_off:
        return Colours.OFF
    known = {"truecolor": Colours.ALL, "256": Colours.INDEXED, "standard": Colours.FEW, "windows": Colours.FEW}
    return known.get(system or "", Colours.NONE)


def twins(view: JudgeView) -> tuple[bool, ...]:
    """For each step but the first, whether the terminal shows it exactly as the one before."""
    return tuple(one == other for one, other in pairwise(_grounds(view)))


def _grounds(view: JudgeView) -> tuple[str, ...]:
    """The style of each step's block."""
    if view.nearest is not None:
        return tuple(f"@{number}" for number in view.nearest.steps)
    return tuple(f"#{step.rgb}" for step in view.scale.steps) if view.scale else ()


def _reading_ground(view: JudgeView) -> str:
    """The style of the piece's band, empty where none was read."""
    if view.nearest is not None:
        return "" if view.nearest.reading is None else f"@{view.nearest.reading}"
    return f"#{view.reading_rgb}" if view.reading_rgb else ""


# -- about


def head_rows(view: JudgeView, width: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """Which shade is judged, and against what."""
    if not view.shade:
        how = keys.said("; {targets.add} on the targets screen ({targets}) brings some in")
        return (clip((("judge ", "title"), ("there is no shade yet", "text"), (how, "quiet")), width),)
    many = view.of > 1
    top: Row = (
        ("‹ " if many else "  ", "key"),
        ("judge ", "title"),
        (view.shade, "strong"),
        (f" · {view.place + 1} of {view.of}", "quiet"),
        (" ›" if many else "", "key"),
    )
    if view.scale is None:
        against: Row = (
            (
                keys.said(
                    "no reference: the catalogue has no colour for it; {judge.reference} types that of an unaged piece"
                ),
                "warning",
            ),
        )
    elif view.measured:
        against = (("against an unaged piece, ", "quiet"), (view.reference, "text"))
    else:
        against = (
            ("against ", "quiet"),
            (view.reference, "text"),
            (keys.said(", a list value, no measured piece; {judge.reference} types one"), "quiet"),
        )
    return clip(top, width), clip(against, width)


# -- the steps


def judge_rows(view: JudgeView, colours: Colours, width: int, height: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """The steps, the reading among them, and what is in hand.

    Args:
        height: lines there are; the blocks of colour take what the words leave.
    """
    if view.scale is None:
        return ()
    notes = _notes(view, colours, width, keys)
    words = [row for text, style in view_words(view, keys) for row in wrapped(text, style, width, 2)]
    if not colours.enough:
        return (*notes, *_table(view, width), (), *words)
    geometry = _Geometry(width, len(view.scale.steps))
    below = [*_changes(view, geometry), _marks(view, geometry)]
    field = max(_LEAST_FIELD, min(_MOST_FIELD, height - 1 - len(below) - len(notes) - len(words)))
    return (_grades(view, geometry), *_field(view, geometry, field), *below, *notes, *words)


def _notes(view: JudgeView, colours: Colours, width: int, keys: Keymap) -> list[Row]:
    """What to know before eyes are trusted here."""
    assert view.scale is not None
    notes: list[tuple[str, str]] = []
    if not colours.enough:
        why = {Colours.OFF: "NO_COLOR is set", Colours.FEW: "This terminal has 16 colours"}
        reason = why.get(colours, "This terminal shows no colours")
        ways = keys.said("Type a reading ({judge.read}) or take a photograph ({judge.photo}).")
        notes.append((f"{reason}: eyes cannot judge here. {ways}", "warning"))
        return [row for text, style in notes for row in wrapped(text, style, width, 2)]
    if view.nearest is not None:
        notes.append((f"256 colours: a block is only the nearest, so eyes are misled. {alike_words(view)}", "warning"))
    if view.scale.cut or view.reading_cut:
        which = "The reference" if view.scale.cut else "The reading"
        notes.append((f"{which} is a colour that no screen of sRGB shows; the nearest stands for it.", "warning"))
    if "yellower" not in view.scale.towards or "hardly" in view.scale.towards:
        notes.append((f"This shade leaves no room for yellower: the steps are {view.scale.towards}.", "quiet"))
    return [row for text, style in notes for row in wrapped(text, style, width, 2)]


def alike_words(view: JudgeView) -> str:
    """Which steps cannot be told apart on this terminal, in words."""
    assert view.scale is not None
    steps = view.scale.steps
    runs: list[list[str]] = [[steps[0].grade.label]]
    for step, same in zip(steps[1:], twins(view), strict=True):
        if same:
            runs[-1].append(step.grade.label)
        else:
            runs.append([step.grade.label])
    same_runs = [
        " and ".join((run[0], run[-1])) if len(run) == 2 else f"{run[0]} to {run[-1]}" for run in runs if run[1:]
    ]
    if not same_runs:
        return "All steps differ, but not by as much as they should."
    return f"Look the same here: {'; '.join(same_runs)}."


class _Geometry:
    """Where the blocks lie on a line."""

    def __init__(self, width: int, steps: int) -> None:
        self.labels = _LABELS if width >= _LABELS_FROM else 0
        self.gap = 1 if width >= _GAPS_FROM else 0
        room = width - self.labels - 2 * self.gap
        self.block = max(1, (room - (steps - 1) * self.gap) // steps)
        self.steps = steps

    @property
    def field(self) -> int:
        """Cells of the whole field of blocks."""
        return self.steps * self.block + (self.steps + 1) * self.gap

    def line(
        self, cells: Sequence[Span], between: Sequence[Span] | None = None, name: str = "", outside: str = ""
    ) -> Row:
        """A line of one cell for each step.

        Args:
            between: what stands in the gaps; nothing where there are none.
            outside: style of the gaps at both ends; that of those between unless it is given.
        """
        gaps = between if between is not None else [(" " * self.gap, "text")] * (self.steps - 1)
        end: Span = (" " * self.gap, outside or gaps[0][1])
        spans: list[Span] = [(pad(name, self.labels), "quiet"), end]
        for cell, gap in zip(cells, [*gaps, end], strict=True):
            spans += [cell, gap]
        return tuple(span for span in spans if span[0])

    def band(self, ground: str, name: str = "") -> Row:
        """A line of one colour."""
        return tuple(span for span in ((pad(name, self.labels), "quiet"), (" " * self.field, ground)) if span[0])


def _field(view: JudgeView, geometry: _Geometry, height: int) -> list[Row]:
    """The blocks: each step touches the reference on three sides, and the reading, where there is one, below."""
    assert view.scale is not None
    grounds = _grounds(view)
    reference = grounds[0]
    bottom = max(1, height // 3)
    top = max(1, (height - bottom) // 2)
    around = [(" " * geometry.gap, reference)] * (geometry.steps - 1)
    blocks = [(" " * geometry.block, ground) for ground in grounds]
    rows = [geometry.band(reference, "" if row else "reference") for row in range(top)]
    rows += [geometry.line(blocks, around, "" if row else "steps") for row in range(max(1, height - top - bottom))]
    reading = _reading_ground(view)
    below, name = (reading, "the piece") if reading else (reference, "")
    rows += [geometry.band(below, "" if row else name) for row in range(bottom)]
    return rows


def _grades(view: JudgeView, geometry: _Geometry) -> Row:
    assert view.scale is not None
    judged = view.judgement.grade if view.judgement else None
    cells = [
        (pad(step.grade.label, geometry.block, "centre"), "chosen" if step.grade is judged else "strong")
        for step in view.scale.steps
    ]
    signs = [((ALIKE if same else " ") * geometry.gap, "warning") for same in twins(view)]
    return geometry.line(cells, signs, "grade", outside="text")


def _changes(view: JudgeView, geometry: _Geometry) -> list[Row]:
    """The change that each step stands for; where few colours show another one, that as well."""
    assert view.scale is not None

    def line(changes: Iterable[float], style: str, name: str) -> Row:
        texts = [f"{change:.1f}" if len(f"{change:.1f}") <= geometry.block else f"{change:.0f}" for change in changes]
        return geometry.line([(pad(text, geometry.block, "centre"), style) for text in texts], None, name)

    rows = [line((step.nominal for step in view.scale.steps), "quiet", "change")]
    if view.nearest is not None:
        rows.append(line(view.nearest.changes, "warning", "shown"))
    return rows


def _marks(view: JudgeView, geometry: _Geometry) -> Row:
    assert view.scale is not None
    cells: list[Span] = []
    for step in view.scale.steps:
        mark, style = _mark(view, step.grade)
        last = "last" if view.last and view.last.grade is step.grade else ""
        text = f"{mark}{last}" if len(mark + last) <= geometry.block else mark or "l"
        cells.append((pad(text, geometry.block, "centre"), style))
    return geometry.line(cells)


def _mark(view: JudgeView, grade: Grade) -> Span:
    found = view.judgement
    if found is None:
        return "", "quiet"
    if found.grade is grade:
        return JUDGED, "key"
    return (MAYBE, "key") if found.worst <= grade <= found.best else ("", "quiet")


def _table(view: JudgeView, width: int) -> list[Row]:
    """The steps in figures, where there are no colours."""
    assert view.scale is not None
    rows: list[Row] = [clip(((pad("grade", 7), "quiet"), (pad("change", 9), "quiet"), ("sRGB", "quiet")), width)]
    for step in view.scale.steps:
        mark, style = _mark(view, step.grade)
        last = " last" if view.last and view.last.grade is step.grade else ""
        row: Row = (
            (pad(step.grade.label, 7), "strong"),
            (pad(f"{step.nominal:.1f}", 9), "text"),
            (f"#{step.rgb} ", "text"),
            (mark, style),
            (last, "quiet"),
        )
        rows.append(clip(tuple(span for span in row if span[0]), width))
    return rows


# -- words


def view_words(view: JudgeView, keys: Keymap) -> list[Span]:
    """What the reading says, and what is in hand, line by line."""
    return [*_reading_words(view, keys), *_hand_words(view, keys)]


def _reading_words(view: JudgeView, keys: Keymap) -> list[Span]:
    found = view.judgement
    if not view.reading:
        words = "no reading: {judge.read} types one, {judge.grade.5} to {judge.grade.1} grade the last tally by eye"
        return [(keys.said(words + ", {judge.better} and {judge.worse} by half a step"), "quiet")]
    if found is None:
        mend = keys.said("{judge.reference} types the reading of an unaged piece")
        return [(f"{view.reading}: nothing to judge it against; {mend}", "warning")]
    band = "" if found.best is found.worst else f" ({found.worst.label} to {found.best.label})"
    drift = f" · {view.drift}" if view.drift else ""
    lines: list[Span] = [(f"{JUDGED} {view.reading}: grade {found.grade.label}{band}{drift}", "strong")]
    seen = f"difference {found.difference:.1f} dE00, {found.limit.value}"
    lines.append((f"{seen} · change {found.change:.1f}, rating {found.rating:.2f}", "text"))
    if found.saturated:
        lines.append(("grade 1 ends the scale: put such pieces in order by their difference", "warning"))
    if found.yellowness_change is not None:
        lines.append((f"yellowness {found.yellowness:.1f}, {found.yellowness_change:+.1f} to the reference", "text"))
    elif found.why_no_yellowness:
        lines.append((f"no yellowness: {found.why_no_yellowness}", "quiet"))
    return lines


def _hand_words(view: JudgeView, keys: Keymap) -> list[Span]:
    last, found = view.last, view.judgement
    if last is None:
        return [("nothing has been counted yet, so there is nothing to grade", "quiet")]
    if last.on_list:
        return [(f"last: {last.words}, a line of a list, which has no grade", "quiet")]
    grade = f"grade {last.grade.label}" if last.grade else "not judged"
    where = f" ({last.where})" if last.where else ""
    lines: list[Span] = [(f"last: {last.words}, {grade}{where}", "text")]
    if last.shade and last.shade != view.shade:
        key = keys.label("judge.shade")
        lines.append((f"that is {last.shade}: {key} and its name shows its steps", "warning"))
    elif found is not None:
        count = keys.said("{judge.count} counts one more with grade ") + found.grade.label
        lines.append((count + keys.said(" · {judge.regrade} gives that grade to the last"), "key"))
    return lines
