"""The same work on many pieces, on every core of this machine."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from typing import Any, TypeVar

Piece = TypeVar("Piece")
Result = TypeVar("Result")


def on_every_core(
    work: Callable[[Piece], Result],
    pieces: Sequence[Piece],
    workers: int | None = None,
    opening: Callable[..., None] | None = None,
    given: tuple[Any, ...] = (),
) -> Iterator[Result]:
    """The results as they come, in no order; ``opening(*given)`` is called once in every process.

    With one worker nothing is started. Interrupting it ends the processes and raises KeyboardInterrupt.
    """
    count = workers or os.cpu_count() or 1
    if count <= 1:
        if opening is not None:
            opening(*given)
        yield from map(work, pieces)
        return
    with ProcessPoolExecutor(count, get_context("spawn"), opening, given) as pool:
        try:
            for one in as_completed([pool.submit(work, piece) for piece in pieces]):
                yield one.result()
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
