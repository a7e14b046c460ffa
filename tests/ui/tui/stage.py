"""A stage for screens: the app without a terminal, with helpers that press, wait and read."""

from __future__ import annotations

import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from textual.pilot import Pilot

from diag.casework.agenda import Task
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.session.job import Job
from diag.ui.tui.app import DiagApp, Options
from diag.ui.tui.screens.work import WorkScreen

PATIENCE = 90.0  # seconds a busy machine may take before a test calls it hanging


NAMES = {" ": "space", ".": "full_stop", ",": "comma", "'": "apostrophe", "-": "minus", "/": "slash", ":": "colon"}


@cache
def shipped_book() -> RuleBook:
    """The rule book that comes with the program, read once."""
    return load_book(rules_folder())


@dataclass
class Stage:
    """The running app and its pilot."""

    app: DiagApp
    pilot: Pilot[int]

    async def press(self, *keys: str) -> None:
        """Press keys, then wait until everything is worked out."""
        for key in keys:
            await self.pilot.press(key)
        await self.settle()

    async def type(self, text: str) -> None:
        """Type a text as a person would."""
        names = {
            " ": "space",
            ".": "full_stop",
            ",": "comma",
            "'": "apostrophe",
            "-": "minus",
            "/": "slash",
            ":": "colon",
        }
        await self.pilot.press(*(names.get(c, c) for c in text))
        await self.pilot.pause()

    async def settle(self) -> None:
        """Wait for threads and painting."""
        await self.until(lambda: all(worker.is_finished for worker in self.app.workers), "threads")
        await self.pilot.pause()
        await self.until(lambda: all(worker.is_finished for worker in self.app.workers), "threads")
        await self.pilot.pause()

    async def until(self, holds: Callable[[], bool], what: str) -> None:
        """Wait until something holds."""
        began = time.monotonic()
        while not holds():
            assert time.monotonic() - began < PATIENCE, f"never came: {what}; the screen shows\n{self.text}"
            await self.pilot.pause(0.01)

    async def now(self) -> Task:
        """The thing to do or answer, once it is known."""
        await self.until(lambda: self.work.state.now is not None, "the next thing to do")
        assert self.work.state.now is not None
        return self.work.state.now

    @property
    def text(self) -> str:
        """What the screen shows, as text."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)

    @property
    def flat(self) -> str:
        """What the screen shows with all blanks folded, for looking up sentences."""
        return " ".join(self.text.split())

    @property
    def work(self) -> WorkScreen:
        """The job's screen, which must be the one shown."""
        screen = self.app.screen
        assert isinstance(screen, WorkScreen), f"{type(screen).__name__} is shown:\n{self.text}"
        return screen

    @property
    def job(self) -> Job:
        """The job at work."""
        return self.work.job


@asynccontextmanager
async def stage(
    folder: Path,
    size: tuple[int, int] = (80, 24),
    book: RuleBook | None = None,
    title: str = "",
    phone: bool = False,
    case: str = "",
    ascii_only: bool = False,
    no_color: bool = False,
) -> AsyncIterator[Stage]:
    """The app on a folder of cases."""
    options = Options(folder, None, case, title, phone, no_color, ascii_only, "ES")
    app = DiagApp(options, book or shipped_book())
    async with app.run_test(size=size) as pilot:
        ready = Stage(app, pilot)
        await ready.settle()
        if title:  # a new job opens with its story, after the first painting
            await ready.until(lambda: not isinstance(app.screen, WorkScreen), "the opening of the job")
            await ready.settle()
        yield ready
