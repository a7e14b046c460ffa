"""What a working thread finds out for the screens: where a job stands, once, in a form that is only read after."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from diag.casework.agenda import Task, tasks
from diag.casework.replay import Comparison, Standing, compare
from diag.inference.ahead import look_ahead
from diag.presentation.bands import band_words, last_reading
from diag.rulebook.steps import Yield

_ONE_AT_A_TIME = threading.Lock()  # the engine's caches belong to one thread at a time
AHEAD = 3  # readings asked next of which the predictions are made while they are taken
AT_MOST = 0.5  # seconds for which somebody who leaves waits for sums that nobody wants any more
PAINT_FIRST = 0.06  # seconds left to the screen before the sums begin; answers given faster are summed up together
T = TypeVar("T")
Stop = Callable[[], bool]


@dataclass(frozen=True)
class Board:
    """A job after its last change: the next things to do, the ranking, and what the change did."""

    standing: Standing
    tasks: tuple[Task, ...]
    ranked: tuple[tuple[str, float], ...]
    before: Mapping[str, float] = field(default_factory=dict)
    change: Comparison | None = None
    bands: str = ""  # what was expected where the newest reading was taken

    @property
    def task(self) -> Task:
        """The next thing."""
        return self.tasks[0]


def work_out(
    standing: Standing,
    at_once: tuple[Task, ...],
    left_out: Collection[Yield],
    before: Standing | None,
    stopped: Stop = lambda: False,
) -> Board | None:
    """Belief, proposal and change; None when ``stopped`` said so on the way. Runs in a thread.

    Args:
        at_once: the tasks known without weighing; empty when the proposal decides.
    """
    time.sleep(PAINT_FIRST)
    with _ONE_AT_A_TIME:
        if stopped():
            return None
        ranked = tuple(standing.belief.ranked())
        if stopped():
            return None
        ahead = at_once or tasks(standing, left_out)
        standing.proposal  # noqa: B018  (worked out here, so that no screen waits for it)
        if stopped():
            return None
        # A standing that was never looked at is not worth working out now only to be compared with.
        known = before if before is not None and "belief" in before.__dict__ and before is not standing else None
        earlier = dict(known.belief.ranked()) if known is not None else {}
        bands = band_words(standing, last_reading(standing))
        return Board(standing, ahead, ranked, earlier, compare(known, standing) if known is not None else None, bands)


def look_ahead_of(board: Board, stopped: Stop) -> None:
    """Predict what the readings asked next will need, while they are taken; runs in a thread, in the others' pauses."""
    standing = board.standing
    for task in [task for task in board.tasks if task.reading][:AHEAD]:
        with _ONE_AT_A_TIME:
            asked = Yield(reading=task.reading, at=task.at)
            if stopped() or not look_ahead(standing.model, standing.evidence, standing.belief, asked, stopped):
                return


def at_rest(work: Callable[[], object]) -> None:
    """Do something at the very end that may as well be left out: not while a thread is still at its sums."""
    if _ONE_AT_A_TIME.acquire(timeout=AT_MOST):
        try:
            work()
        finally:
            _ONE_AT_A_TIME.release()


def in_turn(work: Callable[[], T]) -> T:
    """Do some other engine work in a thread, never beside a ``work_out``."""
    with _ONE_AT_A_TIME:
        return work()
