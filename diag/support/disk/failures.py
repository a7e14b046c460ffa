"""What went wrong with a disk, in plain words."""

from __future__ import annotations

import errno
from pathlib import Path

from diag.support.errors import StorageError
from diag.support.text import one_line

_PLAIN: dict[int, tuple[str, str]] = {
    errno.ENOSPC: ("the disk is full", "Free some space or choose another folder."),
    errno.EDQUOT: ("your share of the disk is used up", "Free some space or choose another folder."),
    errno.EACCES: ("you are not allowed to", "Ask for the right to use this folder, or choose another one."),
    errno.EPERM: ("you are not allowed to", "Ask for the right to use this folder, or choose another one."),
    errno.EROFS: ("this disk can only be read", "Choose another folder."),
    errno.ENOENT: ("there is no such file or folder", "Check the name."),
    errno.ENOTDIR: ("a part of the path is not a folder", "Check the name."),
    errno.EEXIST: ("something else of this name is in the way", "Choose another name."),
    errno.EISDIR: ("this is a folder, not a file", "Give the name of a file."),
    errno.ENODEV: ("this is not an ordinary file", "Give the name of a file."),
    errno.ENXIO: ("this is not an ordinary file", "Give the name of a file."),
    errno.EIO: ("the disk reports a fault", "Copy your files to another disk and have this one looked at."),
    errno.ENAMETOOLONG: ("the name is too long", "Use a shorter one."),
    errno.EMFILE: ("too many files are open", "Close other programs and try again."),
    errno.ENFILE: ("too many files are open", "Close other programs and try again."),
    errno.ESTALE: ("the network folder has gone", "Connect it again, or choose another folder."),
    errno.ENOTCONN: ("the network folder has gone", "Connect it again, or choose another folder."),
    errno.ETIMEDOUT: ("the network folder does not answer", "Connect it again, or choose another folder."),
    errno.ELOOP: ("links lead round in a circle", "Give the name of the file itself."),
    errno.EPIPE: ("whoever read it has gone", "Start again with somebody there to read."),
    errno.EBADF: ("it is closed", "Start again with it open."),
    errno.EFBIG: ("the file would be too large for this disk", "Choose another folder."),
}


def storage_error(doing: str, path: str | Path, error: OSError, tail: str = "") -> StorageError:
    """The one clear line for a failed operation, for example ``doing="Cannot save"``."""
    reason, hint = _PLAIN.get(error.errno or 0, (f"the system says: {one_line(str(error.strerror or error), 80)}", ""))
    return StorageError(f"{doing}: {reason}.", f"{hint} {tail}".strip(), one_line(str(path), 300))
