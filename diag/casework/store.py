"""The folder of cases: one file each, one writer each, every answer on disk before the next question.

    FOLDER/2026-11-25-wren-3f7a.yaml           the job
    FOLDER/2026-11-25-wren-3f7a.yaml.found-1   a damaged or commented file as it was found, before it was rewritten
    FOLDER/.open/2026-11-25-wren-3f7a          who works on it now (diag/casework/claims.py)

A file is only ever replaced as a whole. Before each save the store looks whether this program still holds the case and
whether the file is still the one it last wrote; if not, the answers go into a copy beside it and the person is told.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import stat
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import TracebackType

from diag.casework.casefile import MAX_TEXT, ReadResult, continue_text, loses_comments, read_case, write_case
from diag.casework.casenodes import MOST_ENTRIES
from diag.casework.claims import Claim, Claims
from diag.casework.entries import Case
from diag.casework.ids import SUFFIX, check_case_id, is_case_id
from diag.support.disk.failures import storage_error
from diag.support.disk.files import read_text, sweep_leftovers, write_atomic
from diag.support.disk.operations import DISK, Disk
from diag.support.errors import HeldElsewhereError, StorageError, UserError
from diag.support.text import one_line

MOST_BYTES = 4 * MAX_TEXT


def default_folder(environment: Mapping[str, str], home: Path) -> Path:
    """Where cases live unless told otherwise: the XDG data folder; a relative setting is ignored, as XDG says."""
    told = environment.get("XDG_DATA_HOME", "")
    base = Path(told) if told and os.path.isabs(told) else home / ".local" / "share"
    return base / "diag" / "cases"


class CaseStore:
    """A folder of cases. Nothing is kept in memory; two stores on one folder are as safe as two programs."""

    def __init__(self, folder: Path, who: str = "", disk: Disk = DISK) -> None:
        self.folder = Path(folder)
        self.who = who
        self.disk = disk
        self.claims = Claims(self.folder, who, disk)

    # --- names ------------------------------------------------------------------------------------------------

    def path(self, case_id: str) -> Path:
        """The file of a case.

        Raises:
            UserError: the name is no case's name (so it can never lead out of the folder), or the file is a link.
        """
        path = self.folder / (check_case_id(case_id) + SUFFIX)
        try:
            mode = os.lstat(path).st_mode
        except FileNotFoundError:
            return path
        except OSError as error:
            raise storage_error("Cannot look at", path, error) from error
        if not stat.S_ISREG(mode):
            raise UserError("This is a link or no ordinary file; it is left alone.",
                            "Put the case's own file in the folder.", one_line(str(path), 300))  # fmt: skip
        return path

    def ids(self) -> list[str]:
        """All cases, by name. A folder that does not exist yet holds none.

        Raises:
            StorageError: the folder cannot be listed.
        """
        try:
            with os.scandir(self.folder) as found:
                names = [item.name for item in found if item.name.endswith(SUFFIX)
                         and item.is_file(follow_symlinks=False)]  # fmt: skip
        except FileNotFoundError:
            return []
        except OSError as error:
            raise storage_error("Cannot list", self.folder, error) from error
        return sorted(stem for name in names if is_case_id(stem := name.removesuffix(SUFFIX)))

    def holds(self, case_id: str) -> bool:
        """Whether something of this case's name is in the folder."""
        return os.path.lexists(self.folder / f"{check_case_id(case_id)}{SUFFIX}")

    def find(self, words: str) -> str:
        """The one case whose name is, or begins with, or contains the words.

        Raises:
            UserError: none or several.
        """
        ids = self.ids()
        if words in ids:
            return words
        close = [i for i in ids if i.startswith(words)] or [i for i in ids if words in i]
        if len(close) == 1:
            return close[0]
        shown = one_line(words, 60)
        if close:
            raise UserError(f"{len(close)} cases match {shown!r}.", f"Be more exact: {', '.join(close[:5])}.")
        raise UserError(f"There is no case {shown!r} in {one_line(str(self.folder), 200)}.", "List them: diag jobs")

    # --- reading ----------------------------------------------------------------------------------------------

    def text(self, case_id: str) -> str:
        """The file's text."""
        return read_text(self.path(case_id), MOST_BYTES, self.disk)

    def read(self, case_id: str) -> ReadResult:
        """Read a case without holding it; problems are in the result, only the disk can raise."""
        return _named(read_case(self.text(case_id), self.path(case_id).name), case_id)

    # --- working ----------------------------------------------------------------------------------------------

    def create(self, case: Case) -> OpenCase:
        """Write a new case and hold it.

        Raises:
            UserError: the name is taken.  StorageError: the disk would not take it.
        """
        self._make_folder()
        path = self.path(case.id)
        claim = self.claims.take(case.id)
        try:
            if path.exists():
                raise UserError(f"There is a case {case.id} already.", "Open it, or use another name.")
            text = _fits(write_case(case), path, case)
            write_atomic(path, text, self.disk)
        except BaseException:
            self.claims.drop(case.id, claim)
            raise
        return OpenCase(self, case, text, claim)

    def open(self, case_id: str, take_over: bool = False, accept_readable_part: bool = False) -> OpenCase:
        """Hold an existing case for writing.

        Args:
            case_id: the exact name.
            take_over: take it although another program has it; that program is told at its next save.
            accept_readable_part: go on with the readable part of a damaged file; the file is kept as found.

        Raises:
            HeldElsewhereError: another program has it (then read it, or take over).
            CaseFileError: the file is damaged (see ``read`` for all problems), or from a newer program.
        """
        path = self.path(case_id)
        if not path.exists():
            raise UserError(f"There is no case {case_id} in {one_line(str(self.folder), 200)}.", "Check the name.")
        sweep_leftovers(self.folder, self.disk)
        sweep_leftovers(self.claims.folder, self.disk)
        claim = self.claims.take(case_id, take_over)
        try:
            text = self.text(case_id)
            result = _named(read_case(text, path.name), case_id)
            if result.case is not None:
                return OpenCase(self, result.case, text, claim, result)
            if not accept_readable_part or result.salvage is None or result.newer:
                raise result.problems[0]
            self.keep_as_found(path, text)
            fresh = write_case(result.salvage)
            write_atomic(path, fresh, self.disk)
            return OpenCase(self, result.salvage, fresh, claim, result)
        except BaseException:
            self.claims.drop(case_id, claim)
            raise

    def keep_as_found(self, path: Path, text: str) -> Path:
        """Put the text aside under the next free name beside the file."""
        for number in range(1, 1000):
            aside = path.with_name(f"{path.name}.found-{number}")
            if not os.path.lexists(aside):
                write_atomic(aside, text, self.disk)
                return aside
        raise StorageError("There are too many copies as found beside this case.", "Clear some away.", path.name)

    def _make_folder(self) -> None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise storage_error("Cannot make the folder", self.folder, error) from error


class OpenCase:
    """A case held for writing; a context manager that lets go at the end.

    ``case`` is what was last written, ``on_disk`` the same while the file is there, else None.
    ``result`` holds the notes and problems of the reading, None for a new case.
    ``copy_id`` is the copy that answers go to after the case was lost to another program, else empty.
    """

    def __init__(self, store: CaseStore, case: Case, text: str, claim: Claim, result: ReadResult | None = None) -> None:
        self.store = store
        self.case = case
        self.on_disk: Case | None = case
        self.result = result
        self.copy_id = ""
        self._text = text
        self._digest = _digest(text)
        self._tried = ""  # what a failed save may have left on disk all the same
        self._claim = claim
        self._closed = False

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
        path = _writable(self.store.path(case.id))
        if self.copy_id:
            self._save_copy(case, "")
        text = _fits(continue_text(self._text, self.case, case), path, case)
        with self.store.claims.moment(case.id):
            lost = self._why_lost(path)
            if not lost:
                if loses_comments(self._text, text):
                    self.store.keep_as_found(path, self._text)
                self._tried = _digest(text)
                write_atomic(path, text, self.store.disk)
        if lost:
            self._save_copy(case, lost)
        self.case, self._text, self._digest = case, text, _digest(text)
        self.on_disk = case

    def _is_there(self) -> bool:
        """Whether the case's file, whoever wrote it last, still stands under its name."""
        try:
            return stat.S_ISREG(os.lstat(self.store.path(self.case.id)).st_mode)
        except (OSError, UserError):
            return False

    def close(self) -> None:
        """Let go of the case; calling it twice does no harm."""
        if not self._closed:
            self._closed = True
            with contextlib.suppress(UserError):
                self.store.claims.drop(self.case.id, self._claim)

    def _why_lost(self, path: Path) -> str:
        """Why this program may no longer write the file, or empty text."""
        holder = self.store.claims.lost_to(self.case.id, self._claim)
        if holder:
            return f"This case was taken over by {holder}."
        try:
            now = read_text(path, MOST_BYTES, self.store.disk)
        except StorageError:
            if not path.exists() and self.store.folder.is_dir():
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
        path = self.store.path(self.copy_id)
        write_atomic(path, _fits(write_case(copy), path, copy), self.store.disk)
        self.case = self.on_disk = case
        raise HeldElsewhereError(
            why or "This case is no longer held by this program.",
            f"Your answers are kept in the case {self.copy_id}; open the case again to go on with it.",
            case.id,
        )


def _named(result: ReadResult, case_id: str) -> ReadResult:
    """The file's name is the case's name, whatever a copied file says inside."""
    case = replace(result.case, id=case_id) if result.case else None
    salvage = replace(result.salvage, id=case_id) if result.salvage else None
    return replace(result, case=case, salvage=salvage)


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


def _fits(text: str, path: Path, case: Case) -> str:
    """A file that the reader would refuse for its size must never be written."""
    if len(text) > MAX_TEXT or len(case.entries) > MOST_ENTRIES:
        raise StorageError("This job has grown too long for one file.", "Close it and open a new one for the rest.",
                           path.name)  # fmt: skip
    return text
