"""Everything the choice of the next step looks at, gathered once, and how a plan becomes a proposal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from diag.decision.groups import Groups, Top, can_go, make_groups, price, top_rows
from diag.decision.information_gain import Score
from diag.decision.policy import Policy
from diag.decision.proposal import Alternative, Kind, Proposal
from diag.decision.reason import Reason
from diag.decision.repair_price import Floats
from diag.inference.doubt import doubts
from diag.inference.evidence import Evidence
from diag.inference.model import Model
from diag.inference.posterior import Belief
from diag.rulebook.built import fitting, named
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step, Yield
from diag.safety.effects import after
from diag.safety.interlock import allowed
from diag.safety.setups import Plan, Planner, planner_for
from diag.safety.situation import Situation
from diag.safety.steps import told_only

SET = "set pressure"  # what a step changes that sets the regulator


def only_sets(step: Remedy) -> bool:
    """Whether a remedy renews nothing and makes a setting only."""
    return set(step.redraws) == {SET}


@dataclass(frozen=True)
class View:
    """Model, belief and situation with what follows from them: groups of causes cured together, and their prices."""

    model: Model
    belief: Belief
    evidence: Evidence
    situation: Situation
    policy: Policy
    planner: Planner
    groups: Groups
    top: Top
    doubted: frozenset[str] = frozenset()  # signs answered once and likely wrongly, after all that was told: ask again

    @property
    def book(self) -> RuleBook:
        """The rule book."""
        return self.model.book

    @property
    def decided(self) -> tuple[str, ...]:
        """The contexts about which something was told or follows from the car."""
        return tuple(c for c in self.model.contexts(self.evidence.contexts) if c in self.book.contexts)

    @property
    def last_step(self) -> str:
        """The remedy or action that began the present stretch; empty in the first."""
        return self.evidence.epochs[-1].step

    def times_done(self, step: Step) -> int:
        """How often this repair or deed was carried out in the job."""
        return sum(epoch.step == step.id for epoch in self.evidence.epochs)

    def done_enough(self, step: Remedy) -> bool:
        """Whether a repair was made so often without lasting that making it again is no way on."""
        most = self.policy.most_settings if only_sets(step) else self.policy.most_repairs
        return step.keeps_car and self.times_done(step) >= most

    def plan(self, step: Step) -> Plan:
        """The safe way to a step from here."""
        return self.planner.plan(self.situation, step)

    def quickest(self, checks: Iterable[Check]) -> Plan | None:
        """The way to the cheapest of these checks that can be done here; None when none can."""
        plans = (plan for plan in map(self.plan, checks) if can_go(plan, self.situation))
        return min(plans, key=lambda plan: (self.price(plan), plan.target.id), default=None)

    def price(self, plan: Plan) -> float:
        """Minutes of a plan, as ``diag.decision.groups.price`` counts them."""
        return price(plan, self.situation, self.book, self.policy)

    @cached_property
    def answers(self) -> float:
        """The chance that the next question to the person gets an answer, by how those so far fared."""
        talk = {y.sign for check in self.book.checks.values() if told_only(check) for y in check.yields}
        asked_in_vain = len(self.situation.unanswered & talk)
        told = len({f.sign for f in self.evidence.findings} & talk)
        return (told + self.policy.ready) / (told + asked_in_vain + self.policy.ready)

    @cached_property
    def able(self) -> float:
        """The chance that the next check can be done here, by how many were tried and could not."""
        could_not = len(self.situation.refused & self.book.checks.keys())
        done = len(self.situation.done & self.book.checks.keys())
        return (done + self.policy.ready) / (done + could_not + self.policy.ready)

    def shares(self) -> Floats:
        """Chance that each group needs curing: (groups,)."""
        return self.top.prices.shares(self.top.weights[:, None])[:, 0]

    def leader(self) -> tuple[str, float]:
        """The group most likely to need curing, and its chance."""
        shares = self.shares()
        best = int(shares.argmax())
        return self.groups.names[best], float(shares[best])

    def known(self) -> set[tuple[str, str]]:
        """What was answered surely or read since the last change of the car, or asked in vain.

        An answer in doubt is not known: the question is put again where it is worth its price.
        """
        now = len(self.evidence.epochs) - 1
        told = {("sign", f.sign) for f in self.evidence.findings if f.epoch == now} - {
            ("sign", sign) for sign in self.doubted
        }
        told |= {("sign", sign) for sign in self.situation.unanswered}
        told |= {("sign", named(s)) for c in self.decided for s in self.book.contexts[c].asked_by}
        return told | {(r.reading, r.point) for r in self.evidence.readings if r.epoch == now and not r.bound}

    def fresh(self, check: Check, known: set[tuple[str, str]] | None = None) -> list[Yield]:
        """The questions of a check that are still open; of one that was done as a whole what is in doubt."""
        suit = fitting(check, self.book, self.situation.lacks)
        if check.id in self.situation.done:
            return [y for y in suit if y.sign in self.doubted]
        told = self.known() if known is None else known
        return [y for y in suit if (("sign", y.sign) if y.sign else (y.reading, y.at)) not in told]


def view_of(model: Model, belief: Belief, evidence: Evidence, situation: Situation, policy: Policy) -> View:
    """Gather what the choice looks at."""
    planner = planner_for(model.book)
    groups = make_groups(belief, model.book, situation, planner)
    top = top_rows(belief, groups, model.book, situation, policy)
    doubted = _doubted(model, belief, evidence, top, policy)
    return View(model, belief, evidence, situation, policy, planner, groups, top, doubted)


def _doubted(model: Model, belief: Belief, evidence: Evidence, top: Top, policy: Policy) -> frozenset[str]:
    """Signs whose answer may be put again: it fits badly with what is likelier than not.

    While nothing leads there is nothing that an answer could contradict, and what somebody came to complain of is not
    asked again: they know why they came.
    """
    shares = top.prices.shares(top.weights[:, None])[:, 0]
    if float(shares.max()) < policy.close_at:
        return frozenset()
    brought = {f.sign for f in evidence.findings if f.volunteered}
    found = doubts(model, evidence, belief, top.numbers)
    return frozenset(d.sign for d in found if d.wrong >= policy.ask_again_from and d.sign not in brought)


def proposal_of(
    view: View,
    kind: Kind,
    plan: Plan,
    reason: Iterable[Reason],
    others: tuple[Alternative, ...] = (),
    score: Score | None = None,
    kind_for_look: Kind = "check",
) -> Proposal:
    """Turn a plan into a proposal; with a look-over on the way that is what is proposed, toward the target."""
    before, step = plan.up_to_look()
    _guard(view, (*before, step))
    toward = plan.target.id if step is not plan.target else ""
    said = tuple(reason)
    if toward:
        said = (Reason("look on the way", toward), *said)
        kind = "prove" if kind == "prove" else kind_for_look
    setups = tuple(s.id for s in before)
    gain, worth = (score.gain, score.saving) if score is not None else (0.0, 0.0)
    worth = 0.0 if worth != worth else worth
    return Proposal(kind, step.id, step.title, setups, said, worth, gain, view.price(plan), others, toward)


def _guard(view: View, steps: tuple[Step, ...]) -> None:
    """Walk the proposed steps once more past the wall; a refusal here is a fault of the program."""
    state = view.situation
    for step in steps:
        verdict = allowed(state, step, view.book)
        if not verdict.allowed:
            raise AssertionError(f"forbidden proposal {step.id}: {verdict.why}")
        state = after(state, step, view.book, "")
