"""One job at work. Screens and the line mode call it and show what it says; with ``diag.session.kept`` it owns the
clock and the case's file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Literal

from diag.casework import record
from diag.casework.agenda import Task, asked_in_words, complete
from diag.casework.drift import with_belief
from diag.casework.entries import (
    About,
    Believed,
    CarFact,
    Case,
    Entry,
    Note,
    ReadingTaken,
    Replaced,
    Retracted,
    SignAnswer,
    Source,
    Status,
    StepDone,
    Sure,
)
from diag.rulebook.steps import Person, Yield
from diag.session.kept import By, KeptJob
from diag.session.logged import FromLog, newest_log, with_log
from diag.support.errors import UserError

Result = Literal["cured", "not cured", "could not reproduce", "handed on", "normal"]


class Job(KeptJob):
    """A case being worked on: everything that can be told, and second thoughts.

    Every method writes its entries to disk before it returns; what is refused raises UserError and changes nothing.
    """

    # ------------------------------------------------------------------ what is told

    def answer_sign(
        self,
        sign: str,
        answer: str,
        *,
        check: str = "",
        sure: Sure = "sure",
        source: Source = "own eyes",
        text: str = "",
        place_seen: str = "",
    ) -> None:
        """An answer about a sign, from a check or told unasked."""
        extra = {"check": check, "text": text, "place_seen": place_seen}
        self.apply(
            lambda c: record.answer_sign(c, self.book, sign, answer, sure=sure, source=source, **extra, **self._by)
        )
        self._finish(check)

    def take_reading(
        self,
        reading: str,
        point: str,
        text: str,
        *,
        check: str = "",
        gauge: str = "main",
        sure: Sure = "sure",
        source: Source = "own eyes",
        conditions: Mapping[str, float] | None = None,
    ) -> None:
        """A measured value as typed."""
        self.apply(
            lambda c: record.take_reading(
                c,
                self.book,
                reading,
                point,
                text,
                gauge=gauge,
                check=check,
                sure=sure,
                source=source,
                conditions=conditions,
                **self._by,
            )
        )
        self._finish(check)

    def take_log(self, told: FromLog) -> tuple[str, ...]:
        """Everything that a data log says, as one change; what could not be used comes back, one sentence each.

        Raises:
            UserError: nothing of the log can be used; nothing has changed.
        """
        changed, left = with_log(self._case, self.book, told, self._by)
        self.apply(lambda _: changed)
        return left

    def answer_task(self, task: Task, text: str, sure: Sure = "sure", source: Source = "own eyes") -> None:
        """The answer to a question of ``tasks``, as typed."""
        if task.kind == "sign":
            self.answer_sign(task.sign, text, check=task.step, sure=sure, source=source, text=text)
        elif task.kind == "reading":
            gauge = self.book.points[task.at].gauge
            self.take_reading(task.reading, task.at, text, check=task.step, gauge=gauge, sure=sure, source=source)
        else:
            raise UserError("This is not a question.", "Say that it is done, or that it cannot be done.")

    def pass_over(self, task: Task) -> None:
        """Leave one question of a check out; the rest of the check goes on."""
        if task.kind == "sign":
            self.answer_sign(task.sign, "not known", check=task.step)
            return
        value = Yield(reading=task.reading, at=task.at)
        self._left_out.add(value)
        if task.step in self.book.checks:  # who cannot read the value cannot say on which side of a bound it lies
            self._left_out |= asked_in_words(self.book.checks[task.step], self.book, {value})
        last = task.part == task.parts or complete(self._case, self.book, task.step, self._left_out)
        if last and not any(_check_of(e) == task.step for e in self._case.effective()[-1:]):
            self.refuse(task.step, "skip")
        else:
            self._finish(task.step)

    def _finish(self, check: str) -> None:
        """Write down that a check is done once its last question is answered."""
        if check and complete(self._case, self.book, check, self._left_out):
            self._left_out.clear()
            self._over(check)
            before = self._before
            self.apply(lambda c: record.step_done(c, self.book, check, **self._by))
            self._before = before

    def _over(self, step: str) -> None:
        if step == self._chosen:
            self._chosen = ""

    def done(self, step: str, minutes: float | None = None, text: str = "") -> None:
        """A setup, action, remedy or question-free check was carried out."""
        if step in self.book.remedies:
            self.remember_belief()
        self.apply(lambda c: record.step_done(c, self.book, step, minutes=minutes, text=text, **self._by))
        self._over(step)

    def refuse(self, step: str, why: Literal["cannot", "later", "skip"], text: str = "") -> None:
        """A proposed step that was not done."""
        self._left_out.clear()
        self._chosen = ""
        self.apply(lambda c: record.step_refused(c, self.book, step, why, text=text, **self._by))

    def tell_car(self, field: str, text: str) -> None:
        """A field of the car, or a yes/no fact about it; empty text takes it back to not known."""
        self.apply(lambda c: record.car_fact(c, self.book, field, text, **self._by))

    def tell_person(
        self,
        person: Person,
        by_phone: bool = False,
        second_person: bool = False,
        ventilated: bool = True,
        tools: Iterable[str] | None = None,
    ) -> None:
        """Who is at the car and what they have."""
        kit = None if tools is None else tuple(tools)
        self.apply(
            lambda c: record.person_told(
                c, self.book, person, by_phone=by_phone, second_person=second_person, ventilated=ventilated,
                tools=kit, **self._by,
            )
        )  # fmt: skip

    def acknowledge(self, rule: str) -> None:
        """A caution or stop rule was read."""
        self.apply(lambda c: record.acknowledged(c, self.book, rule, **self._by))

    def hand_over(self, to: str, text: str = "") -> None:
        """The job goes to another person."""
        self.remember_belief()
        self.apply(lambda c: record.handed_over(c, to, text=text, **self._by))

    def note(self, text: str) -> None:
        """Free text."""
        self.apply(lambda c: record.note(c, text, **self._by))

    def keep(self, about: About, text: str) -> None:
        """Something for the report on a suspect part."""
        self.apply(lambda c: record.kept(c, about, text, **self._by))

    def set_status(self, status: Status, text: str = "") -> None:
        """Open, waiting for part or closed."""
        self.apply(lambda c: record.status(c, status, text=text, **self._by))

    def finish(self, result: Result, causes: Iterable[str] = (), proven: bool = False, text: str = "") -> None:
        """How the job ended; closes it."""
        self.remember_belief()
        named = tuple(causes)
        self.apply(lambda c: record.outcome(c, self.book, result, named, proven=proven, text=text, **self._by))
        self.set_status("closed")

    def remember_belief(self) -> None:
        """Write the ranking of this moment into the case, for calibration and for a changed rule book."""
        belief = self.standing.belief
        self.apply(lambda c: with_belief(c, self.book, belief, **self._by))

    # ------------------------------------------------------------------ second thoughts

    def take_back(self, number: int, why: str = "") -> None:
        """Take an earlier entry back."""
        self.apply(lambda c: record.retract(c, number, why=why, **self._by))

    def change_answer(self, number: int, text: str, sure: Sure | None = None) -> None:
        """Give an earlier question another answer; ``sure`` None keeps how sure the old one was."""
        self.apply(lambda _: self.changed_answer(number, text, sure))

    def changed_answer(self, number: int, text: str, sure: Sure | None = None) -> Case:
        """The case with another answer to an earlier question, which is not made; for looking first.

        Raises:
            UserError: there is no such entry, or the text is refused.
        """
        old = record.entry_of(self._case, number)
        mark = sure or (old.sure if isinstance(old, SignAnswer | ReadingTaken) else "sure")
        return record.replace(self._case, number, self._retold(self._case, old, text, mark), **self._by)

    def _retold(self, case: Case, old: Entry, text: str, sure: Sure) -> Entry:
        """The old entry told again with another text."""
        by = By(at=old.at, who=self.who)
        if isinstance(old, SignAnswer):
            return record.made(
                record.answer_sign(
                    case, self.book, old.sign, text, sure=sure, source=old.source, check=old.check, text=text, **by
                )
            )
        if isinstance(old, ReadingTaken):
            return record.made(
                record.take_reading(
                    case, self.book, old.reading, old.point, text, gauge=old.gauge, check=old.check, sure=sure,
                    source=old.source, conditions=old.conditions, **by,
                )
            )  # fmt: skip
        if isinstance(old, CarFact):
            return record.made(record.car_fact(case, self.book, old.field, text, **by))
        if isinstance(old, Note):
            return record.made(record.note(case, text, **by))
        raise UserError(f"Entry {old.number} has no text to change.", "Take it back instead.")

    def _undo_second_thought(self) -> bool:
        """Where the newest thing that counts is a change or a taking back: the answer as it was before; else False.

        What was undone already leaves the case as it stood at some earlier entry; that entry is the newest that counts.
        """
        case = self._case
        now = _told(case, len(case.entries))
        first = max(0, len(case.entries) - LOOK_BACK)
        at = next(n for n in range(first, len(case.entries) + 1) if _told(case, n) == now)
        entry = case.entries[at - 1] if at else None
        if not isinstance(entry, Retracted | Replaced):
            return False
        was = next((e for e in _told(case, at - 1) if e.number == entry.target), None)
        if was is None:
            return False
        self.apply(lambda c: record.replace(c, entry.target, was, **self._by))
        return True

    def undo(self) -> bool:
        """Take back the newest thing a person did, an answer or a change of one; False when there is none.

        The book-keeping entry "check done" goes together with the answer that completed the check, and what a data log
        brought goes as a whole.
        """
        if self._undo_second_thought():
            return True
        counted = [e for e in self._case.effective() if not isinstance(e, Retracted | Replaced | Believed)]
        if not counted:
            return False
        newest = counted[-1]
        goes = [newest.number]
        if isinstance(newest, StepDone) and len(counted) > 1 and _check_of(counted[-2]) == newest.step:
            goes.append(counted[-2].number)
        goes = newest_log(counted) or goes
        before = self._standing or self._case
        for number in goes:
            self.take_back(number, "undone")
        self._before = before
        return True


LOOK_BACK = 200  # entries; second thoughts about older ones are changed by hand


def _told(case: Case, upto: int) -> tuple[Entry, ...]:
    """What counted after the first ``upto`` entries, without the program's own rankings."""
    then = replace(case, entries=case.entries[:upto])
    return tuple(e for e in then.effective() if not isinstance(e, Believed))


def _check_of(entry: Entry) -> str:
    """The check an answer came from, empty for anything else."""
    return entry.check if isinstance(entry, SignAnswer | ReadingTaken) else ""
