"""The end of a conversation: nothing goes that is not on disk, unless the person was shown it and chose so."""

from __future__ import annotations

from pathlib import Path

from diag.casework.store import CaseStore
from diag.presentation.last_words import WAYS, end_words, leave_refused, refuge_lines, state_words, unsaved_lines
from diag.session.job import Job
from diag.support.errors import ExitCode, UserError
from diag.ui import refuge
from diag.ui.plain import asides
from diag.ui.plain.room import Room

MOST_TURNS = 50  # questions at the way out before it counts as nobody answering


def may_leave(room: Room) -> bool:
    """Close every job's file; False when the person would rather stay. Where the input has ended nobody is asked."""
    for _ in range(MOST_TURNS):
        lost = room.open.at_risk()
        if not lost:
            break
        if room.talk.ended:
            return _flee(room)
        room.talk.say(leave_refused(lost))
        for job in lost:
            room.talk.lines(unsaved_lines(job))
        room.talk.lines(f"{name}: {words}" for name, words in WAYS)
        line = room.talk.ask("again, folder NAME, print, or stay")
        if line is not None and _chosen(room, lost, line) == "stay":
            return False
    else:
        return _flee(room)
    room.open.close()
    return True


def _chosen(room: Room, lost: tuple[Job, ...], line: str) -> str:
    """Do what was chosen; its name, empty for what is no choice."""
    word, _, rest = line.strip().partition(" ")
    word = word.casefold().rstrip(":")
    if word == "folder" and rest.strip():
        _move(room, lost, rest.strip())
    elif word == "print":
        for job in lost:
            job.give_out()
            room.talk.say("Write this down:")
            room.talk.lines(unsaved_lines(job))
    elif word in ("?", "help", "car", "jobs") and room.jobs:
        asides.aside(room, word, "one of these words")
    elif word not in ("again", "stay"):
        room.talk.say("Say one of the words; a folder with its name, such as folder /home/mira/jobs.")
        return ""
    return word


def _move(room: Room, lost: tuple[Job, ...], name: str) -> None:
    try:
        store = CaseStore(Path(name).expanduser(), room.who, lost[0].disk) if lost[0].disk else None
        for job in lost if store is not None else ():
            room.talk.say(f"Now in {name} as {job.move_to(store)}.")  # type: ignore[arg-type]
    except UserError as error:
        room.talk.say(error.one_line())
    except (OSError, RuntimeError, ValueError) as error:
        room.talk.say(f"This is no folder that can be used ({type(error).__name__}).")


def _flee(room: Room) -> bool:
    room.fled += room.open.flee(refuge.places())
    return True


def forced(room: Room) -> list[str]:
    """The end came from outside: lines that say where every answer is, for whoever reads them."""
    room.fled += room.open.flee(refuge.places())
    return end_words(room.open, room.fled)


def last_words(room: Room) -> ExitCode:
    """Say where everything is, and the exit code for it."""
    room.talk.lines(refuge_lines(room.fled))
    away = [found.job for found in room.fled]
    given = [job for job in room.open if job.unsaved and job not in away]
    for job in room.open:
        if job.trouble and not job.unsaved:
            room.talk.say(f"{job.case.id}: {job.trouble}")
    kept = [job for job in room.open if job.is_kept]
    if kept and not away and not given:
        room.talk.say(f"{state_words(kept)} {', '.join(job.case.id for job in kept)}.")
    elif given:
        room.talk.say(state_words(given))
    elif len(room.open) and not kept:
        room.talk.say("Goodbye.")
    troubled = any(job.trouble or job.unsent for job in room.open)
    return ExitCode.STORAGE if given or room.fled or troubled else ExitCode.DONE
