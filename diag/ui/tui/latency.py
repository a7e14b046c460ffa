"""How long from a key to the repainted screen, measured on a scripted job without a terminal."""

from __future__ import annotations

import asyncio
import resource
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import RenderableType
from textual.events import Key
from textual.pilot import Pilot
from textual.screen import Screen

from diag.rulebook.model import RuleBook
from diag.ui.tui.app import DiagApp, Options

ROUND = ("n", "u", "m", "n", "z", "h", "n", "m", "h", "z")  # one key each changes what is shown
LONGEST = 2.0  # seconds after which a key counts as one that painted nothing


@dataclass(frozen=True)
class Latency:
    """Milliseconds from key to repaint, per key; keys that painted nothing are counted apart. Memory in MB."""

    milliseconds: tuple[float, ...]
    processor: tuple[
        float, ...
    ]  # milliseconds of processor time of the screen's thread, which other programs leave alone
    unpainted: int
    first_screen: float
    memory: float

    def percentile(self, share: float, processor: bool = False) -> float:
        """The value that this share of the keys stays under."""
        ranked = sorted(self.processor if processor else self.milliseconds)
        return ranked[min(int(share * len(ranked)), len(ranked) - 1)]


class _Watched(DiagApp):
    """The app, with the time of every repaint; a repaint includes making the terminal's bytes."""

    painted = 0.0

    def _display(self, screen: Screen[Any], renderable: RenderableType | None) -> None:
        render = getattr(renderable, "render_segments", None)
        if render is not None:
            render(self.console)
            self.painted = time.perf_counter()
        super()._display(screen, renderable)


async def _run(book: RuleBook, count: int, size: tuple[int, int]) -> Latency:
    with tempfile.TemporaryDirectory() as folder:
        app = _Watched(Options(Path(folder), title="Wren"), book)
        began = time.perf_counter()
        async with app.run_test(size=size) as pilot:
            first = 1000.0 * (app.painted - began)
            await pilot.press("down", "enter", "escape")
            await _quiet(app, pilot)
            times: list[float] = []
            work: list[float] = []
            unpainted = 0
            for at in range(count):
                # Past the last question of a check the next ones are weighed; wait for them as a person would read.
                await _next_question(app, pilot)
                busy = time.thread_time()
                took = await _one_key(app, ROUND[at % len(ROUND)])
                work.append(1000.0 * (time.thread_time() - busy))
                unpainted += took is None
                times += [took] if took is not None else []
            await _quiet(app, pilot)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        return Latency(tuple(times), tuple(work), unpainted, first, memory)


async def _next_question(app: DiagApp, pilot: Pilot[int]) -> None:
    began = time.perf_counter()
    while getattr(getattr(app.screen, "state", None), "now", None) is None:
        await pilot.pause(0.01)
        if time.perf_counter() - began > 10 * LONGEST:
            raise TimeoutError(f"no question on {type(app.screen).__name__}")


async def _quiet(app: DiagApp, pilot: Pilot[int]) -> None:
    while any(not worker.is_finished for worker in app.workers):
        await pilot.pause(0.01)
    await pilot.pause()


async def _one_key(app: _Watched, key: str) -> float | None:
    """Milliseconds until the first repaint after the key was handled; None when nothing was painted."""
    handled: list[float] = []
    began = time.perf_counter()
    character = key if len(key) == 1 else None
    app.screen.post_message(Key(key, character))
    app.screen.call_later(lambda: handled.append(time.perf_counter()))
    while time.perf_counter() - began < LONGEST:
        await asyncio.sleep(0.001)
        if handled and app.painted > began and app.painted >= handled[0] - 0.001:
            return 1000.0 * (app.painted - began)
    return None


def key_latency(book: RuleBook, keys: int = 200, size: tuple[int, int] = (80, 24)) -> Latency:
    """Work a scripted job and time every key.

    Args:
        book: the rule book to work with.
        keys: how many keys are timed.
        size: columns and lines of the screen.
    """
    return asyncio.run(_run(book, keys, size))
