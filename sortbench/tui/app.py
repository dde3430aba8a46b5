"""The terminal app: opens the screens on one bench, and looks after what other sittings write."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
from collections.abc import Callable
from contextlib import suppress
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import App
from textual.binding import Binding, BindingType

from sortbench.model.errors import SortbenchError
from sortbench.settings import settings_if_any
from sortbench.tui.escape_key import take_escape_as_a_key
from sortbench.tui.key_order import Gesture, KeyOrder
from sortbench.tui.keymap import Keymap
from sortbench.tui.messages import KeyDone
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.theme_choice import first_theme, next_theme, wants_no_colour

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.summary_desk import Stand
    from sortbench.engine.board import Notice
    from sortbench.model.settings import Found, Problem, Settings
    from sortbench.tui.overlays import Overlays

FOLLOW_S = 0.5
"""Seconds between looks at what other sittings wrote."""
DEMO_INSTEAD = -1
"""Return code of the app where somebody asked for the demo: no exit code of a program."""
TOLD_S = 12
"""Seconds for which something wrong with the settings is told."""
KEEP_EVERY = 10
"""Looks after which the layout of the keypad is kept if it changed, so that a crash does not deal the slots anew."""

TELL_EVERY = 60
"""Looks after which a screen is told that time has passed: half a minute, for what is told of a wash goes by the
minute. A screen's own timer of so long would hold it for as long once it is closed."""


class SortbenchApp(App[None], inherit_bindings=False):
    """Screens on a bench.

    Args:
        open_bench: opens the bench. Called once the first frame stands, so that nobody looks at an empty terminal while
            the logs are read; keys struck meanwhile wait their turn.
        found: what the user's settings file says; all defaults if None.
    """

    ENABLE_COMMAND_PALETTE = False
    # Nothing else: keys come from the registry, so that each of them can be remapped.
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+c", "help_quit", show=False, system=True)]
    TITLE = "sortbench"
    NOTIFICATION_TIMEOUT: ClassVar[float] = 6

    def __init__(self, open_bench: Callable[[], Bench], found: Found[Settings] | None = None) -> None:
        if not wants_no_colour():
            os.environ.pop("NO_COLOR", None)  # Textual takes one that is empty for a wish as well
        # Where no colours are wanted none are sent; Textual would make greys of them.
        super().__init__(ansi_color=True if wants_no_colour() else None)
        self.keymap = Keymap()
        """The keys in force."""
        self._problems: tuple[Problem, ...] = ()
        self._rings = False
        self._stand: Stand | None = None
        if found is not None:
            self._take(found)
        self._open_bench = open_bench
        self._bench: Bench | None = None
        self._is_ready = False
        self._keys = KeyOrder(self, super().on_event)
        self._looks = 0
        self.failure: SortbenchError | None = None
        """Why the bench did not open; the app leaves at once then."""
        self.fault: Exception | None = None
        """What went wrong inside the program; the app leaves at once then."""
        first_theme(self, found.settings.looks.theme if found is not None else "")

    def _take(self, found: Found[Settings]) -> None:
        """Do as the user's settings say; what is wrong with them is told once the app stands."""
        self._problems = found.problems
        self._rings = found.settings.feedback.bell
        if found.settings.keys:
            from sortbench.tui.remaps import keymap_of, problems

            self.keymap = keymap_of(found.settings.keys)[0]
            self._problems = problems(found)

    @property
    def bench(self) -> Bench:
        """The open bench; :meth:`open_up` comes first."""
        assert self._bench is not None, "the bench is not open yet"
        return self._bench

    @property
    def is_open(self) -> bool:
        """Whether the bench is open."""
        return self._bench is not None

    def open_up(self) -> bool:
        """Open the bench unless it is open; if that fails the app leaves, with :attr:`failure` saying why.

        Returns:
            Whether it is open.
        """
        if self._bench is None and self.failure is None:
            try:
                self._bench = self._open_bench()
                from sortbench.desks.summary_desk import stand_of

                self._stand = stand_of(self._bench.picture)
            except SortbenchError as error:
                self.failure = error
                self.exit(return_code=error.exit_code)
        return self._bench is not None

    def summary(self) -> tuple[str, ...]:
        """What this sitting did, in a few lines; none where nothing was counted."""
        if self._bench is None or self._stand is None:
            return ()
        from sortbench.desks.summary_desk import summary_now
        from sortbench.papers.summary_words import summary_lines

        found = summary_now(self._bench, self._stand)
        due = self._bench.due_line() if found is not None else None
        return summary_lines(found, due.words if due is not None else "") if found is not None else ()

    def close_bench(self) -> None:
        """End the sitting."""
        if self._bench is not None:
            self._bench.close()

    def on_mount(self) -> None:
        """Begin on the bench."""
        self.push_screen(BenchScreen())
        self.screen_change_signal.subscribe(self, lambda _: self._keys.screen_changed())
        self.set_interval(FOLLOW_S, self._follow)
        # Not every system and not every thread has signals; without them the app is left by its keys all the same.
        with suppress(AttributeError, NotImplementedError, RuntimeError, ValueError):
            asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, self._sent_away, signal.SIGTERM)
            # A terminal window was closed: the sitting ends as it does with F10, so that no lock stays behind.
            asyncio.get_running_loop().add_signal_handler(signal.SIGHUP, self._sent_away, signal.SIGHUP)

    async def on_event(self, event: events.Event) -> None:
        """Pass events on as Textual does, keys and clicks in the order of what they mean."""
        if isinstance(event, Gesture) and not event.is_forwarded:
            await self._keys.take(event)
        else:
            await super().on_event(event)

    async def on_key_done(self, message: KeyDone) -> None:
        """A key has been dealt with."""
        await self._keys.done(message)

    def action_help_quit(self) -> None:
        """Ctrl+C stops nothing here; say what does."""
        self.notify(self.keymap.said("{leave} leaves; everything counted is on disk already."), timeout=3, markup=False)

    def _sent_away(self, by: signal.Signals) -> None:
        """Leave the terminal as a shell needs it, with the exit code that shells give for that signal."""
        self.exit(return_code=128 + by)

    def _handle_exception(self, error: Exception) -> None:
        """A fault of the program: leave, and let the caller say so in a line instead of a page of source.

        Tests and SORTBENCH_TRACE get Textual's own account of it.
        """
        if self.is_headless or os.environ.get("SORTBENCH_TRACE"):
            super()._handle_exception(error)
        else:
            self.fault = self.fault or error
            self.exit()

    def on_ready(self) -> None:
        """Frames reach the terminal from now on."""
        self._is_ready = True
        self.screen.refresh()
        if self._problems:
            more = len(self._problems) - 1
            rest = f" {more} more:" if more else ""
            told = f"Settings: {self._problems[0]}{rest} `sortbench settings --check` says all."
            self.notify(told, severity="warning", timeout=TOLD_S, markup=False)

    def _follow(self) -> None:
        if not self.screen_stack:  # the app is being taken down
            return
        self.call_next(self._keys.look)
        # What a start has left goes on with each frame; where none comes, a look brings it on as well.
        if isinstance(self.screen, BenchScreen):
            self.screen.frame_stands()
        if not self.is_open:
            return
        self._looks += 1
        if self._looks % KEEP_EVERY == 0:
            self.bench.keep_layout()
        if self._looks % TELL_EVERY == 0 and isinstance(self.screen, KeyedScreen):
            self.screen.time_passed()
        try:
            changed = self.bench.refresh()
        except SortbenchError as error:
            self.notify(self.keymap.told(error), severity="error", markup=False)
            return
        if changed and isinstance(self.screen, KeyedScreen):
            self.screen.bench_changed()

    def post_display_hook(self) -> None:
        """A frame is on the terminal; those drawn before the app is ready are held back."""
        if self._is_ready and isinstance(self.screen, BenchScreen):
            self.screen.frame_stands()

    def settle(self) -> None:
        """The app has started: what there is now stays, and the collector looks after the rest."""
        gc.freeze()
        gc.enable()

    @cached_property
    def over(self) -> Overlays:
        """Screens over the one that asks for them."""
        from sortbench.tui.overlays import Overlays

        return Overlays(self)

    def show_place(self, place: str, answer: Notice | None = None) -> None:
        """Go to a screen; the bench lies under all of them, and says what was done if there is something to say."""
        from sortbench.tui.screens.bins import BinsScreen
        from sortbench.tui.screens.log import LogScreen
        from sortbench.tui.screens.reconcile import ReconcileScreen
        from sortbench.tui.screens.targets import TargetsScreen

        while len(self.screen_stack) > 2:
            self.pop_screen()
        if answer is not None and isinstance(self.screen, BenchScreen):
            self.screen.answer(answer)
        screens = {"targets": TargetsScreen, "bins": BinsScreen, "log": LogScreen, "reconcile": ReconcileScreen}
        if place in screens:
            self.push_screen(screens[place]())
        elif place == "wash":
            from sortbench.tui.screens.wash import WashScreen

            self.push_if_sound(self.bench.due_line, WashScreen)
        elif place == "judge":
            from sortbench.tui.screens.judge import JudgeScreen

            self.push_screen(JudgeScreen())
        elif place == "photo":
            from sortbench.tui.screens.photo import PhotoScreen

            self.push_screen(PhotoScreen())

    def push_if_sound(self, read: Callable[[], object], screen: Callable[[], KeyedScreen]) -> None:
        """Show a screen once what it stands on is read; where that is damaged, say so, and the bench goes on counting.

        Args:
            read: reads it; may raise SortbenchError.
            screen: makes the screen.
        """
        try:
            read()
        except SortbenchError as error:
            self.notify(self.keymap.told(error), severity="error", markup=False)
        else:
            self.push_screen(screen())

    def open_demo(self) -> None:
        """End the app; whoever started it opens the demo."""
        self.exit(return_code=DEMO_INSTEAD)

    def next_theme(self) -> None:
        """Go on to the next theme, and keep it for the next start."""
        next_theme(self)

    def ring(self) -> None:
        """Ring the terminal's bell, if the user's settings say so."""
        if self._rings:
            self.bell()

    def leave(self) -> None:
        """End the app; everything counted is on disk already."""
        self.exit()


def run_app(
    open_bench: Callable[[], Bench],
    open_demo: Callable[[], int] | None = None,
    tell: Callable[[tuple[str, ...]], None] | None = None,
) -> int:
    """Run the app on a bench with the user's settings, and close it in the end.

    Args:
        open_bench: opens the bench.
        open_demo: builds the demo and runs the app on it; for who asks for it in place of the bench.
        tell: is told what the sitting did, once the terminal is a shell's again; not where the app was sent away.

    Returns:
        The exit code for the shell.

    Raises:
        SortbenchError: the bench did not open.
        Exception: a fault of the program; what was shown as counted is on disk.
    """
    # Nothing made while starting is garbage: the collector would look through it again and again for nothing.
    gc.disable()
    take_escape_as_a_key()
    app = SortbenchApp(open_bench, settings_if_any())
    try:
        app.run()
        if tell is not None and not (app.failure or app.fault or app.return_code):
            with suppress(SortbenchError, OSError):  # nothing hangs on it, and the sitting must end
                tell(app.summary())
    finally:
        app.close_bench()
    wrong = app.failure or app.fault
    if wrong is not None:
        raise wrong
    if app.return_code == DEMO_INSTEAD:
        return open_demo() if open_demo is not None else 0
    return app.return_code or 0
