"""One writer at a time: a lock on a file of its own beside the data, which names its holder.

Where the file system has locks, the system lets go of them when a process dies. Where it has none, the lock is a file
that only one process can create; it is taken over only when its holder is proven dead, never because it is old.
Taking over adds a file that is named after the dead holder's line, so that of several who try only one can; the chain
of dead holders is removed from its root when the lock is let go.
A computer that shares the folder over a network may not see our lock: its name in the file is then believed.
"""

from __future__ import annotations

import contextlib
import os
import time
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from types import TracebackType

from diag.support.disk.failures import storage_error
from diag.support.disk.holder import Holder, from_line, host_name, me
from diag.support.disk.operations import DISK, Disk
from diag.support.errors import HeldElsewhereError
from diag.support.text import one_line

_LOOK = "It can still be looked at without changing it."
_STEP = 0.05  # seconds between two tries
_LONGEST_CHAIN = 50


def _holder(line: bytes) -> Holder | None:
    return from_line(line.decode("utf-8", "replace"))


def _after(held_path: str, line: bytes) -> str:
    """The file of whoever takes the place of the holder with this line."""
    return f"{held_path}-after-{sha256(line).hexdigest()[:16]}"


class Lock:
    """The right to write ``path``; a context manager.

    Args:
        path: the file that is protected; the lock is ``path`` with ``.lock`` added.
        who: the person's name, for the message the other one sees.
        wait: seconds to go on trying.
        force: take the lock although a holder on another computer is named and cannot be asked.
        disk: the seam for tests.

    After entering, ``took_over`` is the dead holder whose lock was found, or None.
    """

    def __init__(
        self, path: str | Path, who: str = "", wait: float = 0.0, force: bool = False, disk: Disk = DISK
    ) -> None:
        self.path = os.fspath(path) + ".lock"
        self.took_over: Holder | None = None
        self._held_path = self.path + "-held"
        self._who = who
        self._wait = wait
        self._force = force
        self._disk = disk
        self._fd: int | None = None
        self._exclusive: bytes | None = None
        self._chain_paths: list[str] = []

    @property
    def held(self) -> bool:
        """Whether this object holds the lock now."""
        return self._fd is not None or self._exclusive is not None

    def __enter__(self) -> Lock:
        self.acquire()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()

    def acquire(self) -> None:
        """Take the lock.

        Raises:
            HeldElsewhereError: another process has it, with who, where and since when.
            StorageError: the lock file cannot be made.
        """
        if self.held:
            return
        until = time.monotonic() + self._wait
        while True:
            try:
                holder = self._try()
            except OSError as error:
                raise storage_error("Cannot lock", self.path, error, _LOOK) from error
            if self.held:
                return
            if time.monotonic() >= until:
                raise self._refused(holder)
            time.sleep(_STEP)

    def release(self) -> None:
        """Let go; calling it twice does no harm. The lock file stays, empty."""
        if self._fd is not None:
            with contextlib.suppress(OSError):
                self._disk.rewrite(self._fd, b"")
            with contextlib.suppress(OSError):
                self._disk.close(self._fd)
            self._fd = None
        if self._exclusive is not None:
            self._remove_chain(self._exclusive)
            self._exclusive = None

    def _remove_chain(self, mine: bytes) -> None:
        """From the root, so that nobody can take the place of a holder who is no longer in the chain."""
        with contextlib.suppress(OSError):
            if self._disk.read(self._chain_paths[-1], 1000) != mine:
                return  # forced away by another computer
            for path in self._chain_paths:
                self._disk.remove(path)

    def _me(self) -> bytes:
        since = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        return me(since, self._who).as_line().encode("utf-8", "replace")

    def _try(self) -> Holder | None:
        """One try; the holder in the way when it fails and is known."""
        fd = self._disk.open_lock(self.path)
        try:
            locked = self._disk.try_lock(fd)
            if locked is None:
                return self._try_exclusive()
            named = self._named(self.path)
            if not locked:
                return named
            if named is not None and named.host != host_name() and not self._force:
                # Locked by us, yet another computer is named: over a network its lock may not be seen here.
                return named
            self._disk.rewrite(fd, self._me())
            self.took_over = named if named is not None and self._gone(named) else None
            self._fd, fd = fd, -1
            return None
        finally:
            if fd >= 0:
                with contextlib.suppress(OSError):
                    self._disk.close(fd)

    def _named(self, path: str) -> Holder | None:
        try:
            return _holder(self._disk.read(path, 1000))
        except OSError:
            return None

    def _chain(self) -> tuple[list[str], bytes]:
        """The files from the first holder over those who took a dead one's place, and the last one's line."""
        paths: list[str] = []
        path, line = self._held_path, b""
        while len(paths) < _LONGEST_CHAIN:
            try:
                line = self._disk.read(path, 1000)
            except FileNotFoundError:
                break
            paths.append(path)
            holder = _holder(line)
            if holder is None or not self._gone(holder):
                break
            path = _after(self._held_path, line)
        return paths, line

    def _gone(self, holder: Holder) -> bool:
        return holder.dead() or (self._force and holder.host != host_name())

    def _try_exclusive(self) -> Holder | None:
        """The fallback: whoever can create the next file of the chain holds the lock."""
        paths, last = self._chain()
        dead = _holder(last)
        if paths and (dead is None or not self._gone(dead)):
            return dead
        place = _after(self._held_path, last) if paths else self._held_path
        mine = self._me()
        fresh = f"{self._held_path}-new-{os.urandom(4).hex()}"
        fd = self._disk.create(fresh)
        try:
            try:
                self._disk.rewrite(fd, mine)
            finally:
                self._disk.close(fd)
            # A finished file is linked in, so that nobody ever reads half a holder.
            try:
                self._disk.link(fresh, place)
            except FileExistsError:
                return self._named(place)
        finally:
            with contextlib.suppress(OSError):
                self._disk.remove(fresh)
        self._chain_paths = [*paths, place]
        self._exclusive = mine
        # The chain may have been cleared between our look and our link; then our file hangs in the air.
        if self._chain()[1] != mine:
            self._exclusive = None
            with contextlib.suppress(OSError):
                self._disk.remove(place)
            return dead
        self.took_over = dead
        return None

    def _refused(self, holder: Holder | None) -> HeldElsewhereError:
        by = f" by {holder.words()}" if holder else ""
        hint = "Close it there first, or look at it without changing it."
        if holder and holder.host != host_name():
            hint += " If that computer is off for good, take it over by force."
        return HeldElsewhereError(f"This file is in use elsewhere{by}.", hint, one_line(self.path, 300))
