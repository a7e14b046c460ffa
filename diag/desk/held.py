"""A job of the server held for writing: what is new goes there as entries, and the hold lives by signs of life."""

from __future__ import annotations

import contextlib
import threading
from dataclasses import replace
from types import TracebackType
from typing import TYPE_CHECKING, Protocol, Self

from diag.casework.casefile import MAX_TEXT, ReadResult, continue_text, head_of, loses_comments, write_case
from diag.casework.casenodes import MOST_ENTRIES
from diag.casework.entries import Case
from diag.casework.keeping import JobStore
from diag.desk.calls import Batch
from diag.desk.link import UnreachableError
from diag.desk.pieces import Plain, digest_of, items_of
from diag.desk.sending import LostError, Sender, copy_name, copy_token
from diag.support.errors import HeldElsewhereError, StorageError

if TYPE_CHECKING:
    from diag.desk.pulse import Pulse


class Begins(JobStore, Protocol):
    """Where a hold belongs: it renews holds, and begins another for a copy."""

    @property
    def pulse(self) -> Pulse:
        """What keeps holds alive."""

    def begin(self, case: Case, token: str) -> ServerHold:
        """A new job, under a mark that was chosen before."""


class ServerHold:
    """Satisfies ``diag.casework.keeping.HeldJob``.

    Args:
        sender: its way to the server.
        case: what the server holds, or what the first batch creates.
        found: the text of the file as it was brought in, where it is laid out otherwise than ours.
        told: a first thing to tell whoever opened it.
    """

    def __init__(
        self,
        store: Begins,
        sender: Sender,
        case: Case,
        result: ReadResult | None = None,
        found: str = "",
        told: tuple[str, ...] = (),
    ) -> None:
        self.store: JobStore = store
        self._place = store
        self.case = case
        self.on_disk: Case | None = case
        self.result = result
        self._sender = sender
        self._found = found
        self._size = len(write_case(case)) - len(head_of(case))
        self._told = list(told)
        self._lost = ""
        self._copy: ServerHold | None = None
        self._closed = False
        self._lock = threading.RLock()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def token(self) -> str:
        """The hold's mark."""
        return self._sender.hold.token

    @property
    def copy_id(self) -> str:
        """The copy that answers go to after the job was lost, else empty."""
        return self._copy.case.id if self._copy is not None else ""

    @property
    def unsent(self) -> int:
        """Answers that wait on this machine's disk."""
        return (self._copy or self)._sender.unsent.answers

    @property
    def why_unsent(self) -> str:
        """What the server said when it could last not be reached."""
        return (self._copy or self)._sender.why

    def news(self) -> tuple[str, ...]:
        """What happened meanwhile, each thing once."""
        told, self._told = tuple(self._told), []
        return told

    # --- saving -----------------------------------------------------------------------------------------------

    def save(self, case: Case) -> None:
        """Have what is new on the server, or on this machine's disk until the server answers.

        Raises:
            HeldElsewhereError: somebody took over; the answers are in a copy.
            StorageError: neither would take it; a later save may succeed.
        """
        with self._lock:
            if case is self.case and self._copy is None:
                self.try_again()
                return
            if self._copy is not None:
                self._into_copy(case, _lost_words(self._lost))
            batch = self._batch(case)
            self._closed = False
            try:
                self._sender.take(batch)
            except LostError as lost:
                self._lost = lost.by_whom or "somebody"
                self._into_copy(case, _lost_words(self._lost))
            if batch.aside:
                self._found = ""
            self._size += _letters(batch.items)
            self.case = self.on_disk = case
            self._place.pulse.watch(self)

    def _batch(self, case: Case) -> Batch:
        if case.id != self.case.id or case.entries[: len(self.case.entries)] != self.case.entries:
            raise ValueError("another case's content")
        new = case.entries[len(self.case.entries) :]
        head, items = head_of(case), items_of(new)
        if len(head) + self._size + _letters(items) > MAX_TEXT or len(case.entries) > MOST_ENTRIES:
            raise StorageError("This job has grown too long for one file.", "Close it and open a new one for the rest.",
                               case.id)  # fmt: skip
        aside = bool(self._found) and self._loses_comments(case)
        return Batch(case.id, len(self.case.entries), head, items, digest_of(case, new), aside)

    def _loses_comments(self, case: Case) -> bool:
        """Whether remarks made by hand would go with the next writing of the file."""
        return loses_comments(self._found, continue_text(self._found, self.case, case))

    def _into_copy(self, case: Case, why: str) -> None:
        """Keep the answers in a copy, always the same one, and say so."""
        name = copy_name(self.case.id, self.token)
        copy = replace(case, id=name, title=f"{case.title} (copy)")
        if self._copy is None:
            self._copy = self._place.begin(copy, copy_token(self.token))
            self._sender.outbox.forget(self._sender.unsent)
            self._sender.unsent.batches = []
        else:
            self._copy.save(copy)
        self.case = self.on_disk = case
        hint = f"Your answers are kept in the case {name}; open the case again to go on with it."
        raise HeldElsewhereError(why, hint, self.case.id)

    # --- between savings --------------------------------------------------------------------------------------

    def try_again(self) -> bool:
        """Send what waits; True when nothing is left to send."""
        with self._lock:
            waited = self._sender.unsent.answers
            if self._copy is not None:
                return self._copy.try_again()
            try:
                done = self._sender.try_again()
            except LostError as lost:
                self._lost = lost.by_whom or "somebody"
                try:
                    self._into_copy(self.case, _lost_words(self._lost))
                except HeldElsewhereError as error:
                    self._told.append(f"{error.what} {error.hint}")
                return True
            if done and waited:
                self._told.append(f"The server has the {waited} answers that waited." if waited > 1 else
                                  "The server has the answer that waited.")  # fmt: skip
            return done

    def lost_to(self, by_whom: str) -> None:
        """Told by the one who watches: somebody took the job over."""
        if not self._lost and self._copy is None and not self._closed:
            self._lost = by_whom or "somebody"
            self._told.append(f"{_lost_words(by_whom)} What you still answer goes into a copy.")

    @property
    def is_lost(self) -> bool:
        """Whether it is known that somebody else has the job."""
        return bool(self._lost) or self._copy is not None

    @property
    def key(self) -> int | None:
        """The job's key on the server."""
        return self._sender.key

    def close(self) -> None:
        """Let go; what waits stays on disk and is sent when the server answers. Calling it twice does no harm."""
        with self._lock:
            if self._copy is not None:
                self._copy.close()
            if self._closed:
                return
            self._closed = True
            if self.try_again() and self._copy is None:
                self.finish()

    def finish(self) -> None:
        """Let go on the server and be forgotten by the one who watches."""
        with contextlib.suppress(UnreachableError):  # the lease ends by itself
            self._sender.let_go()
        self._place.pulse.forget(self)

    @property
    def closed(self) -> bool:
        """Whether the person has let go of it."""
        return self._closed


def _letters(items: list[Plain]) -> int:
    return sum(len(item["body"]) for item in items)


def _lost_words(by_whom: str) -> str:
    return f"This case was taken over by {by_whom or 'somebody'}."
