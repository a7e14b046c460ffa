"""Leaving a job or the program: what no disk holds is shown first, and the person chooses what becomes of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.app import App, ComposeResult
from textual.containers import VerticalScroll

from diag.casework.store import CaseStore
from diag.presentation.last_words import SHORT, WAYS, leave_refused, unsaved_lines
from diag.session.job import Job
from diag.support.errors import UserError
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.screens.pages import LineScreen

KEYS = {"again": "t", "folder": "f", "print": "p", "stay": "esc"}


class LeaveScreen(CardScreen[bool]):
    """Answers that no disk holds, whole; the result says whether the jobs may be let go."""

    heading = SHORT[False]
    about: ClassVar[str] = (
        "These answers are in this program's memory only. Free some space and try again, name another folder for the "
        "whole job, or have them printed on the terminal when the program ends. Staying goes on with the job."
    )

    def __init__(self, jobs: Sequence[Job], written: list[str]) -> None:
        super().__init__()
        self.jobs = tuple(jobs)
        self.written = written  # grows by the lines that are to be printed at the end

    def body(self) -> ComposeResult:
        """The answers; arrows scroll them."""
        with VerticalScroll(id="scroll"):
            yield Panel(id="card")

    def arrive(self) -> None:
        """The answers take the arrow keys."""
        super().arrive()
        self.query_one("#scroll").focus()

    def head_rows(self) -> list[Row]:
        """An alarm across the whole screen."""
        return [row("", f" {leave_refused(self.jobs)}", "alarm", fill="alarm")]

    def paint(self) -> None:
        """Every answer, job by job."""
        super().paint()
        rows: list[Row] = []
        for job in self.jobs:
            head, *lines = unsaved_lines(job)
            rows += [row("JOB", head, "strong"), *(row("", line, hang=4) for line in lines)]
        self.panel("card").show(rows)

    def deeds(self) -> Sequence[Deed]:
        """The ways there are."""
        shorts = {"again": "try again", "folder": "other folder", "print": "print", "stay": "stay"}
        ways = {"again": self.do_again, "folder": self.do_folder, "print": self.do_print, "stay": self.do_stay}
        return (*(Deed(KEYS[name], shorts[name], ways[name], words) for name, words in WAYS), self.help_deed)

    def do_again(self) -> None:
        """Try the disk once more."""
        left = tuple(job for job in self.jobs if not job.save_again())
        if not left:
            self.dismiss(True)
            return
        self.jobs = left
        self.paint()
        self.tell(left[0].trouble, "care")

    def do_folder(self) -> None:
        """Ask for a folder; one that refuses is said while it can still be mended."""
        rows = [row("FOLDER", "Which folder takes the job? It is made when it is not there.")]
        screen = LineScreen("Another folder", rows, hint=str(Path.home() / "jobs"), take=self._move)
        self.app.push_screen(screen, self._moved)

    def _moved(self, name: str | None) -> None:
        if name is not None:
            self.dismiss(True)

    def _move(self, name: str) -> None:
        try:
            folder = Path(name.strip()).expanduser()
        except RuntimeError:
            raise UserError("This is no folder of anybody here.", "Write its whole name.") from None
        for job in self.jobs:
            if job.unsaved:
                disk = job.disk
                job.move_to(CaseStore(folder, job.who, disk) if disk is not None else CaseStore(folder, job.who))

    def do_print(self) -> None:
        """They are printed when the screens are gone."""
        for job in self.jobs:
            self.written += unsaved_lines(job)
            job.give_out()
        self.dismiss(True)

    def do_stay(self) -> None:
        """Go on with the job."""
        self.dismiss(False)


def let_go(app: App[Any], written: list[str], jobs: Sequence[Job], then: Callable[[], None]) -> None:
    """Do ``then`` once nothing of these jobs can be lost any more; not at all when the person would rather stay."""
    lost = [job for job in jobs if not job.save_again() and not job.was_given_out]
    if not lost:
        then()
        return

    def decided(leave: bool | None) -> None:
        if leave:
            let_go(app, written, jobs, then)

    app.push_screen(LeaveScreen(lost, written), decided)
