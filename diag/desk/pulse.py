"""Signs of life: renews the holds of one program, finds out which were taken over, and keeps trying to send what waits.

One thread for each store, begun with its first hold. It never talks to a person; what it learns waits in the holds.
"""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING, Protocol

from diag.desk import calls
from diag.support.errors import UserError

if TYPE_CHECKING:
    from diag.desk.link import Link

TRY_EVERY = 2.0  # seconds between attempts to send what waits


class Renewed(Protocol):
    """What is renewed: a hold, as far as signs of life go."""

    @property
    def token(self) -> str:
        """The hold's mark."""

    @property
    def key(self) -> int | None:
        """Its number on the server; None until the server knows it."""

    @property
    def unsent(self) -> int:
        """Answers that wait."""

    @property
    def is_lost(self) -> bool:
        """Whether somebody else has the job."""

    @property
    def closed(self) -> bool:
        """Whether it was let go of here."""

    def try_again(self) -> bool:
        """Send what waits; True when nothing waits any more."""

    def finish(self) -> None:
        """Let go of it on the server too."""

    def lost_to(self, by_whom: str) -> None:
        """Somebody else has taken it."""


class Pulse:
    """Watches the holds of one store.

    Args:
        lease: seconds after which the server gives up on us; renewed three times in that time.
    """

    def __init__(self, link: Link, lease: float) -> None:
        self._link = link
        self._lease = lease
        self._holds: list[Renewed] = []
        self._lock = threading.Lock()
        self._wake = threading.Event()
        self._thread: threading.Thread | None = None
        self._stopped = False

    def watch(self, hold: Renewed) -> None:
        """Renew this hold from now on."""
        with self._lock:
            if hold not in self._holds:
                self._holds.append(hold)
            if self._thread is None and not self._stopped:
                self._thread = threading.Thread(target=self._run, name="desk pulse", daemon=True)
                self._thread.start()

    def forget(self, hold: Renewed) -> None:
        """No longer ours to renew."""
        with self._lock:
            if hold in self._holds:
                self._holds.remove(hold)

    def stop(self) -> None:
        """End the thread."""
        self._stopped = True
        self._wake.set()

    @property
    def waiting(self) -> int:
        """Answers of this program that the server does not have yet."""
        with self._lock:
            return sum(hold.unsent for hold in self._holds)

    def _run(self) -> None:
        beat_at = time.monotonic() + self._lease / 3
        while not self._wake.wait(min(TRY_EVERY, self._lease / 6)):
            try:
                self._send()
                if time.monotonic() >= beat_at:
                    beat_at = time.monotonic() + self._lease / 3
                    self._beat()
            except UserError:
                continue  # the server is away or refuses; whoever saves next is told

    def _send(self) -> None:
        with self._lock:
            holds = list(self._holds)
        for hold in holds:
            if (hold.unsent and hold.try_again() and hold.closed) or (hold.closed and not hold.unsent):
                hold.finish()

    def _beat(self) -> None:
        with self._lock:
            mine = {hold.token: hold for hold in self._holds if not hold.is_lost and hold.key is not None}
        if not mine:
            return
        kept = self._link.run(lambda line: calls.still_here(line, list(mine), self._lease))
        for token, hold in mine.items():
            key = hold.key
            if token not in kept and key is not None:
                by_whom = self._link.run(lambda line, key=key: calls.holder_of(line, key))  # type: ignore[misc]
                if by_whom:
                    hold.lost_to(by_whom)
