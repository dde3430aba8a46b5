"""The parts of a report that tell the bench at a glance: sums, crates, bins, shades and condition, wash, work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from sortbench.desks.records_desk import checks_together
from sortbench.desks.report_desk import BenchReport, BinFigures, TargetFigures
from sortbench.papers.own_files import page_text
from sortbench.papers.page_parts import cell_text, course_plot, progress_plot, sittings_plot, table
from sortbench.papers.record_words import RULE, checks_table, course_table, sittings_table, summary, ways_table
from sortbench.papers.report_drawings import FULL, MAYBE, NONE, PART, bar, fill_words, key, shade_words, swatch, tray


def pieces(count: int) -> str:
    """A number of pieces in words."""
    return f"{count:,} piece" if count == 1 else f"{count:,} pieces"


def rows_table(heads: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]], caption: str = "") -> Iterator[str]:
    """A table whose first column heads its rows.

    Args:
        heads: each column's title, and its class: ``n`` for numbers, ``b`` for bars, or none.
        rows: cells as HTML.
        caption: as text; none where empty.
    """
    looks = [f' class="{look}"' if look else "" for _, look in heads]
    yield '<div class="wide"><table>' + (f"<caption>{page_text(caption)}</caption>" if caption else "")
    titles = (f'<th scope="col"{look}>{page_text(title)}</th>' for (title, _), look in zip(heads, looks, strict=True))
    yield f"<thead><tr>{''.join(titles)}</tr></thead><tbody>"
    for first, *others in rows:
        cells = "".join(f"<td{look}>{cell}</td>" for look, cell in zip(looks[1:], others, strict=True))
        yield f'<tr><th scope="row"{looks[0]}>{first}</th>{cells}</tr>'
    yield "</tbody></table></div>"


def head(report: BenchReport, links: str) -> Iterator[str]:
    """The name, the moment, where everything stands on the page, and what it all comes to."""
    yield f"<h1>{page_text(f'Bench {report.name}')}</h1>"
    at = f"{report.at:%Y-%m-%d %H:%M}"
    yield f'<p class="quiet">As it was on <time datetime="{at.replace(" ", "T")}Z">{at} UTC</time>.</p>'
    yield '<div class="hem"></div>'
    yield links
    if report.figures.impossible:
        told = "; ".join(report.figures.impossible)
        yield (
            f'<p class="warn">Some heaps come to fewer than no pieces ({page_text(told)}): pieces were carried on '
            "whose tally is void or lies in a log that is not here. Bring the missing log into the bench, or void the "
            "carrying: sortbench log shows both.</p>"
        )
    sums = "".join(f"<div><dt>{name}</dt><dd>{value}</dd></div>" for name, value in _sums(report))
    yield f'<dl class="sums">{sums}</dl>'
    yield from _whereabouts(report)


def _sums(report: BenchReport) -> Iterator[tuple[str, str]]:
    figures = report.figures
    yield "counted", f"{figures.pieces:,} <small>of {figures.kinds:,} kinds</small>"
    if report.pile is not None:
        left = report.pile.less(report.of_pile)
        range_words = f" ({left.low:,} to {left.high:,})" if left.low < left.high else ""
        yield "left in the pile", f"{left.pieces:,} <small>of {report.pile.pieces:,}{range_words}</small>"
    rows = [each.row for each in figures.targets]
    if rows:
        done = sum(row.need > 0 and not row.short for row in rows)
        need, present = sum(row.need for row in rows), sum(row.present for row in rows)
        yield "targets complete", f"{done:,} <small>of {len(rows):,}</small>"
        yield "present", f"{present:,} <small>of {need:,} asked for</small>"
        yield "short", f"{need - present:,} <small>on all targets together</small>"
    yield "spare", f"{figures.whereabouts.spare:,} <small>no target needs them</small>"
    over = [each.row.label for each in figures.bins if each.row.overflowing]
    words = page_text(", ".join(over[:4]) + (f" and {len(over) - 4:,} more" if len(over) > 4 else "")) or "none"
    yield "bins that overflow", f"{len(over):,} <small>{words}</small>"
    if figures.waiting:
        yield "to wash", f"{figures.waiting:,} <small>wait for it</small>"


def _whereabouts(report: BenchReport) -> Iterator[str]:
    where = report.figures.whereabouts
    whole = sum(where)
    if not whole:
        yield "<p>Nothing is counted yet: open the bench with sortbench, and type what you hold in your hand.</p>"
        return
    names = ("to standard", "present, not to standard", "spare", "size not looked at", "discarded")
    what = (
        "on a target, grade, flaws and period right",
        "on a target, but for its grade, flaws or period",
        "no target needs them",
        "they may yet be what a target lacks",
        "counted and thrown out",
    )
    rows = (
        (name, page_text(meaning), f"{count:,}", f"{100 * count / whole:.1f} %", bar([(count, FULL)], whole, name))
        for name, meaning, count in zip(names, what, where, strict=True)
        if count
    )
    heads = (("where", ""), ("which means", ""), ("pieces", "n"), ("of all", "n"), ("", "b"))
    yield from rows_table(heads, rows, f"Where all {whole:,} that were ever counted are now; each piece once")


def targets(report: BenchReport) -> Iterator[str]:
    """How far each target is filled."""
    found = report.figures.targets
    if not found:
        yield "<p>No targets yet: bring in the list of a set with sortbench import targets, or write one up.</p>"
        return
    yield '<p class="lead">How far each set is filled, the first rank first.</p>'
    looks = [(FULL, "to standard"), (PART, "present, not to standard")]
    if any(each.row.possible > each.row.present for each in found):
        looks.append((MAYBE, "possible, if pieces whose size nobody looked at are what it lacks"))
    yield key([*looks, (NONE, "missing")])
    with_stand_ins, crated = any(each.row.stand_ins for each in found), any(each.crated for each in found)
    heads = [("target", ""), ("year", "n"), ("rank", "n"), ("how far", "b"), ("asked", "n"), ("to standard", "n")]
    heads += [("present", "n")] + [("stand-ins", "n")] * with_stand_ins + [("in its crate", "n")] * crated
    heads += [("short", "n"), ("lines complete", "n")]
    yield from rows_table(heads, (_target(each, with_stand_ins, crated) for each in found))
    unknown = sum(each.period_unknown for each in found)
    if unknown:
        yield (
            f"<p>Nobody told the years of {pieces(unknown)} present (those of the part, the shade or the target), and "
            "what has no years does not count as to standard. Bring them in with the lists.</p>"
        )


def _target(found: TargetFigures, with_stand_ins: bool, crated: bool) -> list[str]:
    row = found.row
    parts = [(row.standard, FULL), (row.present - row.standard, PART), (max(0, row.possible - row.present), MAYBE)]
    words = f"{row.standard:,} to standard, {row.present:,} present of {row.need:,}, {row.short:,} short"
    state = " parked" if row.parked else " complete" if row.need and not row.short else ""
    return [
        f"{cell_text(row.name)} <small>{cell_text(row.code)}</small>" + (f" <em>{state.strip()}</em>" if state else ""),
        "" if row.year is None else str(row.year),
        str(row.rank),
        bar(parts, row.need, words),
        f"{row.need:,}",
        f"{row.standard:,}",
        f"{row.present:,}",
        *([f"{row.stand_ins:,}"] if with_stand_ins else []),
        *([f"{found.crated:,}"] if crated else []),
        f"{row.short:,}",
        f"{row.lines_complete:,} of {row.lines:,}",
    ]


def bins(report: BenchReport) -> Iterator[str]:
    """Trays to look at, then what each takes and holds."""
    found = report.figures.bins
    if not found:
        yield "<p>No bins yet: bring them in with sortbench import bins, or add one with sortbench add bin.</p>"
        return
    words = "Each tray is filled as high as it is full, in layers of the shades in it, the most at the bottom."
    if any(each.row.share is None for each in found):
        words += " A broken rim: nobody told what it holds, and it is drawn half full."
    yield f'<p class="lead">{words}</p>'
    yield f'<ul class="trays">{"".join(_tray(each) for each in found)}</ul>'
    heads = [("bin", ""), ("takes", ""), ("place", ""), ("pieces", "n"), ("holds", "n"), ("g", "n"), ("holds g", "n")]
    yield from rows_table([*heads, ("", "")], (_bin(each) for each in found))
    for each in found:
        if each.proposal:
            yield f"<p>{page_text(f'{each.row.label}: {each.proposal}')}</p>"


def _tray(found: BinFigures) -> str:
    row = found.row
    over = f'<br><span class="warn">{page_text(_over_words(found))}</span>' if row.overflowing else ""
    mostly = ", ".join(f"{shade_words(each)} {each.pieces:,}" for each in found.shades[:2])
    more = f"<br>{cell_text(mostly)}" if mostly else ""
    return f"<li>{tray(found)}<b>{cell_text(row.label)}</b> {page_text(fill_words(row))}{over}{more}</li>"


def _over_words(found: BinFigures) -> str:
    row = found.row
    more = [f"{row.over:,}"] * bool(row.over) + [f"{row.over_g:,.0f} g"] * (row.over_g > 0)
    return f"▲ over by {' and '.join(more)}"


def _bin(found: BinFigures) -> list[str]:
    row = found.row
    more = "at least " if row.grams_unknown and row.grams is not None else ""
    return [
        cell_text(row.label),
        cell_text(row.rule),
        cell_text(row.place),
        f"{row.pieces:,}",
        f"{row.capacity:,}" if row.capacity else "",
        "" if row.grams is None else f"{more}{row.grams:,.0f}",
        f"{row.capacity_g:,.0f}" if row.capacity_g else "",
        f'<span class="warn over">{page_text(_over_words(found))}</span>' if row.overflowing else "",
    ]


def conditions(report: BenchReport) -> Iterator[str]:
    """Kept pieces by shade, by grade and by flaw."""
    figures = report.figures
    if not figures.shades:
        yield "<p>Nothing is counted yet.</p>"
        return
    yield '<div class="pair"><div>'
    yield from _bars("shade", [(f"{swatch(s.rgb)}{cell_text(shade_words(s))}", s.pieces) for s in figures.shades])
    yield "</div><div>"
    yield from _bars("grade", [(grade.label if grade else "not graded", count) for grade, count in figures.grades])
    yield '<p class="quiet">Grades are those of the grey scale for change in colour: 5 is no change, 1 the most.</p>'
    if figures.flaws:
        yield from _bars("flaw", [(flaw.value, count) for flaw, count in figures.flaws])
        yield f'<p class="quiet">{pieces(figures.flawed)} with any flaw; one with several counts at each.</p>'
    else:
        yield "<p>No piece has a flaw.</p>"
    yield "</div></div>"


def _bars(title: str, rows: Sequence[tuple[str, int]]) -> Iterator[str]:
    most = max(count for _, count in rows)
    heads = ((title, ""), ("pieces", "n"), ("", "b"))
    yield from rows_table(heads, ((name, f"{n:,}", bar([(n, 'class="column"')], most, f"{n:,}")) for name, n in rows))


def wash(report: BenchReport) -> Iterator[str]:
    """Batches on the clock."""
    if report.figures.waiting:
        yield f"<p>{pieces(report.figures.waiting)} counted that {_wait(report.figures.waiting)} for a wash.</p>"
    if not report.batches:
        yield "<p>No batch is noted.</p>"
        return
    heads = (("batch", ""), ("what is in it", ""), ("stage", ""), ("for", ""), ("what is due", ""))
    yield from rows_table(
        heads,
        (
            [cell_text(each) for each in (row.code, row.name, row.stage or "", row.lasted, row.words)]
            for row in report.batches
        ),
    )


def _wait(count: int) -> str:
    return "waits" if count == 1 else "wait"


def work(report: BenchReport) -> Iterator[str]:
    """How fast it went, over all sittings and the last one."""
    records = report.records
    if not records.sittings:
        yield "<p>No pieces of the pile were counted yet.</p>"
        return
    yield f'<p class="lead">{page_text(summary(records.together))}</p>'
    yield from progress_plot(records.sittings, report.pile.pieces if report.pile else None)
    yield from sittings_plot(records.sittings)
    yield '<div class="wide">'
    yield from table(sittings_table(records.sittings))
    yield "</div>"
    last = records.sittings[-1]
    if last.course:
        yield f"<h3>The last sitting, {page_text(last.sitting)}</h3>"
        yield from course_plot(last)
        yield '<div class="columns">'
        yield from table(course_table(last.course))
        yield "</div>"
    yield '<h3>Ways of entry</h3><div class="wide">'
    yield from table(ways_table(records.together.ways))
    yield "</div><h3>Spot checks</h3>"
    if records.checks:
        yield '<div class="wide">'
        yield from table(checks_table(records.checks, checks_together(records.checks)))
        yield "</div>"
    else:
        yield "<p>No spot check of the counts is on record.</p>"
    yield f'<p class="quiet">{page_text(RULE)}</p>'
