"""The engine's order against the best possible one, on parts of the rule book small enough to solve exactly.

A part has a few causes with their remedies and a few checks in words. The best order comes from dynamic programming
over everything that can have been answered; the engine's own proposals are followed through the same tree. Both pay
the same minutes for checks and end with the same repair, tried by chance over cost, so only the choice differs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from pathlib import Path

import numpy as np

from diag.decision.groups import make_groups, price, proof_minutes, top_rows
from diag.decision.next_step import propose
from diag.decision.repair_price import Floats, joint_table
from diag.evaluation.cores import on_every_core
from diag.fuelsystem.car import Car
from diag.inference.evidence import Evidence, Finding
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.inference.predictive import outcome_table
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Yield
from diag.safety.setups import Planner
from diag.safety.situation import Pressure, Situation, Wet
from diag.simulation.generators import rng_of

CAUSES = 5
CHECKS = 5
HAND_ON = 1000.0  # minutes: here every car can be repaired, so none is handed on
READY = Situation(Wet.DRY, Pressure.RELEASED, person="shop", second_person=True)

Answers = frozenset[tuple[str, tuple[str, ...]]]  # check id and what its signs said


def sub_book(book: RuleBook, number: int, seed: int = 1) -> RuleBook:
    """Part ``number``: causes that can be mistaken for each other, their remedies, and checks that bear on them.

    Checks and remedies keep their price from a dry, ready car as minutes, with everything else taken off them.
    """
    rng = rng_of("part of the book", seed, number)
    named = sorted(book.causes)
    first = named[int(rng.integers(len(named)))]
    near = [c for c in (*book.causes[first].mistaken_for, *_same_area(book, first)) if c != first]
    chosen = sorted({first, *list(dict.fromkeys(near))[: CAUSES - 1]})
    causes = {c: replace(book.causes[c], remedies=book.causes[c].remedies[:1]) for c in chosen}
    planner = Planner(book)
    checks = [c for c in book.checks.values() if not c.look_over and _bears(book, c, chosen)]
    picked = [checks[i] for i in rng.permutation(len(checks))[:CHECKS]]
    remedies = {r: book.remedies[r] for c in causes.values() for r in c.remedies}
    return replace(
        book,
        fingerprint=f"{book.fingerprint} part {number}",
        causes=causes,
        checks=dict(sorted((c.id, _plain_check(book, c, chosen, planner)) for c in picked)),
        remedies=dict(sorted((r.id, _plain_remedy(book, r, planner)) for r in remedies.values())),
        knobs=replace(book.knobs, hand_on_minutes=HAND_ON, out_of_book=1e-6),
        readings={},
        stops={},
        setups={},
    )


def _same_area(book: RuleBook, cause: str) -> list[str]:
    return [c.id for c in book.causes.values() if c.area == book.causes[cause].area]


def _speaks(book: RuleBook, sign: str, causes: list[str]) -> bool:
    if book.signs[sign].seen_when is not None:
        return False
    shown = [s for c in causes for s in (*book.causes[c].shows, *book.causes[c].answers)]
    through = [s for state in book.states.values() if state.id in shown for s in state.seen_as]
    return sign in shown or sign in through


def _bears(book: RuleBook, check: Check, causes: list[str]) -> bool:
    return any(y.sign and _speaks(book, y.sign, causes) for y in check.yields)


def _plain_check(book: RuleBook, check: Check, causes: list[str], planner: Planner) -> Check:
    signs = tuple(y for y in check.yields if y.sign and _speaks(book, y.sign, causes))[:2]
    minutes = price(planner.plan(READY, check), READY, book)
    return replace(check, yields=signs, minutes=minutes, risk_minutes=0.0, does=(), needs=(), undoes=(), hazards=(),
                   tools=("torch",), person="untrained")  # fmt: skip


def _plain_remedy(book: RuleBook, remedy: Remedy, planner: Planner) -> Remedy:
    minutes = price(planner.plan(READY, remedy), READY, book) + proof_minutes(remedy, book)
    return replace(remedy, minutes=minutes, risk_minutes=0.0, does=(), needs=(), undoes=(), hazards=(), tools=(),
                   proof=(), person="untrained")  # fmt: skip


@dataclass(frozen=True)
class Compared:
    """Mean minutes of a whole job: the best order, the engine's, and repair without any check."""

    number: int
    causes: int
    checks: int
    best: float
    engine: float
    blind: float

    @property
    def excess(self) -> float:
        """How much longer the engine takes than the best, as a share."""
        return self.engine / self.best - 1.0 if self.best > 0 else 0.0


class Tree:
    """Everything that can have been answered on one part of the book."""

    def __init__(self, book: RuleBook) -> None:
        self.book = book
        self.model: Model = compile_model(book, Car({}))
        self._beliefs: dict[Answers, tuple[Evidence, Belief]] = {}
        self._best: dict[Answers, float] = {}
        self._engine: dict[Answers, float] = {}

    @cached_property
    def checks(self) -> Mapping[str, Check]:
        """The checks, by id."""
        return self.book.checks

    def at(self, told: Answers) -> tuple[Evidence, Belief]:
        """Evidence and belief after some answers."""
        if told not in self._beliefs:
            findings = [
                Finding(y.sign, answer, self.book.knobs.sure_wrong, 0, 1)
                for check, answers in sorted(told)
                for y, answer in zip(self.checks[check].yields, answers, strict=True)
            ]
            evidence = Evidence(tuple(findings))
            self._beliefs[told] = evidence, belief(self.model, evidence)
        return self._beliefs[told]

    def repair(self, told: Answers) -> float:
        """Mean minutes of going straight to the remedies."""
        _, now = self.at(told)
        situation = READY
        top = top_rows(now, make_groups(now, self.book, situation, Planner(self.book)), self.book, situation)
        return float(top.prices.expected(top.weights[:, None])[0])

    def outcomes(self, told: Answers, check: str) -> list[tuple[tuple[str, ...], float]]:
        """What a check may say next, with its chance."""
        evidence, now = self.at(told)
        rows = np.arange(len(now.weights), dtype=np.intp)
        labels: list[tuple[str, ...]] = [()]
        joint: Floats = np.ones((len(rows), 1))
        for y in self.checks[check].yields:
            known = self._known(told, y)
            if known is not None:
                labels = [(*old, known) for old in labels]
                continue
            words, table = outcome_table(self.model, evidence, now, rows, y)
            joint = joint_table(joint, table)
            labels = [(*old, word) for old in labels for word in words]
        chances = now.weights @ joint
        return [(label, float(p)) for label, p in zip(labels, chances / chances.sum(), strict=True) if p > 1e-12]

    def _known(self, told: Answers, asked: Yield) -> str | None:
        for check, answers in told:
            for y, answer in zip(self.checks[check].yields, answers, strict=True):
                if y == asked:
                    return answer
        return None

    def best(self, told: Answers = frozenset()) -> float:
        """Mean minutes from here with the best order of checks and the best moment to stop."""
        if told not in self._best:
            done = {check for check, _ in told}
            choices = [self.repair(told)]
            for check in self.checks.values():
                if check.id not in done:
                    later = sum(p * self.best(told | {(check.id, said)}) for said, p in self.outcomes(told, check.id))
                    choices.append(check.minutes + later)
            self._best[told] = min(choices)
        return self._best[told]

    def engine(self, told: Answers = frozenset()) -> float:
        """Mean minutes from here with the engine's own proposals."""
        if told not in self._engine:
            evidence, now = self.at(told)
            situation = replace(READY, done=frozenset(check for check, _ in told))
            proposal = propose(self.model, now, evidence, situation)
            if proposal.kind == "check":
                later = sum(p * self.engine(told | {(proposal.step, said)})
                            for said, p in self.outcomes(told, proposal.step))  # fmt: skip
                self._engine[told] = self.checks[proposal.step].minutes + later
            else:
                self._engine[told] = self.repair(told)
        return self._engine[told]


def compared(book: RuleBook, number: int, seed: int = 1) -> Compared:
    """The engine against the best order on one part of the book."""
    part = sub_book(book, number, seed)
    tree = Tree(part)
    return Compared(number, len(part.causes), len(part.checks), tree.best(), tree.engine(), tree.repair(frozenset()))


def compare_parts(
    rules: Path, parts: int, seed: int, workers: int | None = None, progress: Callable[[int, int], None] | None = None
) -> list[Compared]:
    """Parts 1 to ``parts``, on every core; the result does not depend on how many there are."""
    found: list[Compared] = []
    for one in on_every_core(partial(load_book, rules), partial(_part, seed), range(1, parts + 1), workers):
        found.append(one)
        if progress is not None:
            progress(len(found), parts)
    return sorted(found, key=lambda c: c.number)


def _part(seed: int, book: RuleBook, number: int) -> Compared:
    return compared(book, number, seed)


def optimum_text(found: Sequence[Compared]) -> str:
    """One line per part, and the worst of them."""
    lines = ["part  causes  checks   best order   engine   more by   repair without checks   (mean minutes)"]
    lines += [
        f"{c.number:4d} {c.causes:7d} {c.checks:7d} {c.best:12.1f} {c.engine:8.1f} "
        f"{100 * c.excess:7.1f} % {c.blind:16.1f}"
        for c in found
    ]
    worst = max(found, key=lambda c: c.excess)
    mean = sum(c.excess for c in found) / len(found)
    lines += ["", f"engine above the best order: {100 * mean:.1f} % on average, at most {100 * worst.excess:.1f} %, "
                  f"in part {worst.number}"]  # fmt: skip
    return "\n".join(lines)
