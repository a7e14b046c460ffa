"""The jobs and calls that are open now."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from diag.session.job import Job
from diag.support.text import one_line
from diag.ui.tui.card import row
from diag.ui.tui.rows_stops import is_loud
from diag.ui.tui.screens.lists import PickScreen


class JobsScreen(PickScreen):
    """Pick an open job, or the start; the others wait behind it."""

    about: ClassVar[str] = "Several jobs and calls can be open at once. Pick one; nothing of the others is lost."

    def __init__(self, jobs: Sequence[Job]) -> None:
        lines = [(job.case.id, job_words(job)) for job in jobs]
        super().__init__("Open jobs and calls", [*lines, ("start", "To the start: another job or a new call")],
                         [row("JOBS", f"{len(jobs)} open. The minutes run from each job's beginning.")])  # fmt: skip


def job_words(job: Job) -> str:
    """A job in one line: name, mode, minutes, stops in force."""
    situation = job.standing.situation
    kind = f"phone, {situation.person}" if situation.by_phone else "workshop"
    stops = [rule.title for rule in job.standing.stops if is_loud(rule)]
    tail = f"   STOP: {one_line(stops[0], 40)}" if stops else ""
    return f"{one_line(job.case.title, 40)}   {kind}   {job.minutes:.0f} min{tail}"
