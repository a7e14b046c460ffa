"""Random walks through jobs, to see whether the wall can be talked into something: many proposals in little time.

What is real: the case, its replay into a situation, the safety wall, the plans, the choice of the next step and the
auditor. What is not: the belief and what each answer would tell are drawn at random, since the wall must hold whatever
is believed; answers, readings, refusals and deeds out of order are drawn at random too. So a walk says nothing about
how good a diagnosis is. Whole simulated jobs are ``diag.evaluation.trial``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np

from diag.casework.entries import (
    CarFact,
    Case,
    Entry,
    PersonTold,
    ReadingTaken,
    SignAnswer,
    Source,
    StepDone,
    StepRefused,
    Sure,
)
from diag.casework.evidence_of import told_by
from diag.casework.situation_of import situation_of
from diag.decision.candidates import searching
from diag.decision.groups import can_go
from diag.decision.next_step import propose
from diag.decision.proposal import Proposal
from diag.decision.view import View
from diag.evaluation.audit import Auditor
from diag.evaluation.cores import on_every_core
from diag.fuelsystem.car import Car
from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Floats, Ints
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import PERSONS, Check, Remedy, Yield
from diag.safety.steps import find_step

AT = "2026-01-01T08:00:00Z"
LONGEST = 40  # proposals in one walk
SETS = 40  # sets of causes in a random belief
DRAWN = 8  # open checks that are weighed for one proposal
CHUNK = 20  # walks handed to a process at a time
KITS: tuple[tuple[str, ...] | None, ...] = (
    None,
    (),
    ("hand-tools", "torch"),
    ("pressure-gauge", "hand-tools", "multimeter"),
)
CAR = {"fuel": ("", "petrol", "E85", "methanol"), "boost": ("", "0 psi", "12 psi"), "target-pressure": ("", "43.5 psi")}
DOUBTS: tuple[tuple[Sure, Source], ...] = (("sure", "own eyes"), ("unsure", "own eyes"), ("sure", "second hand"))
SAFETY = 0.04  # chance of yes to a sign that a stop rule listens to, else most walks would end at once
OUT_OF_ORDER = 0.1  # chance of a deed that nobody proposed, done whether the wall allows it or not


@dataclass(frozen=True)
class Walked:
    """What some walks saw: proposals by kind, and what the auditor objected to."""

    proposals: Counter[str]
    forbidden: tuple[str, ...]


def run_walks(
    rules: Path,
    proposals: int,
    seed: int,
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Walked:
    """Walks until at least this many proposals were looked at."""
    walks = max(1, proposals // 10)
    chunks = [range(at, at + CHUNK) for at in range(0, walks, CHUNK)]
    counted: Counter[str] = Counter()
    forbidden: list[str] = []
    for found in on_every_core(partial(_opened, rules), partial(_chunk, seed), chunks, workers):
        counted.update(found.proposals)
        forbidden += found.forbidden
        if progress is not None:
            progress(min(counted.total(), proposals), proposals)
    return Walked(counted, tuple(forbidden))


def _chunk(seed: int, opened: tuple[RuleBook, Model], numbers: range) -> Walked:
    book, model = opened
    counted: Counter[str] = Counter()
    forbidden: list[str] = []
    for number in numbers:
        walk = Walk(book, model, np.random.default_rng([seed, number]))
        walk.go()
        counted.update(walk.proposals)
        forbidden += walk.forbidden
    return Walked(counted, tuple(forbidden))


def _opened(rules: Path) -> tuple[RuleBook, Model]:
    book = load_book(rules)
    return book, replace(compile_model(book, Car()), plant=None)


class Walk:
    """One job, from who is at the car to wherever the dice lead."""

    def __init__(self, book: RuleBook, model: Model, dice: np.random.Generator) -> None:
        self.book, self.model, self.dice = book, model, dice
        self.audit = Auditor(book)
        self.case = Case("walk", "walk", AT, book.version, book.fingerprint)
        self.proposals: list[str] = []
        self.forbidden: list[str] = []
        self._listened = {f.partition(":")[2].partition("=")[0] for r in book.stops.values() for f in r.when}
        self._steps = sorted([*book.setups, *book.remedies, *book.actions])

    def go(self) -> None:
        """Tell a story, then follow proposals until one ends the job."""
        self._person()
        for field, values in CAR.items():
            text = str(self.dice.choice(values))
            if text:
                self._add(CarFact(self._number(), AT, "walk", field, text))
        complaints = [s.id for s in self.book.signs.values() if s.symptom]
        for sign in self.dice.choice(complaints, self.dice.integers(1, 4), replace=False):
            self._sign(str(sign))
        for _ in range(LONGEST):
            if self.dice.random() < OUT_OF_ORDER:
                self._add(StepDone(self._number(), AT, "walk", str(self.dice.choice(self._steps))))
            proposal = self._proposed()
            if proposal.kind in ("stop", "hand on", "close"):
                return
            self._follow(proposal)

    def _proposed(self) -> Proposal:
        told = told_by(self.case, self.book)
        model = replace(self.model, car=told.car)
        # What the fuel system makes of an answer or a reading is left out of a walk; the wall hears of all the same.
        plain = tuple(f for f in told.evidence.findings if not self.book.signs[f.sign].conditions)
        evidence = replace(told.evidence, findings=plain, readings=())
        here, believed = situation_of(self.case, self.book), random_belief(model, self.dice)
        proposal = propose(model, believed, evidence, here, self._table, among=self._drawn)
        self.proposals.append(proposal.kind)
        why = self.audit.objection((*proposal.setups, *((proposal.step,) if proposal.step else ())))
        if why:
            self.forbidden.append(f"{why} [{proposal.kind}; walk of {len(self.case.entries)} entries]")
        return proposal

    def _drawn(self, view: View) -> Iterable[Check]:
        """As many open checks as the choice prices, drawn from all: with figures from dice any of them may be best."""
        checks, known, open_ = searching(self.book), view.known(), 0
        for at in self.dice.permutation(len(checks)):
            if open_ < DRAWN and view.fresh(checks[at], known):
                open_ += can_go(view.plan(checks[at]), view.situation)
                yield checks[at]

    def _table(
        self, model: Model, evidence: Evidence, belief: Belief, rows: Ints, yield_: Yield
    ) -> tuple[tuple[str, ...], Floats]:
        """What the answers to one question would be: nobody knows, so the dice say."""
        sign = self.book.signs.get(yield_.sign)
        labels = sign.possible if sign is not None else ("low", "middle", "high")
        table = self.dice.random((len(rows), len(labels))) ** 3 + 1e-3
        return labels, table / table.sum(axis=1, keepdims=True)

    # ------------------------------------------------------------------ telling

    def _number(self) -> int:
        return len(self.case.entries) + 1

    def _add(self, entry: Entry) -> None:
        self.case = replace(self.case, entries=(*self.case.entries, entry))
        self.audit.saw(entry)

    def _person(self) -> None:
        dice = self.dice
        person = PERSONS[int(dice.choice(4, p=(0.15, 0.25, 0.45, 0.15)))]
        kit = KITS[int(dice.integers(len(KITS)))]
        phone, second, aired = dice.random() < 0.25, dice.random() < 0.7, dice.random() < 0.9
        self._add(PersonTold(self._number(), AT, "walk", person, bool(phone), bool(second), bool(aired), kit))

    def _follow(self, proposal: Proposal) -> None:
        if self.dice.random() < 0.12:
            self._add(StepRefused(self._number(), AT, "walk", proposal.step, "cannot"))
            return
        for name in proposal.setups:
            self._add(StepDone(self._number(), AT, "walk", name))
        step = find_step(self.book, proposal.step)
        if isinstance(step, Check):
            for item in proposal.ask or step.yields:
                if item.sign:
                    self._sign(item.sign, step.id)
                else:
                    self._reading(item, step.id)
        if not proposal.ask or isinstance(step, Remedy):
            self._add(StepDone(self._number(), AT, "walk", proposal.step))

    def _sign(self, name: str, check: str = "") -> None:
        sign, dice = self.book.signs[name], self.dice
        yes = SAFETY if sign.wet or name in self._listened else 0.35
        if sign.choices:
            answer = sign.choices[int(dice.integers(len(sign.choices)))].id
        else:
            answer = PRESENT if dice.random() < yes else ABSENT
        sure, source = DOUBTS[int(dice.choice(len(DOUBTS), p=(0.94, 0.03, 0.03)))]
        self._add(SignAnswer(self._number(), AT, "walk", name, answer, sure, source, check))

    def _reading(self, item: Yield, check: str) -> None:
        kind = self.book.readings[item.reading]
        value = float(kind.low + (kind.high - kind.low) * self.dice.random() ** 2)
        self._add(
            ReadingTaken(self._number(), AT, "walk", kind.id, item.at, f"{value:.6g}", value, value, value, check=check)
        )


def random_belief(model: Model, dice: np.random.Generator) -> Belief:
    """A belief nobody could talk themselves into: a few sets of one to three causes with lopsided weights."""
    count = len(model.causes)
    rows = np.full((SETS, 3), count)
    for at in range(1, SETS - 1):
        size = int(dice.integers(1, 4))
        rows[at, :size] = np.sort(dice.choice(count, size, replace=False))
    weights = dice.random(SETS) ** float(dice.choice((4, 20, 200)))  # from all open to as good as certain
    weights /= weights.sum()
    marginal = np.zeros(count + 1)
    for slot in range(3):
        np.add.at(marginal, rows[:, slot], weights)
    chances = np.minimum(marginal[:-1], 1.0)
    nothing, strange = float(weights[0]), float(weights[-1])
    return Belief(rows, weights, model.causes, chances, chances, nothing, strange, 0.0)


def walks_text(found: Walked, seconds: float) -> str:
    """The figures of some walks."""
    kinds = ", ".join(f"{kind} {count}" for kind, count in found.proposals.most_common())
    lines = [f"{found.proposals.total()} proposals in {seconds:.0f} s on random walks ({kinds})"]
    lines.append(f"{len(found.forbidden)} forbidden")
    lines += [f"  {count} times: {why}" for why, count in Counter(found.forbidden).most_common(20)]
    lines.append("Real: replay, wall, plans, choice, auditor. Drawn at random: belief, answers, deeds out of order.")
    return "\n".join(lines)
