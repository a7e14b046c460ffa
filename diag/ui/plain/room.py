"""What the parts of a conversation share: the jobs at hand, who speaks, and what was told already."""

from __future__ import annotations

from abc import ABC, abstractmethod

from diag.casework.agenda import Task
from diag.casework.keeping import JobStore
from diag.casework.replay import ModelCache, Standing
from diag.casework.summary import status_of
from diag.hearing.listen import Listener
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Step
from diag.session.job import Job
from diag.session.listening import listener_of
from diag.session.open_jobs import OpenJobs, Refuge
from diag.ui.plain.talk import Talk


class Room(ABC):
    """One person and their jobs. Commands and answers act on it and know nothing of the turns that are taken."""

    def __init__(self, source: Job | JobStore, book: RuleBook, talk: Talk, who: str = "", phone: bool = False) -> None:
        self.book = book
        self.talk = talk
        self.who = who
        self.phone = phone
        self.cache: ModelCache = {}
        self.store = None if isinstance(source, Job) else source
        self.open = OpenJobs([source] if isinstance(source, Job) else [])
        self.fled: list[Refuge] = []  # jobs that went into a folder of refuge
        self.at = 0
        self.over = False
        self.listed: list[str] = []  # ids behind the numbers of the list shown last
        self.heard: set[str] = set()  # hazards whose cautions were heard in full
        self.accepted: set[str] = set()  # stop rules acknowledged and still in force
        self.shown: tuple[str, Task, int] | None = None  # the task told last, and of which entries
        self.step_shown = ""  # the step told last
        self.told_last: Standing | None = None  # where the ranking stood when it was last told
        self.read_out: set[str] = set()  # steps whose instructions were read out
        self.singly = ""  # the look-over whose places are asked about one at a time
        self.circumstances = ""  # people and papers told together with the complaint, not yet entered
        self.may_wait = False  # whether a line typed at ticks may be kept as the answer to the question before them
        self.waiting = ""  # such a line
        self.reading_on = 0  # how many steps of a longer piece of work were read out

    @property
    def listener(self) -> Listener:
        """Hears with this rule book."""
        return listener_of(self.book)

    # ------------------------------------------------------------------ the job at hand

    @property
    def jobs(self) -> OpenJobs:
        """The jobs at hand."""
        return self.open

    @property
    def job(self) -> Job:
        """The job being talked about."""
        return self.jobs[self.at]

    @property
    def now(self) -> Standing:
        """Where it stands."""
        return self.job.standing

    @property
    def task(self) -> Task:
        """What is next: the check in progress, the step chosen, or what the program proposes."""
        return self.job.task

    def take(self, job: Job) -> None:
        """Turn to a job."""
        self.at = self.open.add(job)
        self.shown, self.step_shown, self.told_last = None, "", None
        self.accepted.clear()

    def show_again(self) -> None:
        """Have the present task told in full at the next turn."""
        self.shown, self.step_shown = None, ""

    def mark_ranking(self) -> None:
        """The ranking has just been told."""
        self.told_last = self.now

    def finished(self) -> None:
        """The job at hand is closed: turn to another one, or end."""
        open_jobs = [job for job in self.jobs if status_of(job.case) != "closed"]
        if open_jobs:
            self.take(open_jobs[0])
            self.talk.say(f"Now again: {self.job.case.title}.")
        else:
            self.over = True

    @property
    def by_phone(self) -> bool:
        """Whether wording is for reading aloud."""
        return self.phone or self.now.situation.by_phone

    @abstractmethod
    def answers(self, line: str) -> bool:
        """Whether a line would be an answer to the question or step at hand; nothing is entered."""

    @abstractmethod
    def steps_of(self, step: Step) -> list[str]:
        """The steps as they are told here and now."""

    @abstractmethod
    def stops_heard(self) -> bool:
        """Whether every stop rule that answers to a finding was told and acknowledged; False when the input ended."""
