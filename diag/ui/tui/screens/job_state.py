"""What the parts of a job's screen share: the job, the next thing, and facts about both."""

from __future__ import annotations

from dataclasses import replace

from diag.casework.agenda import Task
from diag.casework.entries import PersonTold, SignAnswer
from diag.casework.summary import status_of
from diag.presentation.wording import Words, entry_words
from diag.rulebook.model import Remedy
from diag.safety.steps import find_step
from diag.session.job import Job
from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.board import Board


class JobScreen(CardScreen[None]):
    """A job and the next thing to do in it; ``renew`` is told after every change."""

    def __init__(self, job: Job, opening: bool = False) -> None:
        super().__init__()
        self.job = job
        self.opening = opening
        self.board: Board | None = None
        self.now: Task | None = None
        self.unsure = False
        self.heard = False
        self.read_aloud: bool | None = None
        self.last = ""
        self.surprise = ""
        self._warned: set[str] = set()

    def renew(self, last: str = "") -> None:
        """The case has changed; ``last`` says in words what was told."""
        raise NotImplementedError

    def _answered(self) -> None:
        self.renew(self._last_words())

    def _last_words(self) -> str:
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
        """The ticked steps of the remedy in hand; kept while other jobs are worked on."""
        step = self.now.step if self.now is not None else ""
        return self.desk.ticks.setdefault((self.job.case.id, step), set())

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
