"""Deeds that follow one another, done in one go, and what is read to a caller one line at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diag.casework.agenda import Task
from diag.casework.entries import Entry, Note, ReadingTaken, SignAnswer
from diag.rulebook.model import Step
from diag.safety.steps import find_step
from diag.support.text import one_line
from diag.ui.plain import words

if TYPE_CHECKING:
    from diag.ui.plain.conversation import Conversation


def caller_lines(room: Conversation, step: Step) -> list[str]:
    """For the phone: what the caller said last, and the first line to read aloud; Enter gives the next one."""
    said_last = next((text for entry in reversed(room.job.case.effective()) if (text := _words(entry))), "")
    lines = [f'The caller said: "{one_line(said_last, 200)}"'] if said_last else []
    more = f" (Enter: the next of {len(step.aloud)} lines)" if len(step.aloud) > 1 else ""
    return [*lines, f"Read aloud: {step.aloud[0]}{more}"]


def _words(entry: Entry) -> str:
    """The person's own words of an entry, empty where it has none."""
    return entry.text if isinstance(entry, SignAnswer | ReadingTaken | Note) and len(entry.text.split()) > 1 else ""


def chain(room: Conversation, task: Task) -> list[Task]:
    """The deeds from here on that follow one another without a look or a question between; a caller gets one."""
    found: list[Task] = []
    if room.by_phone:
        return [task]
    for one in room.job.tasks if task.kind == "do" else ():
        if one.kind != "do" or one.step in room.book.checks:
            break
        found.append(one)
    return found


def chain_lines(room: Conversation, task: Task) -> list[str]:
    """The deeds that follow this one, with their steps, so that all may be done in one go."""
    following = chain(room, task)[1:]
    lines: list[str] = []
    for one in following:
        step = find_step(room.book, one.step)
        if step is not None:
            lines.append(f"Then: {one_line(step.title)}.")
            lines += words.caution_lines(step, room.book, room.heard)
            room.heard.update(step.hazards)
            lines += words.step_lines(step, aloud=False)
    return [*lines, "done all: when all of it is done, in this order."] if following else []
