"""One writer at a time: a lock on a file of its own beside the data, which names its holder.

Where the file system has locks, the system lets go of them when a process dies. Where it has none, the lock is a file
that only one process can create; it is taken over only when its holder is proven dead, never because it is old.
A computer that shares the folder over a network may not see our lock: its name in the file is then believed.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import time
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from diag.trust.disk import DISK, Disk
from diag.trust.errors import HeldElsewhereError
from diag.trust.failures import storage_error
from diag.trust.holder import Holder, from_line, me
from diag.trust.text import one_line

_LOOK = "It can still be looked at without changing it."
_STEP = 0.05  # seconds between two tries


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
            with contextlib.suppress(OSError):
                # Only our own file: somebody may have forced the lock meanwhile.
                if self._disk.read(self._held_path, 1000) == self._exclusive:
                    self._disk.remove(self._held_path)
            self._exclusive = None

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
            if named is not None and not named.dead() and not self._force:
                # Locked by us, yet somebody is named who may be alive: a folder shared by two computers.
                return named
            self._disk.rewrite(fd, self._me())
            self.took_over = named
            self._fd, fd = fd, -1
            return None
        finally:
            if fd >= 0:
                with contextlib.suppress(OSError):
                    self._disk.close(fd)

    def _named(self, path: str) -> Holder | None:
        try:
            return from_line(self._disk.read(path, 1000).decode("utf-8", "replace"))
        except OSError:
            return None

    def _try_exclusive(self) -> Holder | None:
        """The fallback: whoever can create the file holds the lock."""
        line = self._me()
        fresh = f"{self._held_path}-{secrets.token_hex(4)}"
        fd = self._disk.create(fresh)
        try:
            try:
                self._disk.rewrite(fd, line)
            finally:
                self._disk.close(fd)
            # Linking a finished file in, so that nobody ever reads half a holder.
            try:
                self._disk.link(fresh, self._held_path)
            except FileExistsError:
                holder = self._named(self._held_path)
                if holder is None or not (holder.dead() or self._force):
                    return holder
                if not self._set_aside(holder):
                    return holder
                try:
                    self._disk.link(fresh, self._held_path)
                except FileExistsError:
                    return self._named(self._held_path)
                self.took_over = holder
            self._exclusive = line
            return None
        finally:
            with contextlib.suppress(OSError):
                self._disk.remove(fresh)

    def _set_aside(self, dead: Holder) -> bool:
        """Move a dead holder's file away; only one of several who try succeeds."""
        aside = f"{self._held_path}-dead-{secrets.token_hex(4)}"
        try:
            self._disk.replace(self._held_path, aside)
        except FileNotFoundError:
            return True
        moved = self._named(aside)
        try:
            if moved != dead:
                # Somebody was faster and this is their living lock: put it back unless the place is taken again.
                with contextlib.suppress(FileExistsError):
                    self._disk.link(aside, self._held_path)
                return False
            return True
        finally:
            with contextlib.suppress(OSError):
                self._disk.remove(aside)

    def _refused(self, holder: Holder | None) -> HeldElsewhereError:
        by = f" by {holder.words()}" if holder else ""
        hint = "Close it there first, or look at it without changing it."
        if holder and holder.host != me("").host:
            hint += " If that computer is off for good, take it over by force."
        return HeldElsewhereError(f"This file is in use elsewhere{by}.", hint, one_line(self.path, 300))
