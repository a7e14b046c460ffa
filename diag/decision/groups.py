"""What has to be settled: which remedy is needed. Causes with the same first remedy need not be told apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diag.decision.policy import POLICY, Policy
from diag.decision.repair_price import Floats, RepairPrices
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG, Belief
from diag.rulebook.built import unfit
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step
from diag.safety.beforehand import measures
from diag.safety.setups import Plan, Planner
from diag.safety.situation import HELPER, Situation, Wet
from diag.safety.stop_rules import rules_in_force


@dataclass(frozen=True, slots=True)
class Groups:
    """Names of the groups, the group of each cause, and the plan of each group's remedy."""

    names: tuple[str, ...]
    of_cause: NDArray[np.intp]  # (C + 1,), the padding index C points to the padding group
    plans: Mapping[str, Plan]
    belief: Belief
    book: RuleBook

    def likeliest(self, group: int) -> tuple[str, ...]:
        """The likeliest cause of a group, or its two likeliest when neither stands out; an exit stands alone."""
        if self.names[group] in (NOTHING_WRONG, NOT_IN_BOOK):
            return (self.names[group],)
        causes, chance = self.belief.causes, self.belief.marginal
        members = [int(c) for c in np.flatnonzero(self.of_cause[:-1] == group)]
        members.sort(key=lambda c: (-float(chance[c]), causes[c]))
        shares = [float(chance[c]) for c in members]
        both = len(members) > 1 and shares[0] < POLICY.stands_out * sum(shares)
        return tuple(causes[c] for c in members[: 2 if both else 1])

    def chances(self) -> Floats:
        """Chance that each group needs curing now: (groups,), over every row of the belief."""
        belief, names = self.belief, self.names
        members = np.sort(self.of_cause[belief.rows], axis=1)
        again = members[:, 1:] == members[:, :-1]
        members[:, 1:][again] = len(names)  # two causes of one remedy need it once
        weights = np.broadcast_to(belief.weights[:, None], members.shape)
        counts = np.bincount(members.ravel(), weights.ravel(), minlength=len(names) + 1)
        found: Floats = counts[: len(names)].astype(np.float64)
        found[names.index(NOTHING_WRONG)] = belief.nothing
        found[names.index(NOT_IN_BOOK)] = belief.out_of_book
        return found


@dataclass(frozen=True, slots=True)
class Top:
    """The heaviest rows: row numbers into the belief, their weights (sum one), and the prices over them."""

    numbers: NDArray[np.intp]
    weights: Floats
    prices: RepairPrices


def price(plan: Plan, situation: Situation, book: RuleBook, policy: Policy = POLICY) -> float:
    """Minutes of a step: itself, its risk, its share of the setups and the tools to be borrowed first."""
    missing = len(missing_tools(plan, situation))
    own = plan.target.minutes + plan.target.risk_minutes
    knobs = book.knobs
    return max(own + knobs.setup_weight * plan.minutes + knobs.borrow_minutes * missing, policy.least_minutes)


def missing_tools(plan: Plan, situation: Situation) -> frozenset[str]:
    """The tools that must be borrowed first; a helper who is there is none of them."""
    there = frozenset({HELPER}) if situation.second_person else frozenset()
    return frozenset() if situation.tools is None else plan.tools - situation.tools - there


def make_groups(belief: Belief, book: RuleBook, situation: Situation, planner: Planner) -> Groups:
    """Group causes by the remedy that would be chosen for them here.

    A remedy that waits for a measurement counts as open: measuring is what will be done before it.
    """
    groups = groups_of(belief, book, situation)
    situation = replace(situation, measured=measures(book))
    plans = {name: planner.plan(situation, book.remedies[name]) for name in groups.names if name in book.remedies}
    return replace(groups, plans=plans)


def groups_of(belief: Belief, book: RuleBook, situation: Situation) -> Groups:
    """Causes by the remedy that comes first for them here, without plans: all that a ranking needs.

    A remedy that this car cannot have, as a spring for a regulator without an adjuster, leaves the place to the next.
    """
    place: dict[str, int] = {}
    of_cause: list[int] = []
    barred = {step for rule in rules_in_force(situation, book) for step in rule.bars}
    for cause_id in belief.causes:
        remedies = book.causes[cause_id].remedies
        suit = [r for r in remedies if not unfit(book.remedies[r], book, situation.lacks)]
        name = next((r for r in suit if r not in barred), next(iter(suit or remedies), cause_id))
        of_cause.append(place.setdefault(name, len(place)))
    names = (*place, NOTHING_WRONG, NOT_IN_BOOK)
    return Groups(names, np.array([*of_cause, len(names)], dtype=np.intp), {}, belief, book)


def top_rows(belief: Belief, groups: Groups, book: RuleBook, situation: Situation, policy: Policy = POLICY) -> Top:
    """The rows that carry nearly all of the weight, a few hundred at most, with what each of them needs cured."""
    order = np.argsort(-belief.weights, kind="stable")
    enough = int(np.searchsorted(np.cumsum(belief.weights[order]), policy.enough)) + 1
    numbers = np.sort(order[: min(enough, policy.most_rows)])
    weights = belief.weights[numbers]
    members = groups.of_cause[belief.rows[numbers]]
    stranger = numbers == len(belief.weights) - 1
    empty = (members == len(groups.names)).all(axis=1)
    members[empty, 0] = groups.names.index(NOTHING_WRONG)
    members[stranger, 0] = groups.names.index(NOT_IN_BOOK)
    minutes, curable = _prices(groups, book, situation, policy)
    prices = RepairPrices(members, minutes, curable, book.knobs.hand_on_minutes, stranger)
    return Top(numbers, weights / weights.sum(), prices)


def _prices(groups: Groups, book: RuleBook, situation: Situation, policy: Policy) -> tuple[Floats, NDArray[np.bool_]]:
    minutes = np.full(len(groups.names), book.knobs.hand_on_minutes)
    curable = np.zeros(len(groups.names), dtype=bool)
    for at, name in enumerate(groups.names):
        plan = groups.plans.get(name)
        if plan is not None:
            minutes[at] = price(plan, situation, book, policy) + proof_minutes(plan.target, book)
            curable[at] = can_go(plan, situation)
            if ends_job(plan.target):
                minutes[at] += policy.comeback_minutes
            if isinstance(plan.target, Remedy) and plan.target.parts:
                minutes[at] += policy.parts_minutes
    at = groups.names.index(NOTHING_WRONG)
    minutes[at], curable[at] = policy.explain_minutes + policy.comeback_minutes, True
    return minutes, curable


def ends_job(step: Step) -> bool:
    """A remedy that gives the car away: what else may be wrong is then not looked for any more."""
    return isinstance(step, Remedy) and not step.keeps_car


def explains_only(name: str, book: RuleBook) -> bool:
    """Whether a remedy stands for normal behaviour or a misunderstanding alone: nothing is repaired by it."""
    cured = [c for c in book.causes.values() if name in c.remedies]
    return bool(cured) and all(c.kind == "exit" for c in cured)


def proof_minutes(remedy: Step, book: RuleBook) -> float:
    """Minutes of the checks that prove the remedy."""
    if not isinstance(remedy, Remedy):
        return 0.0
    checks = (book.checks[c] for c in remedy.proof if c in book.checks)
    return sum(c.minutes + c.risk_minutes for c in checks)


def put_aside(step: Step, situation: Situation) -> bool:
    """The person said that this cannot be done, or not now, or that a tool it needs is not to be had."""
    wanting = not situation.out_of_reach.isdisjoint(step.tools)
    return wanting or step.id in situation.refused or step.id in situation.later


def can_go(plan: Plan, situation: Situation) -> bool:
    """Whether the way is safe and nothing on it was refused; a look-over that could not be finished bars it too."""
    stuck = situation.looked and situation.wet is Wet.UNKNOWN
    every = (*plan.steps, plan.target)
    barred = any(put_aside(s, situation) or (stuck and isinstance(s, Check) and s.look_over) for s in every)
    return plan.verdict.allowed and not barred
