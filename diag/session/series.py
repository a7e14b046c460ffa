"""The questions of one check answered in one line, in their order or by number, and the rest of them at once.

``no, 43.5, u`` answers in order; ``2 yes, rest no`` by number; ``45 on, 52 off`` by what tells one value from another;
``38 46 41`` answers where just so many values are asked; a figure alone answers the one question that asks for such a
figure. Of a row of answers in which one part is in words that answer nothing, the others are taken, and those words are
kept for that question. Any other line that is not understood whole enters nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diag.casework.agenda import Task
from diag.rulebook.between import words_between
from diag.rulebook.findings import NOT_KNOWN, ReadingKind
from diag.rulebook.model import RuleBook
from diag.rulebook.typed import read_typed
from diag.session.answers import Said, figure_and_words, said, sign_answer, yes_or_no
from diag.session.choice_words import choice_in_words
from diag.session.heard import UNPLACED, keep_unplaced
from diag.session.job import Job
from diag.support.errors import QuantityError, UserError
from diag.support.text import one_line

# A comma between digits is a decimal sign; a series has a blank after it.
_SPLIT = re.compile(r"\s*;\s*|\s*,\s+|\s*,(?!\d)\s*|\s+and\s+(?=\d)", re.IGNORECASE)
_ROW = re.compile(r"(?P<row>\d+(?:\.\d+)?(?:\s+\d+(?:\.\d+)?)+)\s*(?P<unit>[a-z\"]*)", re.IGNORECASE)
_TIGHT = re.compile(r"\d,\d")
_REST = re.compile(r"(?:the )?(?:rest|others?|all(?: others| the rest)?|everything else|remaining)\b:?\s+(.+)", re.I)
_BY_NUMBER = re.compile(r"(\d{1,2})\s*[:=.)]?\s+(.+)")
_WORD = re.compile(r"[a-z]+|\d+")
_FIGURE = re.compile(r"[-~<>]?\s*(?:\d{2,}(?:\.\d+)?|\d*\.\d+|\d+(?:\.\d+)?\s*[a-z\"%]+(?: ?[a-z]+)?)", re.IGNORECASE)
# What begins so tells more of the answer before it; with a figure in it, it may be the next answer.
_GOES_ON = re.compile(
    r"(?!.*\d)(?:it|it'?s|they|they'?re|that|that'?s|there|this|everything|"
    r"(?:the |both )?\w+(?: \w+)? (?:is|are|was|looks?))\b",
    re.IGNORECASE,
)
_MOST_NAMED = 4  # words that tell one value of a series from another


@dataclass(frozen=True, slots=True)
class Answered:
    """One question with its answer: as the book knows it for a sign, as typed for a value; ``text`` is the person's.

    An empty answer: these words stand in the place of this question's answer and are none.
    """

    task: Task
    answer: str
    said: Said
    text: str


def read_series(line: str, tasks: Sequence[Task], book: RuleBook, unit: str) -> tuple[Answered, ...] | None:
    """What a line answers of several open questions; None when it speaks of no series.

    Args:
        tasks: the open questions of one check, in order.
        unit: the case's unit of pressure, for values without one.

    Raises:
        UserError: a value is refused, or two values run into each other; nothing is entered then.
    """
    reader = _Reader(tasks, book, unit)
    parts = _row(line, tasks) or _joined([part.strip() for part in _SPLIT.split(line.strip(" .!")) if part.strip()])
    if len(tasks) < 2 or not parts or len(parts) > len(tasks) + 1:
        return None
    if _TIGHT.search(line) and sum(task.kind == "reading" for task in tasks) > 1 and len(parts) == 1:
        raise UserError("Two values, or one with a decimal comma?", "Put a blank after the comma: 45, 52; or a point.")
    found = reader.read(parts)
    return found if found and (len(found) > 1 or reader.by_name) else None


def _joined(parts: Sequence[str]) -> list[str]:
    """The parts, with a clause that goes on after a bare yes or no put to it: "no, it is whole" is one answer."""
    found: list[str] = []
    for part in parts:
        if found and yes_or_no(found[-1]) is not None and found[-1].isalpha() and _GOES_ON.match(part):
            found[-1] = f"{found[-1]}, {part}"
        else:
            found.append(part)
    return found


def _row(line: str, tasks: Sequence[Task]) -> list[str]:
    """The values of a bare row such as "38 46 41 psi", where just so many values are asked; else empty."""
    found = _ROW.fullmatch(line.strip(" .!"))
    if found is None or any(task.kind != "reading" for task in tasks):
        return []
    values = [f"{value} {found['unit']}".strip() for value in found["row"].split()]
    by_number = len(values) == 2 and found["row"].split()[0] in ("1", "2")  # "2 52": the second value
    return values if len(values) == len(tasks) and not by_number else []


def enter_series(job: Job, found: Sequence[Answered]) -> None:
    """Enter the answers, each by itself."""
    for one in found:
        task, how = one.task, one.said
        if not one.answer:
            job.note(f"{UNPLACED}{one_line(one.text, 2000)}")
        elif task.kind == "sign":
            job.answer_sign(task.sign, one.answer, check=task.step, sure=how.sure, source=how.source, text=one.text)
        elif one.answer == NOT_KNOWN:
            job.pass_over(task)
        else:
            job.answer_task(task, one.answer, sure=how.sure, source=how.source)
            if one.answer != how.text:
                keep_unplaced(job, [how.text])


def reader_of(kind: ReadingKind, unit: str) -> Callable[[str], bool]:
    """Whether words are a value of this kind."""

    def reads(text: str) -> bool:
        try:
            read_typed(text, kind, unit)
        except QuantityError:
            return False
        return True

    return reads


class _Reader:
    """Reads the parts of one line against the open questions."""

    def __init__(self, tasks: Sequence[Task], book: RuleBook, unit: str) -> None:
        self.tasks, self.book, self.unit = tasks, book, unit
        self.by_name = False  # whether some part says itself which question it answers
        self.found: dict[int, Answered] = {}

    def read(self, parts: Sequence[str]) -> tuple[Answered, ...] | None:
        at = 0
        if len(parts) == 1 and self._alone(parts[0]):
            return tuple(self.found.values())
        for part in parts:
            rest = _REST.fullmatch(part)
            if rest is not None:
                if not self._rest(rest[1], part):
                    return None
                continue
            named = self._named(part)
            if named is None and len(parts) == 1:
                return None  # an answer to the first question, which is asked by itself
            self.by_name |= named is not None
            place, words = named if named is not None else (at, part)
            answered = self._answered(place, words, part) if place < len(self.tasks) else None
            if answered is None and place < len(self.tasks):
                answered = Answered(self.tasks[place], "", said(part), part)
            if answered is None or place in self.found:
                return None
            self.found[place] = answered
            at = place + 1
        worded = [one for one in self.found.values() if not one.answer]
        first = self.found.get(0)
        if len(worded) > 1 or (worded and (len(self.found) < 3 or first is None or not first.answer)):
            return None  # a story with commas in it, and no row of answers
        return tuple(self.found[place] for place in sorted(self.found))

    def _alone(self, part: str) -> bool:
        """Take a figure alone that is no answer to the first question for the one question that asks for such one."""
        if not _FIGURE.fullmatch(part) or self._reads(0, part):
            return False
        fits = [at for at, task in enumerate(self.tasks) if task.kind == "reading" and self._reads(at, part)]
        answered = self._answered(fits[0], part, part) if len(fits) == 1 else None
        if answered is None:
            return False
        self.found[fits[0]], self.by_name = answered, True
        return True

    def _rest(self, words: str, part: str) -> bool:
        """Answer everything still open and askable so; whether it was an answer to any of it."""
        self.by_name = True
        some = False
        for place, task in enumerate(self.tasks):
            answered = self._answered(place, words, part) if place not in self.found and task.kind == "sign" else None
            if answered is not None:
                self.found[place], some = answered, True
        return some

    def _named(self, part: str) -> tuple[int, str] | None:
        """The question that a part names, by number or by the words that tell its value from the others."""
        number = _BY_NUMBER.fullmatch(part)
        if number is not None and 1 <= int(number[1]) <= len(self.tasks):
            place = int(number[1]) - 1
            if self._reads(place, number[2]):
                return place, number[2]
        words = part.split()
        for many in range(1, min(_MOST_NAMED, len(words) - 1) + 1):
            for value, name in ((words[:-many], words[-many:]), (words[many:], words[:many])):
                at = self._place_of(" ".join(name))
                if at is not None and self._reads(at, " ".join(value)):
                    return at, " ".join(value)
        return None

    def _place_of(self, name: str) -> int | None:
        """The one reading whose title has all these words."""
        spoken = set(_WORD.findall(name.casefold()))
        fits = [at for at, task in enumerate(self.tasks) if task.kind == "reading" and spoken <= self._title(task)]
        return fits[0] if spoken and len(fits) == 1 else None

    def _title(self, task: Task) -> set[str]:
        title = f"{self.book.readings[task.reading].title} {self.book.points[task.at].title}"
        return set(_WORD.findall(title.casefold()))

    def _reads(self, place: int, words: str) -> bool:
        try:
            return self._answered(place, words, words) is not None
        except UserError:
            return False

    def _answered(self, place: int, words: str, part: str) -> Answered | None:
        task, told = self.tasks[place], said(words)
        if task.kind == "sign":
            sign = self.book.signs[task.sign]
            answer = sign_answer(sign, told.text, words_between(sign, self.book)) if told.text else None
            answer = answer or choice_in_words(sign, told.text)
            return Answered(task, answer, told, part) if answer else None
        if told.text.casefold() in ("u", "unknown", "not known"):
            return Answered(task, NOT_KNOWN, told, part)
        kind = self.book.readings[task.reading]
        figure, _ = figure_and_words(told.text, reader_of(kind, self.unit))
        try:
            read_typed(figure, kind, self.unit)
        except QuantityError as error:
            raise UserError(error.one_line(), "Nothing of this line was written down.") from None
        return Answered(task, figure, told, part)


def titles_of(tasks: Sequence[Task], book: RuleBook) -> list[str]:
    """What each question is about, short."""
    return [
        one_line(book.signs[task.sign].title)
        if task.kind == "sign"
        else f"{one_line(book.readings[task.reading].title)}, {one_line(book.points[task.at].title)}"
        for task in tasks
    ]
