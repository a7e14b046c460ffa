"""What must come before any choice: stops, the staged way back after a leak, the look-over, the proof of a remedy."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from diag.decision.candidates import question_minutes
from diag.decision.groups import can_go, explains_only, put_aside
from diag.decision.proposal import Kind, Proposal
from diag.decision.reason import Reason
from diag.decision.reasoning import of_proof
from diag.decision.safe_ground import made_safe
from diag.decision.view import View, proposal_of
from diag.rulebook.causes import Cause
from diag.rulebook.findings import PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Step, Yield
from diag.safety.setups import Plan
from diag.safety.situation import Situation, Wet
from diag.safety.steps import LOOK_STAGES, STAGE_STEP, STAGES, TRAINED, find_step, look_check, questions_only
from diag.safety.stop_rules import full_stop


def stop(situation: Situation, book: RuleBook) -> Proposal | None:
    """Fire, somebody hurt, or wet fuel and no training: no step at all."""
    rule = full_stop(situation, book)
    if rule is not None:
        return Proposal("stop", "", rule.title, (), (Reason("stop rule", rule=rule.id),))
    if situation.wet in (Wet.WET, Wet.REPAIRED) and situation.person == "untrained":
        return Proposal("stop", "", "Fuel outside the system", (), (Reason("untrained and wet"),))
    return None


def handed_on(view: View) -> Proposal | None:
    """A remedy that gives the car to somebody else was carried out: the job here is over."""
    for step_id in sorted(view.situation.done):
        remedy = view.book.remedies.get(step_id)
        if remedy is not None and not remedy.keeps_car:
            return Proposal("hand on", "", remedy.title, (), (Reason("handed over", remedy.id),))
    return None


def way_back(view: View) -> Proposal | None:
    """The proof of a repaired leak goes on in its order, whatever else would be interesting."""
    situation, book = view.situation, view.book
    if situation.wet is not Wet.REPAIRED:
        return None
    stage = situation.proof_stage or STAGES[0]
    if situation.person not in TRAINED:
        return Proposal("hand on", "", "Hand the car to a mechanic", (), (Reason("proof needs training", stage=stage),))
    step: Step | None = (
        look_check(book, after_repair=True) if stage in LOOK_STAGES else find_step(book, STAGE_STEP[stage])
    )
    if step is None:
        return Proposal("hand on", "", "Hand the car on", (), (Reason("no look-over"),))
    plan = view.plan(step)
    if not plan.verdict.allowed:
        barred = Proposal("stop", "", step.title, (), (Reason("not proven", verdict=plan.verdict),))
        return made_safe(view, ()) or barred  # a second leak, or a hose that must be seen dry first
    return proposal_of(view, "prove", plan, (Reason("stage", stage=stage),), kind_for_look="prove")


def look_first(view: View) -> Proposal | None:
    """Nothing else is asked for while nobody has looked for wet fuel, unless the look-over was tried or refused."""
    situation = view.situation
    if situation.wet is not Wet.UNKNOWN or situation.looked:
        return None
    repaired = view.last_step in view.book.remedies
    step = look_check(view.book, after_repair=repaired)
    if step is None or put_aside(step, situation):
        return None
    plan = view.plan(step)
    if not plan.verdict.allowed:
        return None
    kind: Kind = "prove" if repaired else "check"
    return proposal_of(view, kind, plan, (Reason("look over", step.id, minutes=step.minutes),))


def proof(view: View) -> Proposal | None:
    """After a remedy: the checks that prove it, in its order, as long as they may still come out well."""
    remedy = view.book.remedies.get(view.last_step)
    if remedy is None or not remedy.keeps_car:
        return None
    begun = any(c in view.situation.done for c in remedy.proof)
    if begun and view.belief.nothing < view.policy.not_cured:
        return None
    known, told = view.known(), _complaints_before(view)
    for check in (view.book.checks[c] for c in remedy.proof if c in view.book.checks):
        if put_aside(check, view.situation) or check.id in view.situation.done:
            continue
        ask = tuple(y for y in view.fresh(check, known) if y.sign in told) if questions_only(check) else ()
        if questions_only(check) and not ask:
            continue  # what nobody complained of is not asked about either
        if check.look_over and view.situation.wet is Wet.DRY:
            continue  # a remedy ends every dry look, so this one was made after it
        plan = view.plan(check)
        if can_go(plan, view.situation):
            return replace(proposal_of(view, "prove", plan, of_proof(remedy, check)), ask=ask)
        freeing = _frees(view, check)
        if freeing is not None:
            why = Reason("frees", freeing.target.id, verdict=plan.verdict)
            return proposal_of(view, "prove", freeing, (why,))
    return None


def _frees(view: View, blocked: Check) -> Plan | None:
    """A safe check that asks again about the sign whose stop rule blocks the proof."""
    signs = {f.partition(":")[2].partition("=")[0] for f in view.situation.facts if f.startswith("sign:")}
    known = view.known()
    for check in view.book.checks.values():
        if check.id == blocked.id or put_aside(check, view.situation) or check.id in view.situation.done:
            continue
        # An answer that was given and did not free the way will not free it the second time.
        if any(y.sign in signs for y in view.fresh(check, known)):
            plan = view.plan(check)
            if can_go(plan, view.situation):
                return plan
    return None


BEFORE_ANY_CHOICE: tuple[Callable[[View], Proposal | None], ...] = (handed_on, way_back, look_first, proof)
"""In this order, each only when those before it have nothing to say."""


# ------------------------------------------------------------------ the complaint, before a job is closed


def complaint_again(view: View) -> Proposal | None:
    """After a repair no job is closed before the complaints were asked about again: the proof is the symptom."""
    if not any(epoch.cured for epoch in view.evidence.epochs):
        return None
    told = _complaints_before(view)
    best: tuple[float, str, Plan, tuple[Yield, ...]] | None = None
    known = view.known()
    for check in view.book.checks.values():
        asked = tuple(y for y in view.fresh(check, known) if y.sign in told)
        plan = view.plan(check) if asked else None
        if plan is None or not can_go(plan, view.situation):
            continue
        loose = questions_only(check)
        minutes = question_minutes(check, view.policy) * len(asked) if loose else view.price(plan)
        found = (minutes / len(asked), check.id, plan, asked if loose else ())
        if minutes <= view.policy.complaint_minutes and (best is None or found[:2] < best[:2]):
            best = found
    if best is None:
        return None
    _, check_id, plan, ask = best
    signs = tuple(y.sign for y in view.book.checks[check_id].yields if y.sign in told)
    return replace(proposal_of(view, "prove", plan, (Reason("complaint", signs=signs),)), ask=ask)


def _complaints_before(view: View) -> set[str]:
    """Symptoms last noticed in an earlier stretch; what only a test with a gauge brings out is no complaint.

    What was gone after one repair is not asked about again after the next: a screw put back would ask for it for ever.
    """
    now = len(view.evidence.epochs) - 1
    plain = [c for c in view.book.checks.values() if not any(y.reading for y in c.yields)]
    told = {y.sign for check in plain for y in check.yields}
    last = {f.sign: f.answer for f in view.evidence.findings if f.epoch < now}
    return {
        f.sign
        for f in view.evidence.findings
        if f.answer == last.get(f.sign) == PRESENT
        and view.book.signs[f.sign].symptom
        and not view.book.signs[f.sign].history
        and (f.volunteered or f.sign in told)
    } - _explained(view)


def _explained(view: View) -> set[str]:
    """Complaints that an explanation has answered: they are there as before, and nobody expects them to go.

    Those are what mostly normal behaviour shows, what the explained thing itself shows, and what follows from the fuel
    system as it is, since an explanation changes nothing of it.
    """
    causes = view.book.causes
    given = [
        causes[c] for e in view.evidence.epochs for c in e.cured if c in causes and explains_only(e.step, view.book)
    ]
    if not given:
        return set()

    def shown(which: Iterable[Cause]) -> set[str]:
        return {sign for c in which for sign, chance in c.shows.items() if chance >= view.policy.close_at}

    normal = shown(c for c in causes.values() if c.kind == "exit")
    faults = shown(c for c in causes.values() if c.kind != "exit")
    return shown(given) | (normal - faults) | set(view.model.words.physical)


def complaint_stays(view: View) -> bool:
    """Whether something was repaired and a complaint was seen again since, or told since for the first time.

    Of a complaint that is new the last word counts, and only what was told unasked: among the answers to a check's
    questions there is always one that was given without cause.
    """
    now = len(view.evidence.epochs) - 1
    if not any(epoch.cured for epoch in view.evidence.epochs):
        return False
    again = {f.sign for f in view.evidence.findings if f.answer == PRESENT and f.epoch == now}
    return bool(again & _complaints_before(view)) or bool(_new_complaints(view) - _explained(view))


def _new_complaints(view: View) -> set[str]:
    """Symptoms told unasked since the last change of the car, and not told to be gone since."""
    now = len(view.evidence.epochs) - 1
    last = {f.sign: f.answer for f in view.evidence.findings if f.epoch == now}
    return {
        f.sign
        for f in view.evidence.findings
        if f.unasked
        and f.epoch == now
        and last[f.sign] == PRESENT
        and view.book.signs[f.sign].symptom
        and not view.book.signs[f.sign].history
    }
