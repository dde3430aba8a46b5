"""Screens that lie over the one that asks for them and lead back there, each imported when somebody asks for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from sortbench.engine.board import Notice
    from sortbench.model.tally import Cell
    from sortbench.tui.app import SortbenchApp
    from sortbench.tui.keys import Place
    from sortbench.tui.screens.bring_in import Brought
    from sortbench.tui.screens.keyed import KeyedScreen


class Overlays:
    """Opens such screens.

    Args:
        app: whose screens they lie over.
    """

    def __init__(self, app: SortbenchApp) -> None:
        self._app = app

    def pick(self, code: str) -> None:
        """The pick list of a target."""
        from sortbench.tui.screens.pick import PickScreen

        self._app.push_screen(PickScreen(code))

    def statement(self, code: str) -> None:
        """The statement of a target."""
        from sortbench.tui.screens.statement import StatementScreen

        self._app.push_screen(StatementScreen(code))

    def plan(self) -> None:
        """The plan of what to keep, treat, move and buy."""
        from sortbench.tui.screens.plan import PlanScreen

        self._app.push_screen(PlanScreen())

    def sets(self) -> None:
        """Which sets the lot probably holds."""
        from sortbench.tui.screens.sets import SetsScreen

        self._app.push_screen(SetsScreen())

    def weigh(self, cell: Cell | None = None) -> None:
        """Counting by weight: the pieces of a heap, or others."""
        from sortbench.tui.screens.weigh import WeighScreen

        self._app.push_if_sound(lambda: dict(self._app.bench.documents.weighings), lambda: WeighScreen(cell))

    def spot(self, label: str) -> None:
        """The spot checks of a bin."""
        from sortbench.tui.screens.spot import SpotScreen

        self._app.push_if_sound(lambda: dict(self._app.bench.documents.spots), lambda: SpotScreen(label))

    def recount(self, label: str) -> None:
        """The recounts of a bin."""
        from sortbench.tui.screens.recount import RecountScreen

        self._app.push_if_sound(lambda: dict(self._app.bench.documents.recounts), lambda: RecountScreen(label))

    def orders(self) -> None:
        """Orders and the standing list."""
        from sortbench.desks.orders_desk import OrdersDesk
        from sortbench.tui.screens.orders import OrdersScreen

        self._app.push_if_sound(OrdersDesk(self._app.bench).standing, OrdersScreen)

    def records(self) -> None:
        """How fast the sittings went."""
        from sortbench.tui.screens.records import RecordsScreen

        # Spot checks stand among the records.
        self._app.push_if_sound(lambda: dict(self._app.bench.documents.spots), RecordsScreen)

    def help(self, place: Place) -> None:
        """All keys of a place, and the grammar of the entry line."""
        from sortbench.tui.screens.help import HelpScreen

        self._app.push_screen(HelpScreen(place))

    def bring_in(self, what: Brought, done: Callable[[Notice], None]) -> None:
        """Bringing in bins, sellers or offers from a file; ``done`` is told what came of it."""
        from sortbench.tui.screens.bring_in import BringInScreen

        self._app.push_screen(BringInScreen(what, done))

    def welcome(self) -> None:
        """Ways to begin."""
        from sortbench.tui.screens.welcome import WelcomeScreen

        self._app.push_screen(WelcomeScreen())

    def commands(self, screen: KeyedScreen) -> None:
        """All commands, to find one by words and have a screen do it."""
        from sortbench.tui.screens.commands import CommandsScreen

        self._app.push_screen(CommandsScreen(screen))
