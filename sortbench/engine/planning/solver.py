"""The solver of integer programs, HiGHS, made ready to be asked; it comes with the extra ``plan``.

HiGHS: Q. Huangfu and J. A. J. Hall, Parallelizing the dual revised simplex method, Mathematical Programming Computation
10 (2018) 119-142. It is imported when a program is made, and by nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Lock
from typing import TYPE_CHECKING

from sortbench.model.errors import UsageError

if TYPE_CHECKING:
    from highspy import Highs

EVERY_S = 0.1
"""How often those who wait for the solver are asked whether they still want to."""

_TURN = Lock()  # HiGHS runs one program at a time in a process, and refuses a second
_TOLERANCE = 1e-9  # of sums that may come to hundreds of millions, and are whole numbers


def need_solver(what: str) -> type[Highs]:
    """The solver's class, imported.

    Args:
        what: what is worked out, as a sentence begins with it.

    Raises:
        UsageError: HiGHS is not installed.
    """
    try:
        from highspy import Highs
    except ImportError as error:
        raise UsageError(
            f"{what} is worked out by the package highspy, which is not installed.",
            "Install it: pip install 'sortbench[plan]' (or pip install highspy).",
        ) from error
    return Highs


def quiet_solver(what: str) -> Highs:
    """A solver that prints nothing, asks for whole numbers strictly, and lets go when it is cancelled.

    Args:
        what: as :func:`need_solver` takes it.

    Raises:
        UsageError: HiGHS is not installed.
    """
    base = need_solver(what)

    class Quiet(base):  # type: ignore[valid-type, misc]
        """The solver without its banner, which it would print while it is made."""

        def enableCallbacks(self) -> None:  # noqa: N802  # the solver calls it so
            self.silent()
            super().enableCallbacks()

    solver: Highs = Quiet()
    solver.silent()
    solver.HandleKeyboardInterrupt = True
    for name in ("mip_feasibility_tolerance", "primal_feasibility_tolerance", "dual_feasibility_tolerance"):
        solver.setOptionValue(name, _TOLERANCE)
    return solver


@contextmanager
def turn(stops: Callable[[], bool] | None = None) -> Iterator[bool]:
    """One's turn at the solver, for a whole question; others wait till it ends.

    Args:
        stops: asked about ten times a second while one waits; who stops has no turn, and False is what one gets.
    """
    mine = False
    try:
        while not (mine := _TURN.acquire(timeout=EVERY_S)):
            if stops is not None and stops():
                break
        yield mine
    finally:
        if mine:
            _TURN.release()


def run(solver: Highs, beat: Callable[[], bool] | None = None) -> bool:
    """Run a program to its end, in one's :func:`turn`.

    Args:
        solver: with the program.
        beat: called about ten times a second; once it says yes the run is ended, as soon as the solver lets go.

    Returns:
        Whether the beat ended it.

    Raises:
        KeyboardInterrupt: Ctrl+C was struck. The solver has let go by then, as after anything that the beat raises.
    """
    ended, fault = False, None
    solver.startSolve()
    while True:
        try:
            # Not by joining its thread: after an interrupted join Python takes a thread for ended that still runs.
            if solver.wait(EVERY_S)[0]:
                break
            if not ended and beat is not None and beat():
                ended = True
                solver.cancelSolve()  # type: ignore[no-untyped-call]
        except BaseException as error:
            ended, fault = True, error
            solver.cancelSolve()  # type: ignore[no-untyped-call]
    if fault is not None:
        raise fault
    return ended
