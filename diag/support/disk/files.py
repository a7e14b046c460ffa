"""Reading and replacing files so that a crash, a full disk or a pulled plug never leaves half a file.

A file is replaced as a whole: written beside the old one, synced, renamed over it, and the folder synced. Until the
rename the old content is untouched; after it the new content is complete. Every failure becomes one StorageError.
"""

from __future__ import annotations

import contextlib
import errno
import os
import weakref
from collections.abc import Iterable
from pathlib import Path

from diag.support.disk.failures import storage_error
from diag.support.disk.holder import host_name, process_lives
from diag.support.disk.lock import Lock
from diag.support.disk.operations import DISK, Disk
from diag.support.errors import Place, SourceError, StorageError, UserError
from diag.support.text import decode_utf8, one_line

__all__ = ["Lock", "Piecewise", "read_text", "storage_error", "sweep_leftovers", "write_atomic", "write_bytes"]

_PART = ".part"

_SAFE = "What was there before is unchanged."


def read_text(path: str | Path, limit: int = 1_000_000, disk: Disk = DISK) -> str:
    """The text of a UTF-8 file of at most ``limit`` bytes.

    Raises:
        StorageError: it cannot be read, is no ordinary file, or is too long.
        SourceError: it is not UTF-8.
    """
    try:
        data = disk.read(os.fspath(path), limit)
    except OSError as error:
        raise storage_error("Cannot read", path, error) from error
    except ValueError as error:
        raise UserError(
            "Cannot read: this is not the name of a file.", "Check it.", one_line(str(path), 300)
        ) from error
    if len(data) > limit:
        raise StorageError(f"Cannot read: longer than {limit} bytes.", "Split the file.", one_line(str(path), 300))
    if b"\0" in data[:1024] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise SourceError("This is not a text file.", "Give the name of a text file.", Place(one_line(str(path), 300)))
    return decode_utf8(data, one_line(str(path), 300))


def write_atomic(path: str | Path, text: str, disk: Disk = DISK) -> None:
    """Replace or create a text file as a whole, in UTF-8; as for ``write_bytes``."""
    write_bytes(path, text.encode("utf-8", "replace"), disk)


class Piecewise:
    """A regular file of which pieces are read; what it is replaced by meanwhile is not looked at."""

    def __init__(self, path: str | Path, disk: Disk = DISK) -> None:
        """Open it.

        Raises:
            OSError: it cannot be opened, or is no regular file.
        """
        self._disk = disk
        self._file = disk.open_to_read(os.fspath(path))
        weakref.finalize(self, disk.close, self._file).atexit = False

    def read(self, start: int, size: int) -> bytes:
        """So many bytes from there; fewer at the end of the file or when the disk does not give them."""
        try:
            return self._disk.read_at(self._file, start, size)
        except OSError:
            return b""


def write_bytes(path: str | Path, data: bytes | Iterable[bytes], disk: Disk = DISK, lasting: bool = True) -> None:
    """Replace or create a file as a whole; who may read it stays as it was.

    Either the old or the new content is there at any moment, whatever fails or dies in between. What can be made anew
    and tells by itself whether it is whole need not be ``lasting``: nobody waits until it would survive a power cut.

    Raises:
        StorageError: it could not be done; the message says whether the old content still stands.
    """
    try:
        target = disk.real_path(os.fspath(path))
    except OSError as error:
        raise storage_error("Cannot save", path, error, _SAFE) from error
    except ValueError as error:
        raise UserError(
            "Cannot save: this is not the name of a file.", "Check it.", one_line(str(path), 300)
        ) from error
    folder, name = os.path.split(target)
    part = os.path.join(folder, f".{name[:100]}.{host_name()}-{os.getpid()}-{os.urandom(4).hex()}{_PART}")
    try:
        _write_part(part, (data,) if isinstance(data, bytes) else data, disk.mode(target), disk, lasting)
        disk.replace(part, target)
    except OSError as error:
        with contextlib.suppress(OSError):
            disk.remove(part)
        raise storage_error("Cannot save", path, error, _SAFE) from error
    except BaseException:
        with contextlib.suppress(OSError):
            disk.remove(part)
        raise
    if not lasting:
        return
    try:
        disk.sync_folder(folder)
    except OSError as error:
        tail = "The file is written, but a power cut now might bring the old one back."
        raise storage_error("Saved, but not safely", path, error, tail) from error


def _write_part(part: str, pieces: Iterable[bytes], mode: int | None, disk: Disk, lasting: bool) -> None:
    fd = disk.create(part)
    try:
        if mode is not None:
            # A file system without permissions may refuse; the content matters more.
            with contextlib.suppress(PermissionError, NotImplementedError):
                disk.set_mode(fd, mode)
        for view in pieces:
            while view:
                written = disk.write(fd, view)
                if written <= 0:
                    raise OSError(errno.EIO, "nothing was written")
                view = view[written:]
        if lasting:
            disk.sync(fd)
    except BaseException:
        with contextlib.suppress(OSError):
            disk.close(fd)
        raise
    disk.close(fd)  # a network disk may report only here that it could not take the data


def sweep_leftovers(folder: str | Path, disk: Disk = DISK) -> list[str]:
    """Remove half-written files that processes of this computer left behind when they died; their names.

    Files of living processes and of other computers stay. A folder that cannot be listed yields nothing.
    """
    try:
        names = disk.names(os.fspath(folder))
    except OSError:
        return []
    swept = []
    for name in names:
        if not (name.startswith(".") and name.endswith(_PART)):
            continue
        owner = name.removesuffix(_PART).rsplit(".", 1)[-1]
        host, _, rest = owner.rpartition("-")[0].rpartition("-")
        if host != host_name() or not rest.isdigit() or process_lives(int(rest)) is not False:
            continue
        with contextlib.suppress(OSError):
            disk.remove(os.path.join(os.fspath(folder), name))
            swept.append(name)
    return swept
