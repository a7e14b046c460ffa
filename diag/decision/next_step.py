"""The next step: the check that tells most about the remedy needed per minute, a remedy, its proof, or a stop.

Rule (measured by diag.evaluation against the exact optimum on parts of the book): among the checks that save more
minutes of repair than they cost, the one with the highest expected fall in the summed entropy of the groups of causes
cured together, per minute with risk, shared setup minutes and borrowed tools; when none saves, the remedy by chance
over cost. The car is handed on when what is needed is known and is for somebody else, or when no remedy pays and no
allowed check tells enough for its minutes; a job is not closed while the complaint was seen again after the repair, or
while something reads as on no sound car. The safety wall is asked
about every step and every setup on the way; nothing that it refuses is ever proposed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from diag.decision.candidates import (
    Candidate,
    OutcomeTable,
    alternatives,
    candidates,
    could_change,
    of_untold,
    propose_check,
    searching,
    with_savings,
)
from diag.decision.endings import confirmed_by, remedy_or_end, shows_second_fault
from diag.decision.fact_first import fact_first
from diag.decision.groups import can_go, put_aside
from diag.decision.information_gain import Table
from diag.decision.policy import POLICY, Policy
from diag.decision.proof import BEFORE_ANY_CHOICE, complaint_again, stop
from diag.decision.proposal import Proposal
from diag.decision.reason import Reason
from diag.decision.safe_ground import expected_over, informed, made_safe, seen_unfit
from diag.decision.still_wrong import seeking
from diag.decision.view import View, proposal_of, view_of
from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Ints
from diag.inference.model import Model
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG, Belief
from diag.rulebook.steps import Check, Yield
from diag.safety.setups import Plan
from diag.safety.situation import Situation, Wet
from diag.safety.steps import questions_only


def propose(
    model: Model,
    belief: Belief,
    evidence: Evidence,
    situation: Situation,
    table: OutcomeTable | None = None,
    policy: Policy = POLICY,
    among: Callable[[View], Iterable[Check]] | None = None,
    aim: str = "",
) -> Proposal:
    """What to do next.

    Args:
        table: stands in for ``diag.inference.predictive.outcome_table`` in tests.
        among: names the checks that are weighed where not all of them are to be.
        aim: the check or remedy to which the set-ups just made were to lead. It is kept while nothing was learned and
            it is still worth doing: half a way made for another thing looks aimless, however the prices moved.
    """
    view = _gathered(model, belief, evidence, situation, policy)
    if isinstance(view, Proposal):
        return view
    return _choose(view, table or _predicted, among(view) if among is not None else None, aim)


def propose_by(
    model: Model,
    belief: Belief,
    evidence: Evidence,
    situation: Situation,
    pick: Callable[[Sequence[Plan]], Plan | None],
) -> Proposal:
    """The same with another order of checks, for comparison: ``pick`` chooses among all that are open.

    Safety, the proof of a remedy, and the choice of the remedy are as always; a check is asked for until the top group
    stands at ``commit_at`` or ``pick`` has had enough.
    """
    view = _gathered(model, belief, evidence, situation, POLICY)
    if isinstance(view, Proposal):
        return view
    book, (group, share) = view.book, view.leader()
    if share < book.knobs.commit_at or group == NOT_IN_BOOK:
        known = view.known()
        open_ = [c for c in searching(book) if not put_aside(c, situation) and view.fresh(c, known)]
        plans = [plan for plan in map(view.plan, open_) if plan.verdict.allowed]
        chosen = pick(plans)
        if chosen is not None:
            target = book.checks[chosen.target.id]
            ask = view.fresh(target, known) if questions_only(target) else ()
            return replace(proposal_of(view, "check", chosen, ()), ask=tuple(ask))
    return remedy_or_end(view, ())


def _gathered(
    model: Model, belief: Belief, evidence: Evidence, situation: Situation, policy: Policy
) -> View | Proposal:
    """What the choice looks at, or the proposal where there is no choice: a stop, a proof, a look-over."""
    stopped = stop(situation, model.book)
    if stopped is not None:
        return stopped
    view = view_of(model, belief, evidence, informed(situation, model, belief, evidence, policy), policy)
    return next((found for must in BEFORE_ANY_CHOICE if (found := must(view)) is not None), view)


def _predicted(model: Model, evidence: Evidence, belief: Belief, rows: Ints, yield_: Yield) -> Table:
    from diag.inference.predictive import outcome_table  # only when something is left to choose: start-up time

    return outcome_table(model, evidence, belief, rows, yield_)


def _choose(view: View, table: OutcomeTable, checks: Iterable[Check] | None = None, aim: str = "") -> Proposal:
    policy = view.policy
    cured = complaint_again(view) if view.leader()[0] == NOTHING_WRONG else None
    if cured is not None:
        return cured  # one answer of the owner settles more than any other check now
    unfit = seen_unfit(view)
    if unfit is not None:
        return unfit
    looking = seeking(view)
    ranked = candidates(looking, table, checks)
    usable = [c for c in ranked if can_go(c.plan, view.situation)]
    others = alternatives(looking, ranked)
    meant = _meant_remedy(view, aim)
    worth = [] if meant else _worth_doing(looking, usable)
    if worth:
        best = _as_meant(_looked_first(view, worth), worth, aim, policy)
        first = fact_first(view, best.plan, table, others)
        return first or propose_check(view, best, others, expected_over(view, best))
    safe = made_safe(view, others)
    if safe is not None:
        return safe
    telling = [c for c in usable if c.score.rate >= policy.least_rate]
    end = remedy_or_end(view, others, any(c.score.rate >= policy.telling_rate for c in telling))
    if end.kind == "hand on" and not end.toward and telling and telling[0].score.rate >= policy.hand_on_rate:
        return propose_check(view, telling[0], others, expected_over(view, telling[0]))
    if meant and aim in (end.step, end.toward):
        return end  # what could have come first was weighed before anybody opened a line for it
    sure_first = confirmed_by(view, end, telling)
    if sure_first is not None:
        return propose_check(view, sure_first, others, (*expected_over(view, sure_first), Reason("confirm")))
    second = shows_second_fault(view, end, usable)
    if second is not None:
        return propose_check(view, second, others, (*expected_over(view, second), Reason("second fault")))
    if end.kind == "hand on" and (not end.toward or view.leader()[1] < policy.confirmed):
        return replace(end, reason=(*end.reason, *of_untold(ranked, usable)))
    remedy = view.groups.plans.get(end.toward or end.step) if end.kind == "remedy" else None
    return (fact_first(view, remedy, table, others) if remedy is not None else None) or end


def _worth_doing(view: View, usable: list[Candidate]) -> list[Candidate]:
    """The checks that pay before any remedy, best first."""
    policy, (group, share) = view.policy, view.leader()
    if share >= policy.sure and group != NOT_IN_BOOK:
        return []
    priced = [c for c in with_savings(view, usable) if c.score.rate >= policy.least_rate]
    if share >= view.book.knobs.commit_at:  # here also where the remedy is for somebody else: see with_savings
        paying = [c for c in priced if c.score.saving > policy.least_saving and could_change(view, c)]
        return [c for c in paying if not c.ask or c.score.gain >= policy.tells_enough]
    if len(view.situation.tried) >= policy.most_checks:
        return []
    worth = [c for c in priced if c.score.saving > 0.0]
    if not worth and share < policy.guess_at:  # nobody is helped by a guess while something still tells what it is
        return [c for c in priced if c.score.rate >= policy.telling_rate]
    return worth


def _meant_remedy(view: View, aim: str) -> bool:
    """Whether the way just made leads to the remedy that is still the likeliest."""
    plan = view.groups.plans.get(aim)
    return plan is not None and view.leader()[0] == aim and can_go(plan, view.situation)


def _as_meant(best: Candidate, worth: list[Candidate], aim: str, policy: Policy) -> Candidate:
    """The check that was aimed at, unless another has become worth far more."""
    meant = next((c for c in worth if c.plan.target.id == aim), best)
    return meant if meant.score.rate >= policy.keep_aim * best.score.rate else best


def _looked_first(view: View, worth: list[Candidate]) -> Candidate:
    """The best one; while fuel is outside, looking for where it comes from goes before asking how the car runs."""
    if view.situation.wet is Wet.WET:
        return next((c for c in worth if not c.ask), worth[0])
    return worth[0]
