"""One simulated job worked to its end, through the same case, agenda and proposals that people use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol

from diag.casework.agenda import Task, complete, tasks
from diag.casework.entries import CarFact, Case, Entry, PersonTold, ReadingTaken, SignAnswer, StepDone, StepRefused
from diag.casework.replay import ModelCache, Standing, standing
from diag.decision.candidates import question_minutes
from diag.decision.policy import POLICY
from diag.decision.proposal import Proposal
from diag.fuelsystem.car import hose_off_target
from diag.inference.posterior import NOT_IN_BOOK, Belief
from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step, Yield
from diag.safety.limits import limit
from diag.safety.situation import Wet
from diag.safety.steps import TRAINED, WIPE, find_step
from diag.simulation.course import Course
from diag.simulation.hidden_car import HiddenCar
from diag.simulation.remedies import by_remedy
from diag.simulation.scenario import Scenario, still_shown, truth_names
from diag.simulation.written import as_written

Chooser = Callable[[Standing], Proposal]

MOST_MOVES = 200  # proposals; loose questions count one by one
KEPT_CHANCE = 0.001
AT = "2026-01-01T08:00:00Z"
PLAIN_TOOLS = frozenset({"torch", "helper", "cloths", "white-paper", "hand-tools"})
PLAIN_ACTS = frozenset({"key on", "runs pump", "runs engine", "disturbs joint"})
"""What a plain look or listen may take: anybody who wrote a case down would have had it and seen nothing unusual."""


BY_HAND = frozenset({("screw", "in"), ("return", "pinched")})
"""Settings in which a hand raises the pressure step by step and stops in time, as every such check says."""
SHORT_OF = 0.99  # of the limit, where that hand stops and says that it would have gone on. Judgement


class Watcher(Protocol):
    """Whoever looks over the shoulder of whoever works the job, entry by entry, and says what must not be done."""

    def saw(self, entry: Entry) -> None:
        """Take one entry, in order."""

    def objection(self, steps: Sequence[str]) -> str:
        """What is wrong with doing these steps in this order; empty when nothing is."""


class Unwatched:
    """Nobody looks over the shoulder."""

    def saw(self, entry: Entry) -> None:
        """Nothing is kept of it."""

    def objection(self, steps: Sequence[str]) -> str:
        """None."""
        return ""


class Bench:
    """The job on the bench: the case, the hidden car and the clock."""

    def __init__(self, told: Scenario, book: RuleBook, cache: ModelCache, watcher: Watcher | None = None) -> None:
        self.book = book
        self.told = told
        self.hidden: HiddenCar = told.hidden
        self.cache = cache
        self._watcher = watcher or Unwatched()
        self.course = Course(
            told.number, told.generator, told.kit, told.truth, case=told.case, right_names=told.right_names
        )
        self.tools = told.tools
        self.asides = list(told.written.script.asides) if told.written is not None else []
        self.helped = told.written is None or told.written.script.person.second_person
        self.taken: dict[tuple[str, str, str], int] = {}
        self.proposed: dict[tuple[object, ...], int] = {}
        self.target: float | None = None  # of the rail with the reference hose off, as far as it was told, Pa
        self.case = Case("trial", "trial", AT, book.version, book.fingerprint)
        self._tell_story()

    @property
    def by_the_sheet(self) -> bool:  # until the first repair nobody answers what the case does not tell
        return self.told.by_the_sheet and not self.course.remedies

    # ------------------------------------------------------------------ telling

    def _number(self) -> int:
        return len(self.case.entries) + 1

    def add(self, entry: Entry) -> None:
        """Append an entry, seen by whoever watches."""
        self.case = replace(self.case, entries=(*self.case.entries, entry))
        self._watcher.saw(entry)

    def _tell(self, entry: Entry) -> None:
        """Something of a written case, as it was told there."""
        if isinstance(entry, StepDone):
            self.do(entry.step)
        else:
            self.add(replace(entry, number=self._number(), at=AT, who="trial"))

    def _tell_story(self) -> None:
        told = self.told
        if told.written is not None:
            for entry in told.written.script.desk:
                self._tell(entry)
            return
        self._tell_person()
        for name, text in (*told.car_texts.items(), *((c, "yes") for c in told.contexts)):
            self.add(CarFact(self._number(), AT, "trial", name, text))
        for sign, answer in told.complaints:
            self.add(SignAnswer(self._number(), AT, "trial", sign, answer))

    def _tell_person(self) -> None:
        told = self.told
        kit = None if self.tools is None else tuple(sorted(self.tools))
        person = PersonTold(self._number(), AT, "trial", told.person, told.by_phone, not told.by_phone, True, kit)
        if told.written is not None:
            as_told = told.written.script.person
            person = replace(person, second_person=self.helped, ventilated=as_told.ventilated)
        self.add(person)

    def _fetch(self, step: Step) -> None:
        """Borrow what is missing, once."""
        if self.tools is not None and not set(step.tools) <= self.tools:
            missing = set(step.tools) - self.tools
            self.course.minutes += self.book.knobs.borrow_minutes * len(missing)
            self.tools = self.tools | missing
            self._tell_person()

    def _call_helper(self, here: Standing) -> bool:
        """A second person is called to the proof of a leak, once, at the price of a thing fetched; not by phone."""
        situation = here.situation
        if self.helped or self.told.by_phone or situation.wet is not Wet.REPAIRED or situation.person not in TRAINED:
            return False
        self.helped = True
        self.course.minutes += self.book.knobs.borrow_minutes
        self._tell_person()
        return True

    def do(self, step_id: str) -> None:
        """Carry out a setup or remedy, or finish a check."""
        step = find_step(self.book, step_id)
        if step is None:
            raise AssertionError(f"unknown step {step_id}")
        if not isinstance(step, Check):
            self._fetch(step)
            self.course.minutes += step.minutes
        self.add(StepDone(self._number(), AT, "trial", step_id))
        if isinstance(step, Remedy):
            before = self.hidden.present()
            self.hidden = self.hidden.after(step_id)
            self.course.remedies += (step_id,)
            if step.keeps_car and self.hidden.present() == before:
                self.course.needless += 1
        else:
            self.hidden = self.hidden.after(step_id)
        now = [entry for after, entry in self.asides if after == step_id]
        self.asides = [aside for aside in self.asides if aside[0] != step_id]
        for entry in now:
            self._tell(entry)

    def ask(self, task: Task) -> bool:
        """Answer one question; False when the answer ends the check at once (fuel found while the pump may run)."""
        self.course.questions += 1
        if task.kind == "sign":
            asked = self.book.checks[task.step]
            talk = not (asked.tools or asked.does)
            self.course.talk += talk
            told = as_written(self.hidden, Yield(sign=task.sign))
            if isinstance(told, SignAnswer):
                answer = told.answer
                self._tell(replace(told, check=task.step))
            else:
                answer = self._said(task.sign, talk)
                self.add(SignAnswer(self._number(), AT, "trial", task.sign, answer, check=task.step))
            wet = self.book.signs[task.sign].wet and answer not in (ABSENT, NOT_KNOWN)
            check = self.book.checks[task.step]
            return not (wet and check.does)
        self.course.measured += 1
        again = (task.reading, task.at, str(self.hidden.epoch))
        self.taken[again] = self.taken.get(again, 0) + 1
        told = as_written(self.hidden, Yield(reading=task.reading, at=task.at), self.taken[again])
        if told is not None:
            self._tell(replace(told, check=task.step))
            return True
        value = float(self.hidden.answer(Yield(reading=task.reading, at=task.at), take=self.taken[again]))
        settings = self.book.points[task.at].settings
        by_hand = bool(BY_HAND & settings.items())
        most = limit(task.reading, settings, self.target, self.told.by_phone) if by_hand else None
        value, bound = (value, "") if most is None or value < most else (SHORT_OF * most, "above")
        self.add(
            ReadingTaken(
                self._number(), AT, "trial", task.reading, task.at, f"{value:.6g}", value, value, value, bound,
                gauge=self.book.points[task.at].gauge, check=task.step,
            )
        )  # fmt: skip
        return True

    def unwritten(self, task: Task) -> bool:
        """Whether the case has no word for this: a reading, or a look that takes tools or runs anything."""
        if as_written(self.hidden, Yield(sign=task.sign, reading=task.reading, at=task.at)) is not None:
            return False
        check = self.book.checks[task.step]
        return bool(task.reading or set(check.tools) - PLAIN_TOOLS or set(check.does) - PLAIN_ACTS)

    def _said(self, sign: str, talk: bool) -> str:
        """The answer as told. A slip that says "wet" is noticed, since everything stops; a wet place missed is not."""
        asked = self.book.signs[sign]
        if self.by_the_sheet:
            return ABSENT if not asked.choices and (asked.wet or not talk) else NOT_KNOWN
        again = (sign, "", str(self.hidden.epoch))
        self.taken[again] = self.taken.get(again, 0) + 1
        take, told = self.taken[again], self.told
        said = str(self.hidden.answer(Yield(sign=sign), wrong=told.wrong, take=take, invents=told.invents))
        if asked.wet and said == PRESENT:
            return self.hidden.sign(sign)
        return said

    # ------------------------------------------------------------------ the job

    def work(self, choose: Chooser) -> Course:
        """Follow proposals to the end."""
        for _ in range(MOST_MOVES):
            here = standing(self.case, self.book, self.cache)
            proposal = choose(here)
            self._watch(here, proposal)
            if proposal.kind == "stop" and self._call_helper(here):
                continue
            if proposal.kind in ("close", "hand on", "stop"):
                self._end(proposal)
                break
            self._follow(here, proposal)
        self.course.left = self.hidden.present()
        return self.course

    def _watch(self, here: Standing, proposal: Proposal) -> None:
        course = self.course
        course.proposals += 1
        course.steps += (f"{proposal.kind}:{proposal.step}",)
        same = proposal.kind, proposal.step, proposal.setups, proposal.ask
        self.proposed[same] = self.proposed.get(same, 0) + 1
        course.again = max(course.again, self.proposed[same])
        why = self._watcher.objection((*proposal.setups, *((proposal.step,) if proposal.step else ())))
        if why:
            course.forbidden += (why,)
        if (
            proposal.kind not in ("check", "prove", "stop")
            and not course.ranking
            and not self._wipes_on(here, proposal)
        ):
            self._remember(here.belief, proposal)
        if not course.ranking and proposal.kind == "check":
            leader, share = here.belief.ranked()[0]
            course.later.append((share, leader in self.told.right_names))

    def _wipes_on(self, here: Standing, proposal: Proposal) -> bool:
        """Wiping a wet place that nothing explains opens the way to look further; it commits to no cause."""
        return proposal.step == WIPE and dict(by_remedy(here.belief, self.book))[WIPE] < POLICY.close_at

    def _remember(self, belief: Belief, proposal: Proposal) -> None:
        course, truth = self.course, truth_names(self.told.truth)
        ranked = belief.ranked()
        course.finding_minutes, course.finding_checks = course.minutes, course.checks
        course.finding_lines = course.lines
        course.ranking = tuple(ranked[:5])
        course.calibration = tuple((p, name in truth) for name, p in ranked if p >= KEPT_CHANCE)
        course.remedy_ranking = tuple(by_remedy(belief, self.book)[:5])
        course.first_step_right = self._right(proposal)

    def _right(self, proposal: Proposal) -> bool:
        """Whether a remedy, close or hand-on fits what is really there."""
        there = self.hidden.present()
        if proposal.kind == "close":
            return not there
        if there == self.told.truth:  # what a writer accepts as the same thing by another name is as good
            there = (*there, *sorted(self.told.right_names - set(there)))
        if proposal.kind == "remedy":
            return any(c in self.book.causes and proposal.step in self.book.causes[c].remedies for c in there)
        if proposal.kind == "hand on" and not there:
            return still_shown(self.hidden, self.case)
        if proposal.kind == "hand on" and proposal.toward:  # with the remedy named for whoever carries it out
            return any(c in self.book.causes and proposal.toward in self.book.causes[c].remedies for c in there)
        given = [r for r in self.course.remedies if r in self.book.remedies and not self.book.remedies[r].keeps_car]
        if given:
            return any(c in self.book.causes and set(given) & set(self.book.causes[c].remedies) for c in there)
        return NOT_IN_BOOK in there or (self.told.kit == "phone" and bool(there))

    def _end(self, proposal: Proposal) -> None:
        there = self.hidden.present()
        given = any(not self.book.remedies[r].keeps_car for r in self.course.remedies)
        if proposal.kind == "close":
            self.course.end = "cured" if not there else "closed wrongly"
        else:
            self.course.end = "given to another" if given else "handed on" if proposal.kind == "hand on" else "stopped"
        must_stop = self.told.written is not None and self.told.written.stops
        self.course.right_end = self.course.end == "stopped" if must_stop else self._right(proposal)

    def _follow(self, here: Standing, proposal: Proposal) -> None:
        self.target = hose_off_target(here.car)
        asked, left = "", False
        every = _as_tasks(here, proposal)
        self.course.lines += any(task.kind in ("do", "remedy") for task in every)
        for task in every:
            if task.kind in ("do", "remedy"):
                self.do(task.step)
                continue
            if (self.by_the_sheet or self._wants_log(task)) and self.unwritten(task):
                left = True
                continue
            if not asked:
                asked = task.step
                self._fetch(self.book.checks[asked])
                self.course.checks += not proposal.ask
                self.course.lines += self.book.checks[asked].look_over
                self.course.minutes += self._price(asked, proposal)
            self.course.lines += not self.book.checks[asked].look_over
            if not self.ask(task):
                break
        if asked and complete(self.case, self.book, asked):
            self.do(asked)
        elif left:
            self.add(StepRefused(self._number(), AT, "trial", proposal.step, "cannot"))

    def _wants_log(self, task: Task) -> bool:
        """Whether the answer would come from an earlier log: nobody has one unless a written case says so."""
        return task.step in self.book.checks and self.book.checks[task.step].from_log

    def _price(self, asked: str, proposal: Proposal) -> float:
        """Minutes of the check that was asked, which may be one in progress and not the proposed one."""
        check = self.book.checks[asked]
        loose = proposal.ask and proposal.step == asked
        return question_minutes(check) * len(proposal.ask) if loose else check.minutes


def _as_tasks(here: Standing, proposal: Proposal) -> tuple[Task, ...]:
    """The proposal taken apart by the agenda that people follow."""
    if "proposal" not in here.__dict__:
        here.__dict__["proposal"] = proposal  # another order proposed this step; the agenda takes it apart as usual
    return tasks(here)
