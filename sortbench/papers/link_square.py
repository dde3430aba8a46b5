"""A link as a square code of plain characters, for the camera of a tablet before a terminal."""

from __future__ import annotations

from sortbench.engine.labelling.code_square import QUIET, square_of

_HALVES = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}
"""Two modules, one above the other, as one character. Light ones are drawn, for most terminals are dark."""


def square_lines(link: str) -> list[str]:
    """The code, two rows of modules a line, with its light edge.

    Raises:
        UsageError: the library for codes is not installed.
        DataError: the link is too long for any code.
    """
    rows = square_of(link)
    side = (False,) * QUIET
    edge = ((False,) * (len(rows) + 2 * QUIET),) * QUIET
    whole = [*edge, *((*side, *row, *side) for row in rows), *edge]
    whole += [whole[0]] * (len(whole) % 2)
    return ["".join(_HALVES[pair] for pair in zip(*whole[at : at + 2], strict=True)) for at in range(0, len(whole), 2)]
