"""The folder of practice results: one YAML file a trainee, replaced as a whole."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from diag.practice.debrief import Debrief
from diag.practice.results import Result, Trainee, from_text, result_of, to_text, trainee_name
from diag.session.clock import stamp
from diag.support.disk.failures import storage_error
from diag.support.disk.files import Lock, read_text, write_atomic
from diag.support.errors import StorageError

MOST_BYTES = 5_000_000
WAIT = 2.0  # seconds to wait for another program that writes the same file


def default_practice_folder(environment: Mapping[str, str], home: Path) -> Path:
    """Beside the folder of cases: the XDG data folder; a relative setting is ignored, as XDG says."""
    told = environment.get("XDG_DATA_HOME", "")
    base = Path(told) if told and Path(told).is_absolute() else home / ".local" / "share"
    return base / "diag" / "practice"


def file_name(name: str) -> str:
    """The file of a trainee: letters of the name for people, a few digits of its hash so that no two share one."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:32].strip("-")
    return f"{words or 'trainee'}-{sha256(name.casefold().encode()).hexdigest()[:6]}.yaml"


class PracticeStore:
    """Reads and adds to the files of one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)

    def path(self, name: str) -> Path:
        """Where a trainee's results are."""
        return self.folder / file_name(trainee_name(name))

    def read(self, name: str) -> Trainee:
        """What a trainee has done so far; nothing for a new one.

        Raises:
            SourceError, StorageError: the file cannot be used.
        """
        path = self.path(name)
        if not path.exists():
            return Trainee(trainee_name(name))
        return from_text(read_text(path, MOST_BYTES), str(path))

    def keep(self, name: str, told: Debrief, now: datetime) -> Trainee:
        """Put a finished session into the file.

        Raises:
            SourceError, StorageError: nothing was changed.
        """
        at = stamp(now)
        return self.add(name, result_of(told.session, told.score, told.program_score, at))

    def add(self, name: str, result: Result) -> Trainee:
        """Put one more result into the file; what is there already is read first, and kept when it is damaged.

        Raises:
            SourceError, StorageError: nothing was changed.
        """
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise storage_error("Cannot make the folder", self.folder, error) from error
        path = self.path(name)
        with Lock(path, who=name, wait=WAIT):
            so_far = self.read(name)
            grown = replace(so_far, results=(*so_far.results, result))
            text = to_text(grown)
            if len(text.encode()) > MOST_BYTES:
                raise StorageError(
                    "This trainee's file has grown too long.", "Move it away and begin a new one.", str(path)
                )
            write_atomic(path, text)
        return grown
