"""Several questions answered in one line: the places of a look-over, or the questions of a check in their order.

Every place is named before it can be called dry, and each answer is entered by itself, so that the interlock knows
every place. A line that is not understood whole enters nothing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from diag.casework.agenda import Task
from diag.hearing.words import words_of
from diag.quantities import parse
from diag.rulebook.between import words_between
from diag.rulebook.model import ABSENT, NOT_KNOWN, PRESENT, RuleBook, Sign
from diag.support.errors import QuantityError, UserError
from diag.support.text import one_line
from diag.ui.plain.answers import Said, said, sign_answer

if TYPE_CHECKING:
    from diag.ui.plain.conversation import Conversation

MOST_MEANT = 2
_LEAD = re.compile(r"^(?:fuel weeping at|fuel at|liquid fuel in|wet or stained|wet)(?: an?| the)? ", re.IGNORECASE)
_SPLIT = re.compile(r"\s*[,;]\s*|\s+(?:and|but)\s+", re.IGNORECASE)
_REST = re.compile(r"^(?:the )?(?:rest|others?|all others?|everything else|remaining)\b", re.IGNORECASE)
_ALL = re.compile(r"^(?:all|everything|every place)\b", re.IGNORECASE)
_DRY = re.compile(r"\b(?:dry|no|none|clean|nothing)\b", re.IGNORECASE)
_WET = re.compile(
    r"\b(?:wet|damp|yes|leaks?|leaking|weeps?|weeping|drips?|dripping|stained|puddle|smells?)\b", re.IGNORECASE
)
_UNSEEN = re.compile(r"\b(?:u|unknown|not (?:seen|known|sure)|unseen|(?:could|can) ?not (?:see|tell)|"
    r"can'?t (?:see|tell)|"
                     r"couldn'?t (?:see|tell)|could not|hidden)\b", re.IGNORECASE)  # fmt: skip


def open_questions(room: Conversation, task: Task) -> list[Task]:
    """The questions of the present check that are still to be answered, in order."""
    return [t for t in room.job.tasks if t.step == task.step and t.kind in ("sign", "reading")]


def is_look_over(room: Conversation, task: Task) -> bool:
    """Whether the task is a place of a look-over that is asked about as a list."""
    check = room.book.checks.get(task.step)
    return check is not None and check.look_over and task.kind == "sign" and room.singly != task.step


def place_name(sign: Sign) -> str:
    """A place of a look-over in a few words: the sign's title without what is found there."""
    title = _LEAD.sub("", one_line(sign.title))
    return title[:1].lower() + title[1:]


def place_lines(tasks: Sequence[Task], book: RuleBook) -> list[str]:
    """Every place by number and name."""
    names = [f"{at} {place_name(book.signs[task.sign])}" for at, task in enumerate(tasks, 1)]
    return [f"Places: {'; '.join(names)}."]


def answer_places(room: Conversation, task: Task, line: str) -> bool:
    """Enter a look-over told in one line: ``all dry``, ``wet filter, rest dry``, ``3 wet, 5 u, rest dry``.

    False when the line speaks of no places. What was not named stays open and is asked again.
    """
    tasks = open_questions(room, task)
    told = said(line)
    if not (_DRY.search(told.text) or _WET.search(told.text) or _UNSEEN.search(told.text)):
        return False
    if told.text.casefold().strip(" .!") in ("no", "yes", "y", "n", "u", "none", "nothing"):
        if len(tasks) == 1:
            return False  # the one place left is a question like any other
        # An answer to one question must not become one to all.
        raise UserError("Several places are asked about.", "Say all dry, or what is wet and what is dry.")
    answers = _places(told.text, tasks, room.book)
    if answers is None:
        return False
    wet_first = sorted(answers, key=lambda at: answers[at] != PRESENT)
    for at in wet_first:
        room.job.answer_sign(
            tasks[at].sign, answers[at], check=task.step, sure=told.sure, source=told.source, text=line
        )
    room.talk.say(_echo(answers, tasks, room.book))
    return True


def _echo(answers: dict[int, str], tasks: Sequence[Task], book: RuleBook) -> str:
    groups = {PRESENT: "wet or smelling", NOT_KNOWN: "not seen", ABSENT: "dry"}
    parts = []
    for answer, words in groups.items():
        names = [place_name(book.signs[tasks[at].sign]) for at in sorted(answers) if answers[at] == answer]
        if names:
            parts.append(f"{words}: {', '.join(names)}" if answer != ABSENT or len(names) < len(tasks) else "all dry")
    return f"Written down: {'; '.join(parts)}."


def _places(text: str, tasks: Sequence[Task], book: RuleBook) -> dict[int, str] | None:
    """Place from 0 -> answer; None when some part of the line names no place."""
    found: dict[int, str] = {}
    rest = ""
    waiting: list[int] = []  # places named before their answer: "filter, tank wet"
    for part in (p for p in _SPLIT.split(text.strip(" .!")) if p):
        answer = _answer(part)
        if _REST.match(part) or _ALL.match(part):
            if not answer:
                return None
            rest = answer
            continue
        named = _named(part, tasks, book)
        if not named:
            if answer and not found and not waiting and part.casefold() in ("dry", "wet"):
                rest = answer
                continue
            return None
        if not answer:
            waiting += named
            continue
        found |= dict.fromkeys([*waiting, *named], answer)
        waiting = []
    if waiting:
        return None
    return {at: found.get(at, rest) for at in range(len(tasks)) if found.get(at, rest)}


def _answer(part: str) -> str:
    if _UNSEEN.search(part):
        return NOT_KNOWN
    if _DRY.search(part):
        return ABSENT
    return PRESENT if _WET.search(part) else ""


def _named(part: str, tasks: Sequence[Task], book: RuleBook) -> list[int]:
    """The places that a part names, by number or by the words that tell them apart."""
    numbers = [int(n) - 1 for n in re.findall(r"\b\d{1,2}\b", part)]
    if numbers:
        return numbers if all(0 <= n < len(tasks) for n in numbers) else []
    spoken = {word.stem for word in words_of(part)} - _TOLD
    if not spoken:
        return []
    for stems in (_name_stems, _phrase_stems):  # what a place is called before what may be said of it
        fits = [(len(spoken & stems(book.signs[task.sign])), at) for at, task in enumerate(tasks)]
        best = max(count for count, _ in fits)
        hits = [at for count, at in fits if count == best]
        if best and len(hits) == 1:
            return hits
        if best == len(spoken) and len(hits) <= MOST_MEANT:
            return hits  # "smell" is both places where it is looked for
    return []


_TOLD = {word.stem for word in words_of("wet dry leak unseen known yes no stained weeping see seen tell")}


def _name_stems(sign: Sign) -> set[str]:
    return {word.stem for word in words_of(place_name(sign))} - _TOLD - {"fuel"}


def _phrase_stems(sign: Sign) -> set[str]:
    return {word.stem for text in sign.phrases for word in words_of(text)} - _TOLD


# ------------------------------------------------------------------ a series of questions


def answer_series(room: Conversation, task: Task, line: str) -> bool:
    """Enter as many answers as there are questions, in their order with commas between; False for anything else."""
    tasks = open_questions(room, task)
    parts = [part.strip() for part in line.split(",")]
    if len(tasks) < 2 or not 2 <= len(parts) <= len(tasks) or not all(parts):
        return False
    if room.singly == task.step or not all(said(part).text for part in parts):
        return False  # "no, unsure" is one answer
    read = [_read(room, one, said(part)) for one, part in zip(tasks, parts, strict=False)]
    if not all(read):
        return False
    for one, answer, part in zip(tasks, read, parts, strict=False):
        told = said(part)
        if one.kind == "sign":
            room.job.answer_sign(one.sign, answer, check=one.step, sure=told.sure, source=told.source, text=part)
        elif answer == NOT_KNOWN:
            room.job.pass_over(one)
        else:
            room.job.answer_task(one, told.text, sure=told.sure)
    return True


def _read(room: Conversation, task: Task, told: Said) -> str:
    """The answer to one question of a series, empty when it is none."""
    if task.kind == "sign":
        sign = room.book.signs[task.sign]
        return sign_answer(sign, told.text, words_between(sign, room.book)) or ""
    if told.text.casefold() in ("u", "unknown", "not known"):
        return NOT_KNOWN
    kind = room.book.readings[task.reading]
    try:
        parse(told.text, kind.quantity, room.job.case.unit_pressure if kind.quantity == "pressure" else "", kind.title)
    except QuantityError as error:
        raise UserError(error.one_line(), "Nothing of this line was written down.") from None
    return told.text


def series_lines(room: Conversation, task: Task) -> list[str]:
    """That the rest of a check may be answered in one line, with its questions; empty for a single one."""
    tasks = open_questions(room, task)
    if len(tasks) < 2 or len(tasks) > 6:
        return []
    names = []
    for one in tasks:
        if one.kind == "sign":
            names.append(one_line(room.book.signs[one.sign].title))
        else:
            names.append(
                f"{one_line(room.book.readings[one.reading].title)}, {one_line(room.book.points[one.at].title)}"
            )
    return [f"In one line, commas between: {'; '.join(names)}."]
