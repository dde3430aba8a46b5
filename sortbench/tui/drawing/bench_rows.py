"""The panels of the bench screen: rows from the figures of the moment."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from sortbench.engine.board import (
    BinRow,
    Held,
    HomeRow,
    Notice,
    PastedRow,
    Receipt,
    RecordRow,
    ResultRow,
    Results,
    TargetRow,
)
from sortbench.model.grade import Grade
from sortbench.model.tally import Fate, RecordId, What, place_words
from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.drawing.words import duration, joined, judged, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import (
    RIM_START,
    Column,
    Row,
    Span,
    clip,
    columns,
    fill_bar,
    load_bar,
    row_width,
    widths,
)

if TYPE_CHECKING:
    from sortbench.engine.pace import Pace

_kept = lru_cache(maxsize=256)
"""Most rows are the same from one key to the next: what was laid out once is not laid out again."""

FULL = "✓"
OVER = "▲"
POINTER = "▸"
NEEDED = "◂"

_RESULT = (Column(1), Column(1), Column(10, None), Column(8, 14, drop=1), Column(3, 4), Column(9, 20, drop=2))
_PASTED = (Column(1), Column(8, 24), Column(8, None))
_TALLY = (Column(1), Column(4, align="right"), Column(1), Column(10, None), Column(8, 14, drop=1), Column(9, 16))
_TARGET = (
    Column(1),
    Column(12, 18),
    Column(5, None),
    Column(4, 6, drop=3, align="right"),
    Column(9, 11, align="right"),
    Column(5, 6, drop=2, align="right"),
    Column(7, 9, drop=4, align="right"),
    Column(4, 5, drop=1),
)
_BAR_HALVES = ("  █ to standard  ▒ present", " █ to standard ▒ present", " █ standard ▒ present")
_HEADINGS = ("", "crates", "", "█ to standard", "▒ present", "short", "lines", "")
_BIN = (Column(1), Column(5, 8), Column(5, 10), Column(11, 13, align="right"), Column(8, None, drop=1))


_IDLE = (
    "Type what it is: gr l pl 2x4 and {count}.",
    "{count} alone: the same again; *5: five more.",
    ".grey late holds a shade, .!4 a grade, .@B7 a bin, . lets go.",
    "+ in front adds a part not known yet.",
    "{result.up} picks an earlier tally to put it right.",
)

_IDLE_PAD = (
    "A digit counts a piece into its slot, {again} the same again.",
    "A letter first turns to that page for one piece.",
    "{shade} and a digit name one piece's shade; {shade} after it holds it.",
    "{grade.down} and {grade.up} change the grade of what was counted last.",
    "{typing} goes back to typing; what is counted once gets a slot.",
)

_EMPTY = (
    "This bench knows no parts and shades yet.",
    "{targets}, then {targets.add} begins: with a set's list from a file,",
    "with its manual, or with nothing but the pile.",
    "Then + in front of an entry adds a part not known yet.",
)
NO_TARGETS = ("no targets yet: {targets}, then {targets.add} brings a list in from a file or begins one from a manual",)
NO_BINS = ("no bins yet, pieces count all the same; {bins}, then {bins.new} puts one up",)


def head_row(
    name: str, held: Held, target_name: str, pieces: int, pace: Pace, pile: int | None, width: int, news: Row = ()
) -> Row:
    """The top line: how far the pile has got, what is held. Where it is too long, the pace and the name go first.

    News stand in the place of both, and further left where they find no room there.
    """
    parts: list[Row] = [((_counted(pieces, pile), "strong"),)]
    if held.target:
        parts.append(((f" writing up {target_name} ", "held"),))
    if held.shade:
        parts.append((swatch(held.rgb, held.shade), (f" {held.shade} ", "held")))
    parts.append(((f" grade {held.grade.label} ", "held" if held.grade is not Grade.G5 else "quiet"),))
    if held.bin:
        parts.append(((f" into {held.bin} ", "held"),))
    if news:
        told = joined([*parts, news])
        return clip(told if row_width(told) <= width else joined([parts[0], news, *parts[1:]]), width)
    if pace.per_minute is not None:
        parts.append(((_pace(pace), "quiet"),))
    parts.append(((name, "title"),))
    return clip(joined(parts), width)


def _counted(pieces: int, pile: int | None) -> str:
    return f"{pieces:,} of about {pile:,}" if pile else plural(pieces, "piece")


def _pace(pace: Pace) -> str:
    words = f"{pace.per_minute:.0f} a minute"
    if pace.left_low_s is not None and pace.left_high_s is not None and pace.left_pieces:
        words += f", {duration(pace.left_low_s)} to {duration(pace.left_high_s)} left"
    return words


def opening_row(width: int) -> Row:
    """The top line until the bench is open."""
    return clip((("sortbench", "title"), ("  opening the bench", "quiet")), width)


def answer_rows(
    answer: Receipt | Notice | None, error: str, note: str, width: int, keys: Keymap = OWN_KEYS
) -> tuple[Row, ...]:
    """Two lines under the entry line: what the last key did, or what is wrong."""
    if error:
        return (*wrapped(f"✗ {error}", "error", width, 2), ())[:2]
    if isinstance(answer, Receipt):
        # Imported here: nothing is counted yet when a start draws its frames.
        from sortbench.tui.drawing.receipt_rows import consequences, counted

        return clip(counted(answer), width), clip(((note, "quiet"),) if note else consequences(answer, keys), width)
    if isinstance(answer, Notice):
        return clip((("· ", "quiet"), (answer.text, "text")), width), clip(((note, "quiet"),), width)
    return clip(((note, "quiet"),), width), ()


def idle_hints(keypad: bool, shades: bool) -> tuple[str, ...]:
    """What to say where nothing is typed: how to begin on a bench that knows no shades yet, else the main gestures."""
    if not shades:
        return _EMPTY
    return _IDLE_PAD if keypad else _IDLE


@_kept
def hint_rows(hints: tuple[str, ...], width: int, most: int) -> tuple[Row, ...]:
    """Hints, wrapped, on at most so many lines."""
    rows = [row for hint in hints for row in wrapped(hint, "quiet", width, 3)]
    return tuple(rows[:most])


def result_rows(
    results: Results, chosen: int, hints: tuple[str, ...], width: int, most: int, keys: Keymap
) -> tuple[Row, ...]:
    """At most eight results, the highlighted one pointed at; then what counting would do, or where the piece goes.

    With no results, a few hints.
    """
    rows = [_result_row(result, index == chosen, width) for index, result in enumerate(results.rows[:most])]
    if results.wrong is not None:
        rows += wrapped(keys.told(results.wrong), "warning", width, max(1, most - len(rows)))
    elif results.enter:
        rows.append(clip(((f"{keys.label('count')} {results.enter}", "quiet"),), width))
    elif results.note:
        rows.append(clip(((results.note, "quiet"),), width))
    elif (home := results.rows[chosen].home if chosen < len(rows) else None) is not None:
        rows.append(clip((("→ ", "quiet"), (home.words, "wanted")), width))
    if not rows:
        rows = list(hint_rows(hints, width, most))
    return tuple(rows)


@_kept
def _result_row(result: ResultRow, chosen: bool, width: int) -> Row:
    mark: Row = ((POINTER if chosen else ("≈" if result.tie else " "), "key"),)
    cells: list[str | Span | Row] = [
        mark,
        (swatch(result.rgb, result.kind.shade),),
        (result.name, "chosen" if chosen else "text"),
        result.kind.shade,
        (result.bin or "–", "key"),
        _home(result.home, widths(_RESULT, width)[5]),
    ]
    return columns(_RESULT, cells, width)


def _home(home: HomeRow | None, room: int) -> Row:
    """The crate that the next piece goes to, in as many words as there is room for."""
    if home is None:
        return (("not needed", "quiet"),)
    line = f" {home.number}"
    then = f" +{home.then:,}" if home.then else ""
    for words in (home.words, home.name + line + then, home.name + line):
        if len(words) <= room:
            return ((words, "wanted"),)
    # The name gives way, not the line: which crate it is can be told from its start.
    return ((f"{home.name[: max(room - len(line) - 1, 1)]}…{line}", "wanted"),)


def pasted_rows(preview: Sequence[PastedRow], of: int, width: int, most: int) -> tuple[Row, ...]:
    """Pasted lines with what they would do, as many as there is room for; ``of`` is how many wait."""
    room = max(most - 1, 1) if of > min(len(preview), most) else most
    rows = [_pasted_row(row, width) for row in preview[:room]]
    if of > len(rows):
        rows.append(clip(((f"and {plural(of - len(rows), 'more line')}", "quiet"),), width))
    return tuple(rows[:most])


def _pasted_row(row: PastedRow, width: int) -> Row:
    mark: Span = ("✗", "error") if row.wrong else (" ", "text")
    cells: list[str | Span | Row] = [mark, (row.line, "strong"), (row.meaning, "warning" if row.wrong else "quiet")]
    return columns(_PASTED, cells, width)


def tally_rows(records: Sequence[RecordRow], picked: RecordId | None, width: int) -> tuple[Row, ...]:
    """The last tallies, newest first; void ones struck with a cross, the picked one pointed at."""
    return tuple(_tally_row(record, record.id == picked, width) for record in records)


@_kept
def _tally_row(record: RecordRow, chosen: bool, width: int) -> Row:
    look = "chosen" if chosen else ("text" if record.holds else "quiet")
    mark = POINTER if chosen else ("✗" if not record.holds else " ")
    state = "" if record.what is What.LINE else judged(record.grade, record.flaws, record.became) + " "
    cells: list[str | Span | Row] = [
        (mark, "key" if chosen else "quiet"),
        (f"{record.quantity:,}", look),
        (swatch(record.rgb, record.shade),),
        (record.name, look),
        (record.shade, look),
        (state + _where(record), "quiet"),
    ]
    return columns(_TALLY, cells, width)


def _where(record: RecordRow) -> str:
    if record.what is What.LINE:
        return f"→ {record.target}"
    if record.what is What.RESERVE:
        return f"for {record.target}"
    if record.what is What.RECOUNT:
        return f"recounted in {record.bin}"
    if record.what is What.MOVE:
        aside = "discarded" if record.to_fate is Fate.OUT else "set aside"
        return f"→ {place_words(record.to_bin, record.to_fate) or aside}"
    here = place_words(record.bin, record.fate or Fate.KEPT)
    return f"→ {here or (record.fate.value if record.fate else '')}"


def target_rows(targets: Sequence[TargetRow], width: int) -> tuple[Row, ...]:
    """A bar a target: to standard, present, short; those that lack the highlighted kind are marked."""
    return tuple(_target_row(target, width) for target in targets)


@_kept
def _target_row(target: TargetRow, width: int) -> Row:
    mark = NEEDED if target.wants else (FULL if target.need and not target.short else " ")
    counts = target.need and not target.parked
    short: Span = (f"{target.short:,}" if target.short else "–", "quiet")
    present: str | Span = f"{target.present:,}/{target.need:,}" if target.need else ("no list", "quiet")
    cells: list[str | Span | Row] = [
        (mark, "wanted" if target.wants else "good"),
        (target.name, "wanted" if target.wants else "text"),
        _bar(target, width),
        (f"{target.standard:,}" if counts else "", "quiet"),
        ("parked", "quiet") if target.parked else present,
        short if counts else ("", "quiet"),
        (f"{target.lines_complete}/{target.lines}" if target.lines and not target.parked else "", "quiet"),
        (f"+{target.wants:,}" if target.wants else "", "wanted"),
    ]
    return columns(_TARGET, cells, width)


@_kept
def crates_title(width: int) -> Row:
    """The rim's title over the crates: what each figure is, right over its column as the rim is drawn.

    Where the column of pieces to standard has no room, the title says what the two halves of a bar are instead.
    """
    given = widths(_TARGET, width)
    spans: list[Span] = [("crates", "title")]
    here = RIM_START + len("crates")
    if not given[3]:
        if not given[5]:
            return (*spans, (_BAR_HALVES[0], "quiet"))
        end = sum(cells + 1 for cells in given[:6] if cells) - 1
        halves = next((words for words in _BAR_HALVES if here + len(words) + len(" short") <= end), "")
        return (*spans, (halves.ljust(end - here - len("short")) + "short", "quiet"))
    end = -1
    for cells, words in zip(given, _HEADINGS, strict=True):
        if not cells:
            continue
        end += cells + 1
        blanks = end - len(words) - here
        if words in ("", "crates") or blanks < 1:
            continue
        spans.append((" " * blanks + words, "quiet"))
        here = end
    return tuple(spans)


def _bar(target: TargetRow, width: int) -> Row:
    room = widths(_TARGET, width)[2]
    return fill_bar(target.standard, target.present, target.need, room, target.possible) if room else ()


def bin_rows(bins: Sequence[BinRow], highlighted: str, width: int) -> tuple[Row, ...]:
    """A bar a bin: count of capacity; an overflowing one says so by glyph, word and number."""
    return tuple(_bin_row(each, each.label == highlighted, width) for each in bins)


@_kept
def _bin_row(each: BinRow, here: bool, width: int) -> Row:
    room = widths(_BIN, width)[2]
    mark = (OVER, "over") if each.overflowing else ((POINTER, "key") if here else (" ", "text"))
    label = (each.label, "over" if each.overflowing else ("chosen" if here else "key"))
    bar: Row = ()
    if each.capacity:
        bar = load_bar(each.pieces, each.capacity, room)
        figures = f"{each.pieces:,}/{each.capacity:,}"
    elif each.capacity_g:
        bar = load_bar(round(each.grams or 0), round(each.capacity_g), room)
        figures = f"{each.grams or 0:,.0f}/{each.capacity_g:,.0f} g"
    else:
        figures = f"{each.pieces:,}"
    words = (each.rule, "quiet")
    if each.overflowing:
        over = f"{each.over:,} over" if each.over else f"{each.over_g:,.0f} g over"
        words = (f"{over} · {each.rule}", "over")
    cells: list[str | Span | Row] = [mark, label, bar, (figures, "text"), words]
    return columns(_BIN, cells, width)


def bins_in_view(bins: Sequence[BinRow], highlighted: str, room: int) -> tuple[BinRow, ...]:
    """Where not all bins find room: overflowing ones first, then the highlighted one, then the fullest."""
    if len(bins) <= room:
        return tuple(bins)
    order = sorted(bins, key=lambda b: (not b.overflowing, b.label != highlighted, -(b.share or 0.0)))
    return tuple(order[:room])


def targets_in_view(targets: Sequence[TargetRow], room: int) -> tuple[TargetRow, ...]:
    """Where not all targets find room: those that want the highlighted kind first, then by rank, complete ones last."""
    if len(targets) <= room:
        return tuple(targets)
    order = sorted(targets, key=lambda t: (not t.wants, t.need > 0 and not t.short))
    return tuple(order[:room])
