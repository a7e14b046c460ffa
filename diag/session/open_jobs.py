"""The jobs that are worked on in one run of the program, and what becomes of their answers at its end.

A front end lets go of a job here. What no disk holds is shown to a person first, who tries again, chooses another
folder, or takes the answers in writing; where nobody can be asked any more, the job goes into a folder of refuge.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from diag.support.errors import UserError

if TYPE_CHECKING:  # the first screen, which has no job yet, does not wait for what a job needs
    from diag.session.job import Job


@dataclass(frozen=True, slots=True)
class Refuge:
    """Where a job went when nobody could be asked: its file, None when no folder took it."""

    job: Job
    file: Path | None


class OpenJobs:
    """Jobs in the order in which they were opened."""

    def __init__(self, jobs: Iterable[Job] = ()) -> None:
        self._jobs: list[Job] = list(jobs)

    def __iter__(self) -> Iterator[Job]:
        return iter(tuple(self._jobs))

    def __len__(self) -> int:
        return len(self._jobs)

    def __getitem__(self, at: int) -> Job:
        return self._jobs[at]

    def add(self, job: Job) -> int:
        """Keep a job open; its place among them."""
        if job not in self._jobs:
            self._jobs.append(job)
        return self._jobs.index(job)

    def named(self, case_id: str) -> Job | None:
        """The open job of this name."""
        return next((job for job in self._jobs if job.case.id == case_id), None)

    def at_risk(self) -> tuple[Job, ...]:
        """The jobs with answers that neither a disk holds, after one more try, nor a person was given."""
        return tuple(job for job in self._jobs if not job.save_again() and not job.was_given_out)

    def let_go(self, job: Job) -> None:
        """Close a job's file and forget the job.

        Raises:
            NotOnDiskError: it has answers that are neither on disk nor given out; it stays open.
        """
        job.close_file()
        self._jobs.remove(job)

    def close(self) -> None:
        """Close every file; the jobs stay, to be spoken of.

        Raises:
            NotOnDiskError: as for ``let_go``; the others are closed.
        """
        refused: UserError | None = None
        for job in self._jobs:
            try:
                job.close_file()
            except UserError as error:
                refused = error
        if refused is not None:
            raise refused

    def flee(self, folders: Iterable[Path]) -> list[Refuge]:
        """A sudden end, when nobody can be asked: put what is not on disk into the first folder that takes it.

        The case goes there whole. What no folder takes counts as given out: the caller writes it where it still can.
        """
        fled = []
        places = tuple(folders)
        for job in self.at_risk():
            fled.append(Refuge(job, next((file for place in places if (file := _fled(job, place))), None)))
            if fled[-1].file is None:
                job.give_out()
        self.close()
        return fled


def _fled(job: Job, folder: Path) -> Path | None:
    """The job's file in this folder, None when it would not take it."""
    from diag.casework.store import CaseStore  # at start-up nothing waits for it

    store = CaseStore(folder, job.who, job.disk) if job.disk is not None else CaseStore(folder, job.who)
    try:
        return store.folder / f"{job.move_to(store)}.yaml"
    except UserError:
        return None
