"""The folder of cases: one file each, one writer each, every answer on disk before the next question.

    FOLDER/2026-11-25-wren-3f7a.yaml           the job
    FOLDER/2026-11-25-wren-3f7a.yaml.found-1   a damaged or commented file as it was found, before it was rewritten
    FOLDER/.open/2026-11-25-wren-3f7a          who works on it now (diag/casework/claims.py)

A file is only ever replaced as a whole. Before each save the store looks whether this program still holds the case and
whether the file is still the one it last wrote; if not, the answers go into a copy beside it and the person is told.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from diag.casework.casefile import MOST_BYTES, ReadResult, read_case, write_case
from diag.casework.claims import Claims
from diag.casework.entries import Case
from diag.casework.ids import SUFFIX, check_case_id, is_case_id
from diag.casework.keeping import Place, WholeJob, none_or_several
from diag.casework.lessons import count
from diag.casework.open_case import OpenCase, fits
from diag.support.disk.failures import storage_error
from diag.support.disk.files import read_text, sweep_leftovers, write_atomic, write_bytes
from diag.support.disk.operations import DISK, Disk
from diag.support.errors import StorageError, UserError
from diag.support.text import one_line

if TYPE_CHECKING:
    from diag.casework.index import CaseIndex
    from diag.casework.lessons import Counts
    from diag.casework.query import Found, Query
    from diag.casework.summary import Summary
    from diag.rulebook.model import RuleBook


def default_folder(environment: Mapping[str, str], home: Path) -> Path:
    """Where cases live unless told otherwise: the XDG data folder; a relative setting is ignored, as XDG says."""
    told = environment.get("XDG_DATA_HOME", "")
    base = Path(told) if told and os.path.isabs(told) else home / ".local" / "share"
    return base / "diag" / "cases"


class CaseStore:
    """A folder of cases. Nothing is kept in memory; two stores on one folder are as safe as two programs.

    ``cache`` is the folder for the table that lists and searches use; without one they read every file anew.
    """

    def __init__(self, folder: Path, who: str = "", disk: Disk = DISK, cache: Path | None = None) -> None:
        self.folder = Path(folder)
        self.who = who
        self.disk = disk
        self.cache = cache
        self.place: Place = "disk"
        self.readers = 1  # processes that read thousands of new files; more than one only in a program without threads
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

    @property
    def words(self) -> str:
        """The folder, fit to be shown."""
        return one_line(str(self.folder), 1000)

    def news(self) -> tuple[str, ...]:
        """Nothing ever waits to be sent into a folder."""
        return ()

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
        return none_or_several(words, close, self.words)

    # --- reading ----------------------------------------------------------------------------------------------

    def text(self, case_id: str) -> str:
        """The file's text."""
        return read_text(self.path(case_id), MOST_BYTES, self.disk)

    def read(self, case_id: str) -> ReadResult:
        """Read a case without holding it; problems are in the result, only the disk can raise."""
        return named(read_case(self.text(case_id), self.path(case_id).name), case_id)

    # --- finding and learning: by way of a table that can be made anew at any time --------------------------------

    def _index(self) -> CaseIndex:
        from diag.casework.index import CaseIndex, index_file  # nobody who only works a job waits for it

        return CaseIndex(self.folder, index_file(self.cache, self.folder) if self.cache is not None else None)

    def search(self, query: Query) -> list[Found]:
        """Jobs that match, last changed first."""
        with self._index() as index:
            index.refresh(self.readers)
            return index.search(query)

    def counts(self) -> dict[str, int]:
        """How many jobs there are of each status."""
        with self._index() as index:
            index.refresh(self.readers)
            return index.counts()

    def summaries(self) -> Iterator[Summary]:
        """What looking back needs, one job after the other, in the order of names."""
        with self._index() as index:
            index.refresh(self.readers)
            yield from index.summaries()

    def lessons(self, book: RuleBook) -> Counts:
        """What all closed jobs teach about this book's causes."""
        return count(self.summaries(), book)

    # --- carrying ---------------------------------------------------------------------------------------------

    def take_out(self, case_id: str) -> WholeJob:
        """The files of a job, byte for byte; they stay where they are."""
        path = self.path(case_id)
        return WholeJob(case_id, self._bytes(path), tuple(map(self._bytes, self._found(path))))

    def _found(self, path: Path) -> Iterator[Path]:
        """Copies as found beside a file, oldest first."""
        for number in range(1, 1000):
            aside = path.with_name(f"{path.name}.found-{number}")
            if not aside.is_file() or aside.is_symlink():
                return
            yield aside

    def _bytes(self, path: Path) -> bytes:
        try:
            return self.disk.read(os.fspath(path), MOST_BYTES)
        except OSError as error:
            raise storage_error("Cannot read", path, error) from error

    def bring_in(self, job: WholeJob) -> None:
        """Write a job's files byte for byte.

        Raises:
            UserError: there is a job of this name.  StorageError: the disk would not take it.
        """
        self._make_folder()
        path = self.path(job.id)
        if path.exists():
            raise UserError("There is a job of this name already.", "Work on that one, or remove it first.",
                            one_line(str(path), 300))  # fmt: skip
        for number, found in enumerate(job.found, 1):
            write_bytes(path.with_name(f"{path.name}.found-{number}"), found, self.disk)
        write_bytes(path, job.data, self.disk)

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
            text = fits(write_case(case), path, case)
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
            raise UserError(f"There is no case {case_id} in {self.words}.", "Check the name.")
        sweep_leftovers(self.folder, self.disk)
        sweep_leftovers(self.claims.folder, self.disk)
        claim = self.claims.take(case_id, take_over)
        try:
            text = self.text(case_id)
            result = named(read_case(text, path.name), case_id)
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


def named(result: ReadResult, case_id: str) -> ReadResult:
    """The file's name is the case's name, whatever a copied file says inside."""
    case = replace(result.case, id=case_id) if result.case else None
    salvage = replace(result.salvage, id=case_id) if result.salvage else None
    return replace(result, case=case, salvage=salvage)
