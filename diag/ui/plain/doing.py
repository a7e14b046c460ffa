"""Deeds that follow one another, done in one go, and what is read to a caller one line at a time."""

from __future__ import annotations

import re
from collections.abc import Sequence

from diag.casework.agenda import Task, in_one_go, places_only
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Step
from diag.rulebook.typed import read_typed
from diag.safety.steps import find_step, questions_only
from diag.session.answers import said
from diag.session.heard import last_said
from diag.session.series import read_series
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain import checklist, step_words
from diag.ui.plain.room import Room

_VALUE = re.compile(r"[-~<>]?\s*\.?\d|(?:about|over|under|above|below)\s+-?\d", re.IGNORECASE)


def caller_lines(room: Room, step: Step) -> list[str]:
    """For the phone: what the caller said last, and the first line to read aloud; Enter gives the next one."""
    words_last = last_said(room.job.case)
    lines = [f'The caller said: "{words_last}"'] if words_last else []
    more = f" (Enter: the next of {len(step.aloud)} lines)" if len(step.aloud) > 1 else ""
    return [*lines, f"Read aloud: {step.aloud[0]}{more}"]


def chain(room: Room, task: Task) -> list[Task]:
    """The deeds from here on that follow one another without a look or a question between; a caller gets one."""
    if room.by_phone or task.kind != "do":
        return [task]
    return list(in_one_go(room.now, room.job.tasks)[0]) or [task]


def ahead(room: Room, task: Task) -> tuple[Task, ...]:
    """The questions that come right after these deeds and may be answered in the same line; none for a caller."""
    return () if room.by_phone or task.kind not in ("do", "remedy") else in_one_go(room.now, room.job.tasks)[1]


def chain_lines(room: Room, task: Task) -> list[str]:
    """What follows this deed, with its steps and questions, so that all may be done and told in one go."""
    following = chain(room, task)[1:]
    lines: list[str] = []
    for one in following:
        lines += _then(room, one)
    asked = ahead(room, task)
    if asked:
        lines += _then(room, asked[0])
        places = places_only(asked, room.book)
        lines += checklist.place_lines(asked, room.book) if places else _questions(asked, room.book)
    done = "done all" if following else "done"
    if asked:
        return [*lines, f"{done}; and what was found, in one line: {done}; {checklist.example(asked, room.book)}"]
    return [*lines, "done all: when all of it is done, in this order."] if following else []


def _questions(asked: Sequence[Task], book: RuleBook) -> list[str]:
    return checklist.series_lines(asked, book) or step_words.question_lines(asked[0], book)


def _then(room: Room, task: Task) -> list[str]:
    step = find_step(room.book, task.step)
    if step is None:
        return []
    lines = [f"Then: {one_line(step.title)}.", *step_words.caution_lines(step, room.book, room.heard)]
    room.heard.update(step.hazards)
    if isinstance(step, Check) and questions_only(step):
        return lines
    return [*lines, *room.steps_of(step)]


def same_questions(found: Sequence[Task], shown: Sequence[Task]) -> bool:
    """Whether the questions that come now are those that were shown, be it under another check's name."""
    return {(t.sign, t.reading, t.at) for t in found} == {(t.sign, t.reading, t.at) for t in shown}


def is_announced(room: Room, asked: Sequence[Task], line: str) -> bool:
    """Whether a line without "done" can only be the value that was announced, or several of them.

    Raises:
        UserError: it is a value, and one that cannot be.
    """
    if not _VALUE.match(line.strip()) or asked[0].kind != "reading":
        return False
    unit = room.job.case.unit_pressure
    if read_series(line, asked, room.book, unit) is None:
        kind = room.book.readings[asked[0].reading]
        amount = read_typed(said(line).text, kind, unit)
        if not kind.can_be(amount.low, amount.high, amount.bound):
            raise UserError(f"{amount.understood} is outside what this can be.", "Look again at unit and scale.")
    return True
