"""What a job's screen holds: the job, the next thing to do, how the next answer is marked, and facts about them."""

from __future__ import annotations

from collections.abc import MutableMapping
from dataclasses import dataclass, field, replace

from diag.casework.agenda import Task, in_one_go
from diag.casework.entries import PersonTold, ReadingTaken, SignAnswer, Source, StepDone, Sure
from diag.casework.summary import status_of
from diag.presentation.wording import Words, entry_words
from diag.rulebook.steps import Remedy
from diag.safety.steps import find_step
from diag.session.job import Job
from diag.support.text import one_line
from diag.ui.tui.board import Board


@dataclass
class WorkState:
    """A job at work. ``ticks`` belongs to the program: the steps ticked of each job's remedies."""

    job: Job
    ticks: MutableMapping[tuple[str, str], set[int]] = field(default_factory=dict)
    board: Board | None = None
    now: Task | None = None
    unsure: bool = False
    heard: bool = False
    read_aloud: bool | None = None
    last: str = ""
    surprise: str = ""
    said: int = 0  # which line of the step is being read aloud
    told_hazards: set[str] = field(default_factory=set)  # hazards whose cautions stood on an earlier step

    # ------------------------------------------------------------------ the next answer

    @property
    def sure(self) -> Sure:
        """How sure the next answer is."""
        return "unsure" if self.unsure else "sure"

    @property
    def source(self) -> Source:
        """Whose the next answer is."""
        return "second hand" if self.heard else "own eyes"

    @property
    def asks_value(self) -> bool:
        """Whether a value is to be typed."""
        return self.now is not None and self.now.kind == "reading" and not self.closed

    def last_words(self) -> str:
        """The last entry a person told, in words."""
        words = Words(self.job.book, self.job.case.unit_pressure)
        for entry in reversed(self.job.case.effective()):
            said = replace(entry, text="") if isinstance(entry, SignAnswer) else entry
            kind, text = entry_words(said, words)
            if kind in ("answer", "reading", "car", "person", "not done", "handed over"):
                return one_line(text, 90)
            if kind == "done" and not self._closes_check(entry.number):
                return f"Done: {one_line(text, 80)}"
        return ""

    def _closes_check(self, number: int) -> bool:
        """Whether an entry 'done' only closes the check whose answers came before it."""
        counted = self.job.case.effective()
        at = next((i for i, e in enumerate(counted) if e.number == number), 0)
        return at > 0 and getattr(counted[at - 1], "check", "") == getattr(counted[at], "step", None)

    # ------------------------------------------------------------------ the list of questions

    @property
    def questions(self) -> tuple[Task, ...]:
        """What is still open of the check in hand, in order."""
        found = self.job.tasks_at_once or (self.board.tasks if self.board is not None else ())
        step = self.now.step if self.now is not None else ""
        return tuple(task for task in found if task.step == step and task.kind in ("sign", "reading"))

    def answered(self) -> list[tuple[str, str]]:
        """Title and answer of what was answered of the check in hand since it was begun."""
        step = self.now.step if self.now is not None else ""
        words = Words(self.job.book, self.job.case.unit_pressure)
        found: list[tuple[str, str]] = []
        for entry in self.job.case.effective():
            if isinstance(entry, StepDone) and entry.step == step:
                found.clear()
            elif isinstance(entry, SignAnswer | ReadingTaken) and entry.check == step:
                title, _, said = entry_words(replace(entry, text=""), words)[1].rpartition(": ")
                found.append((title, said))
        return found

    @property
    def following(self) -> tuple[Task, ...]:
        """The deeds after the one at hand that may be done in one go; a caller gets one at a time."""
        found = self.job.tasks_at_once or (self.board.tasks if self.board is not None else ())
        if self.now is None or self.now.kind != "do" or self.by_phone or not found or found[0] != self.now:
            return ()
        return in_one_go(self.job.standing, found)[0][1:]

    @property
    def saying(self) -> bool:
        """Whether more lines of the step are to be read aloud, one at a time."""
        step = find_step(self.job.book, self.now.step) if self.now is not None and not self.closed else None
        return self.aloud and step is not None and not isinstance(step, Remedy) and self.said + 1 < len(step.aloud)

    # ------------------------------------------------------------------ facts for the screen

    @property
    def by_phone(self) -> bool:
        """Whether the person at the car is at the other end of a telephone."""
        return self.job.standing.situation.by_phone

    @property
    def aloud(self) -> bool:
        """Whether steps are worded to be read aloud."""
        return self.by_phone if self.read_aloud is None else self.read_aloud

    @property
    def mode(self) -> str:
        """Workshop or phone, and who is at the car."""
        told = [e for e in self.job.case.effective() if isinstance(e, PersonTold)]
        who = told[-1].person if told else ""
        return f"phone: {who}" if self.by_phone else "workshop"

    @property
    def ticked(self) -> set[int]:
        """The ticked steps of the remedy in hand."""
        step = self.now.step if self.now is not None else ""
        return self.ticks.setdefault((self.job.case.id, step), set())

    @property
    def steps_left(self) -> int:
        """Steps of the remedy that are not ticked yet."""
        step = self.remedy
        return len(step.steps) - len(self.ticked) if step is not None else 0

    @property
    def remedy(self) -> Remedy | None:
        """The remedy in hand."""
        step = find_step(self.job.book, self.now.step) if self.now is not None else None
        return step if isinstance(step, Remedy) and self.now is not None and self.now.kind == "remedy" else None

    @property
    def closed(self) -> bool:
        """Whether the job is finished."""
        return status_of(self.job.case) == "closed"
