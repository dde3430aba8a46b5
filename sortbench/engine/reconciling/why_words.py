"""Words for reasons: pieces, lines, and what would be worse."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sortbench.engine.fill import Home
from sortbench.engine.reconciling.improvements import kind_words as kind_words
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.scores import Criterion


def condition_words(piece: Piece) -> str:
    """Grade, flaws, and whether a piece is still to be washed."""
    words = [f"grade {piece.grade.label}" if piece.grade else "not graded", *(flaw.value for flaw in piece.flaws)]
    if not piece.ready:
        words.append("to be washed")
    return ", ".join(words)


def home_words(home: Home) -> str:
    """A line: ``Signal Hut, line 3``."""
    return f"{home.target.name}, line {home.number}"


def many(words: Sequence[str], joint: str = " and ") -> str:
    """Several in a row: ``a, b and c``."""
    return joint.join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def consequence(criterion: Criterion | None, worse: Mapping[str, int], names: Mapping[str, str]) -> str:
    """What would be worse.

    Args:
        criterion: the weightiest criterion that would be; None where nothing would.
        worse: by how much for each target, by code; below 0 for one that would do better.
        names: of the targets, by code.
    """
    if criterion is None:
        return "nothing would be worse"
    if criterion is Criterion.PRESENT:
        lost = [f"{names[code]} would have {_pieces(by)} fewer" for code, by in worse.items() if by > 0]
        won = [f"{names[code]} {-by:,} more" for code, by in worse.items() if by < 0]
        uneven = f" and {many(won)}, though they share a rank and are filled evenly" if won else ""
        return many(lost) + uneven
    # The other criteria add up over the targets of a rank.
    total = sum(worse.values())
    of = many([names[code] for code, by in worse.items() if by > 0])
    if criterion is Criterion.HELD:
        return f"{_pieces(total)} set aside for {of} would lie unused"
    if criterion is Criterion.STANDARD:
        return f"{of} would have {_pieces(total)} fewer to standard"
    if criterion is Criterion.STAND_INS:
        return f"{of} would have {total:,} stand-in{'s' if total > 1 else ''} more"
    if criterion is Criterion.COST:
        return f"the stand-ins of {of} would cost {total:,} more in correctness"
    return f"{of} would have worse pieces"


def _pieces(quantity: int) -> str:
    return "1 piece" if quantity == 1 else f"{quantity:,} pieces"
