"""Parts, shades, targets, bins and stand-in rules as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Care, Kind, Part, Shade, Years
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.target import Line, StandIn, Swap, SwapOf, Target, checked_value, refusals_of
from sortbench.store.document_fields import Document as Document
from sortbench.store.document_fields import (
    flag_in,
    known,
    list_in,
    number_in,
    text_in,
    texts_in,
    whole_in,
    without_empty,
)

_NO_YEARS = Years()
_NO_RULE = Rule()
_PART = frozenset({"code", "name", "family", "aliases", "mass_g", "first", "last", "care"})
_SHADE = frozenset({"name", "rgb", "first", "last", "aliases"})
_TARGET = frozenset({"code", "name", "year", "rank", "lines", "value", "parked", "refused"})
_REFUSAL = frozenset({"part", "shade", "instead_part", "instead_shade"})
_SWAP = frozenset({"of", "wanted", "instead", "cost"})
_LINE = frozenset({"part", "shade", "quantity", "lowest", "stand_ins"})
_STAND_IN = frozenset({"part", "shade", "cost"})
_RULE = frozenset({"shades", "families", "parts", "lowest", "highest", "flaws"})
_BIN = frozenset({"label", "rule", "capacity", "capacity_g", "place"})


def part_document(part: Part) -> Document:
    """A part; what is not known is left out."""
    return {"code": part.code, "name": part.name, "family": part.family} | without_empty(
        aliases=list(part.aliases),
        mass_g=part.mass_g,
        first=part.years.first,
        last=part.years.last,
        care=[care.value for care in part.care],
    )


def part_from(document: Mapping[str, Any]) -> Part:
    """A part again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _PART)
    get = document.get
    return Part(
        text_in(document, "code"),
        text_in(document, "name"),
        text_in(document, "family", "other"),
        texts_in(document, "aliases") if "aliases" in document else (),
        number_in(document, "mass_g") if "mass_g" in document else None,
        _years(get("first"), get("last")),
        tuple(_care(word) for word in texts_in(document, "care")) if "care" in document else (),
    )


def shade_document(shade: Shade) -> Document:
    """A shade; what is not known is left out."""
    return {"name": shade.name} | without_empty(
        rgb=shade.rgb,
        first=shade.years.first,
        last=shade.years.last,
        aliases=list(shade.aliases),
    )


def shade_from(document: Mapping[str, Any]) -> Shade:
    """A shade again; raises as ``part_from``."""
    known(document, _SHADE)
    years = _years(document.get("first"), document.get("last"))
    return Shade(text_in(document, "name"), text_in(document, "rgb", ""), years, texts_in(document, "aliases"))


def target_document(target: Target) -> Document:
    """A target with its lines in order."""
    return {
        "code": target.code,
        "name": target.name,
        **without_empty(year=target.year),
        "rank": target.rank,
        "lines": [_line_document(line) for line in target.lines],
        **without_empty(
            value=target.value,
            parked=True if target.parked else None,
            refused=[
                {"part": asked.part, "shade": asked.shade, "instead_part": other.part, "instead_shade": other.shade}
                for asked, other in target.refused
            ],
        ),
    }


def target_from(document: Mapping[str, Any]) -> Target:
    """A target again; raises as ``part_from``."""
    known(document, _TARGET)
    rank = whole_in(document, "rank")
    return Target(
        text_in(document, "code"),
        text_in(document, "name"),
        whole_in(document, "year"),
        1 if rank is None else rank,
        tuple(_line_from(line) for line in list_in(document, "lines")),
        checked_value(whole_in(document, "value")) if "value" in document else None,
        flag_in(document, "parked"),
        refusals_of(map(_refusal_from, list_in(document, "refused"))) if "refused" in document else (),
    )


def swap_document(swap: Swap) -> Document:
    """A stand-in rule."""
    return {"of": swap.of.value, "wanted": swap.wanted, "instead": swap.instead, "cost": swap.cost}


def swap_from(document: Mapping[str, Any]) -> Swap:
    """A stand-in rule again; raises as ``part_from``."""
    known(document, _SWAP)
    try:
        of = SwapOf(text_in(document, "of"))
    except ValueError:
        raise DataError("The field 'of' says neither part nor shade.") from None
    wanted, instead, cost = text_in(document, "wanted"), text_in(document, "instead"), whole_in(document, "cost")
    if wanted == instead:
        raise DataError(f"{wanted[:40]!r} cannot stand in for itself.")
    if cost is not None and not 1 <= cost <= 9:
        raise DataError(f"A stand-in cannot cost {cost}.", "Costs run from 1 to 9.")
    return Swap(of, wanted, instead, 1 if cost is None else cost)


def bin_document(container: Bin) -> Document:
    """A bin with its rule."""
    rule = container.rule
    return {"label": container.label} | without_empty(
        rule=without_empty(
            shades=list(rule.shades),
            families=list(rule.families),
            parts=list(rule.parts),
            lowest=rule.lowest.label if rule.lowest else None,
            highest=rule.highest.label if rule.highest else None,
            flaws=list(rule.flaws),
        ),
        capacity=container.capacity,
        capacity_g=container.capacity_g,
        place=container.place,
    )


def bin_from(document: Mapping[str, Any]) -> Bin:
    """A bin again; raises as ``part_from``."""
    known(document, _BIN)
    return Bin(
        text_in(document, "label"),
        _rule_from(document["rule"]) if "rule" in document else _NO_RULE,
        whole_in(document, "capacity"),
        number_in(document, "capacity_g"),
        text_in(document, "place", ""),
    )


def _rule_from(document: Any) -> Rule:
    known(document, _RULE)
    return Rule(
        texts_in(document, "shades"),
        texts_in(document, "families"),
        texts_in(document, "parts"),
        _grade(document, "lowest"),
        _grade(document, "highest"),
        texts_in(document, "flaws"),
    )


def _line_document(line: Line) -> Document:
    document: Document = {"part": line.kind.part, "shade": line.kind.shade, "quantity": line.quantity}
    if line.lowest is not Grade.G3:
        document["lowest"] = line.lowest.label
    if line.stand_ins:
        document["stand_ins"] = [
            {"part": other.kind.part, "shade": other.kind.shade, "cost": other.cost} for other in line.stand_ins
        ]
    return document


def _line_from(document: Any) -> Line:
    if type(document) is dict and len(document) == 3:
        part, shade, whole = document.get("part"), document.get("shade"), document.get("quantity")
        if type(part) is type(shade) is str and type(whole) is int:
            return Line(Kind(part, shade), whole)  # by far the commonest, and there is room for nothing else
    known(document, _LINE)
    quantity = whole_in(document, "quantity")
    if quantity is None:
        raise DataError("The field 'quantity' is missing.")
    kind = Kind(text_in(document, "part"), text_in(document, "shade"))
    stand_ins = tuple(_stand_in_from(other) for other in list_in(document, "stand_ins"))
    return Line(kind, quantity, _grade(document, "lowest") or Grade.G3, stand_ins)


def _stand_in_from(document: Any) -> StandIn:
    known(document, _STAND_IN)
    cost = whole_in(document, "cost")
    return StandIn(Kind(text_in(document, "part"), text_in(document, "shade")), 1 if cost is None else cost)


def _refusal_from(document: Any) -> tuple[Kind, Kind]:
    known(document, _REFUSAL)
    asked = Kind(text_in(document, "part"), text_in(document, "shade"))
    return asked, Kind(text_in(document, "instead_part"), text_in(document, "instead_shade"))


def _years(first: Any, last: Any) -> Years:
    if first is None and last is None:
        return _NO_YEARS
    if not all(year is None or type(year) is int for year in (first, last)):
        raise DataError("A year is no whole number.")
    return Years(first, last)


def _grade(document: Mapping[str, Any], field: str) -> Grade | None:
    return Grade.from_label(text_in(document, field)) if field in document else None


def _care(word: str) -> Care:
    try:
        return Care(word)
    except ValueError:
        raise DataError(f"{word[:40]!r} is no care mark.") from None
