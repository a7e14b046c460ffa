"""Answering the question or step at hand, and choosing another step."""

from __future__ import annotations

import re
from typing import Literal

from diag.casework.agenda import Task
from diag.hearing.search_steps import find_steps
from diag.presentation.stop_rules import is_danger
from diag.quantities import parse
from diag.rulebook.between import words_between
from diag.rulebook.findings import ABSENT, Sign
from diag.rulebook.steps import Step
from diag.rulebook.typed import read_typed
from diag.safety.steps import find_step
from diag.session.answers import figure_and_words, said, sign_answer
from diag.session.choice_words import choice_in_words
from diag.session.heard import keep_unplaced, parts_denied
from diag.session.own_words import after_the_lead, in_own_words, says_both
from diag.session.series import read_series, reader_of
from diag.support.errors import UserError
from diag.support.text import numbered, one_line
from diag.ui.plain import asides, checklist, doing, hearing, opening, step_words
from diag.ui.plain.commands import command_of
from diag.ui.plain.room import Room

ASKS = ("sign", "reading")
WORKS = ("do", "remedy")
MORE_TOLD = 3  # words after a yes or no from which on they are heard for themselves
_WITH_ANSWERS = re.compile(r"done(\s+all)?\s*[;,]\s*(.+)", re.IGNORECASE)


def try_answer(room: Room, task: Task, line: str) -> bool:
    """Take the line as an answer to the task; False when it is none and may be a command."""
    text = line.strip()
    if text in ("?", "h?"):
        room.talk.lines(step_words.explained(task, room.now))
        return True
    if not text:
        _enter(room, task)
        return True
    if task.kind in WORKS:
        return _done_and_found(room, task, text)
    told = _WITH_ANSWERS.fullmatch(text)
    if told is not None:
        text = told[2]  # "done; all dry" where only the looking is left
    places = task.kind == "sign" and checklist.is_look_over(room, task) and not asides.is_command(text)
    if places and checklist.answer_places(room, task, text):
        return True
    if command_of(text) is None and checklist.answer_series(room, checklist.asked_now(room, task), text):
        return True
    if task.kind == "sign":
        several = places and len(checklist.open_questions(room, task)) > 1  # "fine" says nothing of the first alone
        return not several and _try_sign(room, task, text)
    if task.kind == "reading" and command_of(text) is None:
        _give_reading(room, task, text)
        return True
    return False


def fits(room: Room, task: Task, line: str) -> bool:
    """Whether a line would be an answer to the task; nothing is entered."""
    found = command_of(line)
    if task.kind in WORKS:
        return found is not None and found[0].name in ("done", "cannot", "later", "skip")
    if found is not None and found[0].name in ("cannot", "later", "skip"):
        return True
    if found is not None or task.kind not in ASKS:
        return False
    if task.kind == "sign" and checklist.is_look_over(room, task):
        return checklist.speaks_of_places(room, task, line)
    unit = room.job.case.unit_pressure
    try:
        if read_series(line, checklist.asked_now(room, task), room.book, unit) is not None:
            return True
    except UserError:
        return False
    told = said(line).text
    if task.kind == "reading":
        reads = reader_of(room.book.readings[task.reading], unit)
        return reads(figure_and_words(told, reads)[0])
    sign = room.book.signs[task.sign]
    return bool(told) and sign_answer(sign, told, words_between(sign, room.book)) is not None


def _done_and_found(room: Room, task: Task, line: str) -> bool:
    """Take "done; all dry" or a value alone where a reading was announced: deeds and answers in one line.

    The answers are taken only for the questions that were shown, once the deeds really lead to them.
    """
    asked = doing.ahead(room, task)
    told = _WITH_ANSWERS.fullmatch(line.strip())
    if told is None and (not asked or not doing.is_announced(room, asked, line)):
        return False
    if not asked:
        return told is not None and _done_then_asked(room, task, told[2])
    found = told[2] if told is not None else line
    for one in doing.chain(room, task) if told is None or told[1] else [task]:
        room.job.done(one.step)
    if any(is_danger(rule) and rule.id not in room.accepted for rule in room.now.stops):
        room.talk.say("Written down as done. What was found is asked once the stop rule was heard.")
    elif not doing.same_questions(checklist.open_questions(room, room.task), asked):
        room.talk.say("Written down as done. Something else comes before what was announced.")
    elif not try_answer(room, room.task, found):
        room.talk.say(f"Written down as done; {one_line(found, 80)!r} is no answer to what follows.")
    return True


def _done_then_asked(room: Room, task: Task, found: str) -> bool:
    """Take a deed with its answers where the questions were not shown yet, as by phone: they are shown first."""
    if re.fullmatch(r"[\d.]+(?: ?min\w*)?", found) and not room.by_phone:
        return False  # minutes
    room.job.done(task.step)
    if any(is_danger(rule) and rule.id not in room.accepted for rule in room.now.stops):
        room.talk.say("Written down as done. What was found is asked once the stop rule was heard.")
        return True
    after = room.task
    if after.kind not in ASKS:
        room.talk.say(f"Written down as done; something else comes before {one_line(found, 80)!r} is asked.")
        return True
    asked = checklist.asked_now(room, after)
    places = checklist.is_look_over(room, after)
    room.talk.lines(
        checklist.place_lines(asked, room.book)
        if places
        else checklist.series_lines(asked, room.book) or step_words.question_lines(after, room.book)
    )
    if not try_answer(room, after, found):
        room.talk.say(f"Written down as done; {one_line(found, 80)!r} is no answer to this.")
    return True


def _enter(room: Room, task: Task) -> None:
    """Enter alone never answers: it repeats the question, or reads the next line of a longer piece of work."""
    step = find_step(room.book, task.step)
    reading = room.by_phone and step is not None and 0 < room.reading_on < len(step.aloud)
    if step is not None and (task.kind in WORKS or reading):
        texts = step.aloud if room.by_phone and step.aloud else step.steps
        if room.reading_on < len(texts):
            room.reading_on += 1
            room.talk.say(f"Step {room.reading_on} of {len(texts)}: {texts[room.reading_on - 1]}")
        else:
            room.talk.say("That was the last step. Say done when all of it is done.")
        return
    room.show_again()


def _try_sign(room: Room, task: Task, text: str) -> bool:
    sign = room.book.signs[task.sign]
    told = said(text)
    answer = sign_answer(sign, told.text, words_between(sign, room.book))
    if answer is None and command_of(text) is None:
        answer = choice_in_words(sign, told.text)
        if answer is not None:
            meant = next(choice.words for choice in sign.choices if choice.id == answer)
            room.talk.say(f"Taken for: {one_line(meant, 120)}.")
    if answer is None and not sign.choices and says_both(sign.ask, told.text):
        room.talk.say("That says both yes and no; nothing was written down. Which is it?")
        room.talk.lines(step_words.question_lines(task, room.book))
        return True
    if answer is None:
        return False
    room.job.answer_sign(task.sign, answer, check=task.step, sure=told.sure, source=told.source, text=text)
    _hear_the_rest(room, sign, told.text)
    return True


def _hear_the_rest(room: Room, sign: Sign, told: str) -> None:
    """Offer what was told beside a plain yes or no, where it is more than the same answer in other words.

    A stop rule that the answer raised is read out before anything else; the words stand with the answer.
    """
    if any(is_danger(rule) and rule.id not in room.accepted for rule in room.now.stops):
        return
    more = "" if sign.choices else after_the_lead(told)
    if len(more.split()) >= MORE_TOLD and in_own_words(sign.ask, more) is None and hearing.means_something(room, more):
        hearing.hear(room, more)


def _give_reading(room: Room, task: Task, text: str) -> None:
    told = said(text)
    if told.text.casefold() in ("u", "unknown", "not known", "none"):
        room.job.pass_over(task)
        return
    kind = room.book.readings[task.reading]
    figure, words = figure_and_words(told.text, reader_of(kind, room.job.case.unit_pressure))
    amount = read_typed(figure, kind, room.job.case.unit_pressure)
    room.job.answer_task(task, figure, sure=told.sure, source=told.source)
    if words:
        keep_unplaced(room.job, [words])
    room.talk.say(f"Understood: {amount.understood}.")


# ------------------------------------------------------------------ commands


def done(room: Room, rest: str) -> None:
    """A setup, action, remedy or question-free check was carried out."""
    task = room.task
    if task.kind not in WORKS:
        raise UserError("There is a question to answer here.", "Answer it, or say skip.")
    if rest.strip().casefold() == "all":
        for one in doing.chain(room, task):
            room.job.done(one.step)
        return
    took = None
    if rest:
        took = (
            parse(rest if any(c.isalpha() for c in rest) else f"{rest} min", "time", "min", "Time taken").value / 60.0
        )
    room.job.done(task.step, minutes=took)
    if task.kind == "remedy":
        room.talk.say("Written down. Next comes the proof; if a complaint is still there, say still.")


def skip(room: Room, rest: str) -> None:
    """Leave the question out, or where several are put together, or a deed, the whole step."""
    task = room.task
    several = len(checklist.asked_now(room, task)) > 1 and not checklist.is_look_over(room, task)
    if task.kind in ASKS and not several:
        room.job.pass_over(task)
        return
    _refuse(room, task, "skip", rest)


def cannot(room: Room, rest: str) -> None:
    """The step cannot be done here; a reason that tells of a tool or a part not there holds for the whole job."""
    _refuse(room, room.task, "cannot", rest)
    if rest:
        opening.no_tool(room, rest)
        _parts_not_there(room, rest)


def _parts_not_there(room: Room, reason: str) -> None:
    """Take what a reason says that the car has not, such as "the regulator has no screw"."""
    for name in parts_denied(reason, room.book):
        room.job.answer_sign(name, ABSENT, text=reason)
        room.talk.say(f"Written down: {one_line(room.book.signs[name].title)}: no. (undo takes it back)")


def later(room: Room, rest: str) -> None:
    """Not now."""
    _refuse(room, room.task, "later", rest)


def _refuse(room: Room, task: Task, why: Literal["cannot", "later", "skip"], text: str) -> None:
    if not task.step:
        raise UserError("There is no step to refuse here.", "Say others to see what else could be done.")
    room.job.refuse(task.step, why, text)


def one_by_one(room: Room, rest: str) -> None:
    """Ask the questions of this check one at a time."""
    if len(checklist.open_questions(room, room.task)) < 2:
        raise UserError("There is no list of questions here.", "Answer the question.")
    room.singly = room.task.step
    room.show_again()


# ------------------------------------------------------------------ a step of one's own choice


def choose(room: Room, rest: str) -> None:
    """Choose a step; the wall is asked first, whatever was chosen."""
    step = _step_of(room, rest)
    if step is None:
        return
    try:
        room.job.choose(step.id)
    except UserError as error:
        room.talk.say(error.one_line())
        room.talk.say("What is already known may still be told: say tell and what was seen or read.")
        return
    room.show_again()
    first = room.task.step
    if first != step.id:
        room.talk.say(f"The way to it begins with something else: {step.title} comes after.")


def _step_of(room: Room, rest: str) -> Step | None:
    told = rest.strip().casefold()
    if not told:
        raise UserError("Which step?", "Say do and a number of the list that others gives, or words of its title.")
    if told.isdecimal():
        if not 1 <= int(told) <= len(room.listed):
            raise UserError(f"There is no number {told} in the list.", "Say others to see the list.")
        return find_step(room.book, room.listed[int(told) - 1])
    book = room.book
    steps: list[Step] = [*book.checks.values(), *book.remedies.values(), *book.actions.values(), *book.setups.values()]
    exact = [s for s in steps if told in (s.id, s.title.casefold())]
    hits = exact or [s for s in steps if all(word in f"{s.id} {s.title}".casefold() for word in told.split())]
    hits = hits or find_steps(book, rest)
    if not hits:
        raise UserError(f"No step speaks of {rest!r}.", "Use other words, or say others.")
    if len(hits) == 1:
        return hits[0]
    room.listed = [s.id for s in hits[:12]]
    room.talk.say("Several steps fit; say do and the number:")
    room.talk.lines(numbered([s.title for s in hits[:12]]))
    return None
