"""The jobs of a team on a PostgreSQL server. Satisfies ``diag.casework.keeping.JobStore``.

Nothing is kept in memory but what is being worked on; many programs on many machines are as safe as one. What may be
seen and done is the server's to say (roles, and rows by shop); names and times of holds come from the server's clock.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from diag.casework.casefile import ReadResult, head_of, read_case
from diag.casework.entries import Case
from diag.casework.ids import SUFFIX, check_case_id
from diag.casework.keeping import Place, WholeJob, none_or_several
from diag.desk import calls, finding, schema
from diag.desk.calls import LEASE, Batch, Hold, Taken
from diag.desk.held import ServerHold
from diag.desk.leftovers import send_leftovers
from diag.desk.lessons import lessons
from diag.desk.link import LONG_PATIENCE, PATIENCE, Link
from diag.desk.outbox import Outbox, Unsent
from diag.desk.pieces import Kept, digest_of, empty_digest, items_of, kept_from, named
from diag.desk.pulse import Pulse
from diag.desk.sending import Sender
from diag.support.disk.holder import host_name
from diag.support.disk.operations import DISK, Disk
from diag.support.errors import HeldElsewhereError, UserError
from diag.support.text import decode_utf8, one_line

if TYPE_CHECKING:
    from diag.casework.lessons import Counts
    from diag.casework.query import Found, Query
    from diag.casework.summary import Summary
    from diag.rulebook.model import RuleBook


class ServerStore:
    """Many jobs on one server.

    Args:
        address: ``postgresql://...`` without a password.
        who: name written beside every answer and shown to others.
        state: folder for what must outlive a program (the outbox).
        lease: seconds without a sign of life after which others may take this program's jobs unasked.
        patience: seconds until an answer counts as not coming.
    """

    def __init__(
        self,
        address: str,
        who: str,
        state: Path,
        disk: Disk = DISK,
        lease: float = LEASE,
        patience: float = PATIENCE,
    ) -> None:
        self.who = one_line(who, 60).strip() or "somebody"
        self.disk = disk
        self.place: Place = "server"
        self.link = Link(address, schema.check, patience)
        self.outbox = Outbox(state, address, disk)
        self.pulse = Pulse(self.link, lease)
        self.lease = lease
        self.told: list[str] = []  # what became of answers that an earlier program could not send
        self._swept = False
        self._reserved: dict[str, ServerHold] = {}

    @property
    def words(self) -> str:
        """The address, fit to be shown."""
        return self.link.words

    def close(self) -> None:
        """End the connections; holds that are still open end with their lease."""
        self.pulse.stop()
        self.link.close()

    # --- names ------------------------------------------------------------------------------------------------

    def ids(self) -> list[str]:
        """All jobs, by name."""
        rows = self.link.run(lambda line: line.execute("select id from diag.jobs order by id").fetchall())
        return [row[0] for row in rows]

    def holds(self, case_id: str) -> bool:
        """Whether the name is taken."""
        name = check_case_id(case_id)
        return self.link.run(lambda line: calls.key_of(line, name)) is not None

    def find(self, words: str) -> str:
        """The one job whose name is, or begins with, or contains the words."""
        return none_or_several(words, self.link.run(lambda line: finding.close_names(line, words)), self.words)

    # --- reading ----------------------------------------------------------------------------------------------

    def text(self, case_id: str) -> str:
        """The job as the text of a case file."""
        kept = self._kept(case_id)
        return decode_utf8(kept.found, f"{case_id}{SUFFIX}") if kept.problem and kept.found else kept.text()

    def read(self, case_id: str) -> ReadResult:
        """Read a job without holding it."""
        return named(read_case(self.text(case_id), f"{case_id}{SUFFIX}"), case_id)

    def _kept(self, case_id: str) -> Kept:
        name = check_case_id(case_id)
        kept = self.link.run(lambda line: finding.kept(line, name))
        if kept is None:
            raise UserError(f"There is no case {case_id} in {self.words}.", "Check the name.")
        return kept

    # --- finding and learning ---------------------------------------------------------------------------------

    def search(self, query: Query) -> list[Found]:
        """Jobs that match, last changed first."""
        self.sweep()
        return self.link.run(lambda line: finding.search(line, query), LONG_PATIENCE)

    def counts(self) -> dict[str, int]:
        """How many jobs there are of each status."""
        return self.link.run(finding.counts, LONG_PATIENCE)

    def summaries(self) -> Iterator[Summary]:
        """What looking back needs, one job after the other, in the order of names."""
        after = ""
        while page := self.link.run(lambda line, after=after: finding.page(line, after), LONG_PATIENCE):  # type: ignore[misc]
            for name, summary in page:
                if summary is not None:
                    yield summary
                after = name

    def lessons(self, book: RuleBook) -> Counts:
        """What all closed jobs teach about this book's causes, counted by the server."""
        return self.link.run(lambda line: lessons(line, book), LONG_PATIENCE)

    # --- carrying ---------------------------------------------------------------------------------------------

    def take_out(self, case_id: str) -> WholeJob:
        """The job byte for byte; it stays where it is."""
        kept = self._kept(case_id)
        found = self.link.run(lambda line: finding.as_found(line, case_id))
        return WholeJob(case_id, kept.data(), found)

    def bring_in(self, job: WholeJob) -> None:
        """Keep a job byte for byte.

        Raises:
            UserError: there is a job of this name.
        """
        name = check_case_id(job.id)
        kept, case = kept_from(name, job.data)
        digest = digest_of(case) if case is not None else empty_digest(name)
        items = items_of(case.entries) if case is not None and not kept.problem else []
        batch = Batch(name, 0, kept.head, items, digest | ({"sketch": {}} if kept.problem else {}))
        self.link.run(lambda line: calls.bring_in(line, batch, kept.found, kept.problem, job.found))

    # --- working ----------------------------------------------------------------------------------------------

    def create(self, case: Case) -> ServerHold:
        """Keep a new job and hold it. With the server away it waits on this machine's disk, like any answer.

        Raises:
            UserError: the name is taken.  StorageError: neither server nor disk would take it.
        """
        self.sweep()
        return self.begin(case, str(uuid4()))

    def begin(self, case: Case, token: str) -> ServerHold:
        """The same under a hold's mark that was chosen before."""
        sender = self.sender(check_case_id(case.id), token)
        items = items_of(case.entries)
        sender.take(Batch(case.id, 0, head_of(case), items, digest_of(case), creates=True))
        held = ServerHold(self, sender, case, told=self.news())
        self.pulse.watch(held)
        return held

    def open(self, case_id: str, take_over: bool = False, accept_readable_part: bool = False) -> ServerHold:
        """Hold an existing job.

        Raises:
            HeldElsewhereError: somebody has it (then read it, or take over).
            CaseFileError: the file as brought in is damaged or from a newer program.
        """
        self.sweep()
        reserved = self._reserved.pop(case_id, None)
        if reserved is not None:
            return reserved
        sender = self.sender(check_case_id(case_id), str(uuid4()))
        taken = self.link.run(lambda line: calls.take(line, case_id, sender.hold, take_over))
        if taken.answer == "gone":
            raise UserError(f"There is no case {case_id} in {self.words}.", "Check the name.")
        if taken.answer == "held":
            raise HeldElsewhereError(
                f"This case is open elsewhere by {taken.by_whom}, since {_clock_words(taken)}.",
                "Look at it without changing it, or take it over; the other program will be told.",
                case_id,
            )
        sender.unsent.key = taken.key
        try:
            held = self._opened(case_id, sender, taken, accept_readable_part)
        except BaseException:
            sender.let_go()
            raise
        self.pulse.watch(held)
        return held

    def reserve(self, case_id: str) -> None:
        """Hold a job now and hand it out when it is opened next.

        Raises: as for ``open``.
        """
        self._reserved[case_id] = self.open(case_id)

    def _opened(self, case_id: str, sender: Sender, taken: Taken, accept: bool) -> ServerHold:
        kept = self._kept(case_id)
        result = self.read(case_id)
        told = self.news() + (
            f"Taken over from {taken.by_whom}, who had it since {_clock_words(taken)} and is told.",
        ) * (taken.lives and bool(taken.by_whom))
        if result.case is not None:
            as_found = kept.text() if kept.found is not None else ""
            return ServerHold(self, sender, result.case, result, as_found, told)
        if not accept or result.salvage is None or result.newer:
            raise result.problems[0]
        part = result.salvage
        batch = Batch(case_id, 0, head_of(part), items_of(part.entries), digest_of(part), aside=True)
        sender.take(batch)
        return ServerHold(self, sender, part, result, "", told)

    def sender(self, case_id: str, token: str, unsent: Unsent | None = None) -> Sender:
        """The way to the server of one hold, new or with what waits."""
        unsent = unsent or Unsent(case_id, token, self.who)
        return Sender(self.link, self.outbox, Hold(token, unsent.who, host_name(), self.lease), unsent)

    def news(self) -> tuple[str, ...]:
        """What became of answers that an earlier program could not send, each thing once."""
        told, self.told = tuple(self.told), []
        return told

    # --- what earlier programs could not send -------------------------------------------------------------------

    def sweep(self) -> None:
        """Send what programs that have ended left in the outbox; once, and again as long as something stays there."""
        if not self._swept and not self.link.resting:
            self._swept = send_leftovers(self)


def _clock_words(taken: Taken) -> str:
    return taken.since.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC") if taken.since else "a moment ago"
