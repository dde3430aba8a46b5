"""The sheet for a peroxide bath: amounts, hazards before and after, what this bench saw so far, and all cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import NamedTuple

from sortbench.engine.condition.peroxide import Dilution, MassShare, Strength, dilute, volume_share, volumes
from sortbench.engine.condition.peroxide_law import Hazards, check_permitted, hazards
from sortbench.engine.figures.success import Outcomes, Rate
from sortbench.engine.washing.cautions import NO_PROMISE, Caution, cautions_for

_WIDTH = 100


class TreatSheet(NamedTuple):
    """What there is to know before a bath is mixed.

    Attributes:
        dilution: how much of what.
        before: hazard classes of the stock.
        after: hazard classes of the bath.
        warnings: what the strength of the stock calls for; empty where the public may have it.
        cautions: what to mind.
    """

    dilution: Dilution
    before: Hazards
    after: Hazards
    warnings: tuple[str, ...]
    cautions: tuple[Caution, ...]


def treat_sheet(stock: Strength, bath: Strength, final_ml: float, licensed: bool = False) -> TreatSheet:
    """The sheet for one bath.

    Args:
        stock: strength of what is diluted, as its label says.
        bath: strength that is asked for; this program recommends none.
        final_ml: millilitres of the finished bath, above 0 to 100,000.
        licensed: whether the user says that the law of the place lets them have the stock.

    Raises:
        DataError: as :func:`dilute` and :func:`check_permitted`.
    """
    dilution = dilute(stock, bath, final_ml)
    warnings = check_permitted(dilution, licensed)
    return TreatSheet(dilution, hazards(dilution.stock), hazards(dilution.target), warnings, cautions_for("treat"))


def strength_words(strength: MassShare) -> str:
    """A strength in all three measures, to three digits: ``11.9 % w/w = 12.4 % w/v = 40.9 volumes``."""
    return f"{strength.pct:.3g} % w/w = {volume_share(strength).pct:.3g} % w/v = {volumes(strength).litres:.3g} volumes"


def hazard_words(found: Hazards) -> str:
    """The statements of a strength: ``H318 serious eye damage``."""
    return "; ".join(f"{each.code} {each.text}" for each in found.statements) or found.classes


def percent_words(rate: Rate) -> str:
    """A rate with its interval: ``70 % (46 to 88 %)``."""
    return f"{rate.estimate:.0%} ({rate.low * 100:.0f} to {rate.high:.0%})".replace("%", " %")


def dilution_lines(sheet: TreatSheet) -> Iterator[str]:
    """Amounts, strengths and hazards before and after, a line each."""
    stock, bath = sheet.dilution.stock, sheet.dilution.target
    mass, volume = sheet.dilution.mass, sheet.dilution.volume
    yield f"stock: {strength_words(stock)}"
    yield f"bath:  {strength_words(bath)}"
    yield (
        f"weigh out:   {_figure(mass.stock_g)} g of stock and {_figure(mass.water_g)} g of water, "
        f"{_figure(sheet.dilution.final_g)} g in all (exact)"
    )
    yield (
        f"measure out: {_figure(volume.stock_ml)} mL of stock, filled up with about {_figure(volume.water_ml)} mL of "
        f"water to {_figure(sheet.dilution.final_ml)} mL"
    )
    for name, found in (("stock", sheet.before), ("bath", sheet.after)):
        yield f"hazards of the {name} ({found.band} w/w): {hazard_words(found)}"
        yield from (f"  also {words}" for words in found.also)
    yield f"hazard classes: {sheet.before.source}."
    yield from (f"WARNING: {words}." for words in sheet.warnings)


def _figure(amount: float) -> str:
    """Grams or millilitres, no finer than anybody measures."""
    return f"{amount:,.0f}" if amount >= 100 else f"{amount:.3g}"


def sheet_lines(sheet: TreatSheet, seen: Sequence[Outcomes]) -> list[str]:
    """The whole sheet as text to print, at most 100 characters a line.

    Args:
        seen: what this bench saw so far; see :func:`sortbench.engine.figures.success.outcomes`.
    """
    blocks: list[str] = ["PEROXIDE BATH: AMOUNTS, HAZARDS, CAUTIONS", "", NO_PROMISE, "", *dilution_lines(sheet), ""]
    blocks += ["What this bench saw so far:", *(f"- {outcome_words(each)}" for each in seen)]
    blocks += [] if seen else ["- nothing: no treatment was recorded"]
    blocks += ["", "To mind:"]
    blocks += [f"- {each.words} [{each.source}]" for each in sheet.cautions if each.words != NO_PROMISE]
    return [line for block in blocks for line in _wrapped(block)]


def outcome_words(seen: Outcomes) -> str:
    """What a bench saw of one shade, or of all, in a line; intervals hold 95 %."""
    baths = "1 bath" if seen.treatments == 1 else f"{seen.treatments:,} baths"
    return (
        f"{seen.shade or 'all shades'}: {seen.quantity:,} pieces in {baths}; improved {percent_words(seen.success)}, "
        f"broken {percent_words(seen.breakage)}"
    )


def _wrapped(text: str) -> list[str]:
    behind = "  " if text.startswith(("- ", "  ")) else ""
    return wrap(text, _WIDTH, subsequent_indent=behind, break_long_words=False, break_on_hyphens=False) or [""]
