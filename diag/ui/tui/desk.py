"""What screens know of the program around them; the program itself is in ``diag.ui.tui.app``, and knows them all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from diag.session.open_jobs import OpenJobs
from diag.ui.tui.card import Row
from diag.ui.tui.deeds import Act, Deed
from diag.ui.tui.glyphs import Glyphs

if TYPE_CHECKING:  # the first screen does not wait for what a job needs
    from diag.casework.keeping import JobStore
    from diag.casework.replay import ModelCache
    from diag.hearing.listen import Listener
    from diag.rulebook.model import RuleBook
    from diag.session.job import Job


@dataclass(frozen=True)
class Options:
    """How the program was started.

    ``cases`` is the folder of jobs or the address of a server, ``rules`` a folder, ``case`` a job's name or file.
    """

    cases: Path | str
    rules: Path | None = None
    case: str = ""
    title: str = ""
    phone: bool = False
    no_color: bool = False
    ascii: bool = False
    who: str = ""
    open_file: Callable[[str], Job] | None = field(default=None, compare=False)

    @property
    def papers(self) -> Path:
        """Where reports are written: beside the job's file; with a server, in the present folder."""
        return self.cases if isinstance(self.cases, Path) else Path.cwd()


class Desk(Protocol):
    """The program as a screen sees it."""

    options: Options
    glyphs: Glyphs
    book: RuleBook | None
    jobs: OpenJobs
    cache: ModelCache
    ticks: dict[tuple[str, str], set[int]]
    written: list[str]

    @property
    def store(self) -> JobStore:
        """The folder of jobs, or the server."""

    @property
    def listener(self) -> Listener:
        """What understands people's words with the rule book in use."""

    def make_listener_ready(self) -> None:
        """Begin to make it, so that the first sentence is answered at once."""

    def when_ready(self, deed: Act) -> bool:
        """Do it as soon as the rule book is there."""

    def new_job(self, title: str, phone: bool) -> Job:
        """A new job with its file."""

    def open_job(self, name: str, take_over: bool = False, accept_readable_part: bool = False) -> Job:
        """A job from the folder, or one that is open already."""

    def work_on(self, job: Job, opening: bool = False) -> None:
        """Show a job."""

    def leave_job(self, job: Job) -> None:
        """Let go of a job and show the start."""

    def show_jobs(self) -> None:
        """The jobs open now, to switch between."""

    def show_page(self, title: str, rows: Sequence[Row]) -> None:
        """A page to read."""

    def show_menu(self, deeds: Sequence[Deed], then: Callable[[Deed], None]) -> None:
        """Everything that can be done, to pick from."""

    def action_leave(self) -> None:
        """Leave the program."""
