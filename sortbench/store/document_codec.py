"""Parts, shades, targets, bins and stand-in rules as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Care, Kind, Part, Shade, Years
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.target import Line, StandIn, Swap, SwapOf, Target, checked_value, refusals_of

Document = dict[str, Any]

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
    return {"code": part.code, "name": part.name, "family": part.family} | _without_empty(
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
    _known(document, _PART)
    get = document.get
    return Part(
        _text(document, "code"),
        _text(document, "name"),
        _text(document, "family", "other"),
        _texts(document, "aliases") if "aliases" in document else (),
        _number(document, "mass_g") if "mass_g" in document else None,
        _years(get("first"), get("last")),
        tuple(_care(word) for word in _texts(document, "care")) if "care" in document else (),
    )


def shade_document(shade: Shade) -> Document:
    """A shade; what is not known is left out."""
    return {"name": shade.name} | _without_empty(
        rgb=shade.rgb,
        first=shade.years.first,
        last=shade.years.last,
        aliases=list(shade.aliases),
    )


def shade_from(document: Mapping[str, Any]) -> Shade:
    """A shade again; raises as ``part_from``."""
    _known(document, _SHADE)
    years = _years(document.get("first"), document.get("last"))
    return Shade(_text(document, "name"), _text(document, "rgb", ""), years, _texts(document, "aliases"))


def target_document(target: Target) -> Document:
    """A target with its lines in order."""
    return {
        "code": target.code,
        "name": target.name,
        **_without_empty(year=target.year),
        "rank": target.rank,
        "lines": [_line_document(line) for line in target.lines],
        **_without_empty(
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
    _known(document, _TARGET)
    rank = _whole(document, "rank")
    return Target(
        _text(document, "code"),
        _text(document, "name"),
        _whole(document, "year"),
        1 if rank is None else rank,
        tuple(_line_from(line) for line in _list(document, "lines")),
        checked_value(_whole(document, "value")) if "value" in document else None,
        _flag(document, "parked"),
        refusals_of(map(_refusal_from, _list(document, "refused"))) if "refused" in document else (),
    )


def swap_document(swap: Swap) -> Document:
    """A stand-in rule."""
    return {"of": swap.of.value, "wanted": swap.wanted, "instead": swap.instead, "cost": swap.cost}


def swap_from(document: Mapping[str, Any]) -> Swap:
    """A stand-in rule again; raises as ``part_from``."""
    _known(document, _SWAP)
    try:
        of = SwapOf(_text(document, "of"))
    except ValueError:
        raise DataError("The field 'of' says neither part nor shade.") from None
    wanted, instead, cost = _text(document, "wanted"), _text(document, "instead"), _whole(document, "cost")
    if wanted == instead:
        raise DataError(f"{wanted[:40]!r} cannot stand in for itself.")
    if cost is not None and not 1 <= cost <= 9:
        raise DataError(f"A stand-in cannot cost {cost}.", "Costs run from 1 to 9.")
    return Swap(of, wanted, instead, 1 if cost is None else cost)


def bin_document(container: Bin) -> Document:
    """A bin with its rule."""
    rule = container.rule
    return {"label": container.label} | _without_empty(
        rule=_without_empty(
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
    _known(document, _BIN)
    return Bin(
        _text(document, "label"),
        _rule_from(document["rule"]) if "rule" in document else _NO_RULE,
        _whole(document, "capacity"),
        _number(document, "capacity_g"),
        _text(document, "place", ""),
    )


def _rule_from(document: Any) -> Rule:
    _known(document, _RULE)
    return Rule(
        _texts(document, "shades"),
        _texts(document, "families"),
        _texts(document, "parts"),
        _grade(document, "lowest"),
        _grade(document, "highest"),
        _texts(document, "flaws"),
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
    _known(document, _LINE)
    quantity = _whole(document, "quantity")
    if quantity is None:
        raise DataError("The field 'quantity' is missing.")
    kind = Kind(_text(document, "part"), _text(document, "shade"))
    stand_ins = tuple(_stand_in_from(other) for other in _list(document, "stand_ins"))
    return Line(kind, quantity, _grade(document, "lowest") or Grade.G3, stand_ins)


def _stand_in_from(document: Any) -> StandIn:
    _known(document, _STAND_IN)
    cost = _whole(document, "cost")
    return StandIn(Kind(_text(document, "part"), _text(document, "shade")), 1 if cost is None else cost)


def _refusal_from(document: Any) -> tuple[Kind, Kind]:
    _known(document, _REFUSAL)
    asked = Kind(_text(document, "part"), _text(document, "shade"))
    return asked, Kind(_text(document, "instead_part"), _text(document, "instead_shade"))


def _without_empty(**fields: Any) -> Document:
    return {name: value for name, value in fields.items() if value is not None and value != "" and value != []}


def _known(document: Any, fields: frozenset[str]) -> None:
    if not isinstance(document, Mapping):
        raise DataError("A document was expected.")
    if not fields.issuperset(document):
        unknown = min(set(document) - fields)
        raise DataError(f"The field {unknown[:40]!r} is not known.")


def _text(document: Mapping[str, Any], field: str, default: str | None = None) -> str:
    value = document.get(field, default)
    if type(value) is not str:
        raise DataError(f"The field {field!r} is missing or no text.")
    return value


def _list(document: Mapping[str, Any], field: str) -> list[Any]:
    value = document.get(field)
    if value is None:
        return []
    if type(value) is not list:
        raise DataError(f"The field {field!r} is no list.")
    return value


def _texts(document: Mapping[str, Any], field: str) -> tuple[str, ...]:
    values = _list(document, field)
    if not all(type(value) is str for value in values):
        raise DataError(f"The field {field!r} is no list of texts.")
    return tuple(values)


def _whole(document: Mapping[str, Any], field: str) -> int | None:
    value = document.get(field)
    if value is not None and type(value) is not int:
        raise DataError(f"The field {field!r} is no whole number.")
    return value


def _flag(document: Mapping[str, Any], field: str) -> bool:
    value = document.get(field, False)
    if type(value) is not bool:
        raise DataError(f"The field {field!r} is neither true nor false.")
    return value


def _number(document: Mapping[str, Any], field: str) -> float | None:
    value = document.get(field)
    if value is not None and type(value) not in (int, float):
        raise DataError(f"The field {field!r} is no number.")
    return None if value is None else float(value)


def _years(first: Any, last: Any) -> Years:
    if first is None and last is None:
        return _NO_YEARS
    if not all(year is None or type(year) is int for year in (first, last)):
        raise DataError("A year is no whole number.")
    return Years(first, last)


def _grade(document: Mapping[str, Any], field: str) -> Grade | None:
    return Grade.from_label(_text(document, field)) if field in document else None


def _care(word: str) -> Care:
    try:
        return Care(word)
    except ValueError:
        raise DataError(f"{word[:40]!r} is no care mark.") from None
