"""One key at a time: what is typed ahead waits until the key before it was dealt with, new screen and all.

Keys reach a widget at once, while what a key brings about (a line submitted, a screen opened or closed) takes several
turns of the message loop. On a busy machine the letters of a note would meanwhile be taken by the screen below it as
keys, and answer its questions; the next word would end up in the answer before. Nobody sees that happen, so it must
not be possible.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from typing import TypeVar

from textual.app import App
from textual.events import Event, Key, Paste
from textual.message_pump import MessagePump

Result = TypeVar("Result")
LONGEST = 3.0  # seconds after which the next key is given out whatever became of the one before


class OneKeyApp(App[Result]):
    """An app that hands out the next key when the last one has run its course."""

    def __init__(self, *told: object, **named: object) -> None:
        super().__init__(*told, **named)  # type: ignore[arg-type]
        self._ahead: deque[Key | Paste] = deque()
        self._under_way = 0  # number of the key that is being dealt with; 0 when none is
        self._given = 0

    async def on_event(self, event: Event) -> None:
        """Hold what is typed while a key is under way."""
        if not isinstance(event, Key | Paste) or event.is_forwarded:
            await super().on_event(event)
        elif self._under_way:
            self._ahead.append(event)
        else:
            await self._give(event)

    async def _give(self, event: Key | Paste) -> None:
        self._given += 1
        self._under_way = number = self._given
        self.set_timer(LONGEST, lambda: self._done(number))
        path = [*self.focused.ancestors_with_self] if self.focused is not None else [self.screen, self]
        await super().on_event(event)
        # The key rises along this path; what it brings about in the end (a submitted line) rises along it once more.
        self._follow([*path, *path], number)

    def _follow(self, path: Sequence[MessagePump], number: int) -> None:
        """Wait behind the key at every place it comes to."""
        for at, place in enumerate(path):
            rest = path[at + 1 :]
            if place.is_running and place.call_later(self._follow, rest, number):
                return
        self.screen.call_after_refresh(self._done, number)  # a screen just opened has its focus by then

    def _done(self, number: int) -> None:
        if number != self._under_way:
            return
        self._under_way = 0
        if self._ahead:
            self._under_way = -1  # what comes in before the next one is out waits behind it
            self.call_next(self._give, self._ahead.popleft())
