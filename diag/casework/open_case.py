"""A case file held for writing: every save looks whether it is still ours, and replaces the file as a whole."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import stat
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Protocol

from diag.casework.casefile import MAX_TEXT, MOST_BYTES, ReadResult, continue_text, loses_comments, write_case
from diag.casework.casenodes import MOST_ENTRIES
from diag.casework.claims import Claim
from diag.casework.entries import Case
from diag.casework.keeping import JobStore
from diag.support.disk.files import read_text, write_atomic
from diag.support.errors import HeldElsewhereError, StorageError, UserError
from diag.support.text import one_line

if TYPE_CHECKING:
    from diag.casework.claims import Claims
    from diag.support.disk.operations import Disk


class Home(JobStore, Protocol):
    """The folder of jobs that an open case belongs to."""

    disk: Disk

    @property
    def folder(self) -> Path:
        """Where the jobs lie."""

    @property
    def claims(self) -> Claims:
        """Who has which job open."""

    def path(self, case_id: str) -> Path:
        """The file of a job."""

    def keep_as_found(self, path: Path, text: str) -> Path:
        """Keep a file as it was before the first change; where."""


class OpenCase:
    """A case held for writing; a context manager that lets go at the end.

    ``case`` is what was last written, ``on_disk`` the same while the file is there, else None.
    ``result`` holds the notes and problems of the reading, None for a new case.
    ``copy_id`` is the copy that answers go to after the case was lost to another program, else empty.
    """

    def __init__(self, store: Home, case: Case, text: str, claim: Claim, result: ReadResult | None = None) -> None:
        self.store: JobStore = store
        self._home = store
        self.case = case
        self.on_disk: Case | None = case
        self.result = result
        self.copy_id = ""
        self._text = text
        self._digest = _digest(text)
        self._tried = ""  # what a failed save may have left on disk all the same
        self._claim = claim
        self._closed = False

    @property
    def unsent(self) -> int:
        """Answers that wait to be sent; a folder takes them at once or says why not."""
        return 0

    @property
    def why_unsent(self) -> str:
        """Nothing ever waits here."""
        return ""

    def news(self) -> tuple[str, ...]:
        """What others did to the job meanwhile; with files this is found out at the next save."""
        return ()

    def __enter__(self) -> OpenCase:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def save(self, case: Case) -> None:
        """Put this state of the case on disk; when it returns, a power cut loses nothing of it.

        Raises:
            HeldElsewhereError: somebody took over, or the file was changed by another program; the answers are in a
                copy whose name the message gives.
            StorageError: the disk would not take it; the file is as it was, and a later save may succeed.
        """
        if self._closed and case is self.case:
            return
        if case is self.case and not self.copy_id:
            if self._is_there():
                return
            self.on_disk = None
        if case.id != self.case.id:
            raise ValueError("another case's content")
        path = _writable(self._home.path(case.id))
        if self.copy_id:
            self._save_copy(case, "")
        text = fits(continue_text(self._text, self.case, case), path, case)
        with self._home.claims.moment(case.id):
            lost = self._why_lost(path)
            if not lost:
                if loses_comments(self._text, text):
                    self._home.keep_as_found(path, self._text)
                self._tried = _digest(text)
                write_atomic(path, text, self._home.disk)
        if lost:
            self._save_copy(case, lost)
        self.case, self._text, self._digest = case, text, _digest(text)
        self.on_disk = case

    def _is_there(self) -> bool:
        """Whether the case's file, whoever wrote it last, still stands under its name."""
        try:
            return stat.S_ISREG(os.lstat(self._home.path(self.case.id)).st_mode)
        except (OSError, UserError):
            return False

    def close(self) -> None:
        """Let go of the case; calling it twice does no harm."""
        if not self._closed:
            self._closed = True
            with contextlib.suppress(UserError):
                self._home.claims.drop(self.case.id, self._claim)

    def _why_lost(self, path: Path) -> str:
        """Why this program may no longer write the file, or empty text."""
        holder = self._home.claims.lost_to(self.case.id, self._claim)
        if holder:
            return f"This case was taken over by {holder}."
        try:
            now = read_text(path, MOST_BYTES, self._home.disk)
        except StorageError:
            if not path.exists() and self._home.folder.is_dir():
                return ""  # somebody deleted the file; writing it again loses nothing
            raise
        except UserError:
            return "The file was changed by another program meanwhile."
        if _digest(now) in (self._digest, self._tried):
            return ""
        return "The file was changed by another program meanwhile."

    def _save_copy(self, case: Case, why: str) -> None:
        """Keep the answers in a copy, always the same one, and say so."""
        first = not self.copy_id
        if first:
            self.copy_id = f"{case.id[:52].strip('-')}-copy-{secrets.token_hex(2)}"
        copy = replace(case, id=self.copy_id, title=f"{case.title} (copy)")
        path = self._home.path(self.copy_id)
        write_atomic(path, fits(write_case(copy), path, copy), self._home.disk)
        self.case = self.on_disk = case
        raise HeldElsewhereError(
            why or "This case is no longer held by this program.",
            f"Your answers are kept in the case {self.copy_id}; open the case again to go on with it.",
            case.id,
        )


def _writable(path: Path) -> Path:
    """The path, unless somebody marked the file as one not to be written; a replaced file would lose that mark's sense.

    Looked at in the mode bits, since for the system's administrator every file can be written.
    """
    with contextlib.suppress(FileNotFoundError):
        if not stat.S_IMODE(os.lstat(path).st_mode) & 0o222:
            raise StorageError("Cannot save: the file is marked read-only.",
                               "Allow writing it, or choose another folder.", one_line(str(path), 300))  # fmt: skip
    return path


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()


def fits(text: str, path: Path, case: Case) -> str:
    """A file that the reader would refuse for its size must never be written."""
    if len(text) > MAX_TEXT or len(case.entries) > MOST_ENTRIES:
        raise StorageError("This job has grown too long for one file.", "Close it and open a new one for the rest.",
                           path.name)  # fmt: skip
    return text
