"""Several questions answered in one line: the places of a look-over, or the questions of a check in their order.

Every place is named before it can be called dry, and each answer is entered by itself, so that the interlock knows
every place. A line that is not understood whole enters nothing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from diag.casework.agenda import Task, places_only
from diag.hearing.words import words_of
from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT, Sign
from diag.rulebook.model import RuleBook
from diag.session.answers import said
from diag.session.series import Answered, enter_series, read_series, titles_of
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain.room import Room

MOST_MEANT = 2
_LEAD = re.compile(r"^(?:fuel weeping at|fuel at|liquid fuel in|wet or stained|wet)(?: an?| the)? ", re.IGNORECASE)
_SPLIT = re.compile(r"\s*[,;]\s*|\s+(?:and|but)\s+", re.IGNORECASE)
_REST = re.compile(r"^(?:the )?(?:rest|others?|all others?|everything else|remaining)\b", re.IGNORECASE)
_ALL = re.compile(r"^(?:all|everything|every place)\b", re.IGNORECASE)
_DRY = re.compile(r"\b(?:dry|no|none|clean|nothing)\b", re.IGNORECASE)
_NOT_DRY = re.compile(
    r"\b(?:not|never|isn'?t|aren'?t|no longer|far from|anything but) (?:\w+ )?(?:dry|clean)\b", re.IGNORECASE
)
_NOT_WET = re.compile(
    r"\b(?:not|never|isn'?t|aren'?t|doesn'?t|no longer) (?:\w+ )?"
    r"(?:wet|damp|leak\w*|weep\w*|drip\w*|stained|smell\w*)\b",
    re.IGNORECASE,
)
_WET = re.compile(
    r"\b(?:wet|damp|yes|leaks?|leaking|weeps?|weeping|drips?|dripping|stained|puddle|smells?)\b", re.IGNORECASE
)
_UNSEEN = re.compile(r"\b(?:u|unknown|not (?:seen|known|sure)|unseen|(?:could|can) ?not (?:see|tell)|"
    r"can'?t (?:see|tell)|"
                     r"couldn'?t (?:see|tell)|could not|hidden)\b", re.IGNORECASE)  # fmt: skip


def open_questions(room: Room, task: Task) -> list[Task]:
    """The questions of the present check that are still to be answered, in order."""
    return [t for t in room.job.tasks if t.step == task.step and t.kind in ("sign", "reading")]


def asked_now(room: Room, task: Task) -> list[Task]:
    """The questions that are put together, in order: all that are open of a check, unless asked for one by one."""
    if task.kind not in ("sign", "reading"):
        return []
    return [task] if room.singly == task.step else open_questions(room, task)


def is_look_over(room: Room, task: Task) -> bool:
    """Whether the task is a place of a look-over that is asked about as a list."""
    check = room.book.checks.get(task.step)
    if check is None or task.kind != "sign" or room.singly == task.step:
        return False
    return check.look_over or places_only(open_questions(room, task), room.book)


def place_name(sign: Sign) -> str:
    """A place of a look-over in a few words: the sign's title without what is found there."""
    title = _LEAD.sub("", one_line(sign.title))
    return title[:1].lower() + title[1:]


def place_lines(tasks: Sequence[Task], book: RuleBook) -> list[str]:
    """Every place by number and name."""
    names = [f"{at} {place_name(book.signs[task.sign])}" for at, task in enumerate(tasks, 1)]
    return [f"Places: {'; '.join(names)}."]


def answer_places(room: Room, task: Task, line: str) -> bool:
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


def speaks_of_places(room: Room, task: Task, line: str) -> bool:
    """Whether a line answers for places of the look-over at hand."""
    return bool(_places(said(line).text, open_questions(room, task), room.book))


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
    if _NOT_DRY.search(part):
        return PRESENT
    if _DRY.search(part) or _NOT_WET.search(part):
        return ABSENT
    return PRESENT if _WET.search(part) else ""


def _named(part: str, tasks: Sequence[Task], book: RuleBook) -> list[int]:
    """The places that a part names, by number or by the words that tell them apart."""
    numbers = [int(n) - 1 for n in re.findall(r"\b\d{1,2}\b", part)]
    if numbers:
        return numbers if all(0 <= n < len(tasks) for n in numbers) else []
    names = {at: place_name(book.signs[task.sign]).casefold() for at, task in enumerate(tasks)}
    whole = [at for at, name in names.items() if name in part.casefold()]
    if whole:
        return [max(whole, key=lambda at: len(names[at]))]
    spoken = {word.stem for word in words_of(part)} - _TOLD
    if not spoken:
        return []
    # what a place is called, before what may be said of it, before what its question speaks of
    for stems in (_name_stems, _phrase_stems, _ask_stems):
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


def _ask_stems(sign: Sign) -> set[str]:
    return {word.stem for word in words_of(sign.ask)} - _TOLD - {"fuel"}


def _phrase_stems(sign: Sign) -> set[str]:
    return {word.stem for text in sign.phrases for word in words_of(text)} - _TOLD


# ------------------------------------------------------------------ a series of questions


def answer_series(room: Room, tasks: Sequence[Task], line: str) -> bool:
    """Enter several answers told in one line; False for anything else."""
    if not tasks or room.singly == tasks[0].step:
        return False
    found = read_series(line, tasks, room.book, room.job.case.unit_pressure)
    if found is None:
        return False
    enter_series(room.job, found)
    if len(found) == 1 or any(not one.answer for one in found):
        room.talk.lines(_taken_lines(found, tasks, room.book))
    return True


def _taken_lines(found: Sequence[Answered], tasks: Sequence[Task], book: RuleBook) -> list[str]:
    """Of a line that did not answer plainly in order, what was taken for which question."""
    titles = titles_of(tasks, book)
    lines = []
    for one in found:
        at = tasks.index(one.task)
        taken = f"Taken for question {at + 1}, {titles[at]}: {one_line(one.text, 80)}."
        lines.append(
            taken if one.answer else f"No answer to question {at + 1}, kept as said: {one_line(one.text, 80)}."
        )
    return lines


def series_lines(tasks: Sequence[Task], book: RuleBook) -> list[str]:
    """The open questions of a check by number, each with the answers it takes; empty for a single one."""
    if len(tasks) < 2:
        return []
    return ["Questions:", *(f"{at}. {_asked(task, book)}" for at, task in enumerate(tasks, 1))]


def _asked(task: Task, book: RuleBook) -> str:
    if task.kind == "reading":
        return f"{one_line(book.readings[task.reading].ask, 300)} ({one_line(book.points[task.at].title)})"
    sign = book.signs[task.sign]
    choices = "; ".join(f"{at} {one_line(choice.words, 120)}" for at, choice in enumerate(sign.choices, 1))
    return f"{one_line(sign.ask, 400)}{f' ({choices})' if choices else ''}"


def series_prompt(tasks: Sequence[Task]) -> str:
    """How several questions are answered."""
    if all(task.kind == "reading" for task in tasks):
        return "values in order, such as 45 52; or by number, 2 52; u (not known); skip, why, help"
    return "in order, such as no, u, yes; or by number, 2 yes, rest no; one by one, why, help"


def example(tasks: Sequence[Task], book: RuleBook) -> str:
    """An answer to some questions as it might be typed."""
    if places_only(tasks, book) or (len(tasks) == 1 and tasks[0].kind == "sign" and book.signs[tasks[0].sign].wet):
        return "all dry" if len(tasks) > 1 else "no"
    if any(task.kind == "reading" and task.reading != "rail pressure" for task in tasks):
        return "the value" if len(tasks) == 1 else "the answers in order"
    shown = ["43.5" if task.kind == "reading" else "1" if book.signs[task.sign].choices else "no" for task in tasks[:3]]
    return ", ".join(shown)
