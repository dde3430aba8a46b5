"""What an import would change, told field by field in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from sortbench.model.bins import Bin
from sortbench.model.catalogue import Part, Shade, Years
from sortbench.model.offer import Offer, Seller
from sortbench.model.target import Line, StandIn, Swap, Target

JOINT = " | "


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field before and after, as text; empty where there is no value."""

    field: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Change:
    """What changes in one thing: its key and the fields that differ."""

    key: str
    fields: tuple[FieldChange, ...]


def part_change(old: Part, new: Part) -> Change:
    """The difference between two states of a part."""
    return _change(old.code, _part_words(old), _part_words(new))


def shade_change(old: Shade, new: Shade) -> Change:
    """The difference between two states of a shade."""
    return _change(old.name, _shade_words(old), _shade_words(new))


def bin_change(old: Bin, new: Bin) -> Change:
    """The difference between two states of a bin."""
    return _change(old.label, _bin_words(old), _bin_words(new))


def target_change(old: Target, new: Target) -> Change:
    """The difference between two states of a target, line by line."""
    words = [_target_words(target) | _line_words(target.lines) for target in (old, new)]
    if words[0] == words[1] and old.lines != new.lines:
        return Change(old.code, (FieldChange("order of lines", "as it was", "as in the file"),))
    return _change(old.code, *words)


def swap_change(old: Swap, new: Swap) -> Change:
    """The difference between two states of a stand-in rule: what it costs."""
    return _change(swap_words(old), {"cost": _text(old.cost)}, {"cost": _text(new.cost)})


def seller_change(old: Seller, new: Seller) -> Change:
    """The difference between two states of a seller."""
    return _change(old.name, _seller_words(old), _seller_words(new))


def offer_change(old: Offer, new: Offer) -> Change:
    """The difference between two states of an offer."""
    return _change(offer_words(old), _offer_fields(old), _offer_fields(new))


def offer_words(offer: Offer) -> str:
    """What is offered, and by whom: ``arch-1x6x2 · white, Attic & Co``; with its id where it has one of its own."""
    own = "" if offer.id.startswith(f"{offer.seller} / ") else f"{offer.id}: "
    return f"{own}{offer.kind}, {offer.seller}"


def swap_words(swap: Swap) -> str:
    """A stand-in rule without its cost: ``grey, late for grey, early``."""
    return f"{swap.instead} for {swap.wanted}"


def line_words(line: Line) -> str:
    """A line without its quantity: kind, lowest grade and stand-ins."""
    stand_ins = f", or {JOINT.join(map(stand_in_words, line.stand_ins))}" if line.stand_ins else ""
    return f"{line.kind}, grade {line.lowest.label}{stand_ins}"


def stand_in_words(stand_in: StandIn) -> str:
    """A stand-in as a list writes it: ``plate-2x4 in white (2)``."""
    return f"{stand_in.kind.part} in {stand_in.kind.shade} ({stand_in.cost})"


def _seller_words(seller: Seller) -> dict[str, str]:
    return {
        "currency": seller.currency,
        "shipping": str(seller.shipping),
        "steps of shipping": JOINT.join(f"{step.up_to_g} g {step.price}" for step in seller.steps),
        "least order": str(seller.minimum),
        "trust": str(seller.trust),
        "note": seller.note,
    }


def _offer_fields(offer: Offer) -> dict[str, str]:
    return {
        "seller": offer.seller,
        "kind": str(offer.kind),
        "grade": offer.grade.label if offer.grade else "",
        "flaws": JOINT.join(offer.flaws),
        "price": str(offer.price),
        "currency": offer.currency,
        "stock": str(offer.stock),
    }


def _target_words(target: Target) -> dict[str, str]:
    return {
        "name": target.name,
        "year": _text(target.year),
        "rank": _text(target.rank),
        "value": _text(target.value),
        "parked": "yes" if target.parked else "no",
    }


def _line_words(lines: tuple[Line, ...]) -> dict[str, str]:
    total: Counter[str] = Counter()
    for line in lines:
        total[line_words(line)] += line.quantity
    return {words: str(quantity) for words, quantity in total.items()}


def _part_words(part: Part) -> dict[str, str]:
    return {
        "name": part.name,
        "family": part.family,
        "aliases": JOINT.join(part.aliases),
        "mass in g": _text(part.mass_g),
        **_years_words(part.years),
        "care": JOINT.join(part.care),
    }


def _shade_words(shade: Shade) -> dict[str, str]:
    return {"sRGB": shade.rgb, **_years_words(shade.years), "aliases": JOINT.join(shade.aliases)}


def _bin_words(box: Bin) -> dict[str, str]:
    return {
        "rule": str(box.rule),
        "capacity": _text(box.capacity),
        "capacity in g": _text(box.capacity_g),
        "place": box.place,
    }


def _years_words(years: Years) -> dict[str, str]:
    return {"first year": _text(years.first), "last year": _text(years.last)}


def _text(value: float | None) -> str:
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    return "" if value is None else str(value)


def _change(key: str, old: Mapping[str, str], new: Mapping[str, str]) -> Change:
    names = [*old, *(name for name in new if name not in old)]
    pairs = ((name, old.get(name, ""), new.get(name, "")) for name in names)
    return Change(key, tuple(FieldChange(name, a, b) for name, a, b in pairs if a != b))
