"""A bench with something to reconcile, for the tests of its screens."""

from __future__ import annotations

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Grade
from sortbench.model.target import Line, StandIn

PLATE, BRICK, WHITE_BRICK = Kind("plate-2x4", "white"), Kind("brick-2x4", "grey, early"), Kind("brick-2x4", "white")


def reconciled(bench: Bench) -> Bench:
    """Glasshouse (rank 1) and Funicular Halt (2) both want white plates; white bricks may stand in for grey ones."""
    with bench.folder.documents.edit() as draft:
        glasshouse = draft.targets["T-07"]
        plate, brick, *rest = glasshouse.lines
        brick = Line(brick.kind, brick.quantity, Grade.G3, (StandIn(WHITE_BRICK, 2),))
        draft.targets["T-07"] = glasshouse._replace(lines=(plate, brick, *rest))
    bench.reload()
    bench.enter("wh pl 24 *4")
    bench.enter("wh pl 24 !3")
    bench.enter("gr br 24 *2")
    bench.enter("wh br 24 *3")
    return bench
