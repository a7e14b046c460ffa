"""The few operations on the disk that the program needs, one method each, so that tests can make any of them fail."""

from __future__ import annotations

import errno
import os
import stat

try:
    import fcntl
except ImportError:  # not on this system: locks fall back to exclusive creation
    fcntl = None  # type: ignore[assignment]

# A folder that cannot be synced is no failure on file systems that do not know how.
_NO_SYNC = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EBADF, errno.ENOSYS})
_NO_LOCKS = frozenset({errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EINVAL, errno.ENOSYS})


class Disk:
    """The real disk. Every method raises OSError like the system call it stands for."""

    def read(self, path: str, limit: int) -> bytes:
        """At most ``limit + 1`` bytes of a regular file; a pipe or device is refused before it can block."""
        fd = self.open_to_read(path)
        try:
            parts: list[bytes] = []
            left = limit + 1
            while left > 0 and (part := os.read(fd, min(left, 1 << 20))):
                parts.append(part)
                left -= len(part)
            return b"".join(parts)
        finally:
            os.close(fd)

    def open_to_read(self, path: str) -> int:
        """A regular file; a pipe or device is refused before it can block."""
        fd = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            mode = os.fstat(fd).st_mode
            if stat.S_ISDIR(mode):
                raise IsADirectoryError(errno.EISDIR, "is a folder", path)
            if not stat.S_ISREG(mode):
                raise OSError(errno.ENODEV, "is not a file", path)
        except BaseException:
            os.close(fd)
            raise
        return fd

    def read_at(self, fd: int, start: int, size: int) -> bytes:
        """So many bytes from there, fewer at the end of the file."""
        size = max(min(size, os.fstat(fd).st_size - start), 0)
        if hasattr(os, "pread"):
            return os.pread(fd, size, start)
        os.lseek(fd, start, os.SEEK_SET)
        return os.read(fd, size)

    def real_path(self, path: str) -> str:
        """The path with links followed, so that a link is written through and not replaced."""
        return os.path.realpath(path)

    def mode(self, path: str) -> int | None:
        """Permission bits of a file, None when there is none."""
        try:
            return stat.S_IMODE(os.stat(path).st_mode)
        except FileNotFoundError:
            return None

    def create(self, path: str) -> int:
        """A new file for writing; fails when the name is taken. The umask decides who may read it."""
        return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)

    def set_mode(self, fd: int, mode: int) -> None:
        if hasattr(os, "fchmod"):
            os.fchmod(fd, mode)

    def write(self, fd: int, data: bytes) -> int:
        return os.write(fd, data)

    def sync(self, fd: int) -> None:
        os.fsync(fd)

    def close(self, fd: int) -> None:
        os.close(fd)

    def replace(self, source: str, target: str) -> None:
        os.replace(source, target)

    def link(self, source: str, target: str) -> None:
        """Give a file a second name; fails when that is taken."""
        os.link(source, target)

    def remove(self, path: str) -> None:
        os.unlink(path)

    def names(self, folder: str) -> list[str]:
        return sorted(os.listdir(folder))

    def sync_folder(self, folder: str) -> None:
        """Make a new or replaced name survive a power cut, where the system can."""
        if os.name == "nt":
            return
        fd = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(fd)
        except OSError as error:
            if error.errno not in _NO_SYNC:
                raise
        finally:
            os.close(fd)

    def open_lock(self, path: str) -> int:
        """The lock file, made when it is not there; never deleted while locks on it are in use."""
        return os.open(path, os.O_RDWR | os.O_CREAT, 0o666)

    def try_lock(self, fd: int) -> bool | None:
        """True: locked. False: somebody else holds it. None: this file system has no such locks."""
        if fcntl is None:
            return None
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            if error.errno in (errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES):
                return False
            if error.errno in _NO_LOCKS:
                return None
            raise
        return True

    def rewrite(self, fd: int, data: bytes) -> None:
        """Replace what an open file holds; only for lock files, whose content is advice and not data."""
        os.lseek(fd, 0, os.SEEK_SET)
        os.ftruncate(fd, 0)
        while data:
            data = data[os.write(fd, data) :]


DISK = Disk()
