"""What a list can tell us: the fields of each kind of import, and the words people head their columns with."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Field:
    """One thing a column can hold.

    Attributes:
        name: what ``--column`` calls it.
        label: what a person calls it, used in messages.
        synonyms: general words, English, German and French, that head such a column.
        required: whether a list makes no sense without it.
        instead: the field whose column serves for this one where the list has none of its own.
    """

    name: str
    label: str
    synonyms: tuple[str, ...] = ()
    required: bool = False
    instead: str = ""


_PART_WORDS = ("part", "piece", "item", "article", "teil", "bauteil", "artikel", "pièce")
_SHAPE_WORDS = ("shape", "form")
"""A column headed so may hold parts or families of parts: what else there is decides."""
_PART_NAME_WORDS = ("description", "designation", "bezeichnung", "beschreibung", "désignation")
_SHADE_WORDS = ("colour", "color", "farbe", "farbton", "couleur", "teinte")
_FAMILY_WORDS = (
    "shape family",
    "group",
    "category",
    "class",
    "type",
    "gruppe",
    "familie",
    "art",
    "famille",
    "catégorie",
)
_ALIAS_WORDS = ("alias", "other names", "also called", "synonyms", "auch genannt", "autres noms")
_QUANTITY_WORDS = (
    "qty",
    "count",
    "pieces",
    "amount",
    "pcs",
    "how many",
    "menge",
    "anzahl",
    "stück",
    "quantité",
    "nombre",
)
_FIRST_WORDS = (
    "from",
    "from year",
    "year from",
    "since",
    "start year",
    "ab",
    "ab jahr",
    "von",
    "depuis",
    "année début",
)
_LAST_WORDS = ("to", "to year", "year to", "until", "end year", "bis", "bis jahr", "jusque", "année fin")

_PARTS = (
    Field("code", "part code", (*_PART_WORDS, "id", "key", "kennung"), required=True, instead="name"),
    Field("name", "part name", ("name", *_PART_NAME_WORDS, "nom")),
    Field("family", "shape family", (*_FAMILY_WORDS, *_SHAPE_WORDS)),
    Field("aliases", "aliases", _ALIAS_WORDS),
    Field("mass", "mass in grams", ("weight", "grams", "g", "mass g", "weight g", "gewicht", "masse", "poids")),
    Field("first_year", "first year", _FIRST_WORDS),
    Field("last_year", "last year", _LAST_WORDS),
    Field("care", "care marks", ("care mark", "care", "handling", "washing", "pflege", "entretien")),
)
_SHADES = (
    Field("name", "shade name", ("shade", "name", *_SHADE_WORDS, "nom"), required=True),
    Field("rgb", "sRGB value", ("rgb", "srgb", "hex", "colour value", "color value", "farbwert")),
    Field("first_year", "first year", _FIRST_WORDS),
    Field("last_year", "last year", _LAST_WORDS),
    Field("aliases", "aliases", _ALIAS_WORDS),
)
_TARGETS = (
    Field("target", "target code", ("target", "set", "set code", "model", "satz", "modell", "modèle")),
    Field("target_name", "target name", ("set name", "title", "model name", "titel", "titre")),
    Field("year", "year of the target", ("set year", "target year", "jahr", "année")),
    Field("rank", "rank", ("priority", "rang", "priorität", "priorité")),
    Field("value", "value of the finished set", ("value", "worth", "wert", "valeur")),
    Field("parked", "parked", ("on hold", "paused", "geparkt", "zurückgestellt", "en attente")),
    Field("part", "part", ("part code", *_PART_WORDS, *_SHAPE_WORDS), required=True, instead="part_name"),
    Field("part_name", "part name", ("name", *_PART_NAME_WORDS, "nom")),
    Field("family", "shape family", (*_FAMILY_WORDS, *_SHAPE_WORDS)),
    Field("shade", "shade", ("shade name", *_SHADE_WORDS), required=True),
    Field("quantity", "quantity", (*_QUANTITY_WORDS, "needed"), required=True),
    Field("lowest", "lowest grade", ("grade", "least grade", "worst grade", "standard")),
    Field(
        "stand_ins", "stand-ins", ("stand in", "substitutes", "substitute", "alternatives", "ersatz", "remplacement")
    ),
)
_INSTEAD_WORDS = ("stand in", "instead", "substitute", "alternative", "replacement", "ersatz", "remplacement")
_STAND_INS = (
    Field("part", "part", ("wanted part", "part asked for", "part code", *_PART_WORDS)),
    Field(
        "stand_in_part",
        "stand-in part",
        ("instead part", "part instead", "other part", "substitute part", "variant", "mould variant", *_INSTEAD_WORDS),
    ),
    Field("shade", "shade", ("wanted shade", "shade asked for", "earlier shade", "shade name", *_SHADE_WORDS)),
    Field(
        "stand_in_shade",
        "stand-in shade",
        (
            "instead shade",
            "shade instead",
            "other shade",
            "later shade",
            "substitute shade",
            "stand in colour",
            "stand in color",
            "other colour",
            "later colour",
        ),
    ),
    Field("cost", "cost in correctness", ("cost", "penalty", "kosten", "coût")),
)
_BINS = (
    Field(
        "label", "bin label", ("bin", "label", "container", "box", "fach", "behälter", "bac", "boîte"), required=True
    ),
    Field("shade", "shades", ("shade", *_SHADE_WORDS, "colours", "colors", "farben", "couleurs")),
    Field("family", "shape families", ("families", *_FAMILY_WORDS, *_SHAPE_WORDS)),
    Field("part", "parts", ("part code", *_PART_WORDS, "teile", "pièces")),
    Field("lowest", "lowest grade", ("grade from", "from grade", "least grade", "worst grade")),
    Field("highest", "highest grade", ("grade to", "to grade", "best grade")),
    Field("flaw", "flaws", ("damage", "defect", "defects", "fehler", "schaden", "défaut")),
    Field("capacity", "capacity in pieces", ("holds", "room", "capacity pieces", "fassungsvermögen", "capacité")),
    Field("capacity_g", "capacity in grams", ("capacity grams", "holds grams", "grams")),
    Field("place", "place on the table", ("position", "where", "location", "ort", "platz", "emplacement")),
)

_CURRENCY = Field("currency", "currency", ("money", "währung", "devise", "monnaie"))
_SELLERS = (
    Field("name", "seller", ("name", "shop", "dealer", "verkäufer", "händler", "vendeur"), required=True),
    _CURRENCY,
    Field("shipping", "shipping of a parcel", ("shipping", "postage", "delivery", "versand", "porto", "port")),
    Field(
        "steps",
        "steps of shipping by weight",
        ("steps", "shipping by weight", "weight steps", "postage by weight", "gewichtsstufen", "paliers"),
    ),
    Field("minimum", "least order", ("minimum", "minimum order", "least", "mindestbestellwert", "minimum de commande")),
    Field("trust", "trust", ("reliability", "vertrauen", "confiance")),
    Field("note", "note", ("remarks", "comment", "how to pay", "payment", "bemerkung", "zahlung", "remarque")),
)
_OFFERS = (
    Field("id", "id of the offer", ("id", "number", "offer", "nummer", "angebot", "numéro")),
    Field("seller", "seller", ("shop", "dealer", "verkäufer", "händler", "vendeur")),
    Field("part", "part", ("part code", *_PART_WORDS, *_SHAPE_WORDS, *_PART_NAME_WORDS), required=True),
    Field("shade", "shade", ("shade name", *_SHADE_WORDS), required=True),
    Field("grade", "grade", ("condition", "zustand", "état")),
    Field("flaws", "flaws", ("flaw", "damage", "defect", "defects", "fehler", "schaden", "défaut")),
    Field("price", "price of one piece", ("price", "unit price", "each", "preis", "stückpreis", "prix"), required=True),
    _CURRENCY,
    Field("stock", "stock in pieces", ("stock", "available", *_QUANTITY_WORDS, "bestand", "vorrat"), required=True),
)
_LIBRARY = (
    Field("list", "code of the set", ("list", "target", "set", "set code", "model", "satz", "modell", "modèle")),
    Field("list_name", "name of the set", ("list name", "set name", "title", "model name", "titel", "titre")),
    Field("year", "year of the set", ("set year", "target year", "jahr", "année")),
    Field("part", "part", ("part code", *_PART_WORDS, *_SHAPE_WORDS), required=True, instead="part_name"),
    Field("part_name", "part name", ("name", *_PART_NAME_WORDS, "nom")),
    Field("shade", "shade", ("shade name", *_SHADE_WORDS), required=True),
    Field("quantity", "quantity", (*_QUANTITY_WORDS, "needed"), required=True),
)

FIELDS = MappingProxyType(
    {
        "parts": _PARTS,
        "shades": _SHADES,
        "targets": _TARGETS,
        "bins": _BINS,
        "stand-ins": _STAND_INS,
        "sellers": _SELLERS,
        "offers": _OFFERS,
        "library": _LIBRARY,
    }
)
"""The fields of each import, in the order in which they are shown."""
