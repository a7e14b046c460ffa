"""A made job played line by line: somebody answers every prompt from a hidden car, and every line typed is counted."""

from __future__ import annotations

from dataclasses import dataclass

from diag.casework.agenda import Task
from diag.casework.replay import ModelCache, model_for
from diag.fuelsystem.car import car_from_texts
from diag.quantities import show
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Yield
from diag.session.job import Job
from diag.session.kept import new_case
from diag.simulation.generators import PROFILES, scenario
from diag.simulation.hidden_car import HiddenCar
from diag.simulation.scenario import Scenario
from diag.ui.plain import checklist, doing
from diag.ui.plain.conversation import Conversation
from diag.ui.plain.talk import Talk

MOST = 120


@dataclass(frozen=True)
class Turns:
    """How many lines were typed: before the first reading or look by instrument, and before the first proposal."""

    proposal: int
    measured: int
    ended: str


class Player:
    """Answers like somebody at the car."""

    def __init__(self, told: Scenario, book: RuleBook, opening: str) -> None:
        self.book = book
        self.hidden: HiddenCar = told.hidden
        self.lines = 0
        self.answered = 0  # lines that answered a question or reported a deed
        self.measured = 0
        self.ended = ""
        self.opening = opening
        self.papers = ", ".join(told.car_texts.values())
        self.said = ""
        job = Job(new_case(book, "made job"), book, who="Mira")
        self.room = Conversation(job, book, Talk(self._read, self._hear), who="Mira")

    def _hear(self, text: str) -> None:
        self.said += text

    def _read(self) -> str | None:
        self.lines += 1
        if self.lines > MOST:
            self.ended = "too many"
            return None
        if self.lines == 1:
            return f"tell {self.opening}"
        tail = self.said.rstrip().splitlines()[-1]
        if "Say understood" in tail:
            return "understood"
        if tail.startswith("Enter takes what is ticked"):
            return ""
        return self._answer(self.room.task)

    def _answer(self, task: Task) -> str | None:
        if task.kind in ("remedy", "stop", "hand on", "close"):
            self.ended = task.kind
            self.lines -= 1
            return None
        self.answered += 1
        if task.kind == "do":
            deeds = doing.chain(self.room, task) or [task]
            for one in deeds:
                self.hidden = self.hidden.after(one.step)
            return "done all" if len(deeds) > 1 else "done"
        if checklist.is_look_over(self.room, task):
            return self._look(checklist.open_questions(self.room, task))
        whole = checklist.asked_now(self.room, task)
        if any(one.kind == "reading" for one in whole) and not self.measured:
            self.measured = self.lines
        return ", ".join(self._one(one) for one in whole)

    def _look(self, places: list[Task]) -> str:
        wet = [at for at, one in enumerate(places, 1) if self.hidden.answer(Yield(sign=one.sign)) == PRESENT]
        return "all dry" if not wet else f"{' '.join(map(str, wet))} wet, rest dry"

    def _one(self, task: Task) -> str:
        if task.kind == "sign":
            answer = str(self.hidden.answer(Yield(sign=task.sign)))
            return {PRESENT: "yes", ABSENT: "no"}.get(answer, answer)
        value = float(self.hidden.answer(Yield(reading=task.reading, at=task.at)))
        kind = self.book.readings[task.reading]
        value = min(max(value, kind.low), kind.high)
        return show(value, kind.quantity, "psi" if kind.quantity == "pressure" else None)

    def play(self) -> Turns:
        """Until the first repair is proposed, or nothing more can be done."""
        self.room.run()
        return Turns(self.lines, self.measured, self.ended)


def opening_of(told: Scenario, book: RuleBook) -> str:
    """The complaints as somebody says them: the book's first phrase of each."""
    parts = []
    for name, answer in told.complaints:
        sign = book.signs[name]
        spoken = next((a.phrases for a in sign.choices if a.id == answer), sign.phrases)
        parts.append(spoken[0] if spoken else sign.title)
    return ". ".join(parts)


def made(number: int, book: RuleBook, cache: ModelCache) -> Player:
    """One made job, with the full kit."""
    texts = PROFILES[number % len(PROFILES)]
    world = model_for(book, car_from_texts(dict(texts), "psi"), cache)
    told = scenario(number, "own", "full", 11, world, texts)
    player = Player(told, book, opening_of(told, book))
    for name, text in texts.items():
        player.room.job.tell_car(name, text)
    return player
