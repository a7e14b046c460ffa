"""Finding jobs again: a table over the folder that can be thrown away and made anew at any time.

The files are the truth. The table (an SQLite database of the standard library, in the cache folder) remembers for every
file its time, size and hash, and what lists and searches need. A file whose time and size are as remembered is not read
again, unless it was written so shortly before the look that a second write could hide in the same tick of the clock.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import sqlite3
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

from diag.casework.casefile import MOST_BYTES, read_case
from diag.casework.entries import STATUSES
from diag.casework.ids import SUFFIX, is_case_id
from diag.casework.query import Found, Query
from diag.casework.summary import Summary, summary_of
from diag.support.disk.files import read_text
from diag.support.errors import StorageError, UserError
from diag.support.text import one_line

_SHAPE = 4  # raise when the table changes; an older table is thrown away
_MANY = 2000  # files from which several processes pay
_RACY_NS = 2_000_000_000  # files changed within two seconds of the look are read again next time
_COLUMNS = (
    "id, mtime, size, hash, seen, status, opened, changed, title, result, proven, causes, car, text, body, problem"
)
_MAKE = f"""
create table if not exists cases ({_COLUMNS.replace("id,", "id text primary key,", 1)}) without rowid;
create index if not exists by_change on cases (status, changed);
pragma user_version = {_SHAPE};
"""


def index_file(cache: Path, folder: Path) -> Path:
    """Where the table of a folder lies: one per folder, named by a hash of its real path."""
    name = hashlib.sha256(os.path.realpath(folder).encode("utf-8", "replace")).hexdigest()[:24]
    return cache / "diag" / f"cases-{name}.sqlite"


def default_cache(environment: Mapping[str, str], home: Path) -> Path:
    """The XDG cache folder; a relative setting is ignored."""
    told = environment.get("XDG_CACHE_HOME", "")
    return Path(told) if told and os.path.isabs(told) else home / ".cache"


class CaseIndex:
    """The table of one folder; a context manager. ``file`` None keeps it in memory only."""

    def __init__(self, folder: Path, file: Path | None = None) -> None:
        self.folder = Path(folder)
        self.file = file
        self._db = self._opened()

    def __enter__(self) -> CaseIndex:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the table."""
        self._db.close()

    def refresh(self, workers: int = 1) -> int:
        """Bring the table up to date with the folder; returns how many files had new content.

        Args:
            workers: processes that read files; more than one pays from some thousand new files on, and only in a
                program without threads.

        Raises:
            StorageError: the folder cannot be listed. Trouble with the table itself never raises: it is made anew.
        """
        try:
            return self._refresh(workers)
        except sqlite3.Error:
            self._start_anew()
            try:
                return self._refresh(workers)
            except sqlite3.Error:
                self.file = None  # no disk for the table: do without
                self._start_anew()
                return self._refresh(workers)

    def search(self, query: Query | None = None) -> list[Found]:
        """Jobs that match, last changed first."""
        query = query or Query()
        where, values = _where(query)
        rows = self._rows(
            f"select id, status, opened, changed, title, result, proven, causes, problem from cases{where} "
            "order by changed desc, id limit ?",
            [*values, max(0, min(query.limit, 1_000_000))],
        )
        return [Found(r[0], r[1], r[2], r[3], r[4], r[5], bool(r[6]), tuple(json.loads(r[7])), r[8]) for r in rows]

    def summaries(self) -> Iterator[Summary]:
        """Everything learning needs, one job after the other, in the order of names."""
        for (body,) in self._rows("select body from cases order by id", []):
            if body:
                plain = json.loads(body)
                plain["causes"] = tuple(plain["causes"])
                plain["steps"] = tuple((step, minutes) for step, minutes in plain["steps"])
                plain["believed"] = tuple((steps, ranking) for steps, ranking in plain["believed"])
                plain["people"] = tuple(plain["people"])
                yield Summary(**plain)

    def counts(self) -> dict[str, int]:
        """How many jobs there are of each status."""
        found = dict(self._rows("select status, count(*) from cases group by status", []))
        return {status: int(found.get(status, 0)) for status in STATUSES}

    # --- inside -----------------------------------------------------------------------------------------------

    def _rows(self, sql: str, values: list[object]) -> list[tuple[Any, ...]]:
        try:
            return self._db.execute(sql, values).fetchall()
        except sqlite3.Error:
            self._start_anew()
            self.refresh()
            return self._db.execute(sql, values).fetchall()

    def _opened(self) -> sqlite3.Connection:
        if self.file is None:
            return _prepared(sqlite3.connect(":memory:"))
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            if self.file.is_symlink():
                raise OSError("a link")
            db = sqlite3.connect(self.file, timeout=5.0)
            if db.execute("pragma user_version").fetchone()[0] not in (0, _SHAPE):
                db.close()
                self._throw_away()
                db = sqlite3.connect(self.file, timeout=5.0)
            return _prepared(db)
        except (OSError, sqlite3.Error):
            with contextlib.suppress(OSError, sqlite3.Error):
                self._throw_away()
                return _prepared(sqlite3.connect(self.file, timeout=5.0))
            self.file = None
            return _prepared(sqlite3.connect(":memory:"))

    def _throw_away(self) -> None:
        if self.file is not None:
            for tail in ("", "-journal", "-wal", "-shm"):
                with contextlib.suppress(FileNotFoundError):
                    os.unlink(f"{self.file}{tail}")

    def _start_anew(self) -> None:
        with contextlib.suppress(sqlite3.Error):
            self._db.close()
        with contextlib.suppress(OSError):
            self._throw_away()
        self._db = self._opened()

    def _refresh(self, workers: int) -> int:
        known = {row[0]: row[1:] for row in self._db.execute("select id, mtime, size, hash, seen from cases")}
        here: set[str] = set()
        stale: list[tuple[str, os.stat_result, int]] = []
        for case_id, status in self._files():
            here.add(case_id)
            old = known.get(case_id)
            same = old is not None and old[0] == status.st_mtime_ns and old[1] == status.st_size
            if not (same and old is not None and old[3] - old[0] > _RACY_NS):
                stale.append((case_id, status, time.time_ns()))
        jobs = [(str(self.folder), case_id, known[case_id][2] if case_id in known else "") for case_id, _, _ in stale]
        read = 0
        with self._db:
            for (case_id, status, seen), look in zip(stale, _looks(jobs, workers), strict=True):
                read += self._take(case_id, status, seen, look)
            gone = [(case_id,) for case_id in known if case_id not in here]
            self._db.executemany("delete from cases where id = ?", gone)
        return read

    def _files(self) -> Iterator[tuple[str, os.stat_result]]:
        try:
            with os.scandir(self.folder) as found:
                for item in found:
                    stem = item.name.removesuffix(SUFFIX)
                    if item.name.endswith(SUFFIX) and is_case_id(stem) and item.is_file(follow_symlinks=False):
                        with contextlib.suppress(FileNotFoundError):
                            yield stem, item.stat(follow_symlinks=False)
        except FileNotFoundError:
            return
        except OSError as error:
            raise StorageError(
                "Cannot list the cases.", str(error.strerror), one_line(str(self.folder), 200)
            ) from error

    def _take(self, case_id: str, status: os.stat_result, seen: int, look: Look | None) -> int:
        """Put what one file holds into the table; 1 when its content was new."""
        if look is None:
            self._db.execute("update cases set mtime = ?, size = ?, seen = ? where id = ?",
                             (status.st_mtime_ns, status.st_size, seen, case_id))  # fmt: skip
            return 0
        self._put(case_id, status, look.hash, seen, look.summary, look.problem)
        return 1

    def _put(
        self, case_id: str, status: os.stat_result, fresh: str, seen: int, summary: Summary | None, problem: str
    ) -> None:
        s = summary
        car = " ".join(f"{key} {value}" for key, value in s.car.items()) + f" {s.title}" if s else ""
        row = (
            case_id,
            status.st_mtime_ns,
            status.st_size,
            fresh,
            seen,
            s.status if s else "open",
            s.opened if s else "",
            s.changed if s else "",
            one_line(s.title, 200) if s else "",
            s.result if s else "",
            int(s.proven) if s else 0,
            json.dumps(s.causes if s else ()),
            car.lower(),
            s.text if s else "",
            # A damaged file is listed, but nothing is learnt from it.
            json.dumps(asdict(s) | {"id": case_id}) if s and not problem else "",
            problem,
        )
        self._db.execute(f"insert or replace into cases ({_COLUMNS}) values ({','.join('?' * len(row))})", row)


@dataclass(frozen=True, slots=True)
class Look:
    """What one file held."""

    hash: str
    summary: Summary | None
    problem: str


def _look(job: tuple[str, str, str]) -> Look | None:
    """Read one file (folder, name, hash known so far); None when its content is the same as before."""
    folder, case_id, old_hash = job
    try:
        text = read_text(Path(folder) / f"{case_id}{SUFFIX}", MOST_BYTES)
    except UserError as error:
        return Look("", None, error.what)
    fresh = hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()
    if fresh == old_hash:
        return None
    result = read_case(text, f"{case_id}{SUFFIX}")
    case = result.best()
    return Look(fresh, summary_of(case) if case else None, result.problems[0].one_line() if result.problems else "")


def _looks(jobs: list[tuple[str, str, str]], workers: int) -> Iterator[Look | None]:
    """All looks in order, in this process or in several."""
    if workers <= 1 or len(jobs) < _MANY:
        yield from map(_look, jobs)
        return
    with ProcessPoolExecutor(workers) as pool:
        yield from pool.map(_look, jobs, chunksize=200)


def _prepared(db: sqlite3.Connection) -> sqlite3.Connection:
    db.execute("pragma synchronous = off")  # it can be made anew, so speed wins over safety
    db.executescript(_MAKE)
    return db


MOST_LETTERS = 1000  # of one word searched for; SQLite refuses a pattern of more than 50,000 bytes


def _where(query: Query) -> tuple[str, list[object]]:
    """The condition and its values; every text goes in as a value, never as SQL."""
    parts: list[str] = []
    values: list[object] = []

    def like(column: str, word: str) -> None:
        parts.append(f"{column} like ? escape '!'")
        safe = word[:MOST_LETTERS].lower().replace("!", "!!").replace("%", "!%").replace("_", "!_")
        values.append(f"%{safe}%")

    if query.status:
        parts.append("status = ?")
        values.append(query.status)
    for word in query.car.split()[:20]:
        like("car", word)
    for word in query.text.split()[:20]:
        like("text", word)
    if query.cause:
        like("causes", json.dumps(query.cause)[1:-1])
    if query.since:
        parts.append("changed >= ?")
        values.append(query.since)
    if query.until:
        parts.append("changed < ?")
        values.append(query.until + "~")  # sorts after every time of that day
    return (" where " + " and ".join(parts) if parts else ""), values
