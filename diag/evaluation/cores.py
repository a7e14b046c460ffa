"""The same work on many pieces, on every core of this machine, each process with what it opened once for itself."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from typing import Any, TypeVar

Room = TypeVar("Room")
Piece = TypeVar("Piece")
Result = TypeVar("Result")


class _Process:
    """One process of many: what it opened, and who asked for it. Nothing else of a process is kept between pieces."""

    room: Any = None
    parent = 0


def _begin(opening: Callable[[], Room]) -> None:
    _Process.room, _Process.parent = opening(), os.getppid()


def _do(work: Callable[[Room, Piece], Result], piece: Piece) -> Result:
    if os.getppid() != _Process.parent:
        raise SystemExit  # whoever asked is gone
    return work(_Process.room, piece)


def on_every_core(
    opening: Callable[[], Room],
    work: Callable[[Room, Piece], Result],
    pieces: Sequence[Piece],
    workers: int | None = None,
) -> Iterator[Result]:
    """The results as they come, in no order.

    With one worker nothing is started. Whoever stops asking, or interrupts, gets what has begun finished and no more.

    Args:
        opening: called once in every process, for what the work needs: a rule book, a workshop.
        work: from that and one piece to a result; at the top of a module, as is ``opening``.
    """
    count = workers or os.cpu_count() or 1
    if count <= 1:
        room = opening()
        yield from (work(room, piece) for piece in pieces)
        return
    with ProcessPoolExecutor(count, get_context("spawn"), _begin, (opening,)) as pool:
        try:
            for one in as_completed([pool.submit(_do, work, piece) for piece in pieces]):
                yield one.result()
        except BaseException:
            # Waits, since leaving the block shuts down once more, and the last word on cancelling counts.
            pool.shutdown(wait=True, cancel_futures=True)
            raise
