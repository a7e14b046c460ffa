"""The checks that could still tell something: their plans, what they would tell, and what they cost."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from diag.decision.groups import can_go
from diag.decision.information_gain import Prospect, Score, Table, gains, prospect, repair_now, saving
from diag.decision.policy import POLICY, Policy
from diag.decision.proposal import Alternative, NoteKind, Proposal
from diag.decision.reason import Reason
from diag.decision.reasoning import of_check, of_cost, of_others
from diag.decision.repair_price import Floats
from diag.decision.view import View, proposal_of
from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Ints
from diag.inference.model import Model
from diag.inference.posterior import Belief
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Yield
from diag.safety.setups import Plan
from diag.safety.situation import Situation
from diag.safety.steps import LOOK_AFTER_REPAIR, look_check, questions_only, told_only

OutcomeTable = Callable[[Model, Evidence, Belief, Ints, Yield], tuple[tuple[str, ...], Floats]]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A check with its plan, outcomes and score; ``ask`` holds the one loose question that is meant, if any."""

    plan: Plan
    prospect: Prospect
    score: Score
    ask: tuple[Yield, ...] = ()


def candidates(view: View, table: OutcomeTable, checks: Iterable[Check] | None = None) -> list[Candidate]:
    """Every check that could still tell something, best rate first, whether a safe way exists or not.

    ``checks`` are looked at instead of all that search for what is wrong.
    """
    prospects: list[Prospect] = []
    asks: list[tuple[Yield, ...]] = []
    for found, ask in _prospects(view, table, searching(view.book) if checks is None else checks):
        prospects.append(found)
        asks.append(ask)
    best: dict[str, Candidate] = {}
    for found, ask, gain in zip(prospects, asks, gains(prospects, view.top), strict=True):
        plan = view.plan(found.check)
        minutes = priced(found.check, plan, view)
        gain = (gain if not ask or gain >= view.policy.least_told else 0.0) * comes_off(found.check, view)
        kept = best.get(found.check.id)
        if kept is None or gain > kept.score.gain:
            best[found.check.id] = Candidate(plan, found, Score(gain, minutes, float("nan")), ask)
    return sorted(_worth_asking(best.values(), view), key=lambda c: (-round(c.score.rate, 9), c.plan.target.id))


def _prospects(
    view: View, table: OutcomeTable, checks: Iterable[Check]
) -> Iterable[tuple[Prospect, tuple[Yield, ...]]]:
    """What each check would show, loose questions one by one, any other check as a whole."""
    known = view.known()
    cache: dict[Yield, Table] = {}

    def table_of(yield_: Yield) -> Table:
        if yield_ not in cache:
            cache[yield_] = table(view.model, view.evidence, view.belief, view.top.numbers, yield_)
        return cache[yield_]

    def doubted(yield_: Yield) -> Table:
        labels, chances = table_of(yield_)
        return labels, shrunk(chances, view.top.weights, view.policy.talk_doubt)

    linked = view.model.words.linked
    for check in checks:
        fresh = view.fresh(check, known)
        loose, told = questions_only(check), told_only(check)
        # A question that no cause bears on is asked for safety, not to find the cause.
        for part in [[y] for y in fresh if y.sign in linked] if loose else [fresh] if fresh else []:
            found = prospect(check, part, view.top, doubted if told else table_of)
            if found is not None:
                yield found, tuple(part) if loose else ()


def searching(book: RuleBook) -> list[Check]:
    """The checks that look for what is wrong.

    The look after a repair is none of them: it asks for the places of the look-over once more, proves a repair, and
    has nothing to look at before one.
    """
    looks = look_check(book)
    return [c for c in book.checks.values() if c.id != LOOK_AFTER_REPAIR or c is looks]


def _worth_asking(every: Iterable[Candidate], view: View) -> list[Candidate]:
    """Without the loose questions that tell next to nothing beside the best check that can be done."""
    found = list(every)
    most = max((c.score.gain for c in found if can_go(c.plan, view.situation)), default=0.0)
    return [c for c in found if not c.ask or c.score.gain >= view.policy.telling_share * most]


def shrunk(chances: Floats, weights: Floats, doubt: float) -> Floats:
    """What an answer tells when its links to the causes may not be as written: (rows, answers).

    With chance ``doubt`` the answer follows no cause and comes as often as it does on average, so that every likelihood
    ratio shrinks toward one and the chance of each answer stays what it was.
    """
    return (1.0 - doubt) * chances + doubt * (weights @ chances)


def priced(check: Check, plan: Plan, view: View) -> float:
    """Minutes of a check as they are weighed: on the clock, and attention that tires from turn to turn.

    A measurement is what the turns before it were waiting for, so it pays for none of them.
    """
    if told_only(check):
        return attention_minutes(check, view)
    measures = any(y.reading for y in check.yields)
    return view.price(plan) + (0.0 if measures else _tired(view))


def attention_minutes(check: Check, view: View) -> float:
    """Price of one more question to the person: its minutes, a turn, and the turns since the last figure."""
    policy = view.policy
    own = question_minutes(check, policy) if questions_only(check) else check.minutes
    return own + policy.turn_minutes + _tired(view)


def comes_off(check: Check, view: View) -> float:
    """The chance that a check brings anything: that there is a log to look into, an answer, hands and tools for it."""
    there = view.policy.log_kept if check.from_log else 1.0
    return there * (view.answers if told_only(check) else view.able)


def _tired(view: View) -> float:
    return view.policy.turn_minutes * view.policy.turn_growth * view.situation.turns


def question_minutes(check: Check, policy: Policy = POLICY) -> float:
    """Minutes of one of a check's loose questions: its share of what the book says for all of them."""
    return max(check.minutes / len(check.yields), policy.question_minutes)


def with_savings(view: View, usable: list[Candidate]) -> list[Candidate]:
    """The most telling candidates with the minutes they save worked out.

    Handing on is no way to save a check, unless what is needed is known and is not for this person: then it is what
    will be done, and a check saves something only where it could show a remedy for this one.
    """
    top = view.top
    if for_another(view) is None:
        top = replace(top, prices=replace(top.prices, hand_on=_patience(view)))
    now = repair_now(top)
    found = []
    for c in usable[: view.policy.priced]:
        saved = saving(c.prospect, top, now, 0.0) * comes_off(c.prospect.check, view)
        found.append(replace(c, score=replace(c.score, saving=saved - c.score.minutes)))
    return found


def could_change(view: View, candidate: Candidate) -> bool:
    """Whether some answer, not too unlikely, would make another remedy the likeliest."""
    shares = view.top.prices.shares(candidate.prospect.weights)
    leader = int(view.shares().argmax())
    other = shares.argmax(axis=0) != leader
    return float(candidate.prospect.chance[other].sum()) >= view.policy.changes_from


def _patience(view: View) -> float:
    """Price of handing on while checks are weighed: it wears down with every turn that brought no figure."""
    least = view.book.knobs.hand_on_minutes
    return least + max(view.policy.patience_minutes - least, 0.0) / (1.0 + view.situation.turns)


def for_another(view: View) -> Plan | None:
    """The remedy that is needed as good as certainly and that this person cannot carry out; None when there is none."""
    group, share = view.leader()
    plan = view.groups.plans.get(group)
    if plan is None or share < view.book.knobs.commit_at or group in view.situation.later:
        return None
    return None if view.top.prices.curable[view.groups.names.index(group)] else plan


# ------------------------------------------------------------------ as proposals


def propose_check(
    view: View, chosen: Candidate, others: tuple[Alternative, ...], first: tuple[Reason, ...] = ()
) -> Proposal:
    """A check as the next step, with its reasons; ``first`` stands before them."""
    again = tuple(y.sign for y in view.fresh(chosen.prospect.check) if y.sign in view.doubted)
    if again:
        first = (Reason("asked again", signs=again), *first)
    why = first + of_check(chosen.prospect, view.top, view.groups)
    why += (Reason("one question"),) if chosen.ask else of_cost(chosen.plan, view.situation)
    why += of_others(chosen.plan.target.id, others)
    found = proposal_of(view, "check", chosen.plan, why, others, chosen.score)
    if not chosen.ask:
        return found
    return replace(found, ask=chosen.ask, minutes=question_minutes(chosen.prospect.check, view.policy))


def alternatives(view: View, ranked: list[Candidate]) -> tuple[Alternative, ...]:
    """All candidates and every remedy that may be needed, with what the wall says to each."""
    found = [
        Alternative(
            c.plan.target.id,
            c.plan.target.title,
            "check",
            c.score.gain,
            c.score.minutes,
            c.score.rate,
            tuple(s.id for s in c.plan.steps),
            c.plan.verdict,
            note_of(c.plan, view.situation),
        )
        for c in ranked
    ]
    shares = view.shares()
    for name, plan in view.groups.plans.items():
        share = float(shares[view.groups.names.index(name)])
        if share >= view.policy.named_from and isinstance(plan.target, Remedy):
            minutes, steps = view.price(plan), tuple(s.id for s in plan.steps)
            here = view.plan(plan.target)  # the plan of the group takes a measurement for granted that may be wanting
            note, verdict = note_of(here, view.situation), here.verdict
            found.append(
                Alternative(name, plan.target.title, "remedy", 0.0, minutes, share / minutes, steps, verdict, note)
            )
    return tuple(found)


def of_untold(ranked: list[Candidate], usable: list[Candidate]) -> tuple[Reason, ...]:
    """What would tell most and cannot be done here, for whoever takes over."""
    open_ = set(map(id, usable))  # some of the ranked ones; comparing them part by part costs more than the choice
    shut = [c for c in ranked if id(c) not in open_ and not c.plan.verdict.allowed]
    best = max(shut, key=lambda c: c.score.gain, default=None)
    return (Reason("would tell", best.plan.target.id, verdict=best.plan.verdict),) if best is not None else ()


def note_of(plan: Plan, situation: Situation) -> NoteKind:
    """Why a plan is not open: refused, put off, barred by the wall, or its way was refused; empty when it is."""
    if plan.target.id in situation.refused:
        return "refused"
    if plan.target.id in situation.later:
        return "put off"
    if not plan.verdict.allowed:
        return "barred"
    return "" if can_go(plan, situation) else "way refused"
