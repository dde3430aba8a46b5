"""What a target could have at most, against a maximum flow that networkx (general-purpose library) finds."""

from __future__ import annotations

import random
from collections import Counter

import networkx as nx
import pytest

from sortbench.engine.fill import Fill
from sortbench.engine.sharing.possible import Possible, Wild, wild_cards
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, StandIn, Target

PARTS, SHADES = ("plate-1", "plate-2", "brick-1", "tile-1"), ("red", "white")
KINDS = [Kind(part, shade) for part in PARTS for shade in SHADES]


def family(part: str) -> str:
    return part.partition("-")[0]


def some_targets(chance: random.Random) -> list[Target]:
    targets = []
    for number in range(chance.randint(1, 4)):
        lines = []
        for kind in chance.sample(KINDS, chance.randint(1, 5)):
            others = [other for other in KINDS if other != kind]
            stand_ins = tuple(StandIn(other) for other in chance.sample(others, chance.choice([0, 0, 0, 1, 2])))
            lines.append(Line(kind, chance.randint(1, 3), Grade.G3, stand_ins))
        parked = chance.random() < 0.1
        targets.append(Target(f"T-{number}", "", 1990, chance.choice([number + 1, 1]), tuple(lines), parked=parked))
    return targets


def most_present(fill: Fill, pieces: dict[Kind, int], wild: dict[Wild, int], code: str) -> int:
    """The most that a target can have, one maximum flow after another.

    Every other line keeps as many as it has; where targets share a rank, each of these targets does.
    """
    ranks = Counter(each.target.rank for each in fill.all() if not each.target.parked)
    graph = nx.DiGraph()
    for kind, quantity in pieces.items():
        graph.add_edge("pieces", kind, capacity=quantity)
    for at, quantity in enumerate(wild.values()):
        graph.add_edge("pieces", ("wild", at), capacity=quantity)
    for each in fill.all():
        target = each.target
        if target.parked:
            continue
        for number, line in enumerate(target.lines, 1):
            node = target.code, number
            free = target.code == code or ranks[target.rank] > 1
            graph.add_edge(node, target.code, capacity=line.quantity if free else each.lines[number - 1].present)
            accepted = set(fill.accepts(target, number))
            for kind in accepted:
                graph.add_edge(kind, node)
            for at, card in enumerate(wild):
                if any(card.shade in ("", k.shade) and card.family in ("", family(k.part)) for k in accepted):
                    graph.add_edge(("wild", at), node)
        graph.add_edge(target.code, "shared", capacity=each.present)
    best = fill[code].present
    if fill[code].target.parked or "pieces" not in graph:
        return best
    others = sum(each.present for each in fill.all() if not each.target.parked and each.target.code != code)
    while best < fill[code].need:
        graph.add_edge(code, "shared", capacity=best + 1)
        if nx.maximum_flow_value(graph, "pieces", "shared") < others + best + 1:
            break
        best += 1
    return best


@pytest.mark.parametrize("seed", range(150))
def test_the_most_a_target_could_have_is_a_maximum_flow(seed: int) -> None:
    chance = random.Random(seed)
    targets = some_targets(chance)
    pieces = {kind: chance.randint(0, 4) for kind in KINDS}
    heaps = {kind: {Cell("B1", *kind, "", Grade.G5, ()): n} for kind, n in pieces.items() if n}
    fill = Fill(targets, Catalogue(), lambda kind: heaps.get(kind, {}))
    coarse = {
        Cell("B1", "", chance.choice([*SHADES, ""]), chance.choice(["plate", "brick", "tile", ""]), None, ()): 1
        for _ in range(chance.randint(1, 4))
    }
    wild = wild_cards({cell: chance.randint(1, 4) for cell in coarse})
    possible = Possible(fill, family)
    possible.renew(wild)
    for target in targets:
        assert possible.of(target.code) == most_present(fill, pieces, wild, target.code), target
        assert fill[target.code].present <= possible.of(target.code) <= fill[target.code].need


@pytest.mark.parametrize("seed", range(150))
def test_no_target_ever_has_more_once_the_pieces_are_looked_at(seed: int) -> None:
    chance = random.Random(seed)
    targets = some_targets(chance)
    heaps = {kind: {Cell("B1", *kind, "", Grade.G5, ()): chance.randint(1, 3)} for kind in chance.sample(KINDS, 4)}
    fill = Fill(targets, Catalogue(), lambda kind: heaps.get(kind, {}))
    wild = {Wild(chance.choice([*SHADES, ""]), chance.choice(["plate", "brick", ""])): 3 for _ in range(2)}
    possible = Possible(fill, family)
    possible.renew(wild)
    most = {target.code: possible.of(target.code) for target in targets}
    for _ in range(6):
        looked_at = {kind: dict(cells) for kind, cells in heaps.items()}
        for card, quantity in wild.items():
            for _ in range(quantity):
                kind = chance.choice([k for k in KINDS if card.may_be(Wild(k.shade, family(k.part)))])
                cell = Cell("B1", *kind, "", chance.choice([Grade.G5, Grade.G1]), ())
                looked_at.setdefault(kind, {})[cell] = looked_at.get(kind, {}).get(cell, 0) + 1
        known = Fill(targets, Catalogue(), lambda kind, cells=looked_at: cells.get(kind, {}))
        assert all(known[code].present <= at_most for code, at_most in most.items())


def test_what_was_worked_out_follows_changes() -> None:
    red, white = Kind("plate-1", "red"), Kind("plate-1", "white")
    target = Target("T-1", "Signal Hut", 1990, 1, (Line(red, 2), Line(white, 1)))
    fill = Fill((target,), Catalogue())
    possible = Possible(fill, family)
    assert possible.of("T-1") == 0
    possible.renew({Wild("red", "plate"): 5})
    assert possible.of("T-1") == 2
    fill.update(red, {Cell("B1", *red, "", Grade.G5, ()): 1})
    possible.touch(fill.targets_near(red))
    assert possible.of("T-1") == 2
    possible.renew({Wild("", ""): 1})
    assert possible.of("T-1") == 2


def test_pieces_thrown_out_are_no_wild_cards() -> None:
    cells = {
        Cell("B1", "", "red", "plate", None, ()): 2,
        Cell("B2", "", "red", "plate", None, ()): 1,
        Cell("", "", "red", "plate", None, (), Fate.OUT): 4,
        Cell("B1", "plate-1", "red", "", None, ()): 8,
    }
    assert wild_cards(cells) == {Wild("red", "plate"): 3}
