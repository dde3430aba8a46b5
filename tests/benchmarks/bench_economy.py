"""Keystrokes a piece on the demo's pile, Enter included, beside what Shannon's bound says of the same pile.

Run as ``python -m tests.benchmarks.bench_economy [--pad-only]``.
"""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from tests.benchmarks.economy import PadHand, Piece, Tally, Typist, World, entropy, read_world, sorted_by_shade, stirred

AIM_SORTED = 1.6
AIM_UNSORTED = 3.5


def main() -> None:
    """Print the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--pad-only", action="store_true", help="leave out typing, which takes half a minute")
    pad_only = options.parse_args().pad_only
    world = read_world()
    print_bound(world)
    stirred_pile = stirred(world.pile)
    orders: list[tuple[str, Sequence[Piece], bool]] = [
        ("sorted by shade, order within a shade as it lay", sorted_by_shade(world.pile), True),
        ("sorted by shade, each shade stirred", sorted_by_shade(stirred_pile), True),
        ("unsorted, as it lies on the table", world.pile, False),
        ("unsorted, stirred", stirred_pile, False),
    ]
    for name, pile, hold in orders:
        print(f"\n{name}")
        best = pad = report("keypad", PadHand(world, None if pad_only else Typist(world)).count(pile, hold))
        if not pad_only:
            best = min(pad, report("typing", Typist(world).count(pile, hold)))
        aim = AIM_SORTED if hold else AIM_UNSORTED
        print(f"  better way {best:.2f}, aim {aim}: {'met' if best <= aim else 'MISSED'}")
    print("\nkeypad, for comparison")
    unknown = replace(world, needs={})
    by_shade = sorted_by_shade(world.pile)

    def hands(known: World = world, **ways: Any) -> PadHand:
        return PadHand(known, None if pad_only else Typist(known), **ways)

    report("sorted, a reshuffle after 50 and 200 pieces of a shade", hands(reshuffles=(50, 200)).count(by_shade, True))
    report("sorted, no targets: nothing known beforehand", hands(unknown).count(by_shade, True))
    report("unsorted, no targets: nothing known beforehand", hands(unknown).count(world.pile, False))
    report("unsorted, without the pad that mixes shades", hands(mixed=False).count(world.pile, False))
    report("stirred, without the pad that mixes shades", hands(mixed=False).count(stirred_pile, False))
    report("unsorted, pads without guesses", hands(guesses=False).count(world.pile, False))


def print_bound(world: World) -> None:
    """What a memoryless code for the pile would need: kinds drawn one by one, their shares known beforehand."""
    kinds = Counter(piece.kind for piece in world.pile)
    shades = Counter(piece.kind.shade for piece in world.pile)
    bits, bits_shade = entropy(kinds), entropy(kinds) - entropy(shades)
    print(
        f"{len(world.pile)} pieces of {len(kinds)} kinds in {len(shades)} shades; "
        f"the targets need {len(world.needs)} kinds"
    )
    for name, h in (("H(kind | shade), sorted", bits_shade), ("H(kind), unsorted", bits)):
        print(f"  {name:24} {h:5.2f} bits a piece = {h / math.log2(9):.2f} strokes on nine keys")
    same = sum(a.kind == b.kind for a, b in zip(world.pile, world.pile[1:], strict=False)) / (len(world.pile) - 1)
    print(
        f"  {same:.0%} of pieces are of the kind before them: the bound for draws without memory can be beaten by that"
    )


def report(name: str, tally: Tally) -> float:
    """Print one line of figures and hand back strokes a piece."""
    spent = ", ".join(f"{what} {n / tally.pieces:.2f}" for what, n in tally.spent.most_common())
    print(
        f"  {name}: {tally.each:.2f} strokes a piece ({spent}); with grades and flaws {tally.each_with_condition:.2f}"
    )
    return tally.each


if __name__ == "__main__":
    main()
