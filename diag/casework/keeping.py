"""What keeps jobs, as everything above sees it: a folder of files, or a database server for a team.

Two things satisfy this: ``diag.casework.store.CaseStore`` (one YAML file a job) and ``diag.desk.server.ServerStore``.
A job's entries are only ever appended; whoever appends holds the job, and learns when somebody else took it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import TYPE_CHECKING, Literal, Protocol, Self

from diag.support.disk.operations import Disk
from diag.support.errors import UserError
from diag.support.text import one_line

if TYPE_CHECKING:
    from diag.casework.casefile import ReadResult
    from diag.casework.entries import Case
    from diag.casework.lessons import Counts
    from diag.casework.query import Found, Query
    from diag.casework.summary import Summary
    from diag.rulebook.model import RuleBook

Place = Literal["disk", "server"]


@dataclass(frozen=True, slots=True)
class WholeJob:
    """A job byte for byte, to be carried from one store to another.

    ``data`` is the case file; ``found`` are the copies of it as found before it was rewritten, oldest first.
    """

    id: str
    data: bytes
    found: tuple[bytes, ...] = ()


class HeldJob(Protocol):
    """A job held for writing; a context manager that lets go at the end."""

    @property
    def store(self) -> JobStore:
        """Where it is kept."""

    @property
    def case(self) -> Case:
        """What was last taken."""

    @property
    def on_disk(self) -> Case | None:
        """The same while something that outlives this program holds it, else None."""

    @property
    def result(self) -> ReadResult | None:
        """Notes and problems of the reading, None for a new job."""

    @property
    def copy_id(self) -> str:
        """The copy that answers go to after the job was lost to another program, else empty."""

    @property
    def unsent(self) -> int:
        """Answers kept on this machine that the server does not have yet."""

    @property
    def why_unsent(self) -> str:
        """What the server said when it could last not be reached; empty when nothing waits."""

    def news(self) -> tuple[str, ...]:
        """What happened to the job meanwhile, each thing once: taken over, sent after all."""

    def save(self, case: Case) -> None:
        """Keep this state of the case.

        Raises:
            HeldElsewhereError: somebody took over; the answers are in a copy whose name the message gives.
            StorageError: nothing would take it; a later save may succeed.
        """

    def close(self) -> None:
        """Let go; calling it twice does no harm."""

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...


class JobStore(Protocol):
    """Many jobs."""

    who: str
    disk: Disk

    @property
    def place(self) -> Place:
        """What takes the answers."""

    @property
    def words(self) -> str:
        """Where the jobs are, for messages; never with a secret."""

    def news(self) -> tuple[str, ...]:
        """What became of answers that an earlier program could not send, each thing once."""

    def ids(self) -> list[str]:
        """All jobs, by name."""

    def holds(self, case_id: str) -> bool:
        """Whether the name is taken."""

    def find(self, words: str) -> str:
        """The one job whose name is, or begins with, or contains the words.

        Raises:
            UserError: none or several.
        """

    def text(self, case_id: str) -> str:
        """The job as the text of a case file."""

    def read(self, case_id: str) -> ReadResult:
        """Read a job without holding it."""

    def create(self, case: Case) -> HeldJob:
        """Keep a new job and hold it."""

    def open(self, case_id: str, take_over: bool = False, accept_readable_part: bool = False) -> HeldJob:
        """Hold an existing job.

        Raises:
            HeldElsewhereError: another program has it (then read it, or take over).
            CaseFileError: it is damaged or from a newer program.
        """

    def search(self, query: Query) -> list[Found]:
        """Jobs that match, last changed first."""

    def counts(self) -> dict[str, int]:
        """How many jobs there are of each status."""

    def summaries(self) -> Iterator[Summary]:
        """What looking back needs, one job after the other, in the order of names."""

    def lessons(self, book: RuleBook) -> Counts:
        """What all closed jobs teach about this book's causes."""

    def take_out(self, case_id: str) -> WholeJob:
        """The job byte for byte; it stays where it is."""

    def bring_in(self, job: WholeJob) -> None:
        """Keep a job byte for byte.

        Raises:
            UserError: there is a job of this name.
        """


def none_or_several(words: str, close: list[str], where: str) -> str:
    """The one name of those that come close; the sentences for none and for several are the same everywhere.

    Raises:
        UserError: there is not exactly one.
    """
    if len(close) == 1:
        return close[0]
    shown = one_line(words, 60)
    if close:
        raise UserError(f"{len(close)} cases match {shown!r}.", f"Be more exact: {', '.join(close[:5])}.")
    raise UserError(f"There is no case {shown!r} in {where}.", "List them: diag jobs")
