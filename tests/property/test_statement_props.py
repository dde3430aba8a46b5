"""Statements of random crates claim just what the counts carry, and change with them.

The most that a crate can put on a list is worked out a second time by networkx, from the rules of stand-ins read anew.
"""

from __future__ import annotations

import random
import re
from dataclasses import replace

import networkx as nx
import pytest
from picture_of import picture_of
from random_sharing import random_case
from reference_sharing import Case, accepted, period

from sortbench.engine.finishing.statement import Statement, statement_of
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Target
from sortbench.papers.statement_files import mapping_of, markdown_of, page_of, text_of


def crated_case(seed: int) -> Case:
    """A random case of which most kept pieces lie in crates."""
    case, chance = random_case(seed), random.Random(seed)
    codes = [target.code for target in case.targets]
    cells: dict[Kind, dict[Cell, int]] = {}
    for kind, heaps in case.cells.items():
        found = cells[kind] = {}
        for cell, quantity in heaps.items():
            if cell.fate is Fate.KEPT and chance.random() < 0.7:
                cell = cell._replace(bin=chance.choice(codes), fate=Fate.CRATE)
            found[cell] = found.get(cell, 0) + quantity
    return replace(case, cells=cells)


def in_crate(case: Case, code: str) -> dict[Cell, int]:
    return {
        cell: quantity
        for heaps in case.cells.values()
        for cell, quantity in heaps.items()
        if cell.fate is Fate.CRATE and cell.bin == code and quantity
    }


def most(case: Case, target: Target) -> int:
    """Pieces that the crate can put on the lines of its target."""
    graph = nx.DiGraph()
    graph.add_nodes_from(("in", "out"))
    by_kind: dict[Kind, int] = {}
    for cell, quantity in in_crate(case, target.code).items():
        kind = Kind(cell.part, cell.shade)
        by_kind[kind] = by_kind.get(kind, 0) + quantity
    for kind, quantity in by_kind.items():
        graph.add_edge("in", kind, capacity=quantity)
    for number, line in enumerate(target.lines):
        graph.add_edge(number, "out", capacity=line.quantity)
        for kind in accepted(line, target, case.swaps):
            graph.add_edge(kind, number)
    return int(nx.maximum_flow_value(graph, "in", "out"))


def check(case: Case, target: Target, stated: Statement) -> None:
    crate = in_crate(case, target.code)
    present, need = most(case, target), sum(line.quantity for line in target.lines)
    assert (stated.present, stated.need, stated.short) == (present, need, need - present)
    assert stated.complete is (present == need)
    assert stated.present + sum(each.quantity for each in stated.surplus) == sum(crate.values())
    told: dict[tuple[object, ...], int] = {}
    for each in [*(pieces for _, pieces in stated.pieces), *stated.surplus]:
        like = each.kind.part, each.kind.shade, each.grade, each.flaws
        told[like] = told.get(like, 0) + each.quantity
    assert told == {(cell.part, cell.shade, cell.grade, cell.flaws): n for cell, n in crate.items()}
    for line, asked in zip(stated.lines, target.lines, strict=True):
        assert (line.kind, line.need) == (asked.kind, asked.quantity)
        assert 0 <= line.present <= line.need
        costs = accepted(asked, target, case.swaps)
        assert all(each.cost == costs[each.kind] for each in line.pieces)
        assert all(each.period is period(case.catalogue, each.kind, target.year) for each in line.pieces)
    assert sum(stated.of_period(each) for each in (True, False, None)) == present
    assert sum(quantity for _, quantity in stated.grades) == present
    assert stated.flawed == sum(each.quantity for _, each in stated.pieces if each.flaws)
    _check_words(stated, text_of(stated))


def _check_words(stated: Statement, text: str) -> None:
    """Figures in the text add up by themselves, and it calls nothing complete that lacks a piece."""
    assert max(map(len, text.splitlines())) <= 80
    words = " ".join(text.split())
    claims = re.findall(r"(?:Complete|Not complete): (?:all )?([\d,]+)(?: of ([\d,]+))? pieces?", words)
    assert len(claims) == 1
    present, need = int(claims[0][0]), int(claims[0][1] or claims[0][0])
    lacking = [int(each) for each in re.findall(r"^- line \d+: (\d+) × .*?$", text.partition("Stand-ins")[0], re.M)]
    assert (present, need) == (stated.present, stated.need)
    assert (" Complete: " in words) is (present == need)
    assert (" Missing " in words) is (present < need)
    assert present < need or not re.search(r"\d missing", words)
    assert sum(lacking) == need - present


@pytest.mark.parametrize("seed", range(0, 80, 10))
def test_statements_say_what_the_counts_say_and_change_with_them(seed: int) -> None:
    for each in range(seed, seed + 10):
        case, chance = crated_case(each), random.Random(-each)
        picture = picture_of(case)
        for target in case.targets:
            stated = statement_of(picture, target.code, "2026-03-01")
            check(case, target, stated)
            if not (crate := in_crate(case, target.code)):
                continue
            cell = chance.choice(sorted(crate, key=repr))
            heaps = {**case.cells[Kind(cell.part, cell.shade)]}
            heaps[cell] += chance.choice((-1, 1, 2))
            changed = replace(case, cells={**case.cells, Kind(cell.part, cell.shade): heaps})
            after = statement_of(picture_of(changed), target.code, "2026-03-01")
            check(changed, target, after)
            for make in (text_of, markdown_of, page_of, mapping_of):
                assert make(after) != make(stated)


def test_random_crates_are_now_complete_and_now_not() -> None:
    found: list[Statement] = []
    for seed in range(80):
        case = crated_case(seed)
        found += [statement_of(picture_of(case), target.code, "2026-03-01") for target in case.targets]
    assert sum(each.complete for each in found) >= 10
    assert sum(each.stand_ins > 0 for each in found) >= 10
    assert sum(bool(each.surplus) for each in found) >= 10


@pytest.mark.parametrize("seed", range(0, 40, 20))
def test_as_shared_says_what_the_sharing_gives(seed: int) -> None:
    for each in range(seed, seed + 20):
        picture = picture_of(crated_case(each))
        for target in picture.targets:
            stated, fill = statement_of(picture, target.code, "2026-03-01", as_shared=True), picture.fill[target.code]
            assert (stated.present, stated.short, stated.stand_ins) == (fill.present, fill.short, fill.stand_ins)
            assert "This is what would be there if" in " ".join(text_of(stated).split())
