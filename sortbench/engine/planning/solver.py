"""The solver of integer programs, HiGHS, made ready to be asked; it comes with the extra ``plan``.

HiGHS: Q. Huangfu and J. A. J. Hall, Parallelizing the dual revised simplex method, Mathematical Programming Computation
10 (2018) 119-142. It is imported when a program is made, and by nothing else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.model.errors import UsageError

if TYPE_CHECKING:
    from highspy import Highs

_TOLERANCE = 1e-9  # of sums that may come to hundreds of millions, and are whole numbers


def quiet_solver(what: str) -> Highs:
    """A solver that prints nothing, asks for whole numbers strictly, and lets go when it is cancelled.

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

    class Quiet(Highs):
        """The solver without its banner, which it would print while it is made."""

        def enableCallbacks(self) -> None:  # noqa: N802  # the solver calls it so
            self.silent()
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    solver = Quiet()  # type: ignore[no-untyped-call]
    solver.silent()
    solver.HandleKeyboardInterrupt = True
    for name in ("mip_feasibility_tolerance", "primal_feasibility_tolerance", "dual_feasibility_tolerance"):
        solver.setOptionValue(name, _TOLERANCE)
    return solver
