"""Several jobs: beginning one, finding one again, turning to another."""

from __future__ import annotations

from diag.casework.query import Found, Query
from diag.session.answers import yes_or_no
from diag.session.job import Job
from diag.session.kept import new_case
from diag.support.errors import CaseFileError, HeldElsewhereError, UserError
from diag.support.text import one_line
from diag.ui.plain import opening
from diag.ui.plain.room import Room
from diag.ui.plain.words import ranking_lines

MOST_LISTED = 9


def begin(room: Room, case_id: str, title: str, take_over: bool) -> None:
    """The first job: the one named, a new one, or one of the folder."""
    if case_id:
        opened(room, case_id, take_over)
        return
    if title:
        start(room, title)
        return
    found = _found(room, Query(status="open", limit=MOST_LISTED)) + _found(
        room, Query(status="waiting for part", limit=MOST_LISTED)
    )
    while not room.jobs and not room.talk.ended:
        _list(room, found[:MOST_LISTED])
        line = room.talk.ask(opening.WRONG + (", or a number to go on with a job" if found else ""))
        if line is None:
            return
        try:
            if line.isdecimal() and 1 <= int(line) <= len(found[:MOST_LISTED]):
                opened(room, found[int(line) - 1].id, False)
            elif line:
                start(room, line.removeprefix("tell ").strip())
        except UserError as error:
            room.talk.say(error.one_line())


def start(room: Room, title: str) -> None:
    """A new job."""
    if room.store is not None:
        job = Job.start(room.store, room.book, title, room.who, room.cache)
    else:
        job = Job(new_case(room.book, title), room.book, None, room.who, cache=room.cache)
    room.take(job)
    room.talk.say(f"New job {job.case.id}.")
    opening.new_job(room, title)


def opened(room: Room, case_id: str, take_over: bool) -> None:
    """Go on with a job of the folder; a job that somebody else holds, or a damaged one, is asked about."""
    if room.store is None:
        raise UserError("There is no folder of jobs here.", "Start the program without a single case.")
    name = room.store.find(case_id)
    part = False
    while True:
        try:
            job = Job.open(room.store, room.book, name, room.who, room.cache, take_over, part)
            break
        except HeldElsewhereError as error:
            room.talk.say(error.one_line())
            if take_over or not _asked(room, "Take it over? The other program is told at its next answer."):
                raise UserError("The job was left alone.", "Look at it with: diag weigh " + name) from None
            take_over = True
        except CaseFileError as error:
            room.talk.say(error.one_line())
            if part or not _asked(room, "Go on with the part that can be read? The file is kept as it was found."):
                raise
            part = True
    room.take(job)
    room.talk.say(f"Job {job.case.id}: {job.case.title}.")
    if job.case.entries:
        room.talk.lines(ranking_lines(room.now, 3))
        room.mark_ranking()
        room.talk.lines((*job.remarks, *room.now.problems))


def _asked(room: Room, question: str) -> bool:
    return yes_or_no(room.talk.ask(f"{question} yes or no, Enter for no") or "") is True


def _found(room: Room, query: Query) -> list[Found]:
    if room.store is None:
        return []
    found = room.store.search(query)
    room.talk.lines(room.store.news())
    return found


def _list(room: Room, found: list[Found]) -> None:
    if found:
        room.talk.say("Jobs not closed:")
    for at, job in enumerate(found, 1):
        state = f"damaged: {job.problem}" if job.problem else job.status
        room.talk.say(f"{at}. {one_line(job.title) or job.id}, {state}, {job.changed[:10]}")


# ------------------------------------------------------------------ commands


def jobs(room: Room, rest: str) -> None:
    """The jobs at hand, then those of the folder."""
    for at, job in enumerate(room.jobs, 1):
        here = " (this one)" if at - 1 == room.at else ""
        room.talk.say(f"{at}. {one_line(job.case.title)}, {job.case.id}{here}")
    held = {job.case.id for job in room.jobs}
    others = [f for f in _found(room, Query(text=rest, limit=20)) if f.id not in held]
    if others:
        room.talk.say("Others; say switch and the name:")
    for found in others:
        room.talk.say(f"- {found.id}: {one_line(found.title)}, {found.status}, {found.changed[:10]}")


def switch(room: Room, rest: str) -> None:
    """Another job: a number of those at hand, or a name of the folder."""
    told = rest.strip()
    if told.isdecimal() and 1 <= int(told) <= len(room.jobs):
        room.take(room.jobs[int(told) - 1])
    elif not told:
        raise UserError("Which job?", "Say jobs for the list.")
    else:
        here = next((job for job in room.jobs if told == job.case.id), None)
        if here is None:
            opened(room, told, False)
            return
        room.take(here)
    room.talk.say(f"Job {room.job.case.id}: {room.job.case.title}.")


def new(room: Room, rest: str) -> None:
    """Begin another job; this one stays open."""
    title = rest or room.talk.ask(opening.WRONG) or ""
    if title:
        start(room, title)
