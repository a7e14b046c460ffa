"""What several tests of a desk tell and look up."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diag.desk.server import ServerStore

WREN = "2026-11-25-wren-1a2b"


def texts(store: ServerStore, name: str = WREN) -> list[str]:
    """The notes of a job as they lie on the server."""
    return [entry.text for entry in store.read(name).whole().entries]  # type: ignore[attr-defined]


def told(upto: int, word: str = "said") -> list[str]:
    """The notes that were told."""
    return [f"{word} {number}" for number in range(1, upto + 1)]


def wait_for(done: Callable[[], object], seconds: float = 15.0) -> None:
    """Until it is so."""
    end = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.05)
