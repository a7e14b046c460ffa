"""One hold's way to the server: straight there, or by way of the outbox, always in order and never twice.

The server takes a batch only behind the entries that it names as standing before it, and recognises those of the same
hold that it has. So whatever breaks, and wherever, sending everything again from the first unsent batch is right.
"""

from __future__ import annotations

import threading
from dataclasses import replace
from uuid import UUID, uuid5

from diag.desk import calls
from diag.desk.calls import Batch, Hold
from diag.desk.link import Link, UnreachableError
from diag.desk.outbox import Outbox, Unsent

_COPY = UUID("5f3c4a1e-6d0b-4b39-9f0c-2f6d8a7e1c55")  # names the copies of holds that were lost


class LostError(Exception):
    """Somebody else has the job now. Raised inside this room only.

    ``by_whom`` is who has it, empty when that is not known.
    """

    def __init__(self, by_whom: str) -> None:
        super().__init__(by_whom)
        self.by_whom = by_whom


class Sender:
    """Sends one hold's batches. Safe to use from the person's thread and from the one that keeps trying."""

    def __init__(self, link: Link, outbox: Outbox, hold: Hold, unsent: Unsent) -> None:
        self.link = link
        self.outbox = outbox
        self.hold = hold
        self.unsent = unsent
        self.why = ""  # what the server said when it last could not be reached
        self._lock = threading.RLock()

    @property
    def key(self) -> int | None:
        """The job's key on the server; None while the server does not know the job."""
        return self.unsent.key

    def take(self, batch: Batch) -> None:
        """Have this batch on the server, or else on this machine's disk behind what waits already.

        Raises:
            LostError: somebody else has the job.
            StorageError: neither the server nor the disk would take it.
            UserError: the server refuses it.
        """
        with self._lock:
            if not self.unsent.batches and not self.link.resting:
                try:
                    self._send(batch)
                    self.why = ""
                    return
                except UnreachableError as error:
                    self.why = error.what
            self._keep(batch)
            if not self.link.resting:
                self.try_again()

    def _keep(self, batch: Batch) -> None:
        longer = replace_batches(self.unsent, [*self.unsent.batches, batch])
        self.outbox.keep(longer)
        self.unsent.batches = longer.batches

    def try_again(self) -> bool:
        """Send what waits; True when nothing is left.

        Raises:
            LostError, UserError: as for ``take``; what waits stays on disk.
        """
        with self._lock:
            if not self.unsent.batches:
                return True
            try:
                for batch in self.unsent.batches:
                    self._send(batch)
            except UnreachableError as error:
                self.why = error.what
                return False
            self.unsent.batches = []
            self.outbox.forget(self.unsent)
            self.why = ""
            return True

    def _send(self, batch: Batch) -> None:
        if batch.creates:
            self.unsent.key = self.link.run(lambda line: calls.begin_job(line, batch, self.hold))
            return
        if self.unsent.key is None:
            self.unsent.key = self.link.run(lambda line: calls.key_of(line, batch.id))
        key = self.unsent.key
        answer, by_whom = (
            ("gone", "") if key is None else self.link.run(lambda line: calls.append(line, key, batch, self.hold))
        )
        if answer in ("lost", "gone"):
            raise LostError(by_whom)

    def let_go(self) -> None:
        """Let go of the job on the server; one that cannot be reached notices by itself when the lease is over.

        Raises:
            UnreachableError: see above.
        """
        key = self.key
        if key is not None and not self.unsent.batches:
            self.link.run(lambda line: calls.let_go(line, key, self.hold.token))


def replace_batches(unsent: Unsent, batches: list[Batch]) -> Unsent:
    """The same hold with other batches."""
    return replace(unsent, batches=batches)


def copy_token(token: str) -> str:
    """The hold under which a lost hold's copy is made: always the same, so that it is made once."""
    return str(uuid5(_COPY, token))


def copy_name(case_id: str, token: str) -> str:
    """The name of that copy."""
    return f"{case_id[:52].strip('-')}-copy-{copy_token(token)[:4]}"
