"""Many simulated jobs, worked by the engine or by another order, on every core; and the figures over them."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

import numpy as np

from diag.casework.entries import ReadingTaken
from diag.casework.evidence_of import told_by
from diag.casework.replay import ModelCache, model_for
from diag.evaluation.audit import Auditor
from diag.evaluation.cores import on_every_core
from diag.evaluation.orders import ORDERS
from diag.evaluation.scores import Bin, Estimate, bootstrap, calibration_error, mean_of, median_of, reliability
from diag.evaluation.trial_state import TrialState
from diag.evaluation.worked import Ceiling, Worked
from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Evidence, Finding, Reading
from diag.inference.model import Model
from diag.inference.posterior import belief
from diag.rulebook.findings import NOT_KNOWN
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import PERSONS, Yield
from diag.simulation.bench import Bench
from diag.simulation.course import Course
from diag.simulation.generators import PROFILES, scenario, stressed_book
from diag.simulation.remedies import by_remedy, remedy_name
from diag.simulation.scenario import Generator, Scenario, WrittenCase, truth_names
from diag.simulation.written import as_written, written_job

CHUNK = 10
CEILING_EVERY = 20  # for one job in twenty every allowed check is answered as well


@dataclass(frozen=True)
class TrialPlan:
    """What to run."""

    jobs: int
    generator: Generator = "own"
    kits: str = "full"
    order: str = "engine"
    seed: int = 1
    ceilings: bool = True
    by_the_sheet: bool = False


@dataclass
class TrialOutcome:
    """All jobs of one trial; ``seconds`` that they took, added up over all processes."""

    plan: TrialPlan
    courses: list[Course] = field(default_factory=list)
    ceilings: list[Ceiling] = field(default_factory=list)
    seconds: float = 0.0


class Workshop:
    """One process's book, models and worlds, made once; ``written`` are the cases of the generator of that name."""

    def __init__(self, rules: str, written: tuple[WrittenCase, ...] = ()) -> None:
        self.book = load_book(Path(rules))
        self.written = written
        self.cache: ModelCache = {}
        self._profile = -1
        self._stressed: RuleBook | None = None
        self._stressed_cache: ModelCache = {}

    def world(self, generator: Generator, profile: int) -> Model:
        """The compiled book that the hidden car follows."""
        car = car_from_texts(dict(PROFILES[profile]), "psi")
        if generator == "own":
            return model_for(self.book, car, self.cache)
        if self._stressed is None:
            self._stressed = stressed_book(self.book)
        return model_for(self._stressed, car, self._stressed_cache)

    def run(self, plan: TrialPlan, number: int) -> tuple[Course, Ceiling | None]:
        """Work one job."""
        profile = number % cycle_of(plan, self.written)
        if profile != self._profile:
            self.cache.clear()
            self._stressed_cache.clear()
            self._profile = profile
        if plan.generator == "written":
            round_ = number // len(self.written)
            told = written_job(
                self.written[profile], number, round_, plan.seed, self.book, self.cache, plan.by_the_sheet
            )
        else:
            world = self.world(plan.generator, profile)
            told = scenario(number, plan.generator, plan.kits, plan.seed, world, PROFILES[profile])
        bench = Bench(told, self.book, self.cache, Auditor(self.book))
        first = told_by(bench.case, self.book)
        course = bench.work(ORDERS[plan.order](plan.seed + number))
        ceiling = None
        if plan.ceilings and number % CEILING_EVERY == 0:
            model = model_for(self.book, first.car, self.cache)
            ceiling = ceiling_of(told, model, first.evidence)
        return course, ceiling


def cycle_of(plan: TrialPlan, written: Sequence[WrittenCase]) -> int:
    """After how many jobs the cars come round again: jobs on one car are worked together."""
    return len(written) if plan.generator == "written" else len(PROFILES)


def _work(plans: Sequence[TrialPlan], shop: Workshop, piece: tuple[int, Sequence[int]]) -> tuple[int, list[Worked]]:
    """Some jobs of all trials, one job after the other: what is predicted of its car serves all of them."""
    found: list[Worked] = []
    for number in piece[1]:
        for trial, plan in enumerate(plans):
            start = time.perf_counter()
            course, ceiling = shop.run(plan, number)
            found.append((trial, course, ceiling, time.perf_counter() - start))
    return piece[0], found


def run_trials(
    plans: Sequence[TrialPlan],
    rules: Path,
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    written: tuple[WrittenCase, ...] = (),
    state: TrialState | None = None,
) -> list[TrialOutcome]:
    """Work all jobs of several trials that differ in their order only; no result depends on the number of processes.

    ``written`` are the cases to go round when the generator is "written". What ``state`` holds is not worked again,
    and what is worked is left there.

    Interrupting it ends the processes and raises KeyboardInterrupt.
    """
    # Jobs on the same car together: predictions for a car are kept, and are what takes memory.
    jobs, cycle = plans[0].jobs, cycle_of(plans[0], written)
    chunks = [
        range(start, jobs, cycle)[at : at + CHUNK]
        for start in range(min(cycle, jobs))
        for at in range(0, len(range(start, jobs, cycle)), CHUNK)
    ]
    outcomes = [TrialOutcome(plan) for plan in plans]
    kept = state.pieces if state is not None else {}
    done = sum(len(worked) for worked in kept.values())
    for worked in kept.values():
        _enter(worked, outcomes)
    pieces = [(number, numbers) for number, numbers in enumerate(chunks) if number not in kept]
    for number, worked in on_every_core(partial(Workshop, str(rules), written), partial(_work, plans), pieces, workers):
        if state is not None:
            state.add(number, worked)
        _enter(worked, outcomes)
        done += len(worked)
        if progress is not None:
            progress(done, jobs * len(plans))
    for outcome in outcomes:
        outcome.courses.sort(key=lambda c: c.number)
        outcome.ceilings.sort(key=lambda c: c.number)
    return outcomes


def _enter(worked: Sequence[Worked], outcomes: Sequence[TrialOutcome]) -> None:
    for trial, course, ceiling, seconds in worked:
        outcomes[trial].courses.append(course)
        outcomes[trial].seconds += seconds
        if ceiling is not None:
            outcomes[trial].ceilings.append(ceiling)


# ------------------------------------------------------------------ the ceiling


def ceiling_of(told: Scenario, model: Model, first: Evidence) -> Ceiling:
    """Rank with the answers of every check this person may do, as if the wall let all of them be done at once."""
    book = model.book
    asked: dict[Yield, None] = {}
    for check in book.checks.values():
        trained = PERSONS.index(told.person) >= PERSONS.index(check.person)
        if trained and (check.by_phone or not told.by_phone):
            asked.update(dict.fromkeys(check.yields))
    findings, readings = list(first.findings), list(first.readings)
    known = {f.sign for f in findings}
    for number, y in enumerate(asked, 1000):
        said = as_written(told.hidden, y)
        if y.sign and y.sign not in known:
            answer = str(told.hidden.answer(y, wrong=told.wrong, invents=told.invents))
            if answer == NOT_KNOWN:
                continue
            findings.append(Finding(y.sign, answer, book.knobs.sure_wrong, 0, number))
        elif y.reading:
            value = float(told.hidden.answer(y))
            gauge = book.points[y.at].gauge
            low, high, bound = value, value, ""
            if isinstance(said, ReadingTaken):
                low, high, bound = said.low, said.high, said.bound
            readings.append(Reading(y.reading, y.at, value, low, high, bound, gauge, entry=number))
    found = belief(model, replace(first, findings=tuple(findings), readings=tuple(readings)))
    ranked = found.ranked()
    return Ceiling(
        told.number,
        place(ranked, told.right_names),
        place(by_remedy(found, book), remedies_of(told.right_names, book)),
        ranked[0][0],
    )


def remedies_of(names: frozenset[str], book: RuleBook) -> frozenset[str]:
    """What should be done about any of these."""
    return frozenset(remedy_name(c, book) for c in names)


def place(ranked: Sequence[tuple[str, float]], truth: frozenset[str]) -> int:
    """Where the first true name stands, from 1; 99 when nowhere."""
    return next((at for at, (name, _) in enumerate(ranked, 1) if name in truth), 99)


# ------------------------------------------------------------------ the figures


@dataclass(frozen=True)
class Figures:
    """What a trial says, with 95 % bootstrap intervals; ``None`` where nothing was measured."""

    jobs: int
    at_1: Estimate
    at_3: Estimate
    remedy_at_1: Estimate
    remedy_at_3: Estimate
    ceiling_at_1: Estimate | None
    ceiling_at_3: Estimate | None
    ceiling_remedy_at_1: Estimate | None
    ceiling_remedy_at_3: Estimate | None
    first_step_right: Estimate
    proven: Estimate
    minutes: Estimate
    finding_minutes: Estimate
    checks: Estimate
    questions: Estimate
    talk: Estimate
    measured: Estimate
    middle_checks: Estimate
    middle_questions: Estimate
    finding_checks: Estimate
    finding_lines: Estimate
    lines: Estimate
    again: int
    doubles: int
    doubles_cured: int
    needless: Estimate
    brier: Estimate
    leader_error: Estimate
    all_error: float
    leader_table: tuple[Bin, ...]
    all_table: tuple[Bin, ...]
    ends: Mapping[str, int]
    proposals: int
    forbidden: tuple[str, ...]


def figures(outcome: TrialOutcome, book: RuleBook) -> Figures:
    """Everything over the jobs of one trial."""
    courses = [c for c in outcome.courses if c.ranking]
    by_cause = np.array([place(c.ranking, c.right_names) for c in courses])
    by_remedy_ = np.array([place(c.remedy_ranking, remedies_of(c.right_names, book)) for c in courses])
    leader = np.array([c.ranking[0][1] for c in courses])
    right = by_cause == 1
    all_pairs = [pair for c in courses for pair in c.calibration]
    chances, happened = np.array([p for p, _ in all_pairs]), np.array([y for _, y in all_pairs])
    every = outcome.courses
    ends: dict[str, int] = {}
    for c in every:
        ends[f"{c.end}, {'rightly' if c.right_end else 'wrongly'}"] = (
            ends.get(f"{c.end}, {'rightly' if c.right_end else 'wrongly'}", 0) + 1
        )
    doubles = [c for c in every if len(c.truth) > 1]
    squared = np.array([sum((p - y) ** 2 for p, y in c.calibration) for c in courses])

    def within(places: np.ndarray, most: int) -> Estimate:
        return mean_of(places <= most)

    top_1 = [c.by_cause for c in outcome.ceilings]
    top_remedy = [c.by_remedy for c in outcome.ceilings]
    return Figures(
        len(every),
        within(by_cause, 1),
        within(by_cause, 3),
        within(by_remedy_, 1),
        within(by_remedy_, 3),
        within(np.array(top_1), 1) if top_1 else None,
        within(np.array(top_1), 3) if top_1 else None,
        within(np.array(top_remedy), 1) if top_1 else None,
        within(np.array(top_remedy), 3) if top_1 else None,
        mean_of([c.first_step_right for c in courses]),
        mean_of([c.right_end for c in every]),
        mean_of([c.minutes for c in every]),
        mean_of([c.finding_minutes for c in courses]),
        mean_of([c.checks for c in every]),
        mean_of([c.questions for c in every]),
        mean_of([c.talk for c in every]),
        mean_of([c.measured for c in every]),
        median_of([c.checks for c in every]),
        median_of([c.questions for c in every]),
        median_of([c.finding_checks for c in courses]),
        median_of([c.finding_lines for c in courses]),
        median_of([c.lines for c in every]),
        max((c.again for c in every), default=0),
        len(doubles),
        sum(not c.left for c in doubles),
        mean_of([c.needless for c in every]),
        mean_of(squared),
        bootstrap(len(courses), partial(_leader_error, leader, right), resamples=200),
        calibration_error(chances, happened),
        reliability(leader, right, 10),
        reliability(chances, happened, 10),
        dict(sorted(ends.items(), key=lambda e: -e[1])),
        sum(c.proposals for c in every),
        tuple(why for c in every for why in c.forbidden),
    )


def _leader_error(leader: np.ndarray, right: np.ndarray, rows: np.ndarray) -> float:
    return calibration_error(leader[rows], right[rows])


def confusion(outcome: TrialOutcome) -> list[tuple[str, int, int, dict[str, int]]]:
    """Per true cause: jobs, how often it led, and what led instead; most missed first."""
    found: dict[str, tuple[int, int, dict[str, int]]] = {}
    for c in outcome.courses:
        if not c.ranking:
            continue
        truth = truth_names(c.truth)
        for name in truth:
            jobs, hits, instead = found.get(name, (0, 0, {}))
            first = c.ranking[0][0]
            if first in c.right_names:
                hits += 1
            else:
                instead[first] = instead.get(first, 0) + 1
            found[name] = (jobs + 1, hits, instead)
    rows = [(name, jobs, hits, instead) for name, (jobs, hits, instead) in found.items()]
    return sorted(rows, key=lambda r: (r[2] - r[1], r[0]))
