"""What is said about answers and the disk: the one place that makes such a sentence, from the state of the jobs.

No other module says that anything is on disk, so that none can say it while it is not so
(tests/presentation/test_last_words.py looks for it).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from diag.support.text import one_line

if TYPE_CHECKING:  # the first screen, which has no job yet, does not wait for what a job needs
    from diag.casework.entries import Entry
    from diag.rulebook.model import RuleBook
    from diag.session.kept import KeptJob
    from diag.session.open_jobs import OpenJobs, Refuge

SHORT = {True: "on disk", False: "NOT ON DISK", None: "not kept"}
PROMISE = (
    "Every answer goes to disk before the next question; one that could not be saved is shown before anything ends."
)
WAYS = (
    ("again", "Try again: some space was freed, or the folder is back"),
    ("folder", "Another folder for the whole job"),
    ("print", "Have these answers in writing and let the job go"),
    ("stay", "Stay with the job"),
)
"""What a person may choose who leaves with answers that no disk holds: a name, and what it does."""


def counted(number: int) -> str:
    """``1 answer``, ``2 answers``."""
    return f"{number} answer{'' if number == 1 else 's'}"


def short_words(job: KeptJob) -> str:
    """Where a job's answers are, for a heading."""
    if job.place == "server" and not job.unsaved:
        return f"NOT SENT YET: {job.unsent}" if job.unsent else "on the server"
    return SHORT[not job.unsaved if job.is_kept else None]


def trouble_words(job: KeptJob) -> str:
    """Why the disk did not take the newest answers and what happens next; empty when there is nothing to say."""
    if job.unsaved:
        return f"NOT ON DISK YET: {counted(len(job.unsaved))}. {job.trouble} The next answer tries again."
    return " ".join(words for words in (job.trouble, unsent_words(job)) if words)


def unsent_words(job: KeptJob) -> str:
    """How many answers the server does not have yet and what becomes of them; empty when it has all."""
    if not job.unsent:
        return ""
    why = f" {job.why_unsent}" if job.why_unsent else ""
    return f"NOT SENT YET: {counted(job.unsent)}, kept on this machine until the server takes them.{why}"


def state_words(jobs: Iterable[KeptJob]) -> str:
    """One sentence on whether the answers of these jobs are on disk; empty when no job has a file."""
    kept = [job for job in jobs if job.is_kept]
    lost = [job for job in kept if job.unsaved]
    if not kept:
        return ""
    waiting = [job for job in kept if job.unsent and job not in lost]
    if not lost and not waiting:
        places = {"disk": "on disk", "server": "on the server"}
        return f"Every answer given so far is {' or '.join(sorted({places[job.place or 'disk'] for job in kept}))}."
    if not lost:
        return " ".join(f"{one_line(job.case.title, 60)!r}: {unsent_words(job)}" for job in waiting) + (
            " The next program that works with this server on this machine sends them."
        )
    return " ".join(
        f"NOT ON DISK: {counted(len(job.unsaved))} of {one_line(job.case.title, 60)!r}. {job.trouble}".strip()
        for job in lost
    )


def answer_lines(entries: Sequence[Entry], book: RuleBook, unit: str) -> list[str]:
    """Entries in words, one a line, as a person would write them down."""
    from diag.presentation.wording import Words, entry_words  # at start-up nothing waits for it

    words = Words(book, unit)
    return [f"{e.number}. {e.at[11:16]} {': '.join(entry_words(e, words))}" for e in entries]


def unsaved_lines(job: KeptJob) -> list[str]:
    """The job's answers that no disk holds, with a heading."""
    lines = answer_lines(job.unsaved, job.book, job.case.unit_pressure)
    return [f"{one_line(job.case.title, 60)} ({job.case.id}): {counted(len(lines))} not on disk. {job.trouble}", *lines]


def leave_refused(jobs: Iterable[KeptJob]) -> str:
    """What is said to somebody who wants to leave with answers that no disk holds."""
    number = sum(len(job.unsaved) for job in jobs)
    return f"Not left yet: {counted(number)} would be lost. Choose what becomes of {'it' if number == 1 else 'them'}."


def refuge_lines(fled: Iterable[Refuge]) -> list[str]:
    """Where the jobs went that could not be saved at a sudden end; the answers themselves where nothing took them."""
    lines = []
    for refuge in fled:
        title = one_line(refuge.job.case.title, 60)
        if refuge.file is not None:
            lines.append(f"{title!r} could not be saved in its folder; the whole job is now on disk as {refuge.file}")
        else:
            lines += unsaved_lines(refuge.job)
    return lines


def end_words(jobs: OpenJobs, fled: Sequence[Refuge] = ()) -> list[str]:
    """The last lines of a run that ended suddenly: where every answer is."""
    lines = refuge_lines(fled)
    at_home = [job for job in jobs if job not in [refuge.job for refuge in fled]]
    said = state_words(at_home)
    return [*lines, said] if said else lines
