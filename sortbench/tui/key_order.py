"""Keys in the order they were struck, also where one of them changes the screen.

Textual hands a key to whatever has the keyboard at the moment it is read. The screen comes to it a little later, and by
then keys that were struck right behind have been handed to the same screen: the digit behind the key that leads back to
the bench would be one of the screen that is left. So a key that may change what the keys behind it mean is followed by
a message that goes the same way; keys that come meanwhile are held until it has arrived, and then passed on in order.
Keys that surely change nothing of that kind are passed on at once: a burst of tallies stays a burst. A click waits for
the keys before it likewise, so that it is not the old screen's; no key waits for a click.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Awaitable, Callable

from textual import events
from textual.app import App

from sortbench.tui.keys import key_name
from sortbench.tui.messages import KeyDone
from sortbench.tui.screens.keyed import KeyedScreen

Gesture = events.Key | events.Paste | events.MouseDown | events.MouseUp | events.MouseScrollDown | events.MouseScrollUp
"""What comes in order: all that a person does, but for moving the mouse."""
LAPS = 2
"""Ways a :class:`KeyDone` goes: behind the key, and behind what the key made the line tell its screen."""
STUCK_AFTER = 4
"""Looks after which a key counts as done that nothing was heard of, so that the keyboard never hangs."""


class KeyOrder:
    """What the app does with keys, pastes and clicks.

    Args:
        app: the app, in whose task everything here is called.
        pass_on: what Textual does with an event of the keyboard.
    """

    def __init__(self, app: App[None], pass_on: Callable[[events.Event], Awaitable[None]]) -> None:
        self._app, self._pass_on = app, pass_on
        self._held: deque[Gesture] = deque()
        self._waits = False
        self._number = 0
        self._looks = 0

    @property
    def is_at_rest(self) -> bool:
        """Whether no key is on its way or held, as far as keys are followed."""
        return not self._waits and not self._held

    async def take(self, event: Gesture) -> None:
        """A key, a paste or a click has come."""
        self._held.append(event)
        await self._go_on()

    async def done(self, message: KeyDone) -> None:
        """A message that followed a key has arrived."""
        if self._waits and message.number == self._number:
            if message.lap < LAPS:
                self._follow(message.lap + 1)
            else:
                await self._let_go()

    def screen_changed(self) -> None:
        """Another screen is in sight: what was told to it already comes before the keys that are held.

        The message that was on its way through the screen before is not waited for; it may be gone with that screen.
        """
        if self._waits:
            self._follow()

    async def look(self) -> None:
        """Time has passed; called now and then."""
        self._looks += 1
        if self._waits and self._looks > STUCK_AFTER:
            await self._let_go()

    async def _let_go(self) -> None:
        self._waits = False
        await self._go_on()

    async def _go_on(self) -> None:
        while self._held and not self._waits and self._app.screen_stack:
            event = self._held.popleft()
            self._waits = not self._stays(event)
            await self._pass_on(event)
            if self._waits:
                self._follow()

    def _stays(self, event: Gesture) -> bool:
        if isinstance(event, events.MouseEvent):
            return True
        screen = self._app.screen
        if not isinstance(event, events.Key) or not isinstance(screen, KeyedScreen):
            return False
        return screen.stays(key_name(event.key, event.character))

    def _follow(self, lap: int = 1) -> None:
        """Send a message where keys go now."""
        self._number += 1
        self._looks = 0
        if self._app.screen_stack:
            (self._app.focused or self._app.screen).post_message(KeyDone(self._number, lap))
