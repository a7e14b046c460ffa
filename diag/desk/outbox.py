"""Answers that the server does not have yet, on this machine's disk until it has.

    STATE/diag/outbox/SERVER/2026-11-28-wren-3f7a.TOKEN.json     what one hold of one job still has to send

A file is replaced as a whole and synced before an answer counts as kept, and removed when the server has everything.
The program that wrote it sends it; when that program has died, the next one on this machine does.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from diag.casework.ids import is_case_id
from diag.desk.calls import Batch
from diag.support.disk.failures import storage_error
from diag.support.disk.files import sweep_leftovers, write_atomic
from diag.support.disk.holder import from_line, me
from diag.support.disk.operations import DISK, Disk
from diag.support.errors import UserError

SHAPE = 1
MOST_BYTES = 64_000_000


def default_state(environment: Mapping[str, str], home: Path) -> Path:
    """The XDG state folder; a relative setting is ignored, as XDG says."""
    told = environment.get("XDG_STATE_HOME", "")
    return Path(told) if told and os.path.isabs(told) else home / ".local" / "state"


@dataclass(slots=True)
class Unsent:
    """What one hold has to send, in order."""

    id: str
    token: str
    who: str
    key: int | None = None
    batches: list[Batch] = field(default_factory=list)

    @property
    def answers(self) -> int:
        """How many entries wait."""
        return sum(len(batch.items) for batch in self.batches)


class Outbox:
    """The unsent answers for one server.

    Args:
        state: the folder for what must outlive a program.
        address: the server's; only its hash names the folder.
    """

    def __init__(self, state: Path, address: str, disk: Disk = DISK) -> None:
        name = hashlib.sha256(address.encode("utf-8", "replace")).hexdigest()[:24]
        self.folder = Path(state) / "diag" / "outbox" / name
        self.disk = disk

    def keep(self, unsent: Unsent) -> None:
        """Put it on disk.

        Raises:
            StorageError: the disk would not take it.
        """
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise storage_error("Cannot make the folder", self.folder, error) from error
        since = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        plain = {"outbox": SHAPE, "holder": me(since, unsent.who).as_line(), **asdict(unsent)}
        write_atomic(self._path(unsent.id, unsent.token), json.dumps(plain), self.disk)

    def forget(self, unsent: Unsent) -> None:
        """The server has everything."""
        with contextlib.suppress(OSError):
            self.disk.remove(os.fspath(self._path(unsent.id, unsent.token)))

    def left_behind(self) -> Iterator[Unsent]:
        """What programs of this machine that have ended could not send."""
        sweep_leftovers(self.folder, self.disk)
        for plain in self._all():
            holder = from_line(str(plain.get("holder", "")))
            if holder is None or holder.dead():
                with contextlib.suppress(KeyError, TypeError):
                    yield _unsent(plain)

    def waiting(self) -> list[Unsent]:
        """Everything that waits on this machine, whoever's it is."""
        found = []
        for plain in self._all():
            with contextlib.suppress(KeyError, TypeError):
                found.append(_unsent(plain))
        return found

    def _all(self) -> Iterator[dict[str, Any]]:
        try:
            names = self.disk.names(os.fspath(self.folder))
        except OSError:
            return
        for name in names:
            if name.startswith(".") or not name.endswith(".json") or not is_case_id(name.partition(".")[0]):
                continue
            with contextlib.suppress(OSError, ValueError, UserError):
                plain = json.loads(self.disk.read(os.fspath(self.folder / name), MOST_BYTES))
                if isinstance(plain, dict) and plain.get("outbox") == SHAPE:
                    yield plain

    def _path(self, case_id: str, token: str) -> Path:
        return self.folder / f"{case_id}.{token}.json"


def _unsent(plain: Mapping[str, Any]) -> Unsent:
    batches = [Batch(**batch) for batch in plain["batches"]]
    return Unsent(str(plain["id"]), str(plain["token"]), str(plain["who"]), plain["key"], batches)
