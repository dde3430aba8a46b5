"""The demo's world: the files are what the generator writes, and they hang together.

Entropies follow Shannon, "A Mathematical Theory of Communication" (1948), section 6: H = -sum p log2 p, in bits, and
H(kind | shade) = H(kind) - H(shade), for a kind names its shade.
"""

from __future__ import annotations

import csv
import math
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pytest

from sortbench import demo_data
from sortbench.demo_data import FILES, LISTS, PilePiece, demo_files, read_pile
from sortbench.desks import intake
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import FAMILIES, Care, Catalogue, Kind, Part, Shade, Years
from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.target import Line, StandIn, Swap, SwapOf, Target
from sortbench.model.text import clean_name
from sortbench.store.folder import BenchFolder

CATALOG = Path(__file__).parents[2] / "demo_catalog"


@dataclass(frozen=True)
class World:
    """The checked-in files, read into the model, which refuses what it cannot hold."""

    catalogue: Catalogue
    targets: tuple[Target, ...]
    bins: tuple[Bin, ...]
    swaps: tuple[Swap, ...]
    pile: tuple[PilePiece, ...]

    @property
    def needs(self) -> Counter[Kind]:
        needed: Counter[Kind] = Counter()
        for target in self.targets:
            for line in target.lines:
                needed[line.kind] += line.quantity
        return needed

    @property
    def found(self) -> Counter[Kind]:
        return Counter(Kind(piece.part, piece.shade) for piece in self.pile)

    def bin_of(self, piece: PilePiece) -> str:
        family = self.catalogue.family(piece.part)
        return next(
            b.label for b in self.bins if b.rule.matches(piece.part, family, piece.shade, piece.grade, piece.flaws)
        )


def _rows(name: str) -> list[dict[str, str]]:
    with (CATALOG / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def _split(cell: str) -> tuple[str, ...]:
    return tuple(cell.split(" | ")) if cell else ()


def _years(row: Mapping[str, str]) -> Years:
    first, last = row["first_year"], row["last_year"]
    return Years(int(first) if first else None, int(last) if last else None)


def _stand_in(text: str) -> StandIn:
    words, _, cost = text.removesuffix(")").rpartition(" (")
    part, _, shade = words.partition(" in ")
    return StandIn(Kind(part, shade), int(cost))


def _swap(row: Mapping[str, str]) -> Swap:
    of = SwapOf.PART if row["part"] else SwapOf.SHADE
    other = {SwapOf.PART: "shade", SwapOf.SHADE: "part"}[of]
    assert not row[other] and not row[f"stand_in_{other}"]
    return Swap(of, row[of.value], row[f"stand_in_{of.value}"], int(row["cost"]))


def _grade(text: str) -> Grade | None:
    return Grade.from_label(text) if text else None


@pytest.fixture(scope="module")
def world() -> World:
    parts = [
        Part(
            row["code"],
            row["name"],
            row["family"],
            _split(row["aliases"]),
            float(row["mass_g"]),
            _years(row),
            tuple(Care(mark) for mark in _split(row["care"])),
        )
        for row in _rows("parts.csv")
    ]
    shades = [Shade(row["name"], row["rgb"], _years(row), _split(row["aliases"])) for row in _rows("shades.csv")]
    heads: dict[str, tuple[str, int, int]] = {}
    lines: defaultdict[str, list[Line]] = defaultdict(list)
    for row in _rows("targets.csv"):
        head = (row["target_name"], int(row["year"]), int(row["rank"]))
        assert heads.setdefault(row["target"], head) == head
        stand_ins = tuple(_stand_in(text) for text in _split(row["stand_ins"]))
        kind = Kind(row["part"], row["shade"])
        lines[row["target"]].append(Line(kind, int(row["quantity"]), Grade.from_label(row["lowest"]), stand_ins))
    bins = tuple(
        Bin(
            row["label"],
            Rule(
                _split(row["shade"]),
                _split(row["family"]),
                _split(row["part"]),
                _grade(row["lowest"]),
                _grade(row["highest"]),
                _split(row["flaw"]),
            ),
            int(row["capacity"]) if row["capacity"] else None,
            float(row["capacity_g"]) if row["capacity_g"] else None,
            row["place"],
        )
        for row in _rows("bins.csv")
    )
    assert len({part.code for part in parts}) == len(parts)
    assert len({shade.name for shade in shades}) == len(shades)
    return World(
        Catalogue({part.code: part for part in parts}, {shade.name: shade for shade in shades}),
        tuple(Target(code, *heads[code], tuple(lines[code])) for code in heads),
        bins,
        tuple(_swap(row) for row in _rows("stand_ins.csv")),
        tuple(read_pile(CATALOG / "pile.csv")),
    )


def _entropy(counts: Iterable[int]) -> float:
    values = list(counts)
    total = sum(values)
    return -sum(n / total * math.log2(n / total) for n in values)


def test_generator_writes_the_checked_in_files(tmp_path: Path) -> None:
    subprocess.run([sys.executable, CATALOG / "generate.py", tmp_path], check=True, timeout=60)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(FILES)
    for name in FILES:
        assert (tmp_path / name).read_bytes() == (CATALOG / name).read_bytes(), name


def test_files_are_utf8_with_lf() -> None:
    for name in FILES:
        data = (CATALOG / name).read_bytes()
        data.decode("utf-8")
        assert b"\r" not in data and data.endswith(b"\n") and not data.startswith(b"\xef\xbb\xbf"), name


def test_catalogue_has_its_size_and_uses_known_families(world: World) -> None:
    assert len(world.catalogue.parts) >= 150
    assert len(world.catalogue.shades) >= 14
    assert {part.family for part in world.catalogue.parts.values()} <= set(FAMILIES)
    # Manuals come with a pile and not with a target's list.
    assert {mark for part in world.catalogue.parts.values() for mark in part.care} == set(Care) - {Care.MANUAL}
    for part in world.catalogue.parts.values():
        assert clean_name(part.code) == part.code and " " not in part.code
        assert clean_name(part.name) == part.name
        assert part.mass_g is not None and part.mass_g > 0


def test_bigger_pieces_of_a_range_weigh_more(world: World) -> None:
    for stem in ("brick", "plate"):
        masses = [world.catalogue.mass_g(f"{stem}-{size}") or 0 for size in ("1x1", "1x2", "1x4", "2x4", "2x8")]
        assert masses == sorted(set(masses))
    assert (world.catalogue.mass_g("brick-2x4") or 0) > (world.catalogue.mass_g("plate-2x4") or 0)


def test_early_and_late_shades_meet_within_the_line(world: World) -> None:
    for colour in ("grey", "brown"):
        early, late = world.catalogue.shades[f"{colour}, early"], world.catalogue.shades[f"{colour}, late"]
        assert early.years.last is not None and late.years.first == early.years.last + 1
        assert 1986 < late.years.first <= 1993
        assert early.rgb != late.rgb


def test_six_targets_of_the_line(world: World) -> None:
    assert {target.name for target in world.targets} == {
        "Funicular Halt",
        "Glasshouse",
        "Bell Foundry",
        "Beekeeper's Yard",
        "Signal Hut",
        "Peat Tramway",
    }
    assert [target.code for target in world.targets] == [f"T-0{n}" for n in range(1, 7)]
    assert sorted(target.rank for target in world.targets) == [1, 2, 3, 4, 5, 6]
    for target in world.targets:
        assert 60 <= len(target.lines) <= 300, target.name
        assert target.year is not None and 1986 <= target.year <= 1993
        assert len({line.kind for line in target.lines}) == len(target.lines)


def test_targets_ask_only_for_what_was_made_in_their_year(world: World) -> None:
    wrong = [
        (target.name, str(line.kind))
        for target in world.targets
        for line in target.lines
        if world.catalogue.right_in(target.year)(line.kind) is False
    ]
    assert wrong == []


def test_at_least_three_in_ten_kinds_are_shared(world: World) -> None:
    holders = Counter(line.kind for target in world.targets for line in target.lines)
    assert sum(n > 1 for n in holders.values()) >= 0.3 * len(holders)


def test_targets_hold_what_makes_them(world: World) -> None:
    families = {
        target.name: Counter(
            {
                family: sum(line.quantity for line in target.lines if world.catalogue.family(line.kind.part) == family)
                for family in FAMILIES
            }
        )
        for target in world.targets
    }
    assert min(families["Glasshouse"][family] for family in ("window", "panel", "plant")) >= 25
    assert min(families["Bell Foundry"][family] for family in ("arch", "slope", "brick")) >= 20
    assert min(families["Peat Tramway"][family] for family in ("rail", "wheel", "vehicle")) >= 15
    assert min(families["Beekeeper's Yard"][family] for family in ("fence", "plant")) >= 25
    assert families["Beekeeper's Yard"]["cloth"] >= 2
    assert families["Funicular Halt"]["rail"] >= 15
    assert families["Signal Hut"]["window"] >= 6


def test_stand_ins_are_kinds_that_existed(world: World) -> None:
    stand_ins = [
        (line.kind, stand_in) for target in world.targets for line in target.lines for stand_in in line.stand_ins
    ]
    assert len(stand_ins) >= 50
    for wanted, stand_in in stand_ins:
        part, shade = world.catalogue.parts[stand_in.kind.part], world.catalogue.shades[stand_in.kind.shade]
        assert stand_in.kind != wanted
        assert part.family == world.catalogue.family(wanted.part)
        assert (part.years.first or 0) <= (shade.years.last or 9999)
        assert (shade.years.first or 0) <= (part.years.last or 9999)
        assert 1 <= stand_in.cost <= 9
    assert any(wanted.part != stand_in.kind.part for wanted, stand_in in stand_ins)
    assert any(wanted.shade != stand_in.kind.shade for wanted, stand_in in stand_ins)


def test_rules_take_what_came_later_for_what_came_earlier(world: World) -> None:
    """So they cannot lead back in a circle."""
    parts, shades = world.catalogue.parts, world.catalogue.shades
    assert len({swap.key for swap in world.swaps}) == len(world.swaps)
    for of, things in ((SwapOf.PART, parts), (SwapOf.SHADE, shades)):
        rules = [swap for swap in world.swaps if swap.of is of]
        assert len(rules) >= 2
        for swap in rules:
            earlier, later = things[swap.wanted].years, things[swap.instead].years
            assert earlier.first is not None and later.first is not None and earlier.first < later.first
            assert earlier.last is not None and later.last is not None and earlier.last < later.last
            assert 1 <= swap.cost <= 9
    assert {swap.wanted for swap in world.swaps} >= {"grey, early", "brown, early"}
    for swap in world.swaps:
        if swap.of is SwapOf.PART:
            assert parts[swap.wanted].family == parts[swap.instead].family
            assert parts[swap.wanted].mass_g == parts[swap.instead].mass_g


def test_rules_reach_lines_whose_own_list_says_nothing(world: World) -> None:
    rules = {(swap.of, swap.wanted): swap.instead for swap in world.swaps}
    reached = silent = 0
    for target in world.targets:
        for line in target.lines:
            part, shade = line.kind
            by_rule = {
                Kind(rules.get((SwapOf.PART, part), part), shade),
                Kind(part, rules.get((SwapOf.SHADE, shade), shade)),
            } - {line.kind}
            reached += bool(by_rule)
            silent += bool(by_rule - {stand_in.kind for stand_in in line.stand_ins})
    assert reached >= 50
    assert silent >= 10


def test_the_demo_is_what_the_files_say(world: World, tmp_path: Path) -> None:
    """Through the importer that users have, instead of this test's own reading."""
    documents = BenchFolder.create(tmp_path / "bench").documents
    for what, name in LISTS.items():
        seen = intake.preview(documents, what, [CATALOG / name])
        assert (seen.errors, seen.plan.created_parts, seen.plan.created_shades) == ((), (), ()), what
        intake.commit(documents, seen)
    now = documents.load()
    assert now.catalogue == world.catalogue
    assert tuple(now.swaps.values()) == world.swaps
    assert tuple(now.targets.values()) == world.targets
    assert now.bins == world.bins


def test_twenty_bins_with_one_catch_all_last(world: World) -> None:
    assert len(world.bins) == len({b.label for b in world.bins}) == 20
    assert [b.rule.catch_all for b in world.bins] == [False] * 19 + [True]
    assert len({b.place for b in world.bins}) == 20
    assert all(b.capacity or b.capacity_g for b in world.bins)
    assert any(b.capacity for b in world.bins) and any(b.capacity_g for b in world.bins)
    for b in world.bins:
        assert set(b.rule.shades) <= set(world.catalogue.shades)
        assert set(b.rule.parts) <= set(world.catalogue.parts)
        assert set(b.rule.families) <= set(FAMILIES)
        assert set(b.rule.flaws) <= {flaw.value for flaw in Flaw} | {"any"}


def test_every_bin_gets_pieces_and_some_overflow_halfway(world: World) -> None:
    filled = Counter(world.bin_of(piece) for piece in world.pile)
    assert set(filled) == {b.label for b in world.bins}
    half = Counter(world.bin_of(piece) for piece in world.pile[: len(world.pile) // 2])
    assert any(b.capacity is not None and half[b.label] > b.capacity for b in world.bins)
    assert any(b.capacity is not None and filled[b.label] <= b.capacity for b in world.bins)


def test_every_part_and_shade_named_is_in_the_catalogue(world: World) -> None:
    for kind in (*world.needs, *world.found):
        assert kind.part in world.catalogue.parts, kind
        assert kind.shade in world.catalogue.shades, kind


def test_pile_has_its_size_and_lacks_spares_and_strangers(world: World) -> None:
    needs, found = world.needs, world.found
    assert 2400 <= len(world.pile) <= 2600
    assert 350 <= len(found) <= 450
    assert {kind.shade for kind in found} == set(world.catalogue.shades)
    assert sum(kind not in needs for kind in found) >= 20, "foreign kinds"
    assert sum(kind not in found for kind in needs) >= 20, "kinds wholly missing"
    assert sum(n > found[kind] for kind, n in needs.items()) >= 50, "kinds short"
    assert sum(found[kind] > n for kind, n in needs.items()) >= 10, "kinds with spares"


def test_pale_pieces_yellowed_and_some_cracked(world: World) -> None:
    low = Counter(piece.shade for piece in world.pile if piece.grade <= Grade.G4)
    every = Counter(piece.shade for piece in world.pile)
    for shade in ("white", "grey, early", "grey, late"):
        assert low[shade] / every[shade] > 0.15, shade
    assert low["yellow"] / every["yellow"] > 0.05
    assert low["black"] / every["black"] < 0.05
    assert sum(Flaw.CRACKED in piece.flaws for piece in world.pile) >= 15
    assert {flaw for piece in world.pile for flaw in piece.flaws} == set(Flaw)


def test_entropy_of_the_pile(world: World) -> None:
    kinds, shades = world.found, Counter(piece.shade for piece in world.pile)
    of_kind_in_shade = _entropy(kinds.values()) - _entropy(shades.values())
    # The same by the other road: each shade's own entropy, weighed by its share of the pieces.
    weighed = sum(
        n / len(world.pile) * _entropy(count for kind, count in kinds.items() if kind.shade == shade)
        for shade, n in shades.items()
    )
    assert of_kind_in_shade == pytest.approx(weighed, abs=1e-9)
    assert 3.5 <= of_kind_in_shade <= 3.9
    assert _entropy([1, 1, 1, 1]) == 2


def test_a_few_kinds_are_very_common(world: World) -> None:
    counts = world.found.most_common()
    assert sum(n for _, n in counts[:20]) >= 0.3 * len(world.pile)
    assert {world.catalogue.family(kind.part) for kind, _ in counts[:5]} <= {"plate", "brick"}
    assert sum(n <= 2 for _, n in counts) >= 0.25 * len(counts)


def test_pieces_lie_in_clumps_but_not_sorted(world: World) -> None:
    shades = [piece.shade for piece in world.pile]
    same = sum(a == b for a, b in pairwise(shades)) / len(shades)
    by_chance = sum((n / len(shades)) ** 2 for n in Counter(shades).values())
    assert 3 * by_chance < same < 0.8


def test_demo_files_are_found_in_a_checkout() -> None:
    assert demo_files() == CATALOG.resolve()


def test_demo_files_are_found_in_an_installed_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inside = tmp_path / "sortbench" / "demo_catalog"
    inside.mkdir(parents=True)
    monkeypatch.setattr(demo_data, "__file__", str(tmp_path / "sortbench" / "demo_data.py"))
    with pytest.raises(BenchError, match="Install sortbench again"):
        demo_files()
    for name in FILES:
        (inside / name).write_bytes((CATALOG / name).read_bytes())
    assert demo_files() == inside


def test_read_pile_keeps_order_and_flaws(tmp_path: Path) -> None:
    path = tmp_path / "pile.csv"
    path.write_text(
        'part,shade,grade,flaws\r\nplate-2x4,"grey, early",4-5,\r\ntile-1x1,red,2,worn print | cracked\r\n',
        encoding="utf-8-sig",
        newline="",
    )
    assert read_pile(path) == [
        PilePiece("plate-2x4", "grey, early", Grade.G4_5),
        PilePiece("tile-1x1", "red", Grade.G2, (Flaw.CRACKED, Flaw.WORN)),
    ]


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        (b"part,shade,grade\nplate-2x4,red,5\n", "line 1: the column flaws is missing"),
        (b"", "the column part, shade, grade, flaws is missing"),
        (b"part,shade,grade,flaws\nplate-2x4,red,5,\nplate-2x4,red,6,\n", "line 3: '6' is no grade"),
        (b"part,shade,grade,flaws\nplate-2x4,red,5,melted\n", "line 2: 'melted' is no flaw"),
        (b"part,shade,grade,flaws\n,red,5,\n", "line 2: The part is empty"),
        (b"part,shade,grade,flaws\nplate-2x4\n", "line 2: The shade is empty"),
        (b'part,shade,grade,flaws\n"plate-2x4,red,5,\n', "line 2: unexpected end of data"),
        (b"part,shade,grade,flaws\nplate-2x4,ros\xe9,5,\n", "is not UTF-8 at byte 36"),
    ],
)
def test_read_pile_says_where_it_went_wrong(tmp_path: Path, content: bytes, complaint: str) -> None:
    path = tmp_path / "pile.csv"
    path.write_bytes(content)
    with pytest.raises(DataError) as caught:
        read_pile(path)
    assert complaint in caught.value.message
    assert str(path) in caught.value.message


def test_read_pile_without_a_file(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="cannot be read"):
        read_pile(tmp_path / "none.csv")
