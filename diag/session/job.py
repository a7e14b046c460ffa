"""One job at work. Screens and the line mode call it and show what it says; it owns the clock and the case's file.

Every change goes the same way: a pure function of ``diag.casework.record`` makes a new case, the case goes to disk,
and only then is it the present one. When the disk refuses, the answer is kept in memory, ``trouble`` says so, and the
next change tries the disk again.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from typing import Literal, TypedDict

from diag.casework import record
from diag.casework.agenda import Task, complete, rest_of_begun, tasks, way_to
from diag.casework.drift import with_belief
from diag.casework.entries import (
    Believed,
    CarFact,
    Case,
    Entry,
    Evidence,
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
from diag.casework.ids import new_case_id
from diag.casework.names import remarks_on
from diag.casework.replay import Comparison, ModelCache, Standing, compare, standing
from diag.casework.store import CaseStore, OpenCase
from diag.casework.summary import status_of
from diag.rulebook.model import Person, RuleBook, Yield
from diag.trust.errors import HeldElsewhereError, UserError
from diag.trust.text import one_line

Clock = Callable[[], datetime]


class By(TypedDict):
    """When and by whom."""

    at: str
    who: str


Result = Literal["cured", "not cured", "could not reproduce", "handed on", "normal"]


def system_clock() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def new_case(book: RuleBook, title: str, clock: Clock = system_clock, unit_pressure: str = "psi") -> Case:
    """An empty case with a fresh name."""
    opened = stamp(clock())
    name = one_line(title, 120).strip() or "job"
    return Case(
        new_case_id(opened, name, secrets.token_hex(2)), name, opened, book.version, book.fingerprint, unit_pressure
    )


def stamp(now: datetime) -> str:
    """A time as cases store it: ISO 8601, UTC, whole seconds."""
    return now.astimezone(UTC).replace(microsecond=0).isoformat().replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """The time that a case stores; one written by hand without its zone counts as UTC."""
    found = datetime.fromisoformat(text)
    return found if found.tzinfo else found.replace(tzinfo=UTC)


class Job:
    """A case being worked on.

    Args:
        case: the case as it stands.
        book: the rule book.
        held: the case's file; None keeps everything in memory only (reading, practice, tests).
        who: name or initials written into every entry.
        cache: compiled models, shared between jobs.
    """

    def __init__(
        self,
        case: Case,
        book: RuleBook,
        held: OpenCase | None = None,
        who: str = "",
        clock: Clock = system_clock,
        cache: ModelCache | None = None,
    ) -> None:
        self.book = book
        self.who = one_line(who, 60).strip() or "somebody"
        self.trouble = ""  # what the disk last said, empty when every answer is on disk
        self._before: Standing | Case | None = None  # a case until somebody asks where the job stood
        self._case = case
        self._held = held
        self._clock = clock
        self._cache: ModelCache = {} if cache is None else cache
        self._standing: Standing | None = None
        self._left_out: set[Yield] = set()
        self._chosen = ""  # a step the person chose instead of the proposed one

    @classmethod
    def start(cls, store: CaseStore, book: RuleBook, title: str, who: str = "", cache: ModelCache | None = None) -> Job:
        """A new case, already on disk."""
        case = new_case(book, title)
        return cls(case, book, store.create(case), who, cache=cache)

    @classmethod
    def open(
        cls,
        store: CaseStore,
        book: RuleBook,
        case_id: str,
        who: str = "",
        cache: ModelCache | None = None,
        take_over: bool = False,
        accept_readable_part: bool = False,
    ) -> Job:
        """An existing case, held for writing."""
        held = store.open(case_id, take_over, accept_readable_part)
        return cls(held.case, book, held, who, cache=cache)

    # ------------------------------------------------------------------ what it says

    @property
    def case(self) -> Case:
        """The case as it stands, with the newest answer."""
        return self._case

    @property
    def standing(self) -> Standing:
        """Where the job stands; worked out once after every change, and in parts only when looked at."""
        if self._standing is None:
            self._standing = standing(self._case, self.book, self._cache)
        return self._standing

    @property
    def tasks(self) -> tuple[Task, ...]:
        """What to do or answer next, one thing at a time."""
        return self.tasks_at_once or tasks(self.standing, self._left_out)

    @property
    def task(self) -> Task:
        """The next thing."""
        return self.tasks[0]

    @property
    def tasks_at_once(self) -> tuple[Task, ...]:
        """The rest of the check in progress or of the step chosen, which needs no weighing; may be empty."""
        rest = rest_of_begun(self.standing, self._left_out)
        if rest or not self._chosen:
            return rest
        try:
            return way_to(self.standing, self._chosen, self._left_out)
        except UserError:
            self._chosen = ""  # what was told meanwhile closed the way
            return ()

    def choose(self, step: str) -> None:
        """Do this step next instead of the proposed one; nothing is written until something of it is done.

        Raises:
            UserError: there is no safe way to it now.
        """
        way_to(self.standing, step)
        self._chosen = step

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the case's file had to say when it was opened: damage, odd places, names unknown to this book."""
        result = self._held.result if self._held is not None else None
        return remarks_on(result, self.book, self._case.id) if result is not None else ()

    @property
    def is_kept(self) -> bool:
        """Whether the case has a file."""
        return self._held is not None

    @property
    def left_out(self) -> frozenset[Yield]:
        """Questions of the check in progress that were passed over."""
        return frozenset(self._left_out)

    @property
    def change(self) -> Comparison | None:
        """What the last change did to the ranking."""
        return compare(self.before, self.standing) if self.before is not None else None

    @property
    def before(self) -> Standing | None:
        """Where the job stood before the last change; None when there was none."""
        if isinstance(self._before, Case):
            self._before = standing(self._before, self.book, self._cache)
        return self._before

    @property
    def minutes(self) -> float:
        """Minutes from the first entry to now, or to the last entry of a closed job."""
        entries = self._case.entries
        if not entries:
            return 0.0
        first = moment(self._case.opened)
        last = moment(entries[-1].at) if status_of(self._case) == "closed" else self._clock()
        return max(0.0, (last - first).total_seconds() / 60.0)

    def what_if(self, change: Callable[[Case], Case]) -> tuple[Standing, Comparison]:
        """Where the job would stand after a change that is not made."""
        then = standing(change(self._case), self.book, self._cache)
        return then, compare(self.standing, then)

    # ------------------------------------------------------------------ changes

    def apply(self, change: Callable[[Case], Case]) -> None:
        """Make a change, put it on disk, and take it as the present case.

        Raises:
            UserError: the change itself is refused; nothing has happened.
        """
        changed = change(self._case)
        if changed is self._case:
            return
        self._take(changed)

    def _take(self, changed: Case) -> None:
        changed = replace(changed, book_version=self.book.version, book_fingerprint=self.book.fingerprint)
        self._before = self._standing or self._case
        self._case = changed
        self._standing = None
        self._save()

    def _save(self) -> None:
        if self._held is None:
            return
        try:
            self._held.save(self._case)
            self.trouble = ""
        except HeldElsewhereError as error:
            self.trouble = error.one_line()
        except UserError as error:
            # Whatever is in the way (disk full, a folder where the file was), the answer itself is kept.
            self.trouble = f"NOT ON DISK YET. {error.one_line()} The next answer tries again."

    def close_file(self) -> None:
        """Let go of the case's file."""
        if self._held is not None:
            self._save()
            self._held.close()

    @property
    def _by(self) -> By:
        return By(at=stamp(self._clock()), who=self.who)

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
                conditions=conditions,
                **self._by,
            )
        )
        self._finish(check)

    def answer_task(self, task: Task, text: str, sure: Sure = "sure", source: Source = "own eyes") -> None:
        """The answer to a question of ``tasks``, as typed."""
        if task.kind == "sign":
            self.answer_sign(task.sign, text, check=task.step, sure=sure, source=source, text=text)
        elif task.kind == "reading":
            gauge = "second" if self.book.points[task.at].settings.get("gauge") == "second" else "main"
            self.take_reading(task.reading, task.at, text, check=task.step, gauge=gauge, sure=sure)
        else:
            raise UserError("This is not a question.", "Say that it is done, or that it cannot be done.")

    def pass_over(self, task: Task) -> None:
        """Leave one question of a check out; the rest of the check goes on."""
        if task.kind == "sign":
            self.answer_sign(task.sign, "not known", check=task.step)
            return
        self._left_out.add(Yield(reading=task.reading, at=task.at))
        if task.part == task.parts and not any(_check_of(e) == task.step for e in self._case.effective()[-1:]):
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

    def keep(self, about: Literal["photo", "mark", "bought", "found inside"], text: str) -> None:
        """Something for the report on a suspect part."""
        self.apply(
            lambda c: replace(
                c,
                entries=(
                    *c.entries,
                    Evidence(record.next_number(c), **self._by, about=about, text=one_line(text, 500)),
                ),
            )
        )

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
                    conditions=old.conditions, **by,
                )
            )  # fmt: skip
        if isinstance(old, CarFact):
            return record.made(record.car_fact(case, self.book, old.field, text, **by))
        if isinstance(old, Note):
            return record.made(record.note(case, text, **by))
        raise UserError(f"Entry {old.number} has no text to change.", "Take it back instead.")

    def undo(self) -> bool:
        """Take back the newest entry that still counts and was told by a person; False when there is none.

        The book-keeping entry "check done" goes together with the answer that completed the check.
        """
        counted = [e for e in self._case.effective() if not isinstance(e, Retracted | Replaced | Believed)]
        if not counted:
            return False
        newest = counted[-1]
        goes = [newest.number]
        if isinstance(newest, StepDone) and len(counted) > 1 and _check_of(counted[-2]) == newest.step:
            goes.append(counted[-2].number)
        before = self._standing or self._case
        for number in goes:
            self.take_back(number, "undone")
        self._before = before
        return True


def _check_of(entry: Entry) -> str:
    """The check an answer came from, empty for anything else."""
    return entry.check if isinstance(entry, SignAnswer | ReadingTaken) else ""
