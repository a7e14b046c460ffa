"""Disks that fail, die or lose power, for the tests of files and locks."""

from __future__ import annotations

import errno
import itertools
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from diag.support.disk.operations import Disk

CHANGING = (
    "create",
    "set_mode",
    "write",
    "sync",
    "close",
    "replace",
    "link",
    "remove",
    "sync_folder",
    "open_lock",
    "rewrite",
)
READING = ("read", "real_path", "mode", "names", "try_lock")


class Died(BaseException):
    """The process was killed here."""


class CountingDisk(Disk):
    """The real disk; ``at(n, name)`` is called before the n-th operation and may raise."""

    def __init__(self, watch: tuple[str, ...] = CHANGING + READING) -> None:
        self.calls: list[str] = []
        for name in watch:
            setattr(self, name, self._watched(name, getattr(super(), name)))

    def at(self, number: int, name: str) -> None:
        """Nothing goes wrong here; subclasses do worse."""

    def _watched(self, name: str, operation: Any) -> Any:
        def call(*arguments: Any) -> Any:
            self.calls.append(name)
            try:
                self.at(len(self.calls), name)
            except OSError:
                if name == "close":
                    operation(*arguments)  # a close that reports an error has closed all the same
                raise
            return operation(*arguments)

        return call


class FailingDisk(CountingDisk):
    """The n-th operation, and with ``ever`` all after it, raise this error."""

    def __init__(self, number: int, code: int, ever: bool = False) -> None:
        super().__init__()
        self.number, self.code, self.ever = number, code, ever
        self.failed = ""

    def at(self, number: int, name: str) -> None:
        if number == self.number or (self.ever and number > self.number):
            self.failed = self.failed or name
            raise OSError(self.code, os.strerror(self.code))


class DyingDisk(CountingDisk):
    """The process dies before the n-th operation: nothing after it happens, no clean-up either."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number

    def at(self, number: int, name: str) -> None:
        if number >= self.number:
            raise Died


class DripDisk(Disk):
    """Takes three bytes at a time, as a system call may."""

    def write(self, fd: int, data: bytes) -> int:
        return super().write(fd, data[:3])


class FullDisk(Disk):
    """Takes some bytes and is full then."""

    def __init__(self, room: int) -> None:
        self.room = room

    def write(self, fd: int, data: bytes) -> int:
        if self.room <= 0:
            raise OSError(errno.ENOSPC, "full")
        written = super().write(fd, data[: self.room])
        self.room -= written
        return written


@dataclass
class PowerDisk(Disk):
    """A disk in memory that forgets: what was not synced may be there, be gone, or be rubbish after a power cut.

    Follows the pessimistic model of the crash-consistency literature (Pillai et al., OSDI 2014): data of a file is
    safe after its sync; a rename or a new name is safe after its folder's sync; unsafe ones happen in any selection.
    """

    names_now: dict[str, int] = field(default_factory=dict)
    names_safe: dict[str, int] = field(default_factory=dict)
    pending: list[tuple[str, str, int]] = field(default_factory=list)
    data: dict[int, bytes] = field(default_factory=dict)
    safe: set[int] = field(default_factory=set)
    count: int = 0
    cut_at: int = 10**9

    def _step(self) -> None:
        self.count += 1
        if self.count >= self.cut_at:
            raise Died

    def put(self, path: str, data: bytes) -> None:
        """A file that has been there for long."""
        inode = len(self.data) + 1
        self.data[inode] = data
        self.safe.add(inode)
        self.names_now[path] = self.names_safe[path] = inode

    def real_path(self, path: str) -> str:
        return path

    def mode(self, path: str) -> int | None:
        return 0o644 if path in self.names_now else None

    def create(self, path: str) -> int:
        self._step()
        inode = len(self.data) + 1
        self.data[inode] = b""
        self.names_now[path] = inode
        self.pending.append(("name", path, inode))
        return inode

    def set_mode(self, fd: int, mode: int) -> None:
        self._step()

    def write(self, fd: int, data: bytes) -> int:
        self._step()
        self.safe.discard(fd)
        self.data[fd] += data
        return len(data)

    def sync(self, fd: int) -> None:
        self._step()
        self.safe.add(fd)

    def close(self, fd: int) -> None:
        self._step()

    def replace(self, source: str, target: str) -> None:
        self._step()
        inode = self.names_now.pop(source)
        self.names_now[target] = inode
        self.pending.append(("name", target, inode))

    def remove(self, path: str) -> None:
        self._step()
        self.names_now.pop(path)

    def sync_folder(self, folder: str) -> None:
        self._step()
        self.pending.clear()
        self.names_safe = dict(self.names_now)

    def after_a_cut(self, path: str) -> Iterator[bytes | None]:
        """Everything that may be read at ``path`` when the power comes back."""
        for chosen in itertools.product((False, True), repeat=len(self.pending)):
            names = dict(self.names_safe)
            for (_, name, inode), happened in zip(self.pending, chosen, strict=True):
                if happened:
                    names[name] = inode
            inode = names.get(path, 0)
            if inode == 0:
                yield None
            elif inode in self.safe:
                yield self.data[inode]
            else:
                yield from (b"", self.data[inode][: len(self.data[inode]) // 2], b"\0rubbish")
