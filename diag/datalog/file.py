"""The log on the disk, read in pieces: the only module of this package that opens a file."""

from __future__ import annotations

import codecs
import os
import stat
from collections.abc import Iterator
from pathlib import Path

from diag.support.disk.failures import storage_error
from diag.support.errors import StorageError, UserError
from diag.support.text import one_line

HEAD = 1 << 18  # bytes from which the layout is told
PIECE = 1 << 22  # bytes read at a time
LONGEST_LINE = 1 << 24


class LogFile:
    """A text file that may be far larger than the memory."""

    def __init__(self, path: Path, piece: int = PIECE) -> None:
        self.path = path
        self.name = one_line(path.name, 80)
        self._piece = piece
        try:
            mode = os.stat(path)
        except (OSError, ValueError) as error:
            raise storage_error("Cannot read", path, OSError(str(error))) from error
        if not stat.S_ISREG(mode.st_mode):
            raise StorageError("This is no ordinary file.", "Give the name of a log.", one_line(str(path), 300))
        self.size = mode.st_size

    def head(self) -> bytes:
        """The first part of the file."""
        try:
            with open(self.path, "rb") as stream:
                return stream.read(HEAD)
        except OSError as error:
            raise storage_error("Cannot read", self.path, error) from error

    def lines(self, encoding: str) -> Iterator[list[str]]:
        """The whole file as lists of whole lines without their ends; what cannot be decoded becomes a mark.

        Raises:
            StorageError: the disk gives up.
            UserError: a line has no end.
        """
        decoder = codecs.getincrementaldecoder(encoding)(errors="replace")
        rest = ""
        try:
            with open(self.path, "rb") as stream:
                while data := stream.read(self._piece):
                    text = rest + decoder.decode(data)
                    end = max(text.rfind("\n"), text.rfind("\r", 0, len(text) - 1)) + 1
                    rest = text[end:]
                    if len(rest) > LONGEST_LINE:
                        raise UserError("A line of this file does not end.", "Export the log again.", self.name)
                    if end:
                        yield text[:end].replace("\0", "").splitlines()
                rest += decoder.decode(b"", final=True)
        except OSError as error:
            raise storage_error("Cannot read", self.path, error) from error
        if rest:
            yield rest.replace("\0", "").splitlines()
