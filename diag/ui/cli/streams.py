"""Standard streams that are closed or cannot take any more: an error with a line and a code, never a fault."""

from __future__ import annotations

import io
import os
import sys
from typing import TextIO, cast

from diag.support.errors import StorageError


class ClosedStream(io.TextIOBase):
    """Stands where a standard stream was closed before the program began; using it is the error that it is."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.called = name

    @property
    def buffer(self) -> ClosedStream:
        """The same: there are no bytes either."""
        return self

    def _refuse(self) -> StorageError:
        return StorageError(f"Standard {self.called} is closed.", "Start the program with it open.")

    def read(self, size: int | None = -1) -> str:
        """Nothing can be read."""
        raise self._refuse()

    def readline(self, size: int = -1) -> str:  # type: ignore[override]
        """Nothing can be read."""
        raise self._refuse()

    def write(self, text: str) -> int:
        """Nothing can be written."""
        raise self._refuse()

    def isatty(self) -> bool:
        """It is no terminal."""
        return False


def stand_in_for_closed() -> None:
    """Put something in the place of standard streams that are closed.

    Their numbers are taken first, or the next file that is opened would get one of them and be written to by chance.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # gets the lowest free number, which is this one
    if sys.stdin is None:
        sys.stdin = cast("TextIO", ClosedStream("input"))
    if sys.stdout is None:
        sys.stdout = cast("TextIO", ClosedStream("output"))
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115  (as long-lived as the process)


def quiet_output() -> None:
    """Point standard output at nothing, so that the interpreter does not try once more at its end."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    except OSError:
        return
