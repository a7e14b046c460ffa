"""The reasons of a proposal, gathered from what the choice looked at."""

from __future__ import annotations

from collections.abc import Sequence

from diag.decision.groups import Groups, Top, missing_tools
from diag.decision.information_gain import Prospect, sharpest
from diag.decision.policy import POLICY
from diag.decision.proposal import Alternative
from diag.decision.reason import Leader, Move, Reason
from diag.inference.evidence import Reading
from diag.inference.posterior import Belief
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Remedy, Step
from diag.safety.setups import Plan
from diag.safety.situation import Situation, Wet

Reasons = tuple[Reason, ...]


def of_check(prospect: Prospect, top: Top, groups: Groups) -> Reasons:
    """Which causes the check would split, with the outcome that would lift each of them most."""
    shares = top.prices.shares(top.weights[:, None])[:, 0]
    ranked = [int(g) for g in (-shares).argsort(kind="stable") if shares[g] >= POLICY.named_from][: POLICY.watched]
    chances = groups.chances()  # the shares rest on the heaviest rows only; what is said is the whole chance
    leaders = {g: Leader(groups.likeliest(g), float(chances[g])) for g in ranked}
    found: list[Reason] = []
    if ranked:
        found.append(Reason("leaders", leaders=tuple(leaders[g] for g in ranked[: POLICY.most_named])))
    moved = sorted(ranked, key=lambda g: -abs(sharpest(prospect, top, g)[1] - shares[g]))
    for g in moved[: POLICY.most_moved]:
        outcome, then = sharpest(prospect, top, g)
        if then - shares[g] >= POLICY.named_from:
            labels = tuple(prospect.labels[outcome].items()) if prospect.labels else ()
            found.append(Reason("answer moves", move=Move(leaders[g], then, labels)))
    return tuple(found)


def of_cost(plan: Plan, situation: Situation) -> Reasons:
    """What the step costs: its minutes, what must be done first, what must be borrowed."""
    before = sum(s.minutes for s in plan.steps)
    setups = tuple(s.id for s in plan.steps)
    found = [Reason("cost", plan.target.id, setups=setups, minutes=plan.target.minutes, minutes_before=before)]
    missing = sorted(missing_tools(plan, situation))
    if missing:
        found.append(Reason("borrow", tools=tuple(missing)))
    return tuple(found)


def of_others(chosen: str, others: Sequence[Alternative]) -> Reasons:
    """Why not the others: the next best one, and the best one that the wall keeps shut."""
    found: list[Reason] = []
    checks = [o for o in others if o.kind == "check" and o.step != chosen]
    mine = next((o for o in others if o.step == chosen), None)
    rival = next((o for o in checks if o.verdict.allowed and not o.note), None)
    if rival is not None and mine is not None and rival.gain > 0:
        kind = Reason("tells more", rival.step, minutes=rival.minutes)
        found.append(kind if rival.gain >= mine.gain else Reason("tells less", rival.step))
    shut = next((o for o in checks if not o.verdict.allowed), None)
    if shut is not None and mine is not None and shut.rate >= mine.rate:
        found.append(Reason("barred", shut.step, verdict=shut.verdict))
    return tuple(found)


def of_remedy(step: Step, share: float, belief: Belief, book: RuleBook) -> Reasons:
    """Why this remedy now."""
    causes = [
        Leader((c,), p)
        for c, p in belief.ranked()
        if c in book.causes and step.id in book.causes[c].remedies and p >= POLICY.named_from
    ][: POLICY.most_named]
    cures = (Reason("cures", leaders=tuple(causes)),) if causes else ()
    return (Reason("needed", step.id, chance=share), *cures, Reason("no check pays"))


def of_still_wrong(readings: Sequence[Reading]) -> Reasons:
    """What was read and is outside what a sound car shows."""
    told = tuple((r.reading, r.point, r.value) for r in readings)
    return (Reason("reads wrong", readings=told),) if told else ()


def of_read_again(readings: Sequence[Reading]) -> Reasons:
    """Why something is read once more before anything is made of it."""
    return (Reason("read again", readings=tuple((r.reading, r.point, r.value) for r in readings)),)


def of_proof(remedy: Remedy, check: Step) -> Reasons:
    """Why a proof check is proposed."""
    return (Reason("proof", check.id, remedy=remedy.id),)


def of_hand_on(situation: Situation, leader: tuple[str, float], groups: Groups, named: Plan | None) -> Reasons:
    """Why the car goes to somebody else, in the order in which it can be helped.

    ``named`` is the remedy when it is as good as certain and only not for this person.
    """
    group, share = leader
    if named is not None:
        barred = None if named.verdict.allowed else named.verdict
        causes = (Leader(groups.likeliest(groups.names.index(group)), share),)
        return (
            Reason("for another", named.target.id, leaders=causes, chance=share, verdict=barred),
            Reason("hand over now"),
        )
    found: list[Reason] = []
    if situation.wet is Wet.UNKNOWN:
        found.append(Reason("places unseen"))
    elif situation.wet is Wet.WET:
        found.append(Reason("wet without repair"))
    blocked = groups.plans.get(group)
    if blocked is not None and not blocked.verdict.allowed:
        found.append(Reason("remedy barred", blocked.target.id, chance=share, verdict=blocked.verdict))
    return (*found, Reason("nothing tells"))
