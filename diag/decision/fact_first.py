"""A question about the car as built, before a step that would be vain on a car without the part.

It comes only when it matters: when the chance that the car lacks the part, times the minutes that the step would waste,
is more than the question costs. It comes once: told, worked out or "not known", it is settled.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diag.decision.candidates import OutcomeTable, attention_minutes, question_minutes
from diag.decision.groups import can_go
from diag.decision.proposal import Alternative, Proposal
from diag.decision.reason import Reason
from diag.decision.view import View, proposal_of
from diag.rulebook.built import NOT, named, needs_of_yield, undecided
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.steps import Check, Remedy, Yield
from diag.safety.setups import Plan
from diag.safety.steps import told_only


def fact_first(view: View, plan: Plan, table: OutcomeTable, others: tuple[Alternative, ...] = ()) -> Proposal | None:
    """The question that a step should wait for, if any is worth its turn."""
    facts = view.model.contexts(view.evidence.contexts)
    needs = tuple(_needs(view, plan))
    best: tuple[float, Check, Yield, str] | None = None
    for context in undecided(needs, facts):
        for check, asked in _questions(view, context):
            lacking = _chance_lacking(view, context, asked, needs, table)
            saved = lacking * view.price(plan) - attention_minutes(check, view)
            if saved <= 0.0 and lacking >= view.policy.mostly_lacking and _speaks_only_of(view, plan, context):
                saved = lacking  # it costs the same to ask about the part as about what the part does
            if saved > 0.0 and (best is None or saved > best[0]):
                best = (saved, check, asked, context)
    if best is None:
        return None
    _, check, asked, _ = best
    why = (Reason("part first", plan.target.id, signs=(asked.sign,)),)
    found = proposal_of(view, "check", view.plan(check), why, others)
    return replace(found, ask=(asked,), minutes=question_minutes(check, view.policy))


def _speaks_only_of(view: View, plan: Plan, context: str) -> bool:
    """Whether a step is only talk, and each of its open questions is about this part."""
    check = plan.target
    if not isinstance(check, Check) or not told_only(check):
        return False
    open_ = view.fresh(check)
    return bool(open_) and all(context in map(named, needs_of_yield(item, view.book)) for item in open_)


def _needs(view: View, plan: Plan) -> Iterable[str]:
    """What the step, its set-ups and its points need; of a remedy also what the likeliest cause it cures needs."""
    for step in (*plan.steps, plan.target):
        yield from step.fits
    if isinstance(plan.target, Check):
        for item in plan.target.yields:
            yield from needs_of_yield(item, view.book)
    if isinstance(plan.target, Remedy) and plan.target.id in view.groups.names:
        for cause in view.groups.likeliest(view.groups.names.index(plan.target.id))[:1]:
            yield from view.book.causes[cause].fits if cause in view.book.causes else ()


def _questions(view: View, context: str) -> Iterable[tuple[Check, Yield]]:
    """The questions that decide a context and can be answered by telling, as far as they are still open."""
    signs = {named(asked) for asked in view.book.contexts[context].asked_by}
    for check in view.book.checks.values():
        if told_only(check) and can_go(view.plan(check), view.situation):
            for item in view.fresh(check):
                if item.sign in signs:
                    yield check, item


def _chance_lacking(view: View, context: str, asked: Yield, needs: tuple[str, ...], table: OutcomeTable) -> float:
    """Chance that the answer excludes what the step needs."""
    labels, chances = table(view.model, view.evidence, view.belief, view.top.numbers, asked)
    said = dict(zip(labels, view.top.weights @ chances, strict=True))
    inverse = NOT + asked.sign in view.book.contexts[context].asked_by
    wanted = context in needs  # as against "not" and the context
    excludes = PRESENT if wanted is inverse else ABSENT
    return float(said.get(excludes, 0.0))
