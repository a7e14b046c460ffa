"""Who works on a case now. One small file per case in FOLDER/.open names the program that holds it.

All looks at that file, and every save, happen inside a short lock, so that two programs cannot both believe that they
hold the case. A holder proven dead (same computer, its process gone) is replaced without asking; a living one, or one
on another computer, only when the person says so.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from diag.casework.ids import check_case_id
from diag.support.disk.failures import storage_error
from diag.support.disk.files import Lock, write_atomic
from diag.support.disk.holder import Holder, from_line, me
from diag.support.disk.operations import DISK, Disk
from diag.support.errors import HeldElsewhereError, StorageError, UserError

_WAIT = 3.0  # seconds for the short lock; a save takes milliseconds
_LIMIT = 2000


@dataclass(frozen=True, slots=True)
class Claim:
    """Our own hold on a case; ``token`` tells it from every other one, also of this process."""

    token: str
    took_over: Holder | None = None


class Claims:
    """The holders of one folder's cases."""

    def __init__(self, folder: Path, who: str = "", disk: Disk = DISK) -> None:
        self.folder = Path(folder) / ".open"
        self.who = who
        self.disk = disk

    def moment(self, case_id: str, force: bool = False) -> Lock:
        """The short lock around a look at the holder and a write.

        Raises (on entering):
            StorageError: it cannot be had within three seconds or cannot be made at all.
        """
        self._ready()
        return Lock(self.folder / check_case_id(case_id), self.who, wait=_WAIT, force=force, disk=self.disk)

    def holder(self, case_id: str) -> Holder | None:
        """Who holds the case now, as far as this can be seen; None for nobody or somebody proven dead."""
        found = self._read(case_id)
        if found is None or found[1].dead():
            return None
        return found[1]

    def take(self, case_id: str, take_over: bool = False) -> Claim:
        """Hold the case.

        Raises:
            HeldElsewhereError: somebody else holds it and ``take_over`` is not set.
            StorageError: the folder cannot be written.
        """
        with self.moment(case_id, force=take_over):
            found = self._read(case_id)
            if found is not None and not found[1].dead() and not take_over:
                raise HeldElsewhereError(
                    f"This case is open elsewhere by {found[1].words()}.",
                    "Look at it without changing it, or take it over; the other program will be told.",
                    case_id,
                )
            claim = Claim(secrets.token_hex(8), found[1] if found else None)
            since = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            write_atomic(self._path(case_id), f"{claim.token}\n{me(since, self.who).as_line()}", self.disk)
        return claim

    def drop(self, case_id: str, claim: Claim) -> None:
        """Let go, if the hold is still ours; failures to tidy up do not matter, the next one sees a dead holder.

        A disk too full for the short lock can still remove a file. Going on without the lock is safe enough here: it
        leaves open the moment between a look and a removal, against a hold that would shut our own person out.
        """
        try:
            with self.moment(case_id):
                self._remove_own(case_id, claim)
        except StorageError:
            with contextlib.suppress(UserError):
                self._remove_own(case_id, claim)

    def _remove_own(self, case_id: str, claim: Claim) -> None:
        found = self._read(case_id)
        if found is not None and found[0] == claim.token:
            with contextlib.suppress(OSError):
                self.disk.remove(os.fspath(self._path(case_id)))

    def lost_to(self, case_id: str, claim: Claim) -> str:
        """Words for the one who took the case from us; empty while it is ours. Call inside ``moment``.

        A hold whose file has vanished (a tidied folder) is taken again.
        """
        found = self._read(case_id)
        if found is None:
            since = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            write_atomic(self._path(case_id), f"{claim.token}\n{me(since, self.who).as_line()}", self.disk)
            return ""
        return "" if found[0] == claim.token else found[1].words()

    def _path(self, case_id: str) -> Path:
        return self.folder / check_case_id(case_id)

    def _read(self, case_id: str) -> tuple[str, Holder] | None:
        """Token and holder; None when the file is not there or says nothing readable."""
        path = self._path(case_id)
        try:
            if not stat.S_ISREG(os.lstat(path).st_mode):
                raise UserError("This is a link or no ordinary file.", "Remove it.", str(path))
            text = self.disk.read(os.fspath(path), _LIMIT).decode("utf-8", "replace")
        except FileNotFoundError:
            return None
        except OSError as error:
            raise storage_error("Cannot see who has this case", path, error) from error
        token, _, line = text.partition("\n")
        holder = from_line(line)
        return (token, holder) if holder else None

    def _ready(self) -> None:
        """Make the folder; it tells version control to leave it alone."""
        try:
            if os.path.islink(self.folder):
                raise UserError("The folder .open is a link.", "Remove it.", str(self.folder))
            if not self.folder.is_dir():
                self.folder.mkdir(exist_ok=True)
                (self.folder / ".gitignore").write_text("*\n", encoding="utf-8")
        except OSError as error:
            raise storage_error("Cannot use the folder of cases", self.folder, error,
                                "It can still be looked at without changing it.") from error  # fmt: skip
